"""What is said of lead batteries alone: common practice, no source."""

from __future__ import annotations

import pytest

from rooflayout.energy.lead import damaged_by_want, slow_end
from rooflayout.job import Battery
from rooflayout.plan import Note
from rooflayout.yields import Energy, MonthYield

LITHIUM = Battery(12.0, 14.4, 200.0, chemistry="lithium")


def lead(chemistry: str | None) -> Battery:
    return Battery(12.0, 14.4, 200.0, chemistry=chemistry)  # type: ignore[arg-type]


def noted(battery: Battery | None, empty: dict[int, float], high: dict[int, float]) -> list[Note]:
    """Of a year with so many % of days empty, and so much at sunrise, in some months."""
    months = tuple(
        MonthYield(m, 2.0, 5.0, 500.0, 0.0, 0.0, 400.0, empty.get(m, 0.0), 0.0, 20.0, high.get(m, 90.0), "")
        for m in range(1, 13)
    )
    return list(damaged_by_want(battery, Energy(months, (), (), (), 1.0, 12.0, "")))


@pytest.mark.parametrize("chemistry", ["agm", "gel", "flooded", None])
def test_a_lead_battery_that_runs_empty_or_stays_low_is_damaged(chemistry: str | None) -> None:
    (found,) = noted(lead(chemistry), {12: 20.0, 1: 30.0, 6: 1.0}, {1: 49.0, 2: 50.0})
    assert found.severity == "caution"
    assert "it runs empty in December and January, and nine mornings in ten" in found.text
    assert found.text.count("January") == 2
    assert "February" not in found.text
    (low,) = noted(lead(chemistry), {}, {11: 10.0})
    assert "runs empty" not in low.text
    assert "in November" in low.text
    assert noted(lead(chemistry), {6: 1.0}, {}) == []


def test_lithium_and_no_battery_are_not() -> None:
    for battery in (LITHIUM, None):
        assert noted(battery, {1: 50.0}, {1: 0.0}) == []
        assert slow_end(battery) == ""


def test_the_last_fifth_of_lead_is_slow() -> None:
    for chemistry in ("agm", "gel", "flooded", None):
        assert "several hours more for its last fifth, whatever the sun" in slow_end(lead(chemistry))
