"""Charges of days and months, empty days and what finds room: each held to a hair, and broken by one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from planned_examples import EXAMPLES, energy_of, planned, with_energy

from rooflayout.inspection.charges import (
    band_is_the_months,
    charged_mornings_are_not_empty,
    no_more_is_taken_than_drawn,
)
from rooflayout.inspection.inspect import RULES
from rooflayout.plan import Plan

NAME = "ringing-trailer"
OURS = (band_is_the_months, charged_mornings_are_not_empty, no_more_is_taken_than_drawn)


def found(plan: Plan) -> list[tuple[str, str]]:
    job = planned(NAME)[0]
    return [(b.code, b.where) for rule in OURS for b in rule(job, plan)]


def with_month(number: int, **changes: Any) -> Plan:
    months = list(energy_of(planned(NAME)[1]).months)
    months[number - 1] = replace(months[number - 1], **changes)
    return with_energy(NAME, months=tuple(months))


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_hold(name: str) -> None:
    assert set(OURS) <= set(RULES)
    assert [b for rule in OURS for b in rule(*planned(name))] == []


def test_a_band_that_is_always_full() -> None:
    full = with_energy(NAME, soc_band_pct=((100.0, 100.0, 100.0),) * 365)
    assert ("energy-charge", "month 11") in found(full)
    assert found(with_energy(NAME, soc_band_pct=())) == []


@pytest.mark.parametrize(("off", "holds"), [(1.9, True), (2.1, False)])
def test_a_month_beyond_its_days(off: float, holds: bool) -> None:
    """November's low charge beside the highest of its days', 304 to 333 of the year."""
    days = energy_of(planned(NAME)[1]).soc_band_pct[304:334]
    changed = with_month(11, soc_low_pct=max(day[0] for day in days) + off, empty_pct=None)
    assert found(changed) == ([] if holds else [("energy-charge", "month 11")])


def test_charged_in_the_morning_and_empty_on_the_same_day() -> None:
    """The usable 4320 Wh (400 Ah x 12 V x 0.9) at a charge that holds a day's draw, and a little less."""
    plan = planned(NAME)[1]
    november = energy_of(plan).months[10]
    holds_pct = 100.0 * november.demand_wh_day / 4320.0
    for charge, empty, wrong in (
        (holds_pct + 0.2, 88.0, True),
        (holds_pct - 0.1, 88.0, False),
        (holds_pct + 0.2, 53.0, True),
        (holds_pct + 0.2, 51.0, False),
    ):
        own = {"soc_low_pct": 0.0, "soc_middle_pct": charge, "soc_high_pct": None, "empty_pct": empty}
        own = replace(
            with_month(11, **own), energy=replace(energy_of(with_month(11, **own)), soc_band_pct=())
        )
        assert found(own) == ([("energy-empty", "month 11")] if wrong else [])


def test_full_by_the_band_and_empty_all_the_same() -> None:
    """In August the days' lowest charges hold more than a day's draw, whatever the month states."""
    unsaid = {"soc_low_pct": None, "soc_middle_pct": None, "soc_high_pct": None}
    assert found(with_month(8, **unsaid, empty_pct=11.9)) == []
    assert found(with_month(8, **unsaid, empty_pct=12.1)) == [("energy-empty", "month 8")]


def test_more_finds_room_than_can_be_drawn() -> None:
    """July's loads and a whole battery, 96 % of Wh given back, 5 % of made-up days and rounding."""
    july = energy_of(planned(NAME)[1]).months[6]
    comes = (july.harvest_wh_day + july.portable_wh_day + july.driving_wh_day) * 31
    most = (july.demand_wh_day * 31 + 4320.0) / 0.96 * 1.05 + 365.0
    least_pct = 100.0 * (1.0 - most / comes)
    assert 10.0 < least_pct < 99.0
    for spilled, wrong in ((least_pct, False), (least_pct - 0.2, True), (10.0, True), (None, False)):
        where = [w for _, w in found(with_month(7, spilled_pct=spilled))]
        assert ("month 7" in where) == wrong


def test_the_year_takes_no_more_than_is_drawn() -> None:
    """Every month within its own bound, which lets a battery fill anew, and the year is not."""
    plan = planned(NAME)[1]
    months = []
    for m, days in zip(energy_of(plan).months, (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), strict=True):
        comes = (m.harvest_wh_day + m.portable_wh_day + m.driving_wh_day) * days
        most = 1.049 * (m.demand_wh_day * days + 4320.0) / 0.96
        months.append(replace(m, spilled_pct=max(100.0 * (1.0 - most / comes), 0.0)))
    assert found(with_energy(NAME, months=tuple(months))) == [("energy-spilled", "the year")]
