"""The note on string fuses in the heat: 0.5 % less for each K above 25 °C (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import FINCH, GIVEN, wired

from rooflayout.job import Cable, Job, PanelModel
from rooflayout.plan import Wiring
from rooflayout.wiring.cables import cable_runs
from rooflayout.wiring.design import design_notes
from rooflayout.wiring.hot_fuses import carried_a, hot_fuses


def fused(model: PanelModel = FINCH, count: int = 3, cable: Cable = GIVEN) -> tuple[Job, Wiring]:
    job, panels, wiring = wired([[[(model, 1)] * count]], cable)
    return job, replace(wiring, runs=cable_runs(job, panels, wiring))


@pytest.mark.parametrize(
    ("air_c", "carried"),
    [(-10.0, 20.0), (25.0, 20.0), (45.0, 18.0), (75.0, 15.0), (225.0, 0.0), (300.0, 0.0)],
)
def test_what_a_fuse_of_20_a_carries(air_c: float, carried: float) -> None:
    assert carried_a(20.0, air_c) == pytest.approx(carried)


def test_fuses_that_would_blow_in_the_heat_are_a_caution() -> None:
    """42 °C and 33 K on the roof: 75 °C, 25 % less. 16 A carry 12 A, and 12.5 A are wanted."""
    job, wiring = fused()
    (note,) = hot_fuses(job, wiring)
    assert (note.severity, note.code) == ("caution", "fuses-hot")
    assert note.text == (
        "String fuses in a box on the roof, in air of up to 75 °C: their rated current is for some 25 °C, "
        "0.5 % less with each K more (common practice; the maker's table decides). "
        "R1, R2, R3: 16 A, some 12.0 A in that heat (12.5 A wanted). "
        "Join the strings inside or in shade, or they may blow with nothing wrong."
    )
    assert note in design_notes(job, wiring)
    assert [r.fuse_a for r in wiring.runs[:3]] == [16, 16, 16]  # the note changes no size


def test_fuses_that_still_carry_are_told_for_information() -> None:
    """20 A carry 15 A of the 12.5 A wanted; in 50 °C the 16 A ones carry 14 A."""
    job, wiring = fused()
    larger = tuple(replace(r, fuse_a=20.0) if r.fuse_a == 16.0 else r for r in wiring.runs)
    (note,) = hot_fuses(job, replace(wiring, runs=larger))
    assert note.severity == "info"
    assert "20 A, some 15.0 A in that heat (12.5 A wanted)." in note.text
    assert note.text.endswith("wanted).")
    (mild,) = hot_fuses(*fused(cable=replace(GIVEN, ambient_c=17.0)))
    assert (mild.severity, "up to 50 °C" in mild.text, "14.0 A" in mild.text) == ("info", True, True)


def test_nothing_is_said_without_string_fuses_or_without_heat() -> None:
    assert hot_fuses(*fused(count=2)) == ()
    assert hot_fuses(*fused(cable=replace(GIVEN, ambient_c=-10.0))) == ()
