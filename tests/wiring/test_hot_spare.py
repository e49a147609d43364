"""Strings with little voltage to spare on the hottest noon are told, with the air that takes it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import ALDER, FINCH, GIVEN, wired

from rooflayout.job import Job, Site
from rooflayout.plan import Wiring
from rooflayout.wiring.design import designed
from rooflayout.wiring.hot_spare import NARROW_K, hot_spare_notes

# One Finch: -0.375 % per K of 20 V are 0.075 V for each K; 20 x (1 - 0.00375 x 60) = 15.5 V at 85 °C cells.
V_PER_K = 0.075
NEAR = replace(GIVEN, roof_run_mm=2000, gland_to_controller_mm=1000)


def with_spare(spare_v: float, **job_changes: object) -> tuple[Job, Wiring]:
    """A string that brings its controller so many V more than that needs."""
    at_v = 15.1  # behind cables that lose 0.4 V
    eager = replace(ALDER, start_above_battery_v=at_v - spare_v - 14.4)
    job, panels, wiring = wired([[[(FINCH, 1)]]], NEAR, of=eager)
    wiring = designed(job, panels, wiring)
    strings = tuple(replace(s, vmp_hot_at_controller_v=at_v) for s in wiring.strings)
    return replace(job, **job_changes), replace(wiring, strings=strings)  # type: ignore[arg-type]


@pytest.mark.parametrize("kelvin", [0.5, 1.5, 4.9])
def test_the_air_up_to_which_it_charges_by_hand(kelvin: float) -> None:
    job, wiring = with_spare(kelvin * V_PER_K)
    (note,) = hot_spare_notes(job, wiring)
    assert note.severity == "caution"
    assert "in air of 42 °C: " in note.text
    assert f": S1 {kelvin * V_PER_K:.1f} V (enough up to {42 + int(kelvin)} °C)." in note.text


def test_enough_to_spare_is_not_told() -> None:
    assert hot_spare_notes(*with_spare((NARROW_K + 0.1) * V_PER_K)) == ()


def test_what_falls_short_already_is_told_elsewhere() -> None:
    assert hot_spare_notes(*with_spare(-0.1)) == ()


def test_where_the_job_gives_the_hottest_air_it_is_for_information() -> None:
    job, wiring = with_spare(0.1, site=Site(hottest_c=42.0))
    assert [n.severity for n in hot_spare_notes(job, wiring)] == ["info"]


def test_a_plan_that_the_job_does_not_know_is_no_error() -> None:
    job, wiring = with_spare(0.1)
    foreign = replace(wiring, strings=tuple(replace(s, model="Nobody's 100") for s in wiring.strings))
    assert hot_spare_notes(job, foreign) == ()
