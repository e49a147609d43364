"""Days on which the battery runs empty: too few for what comes in and is drawn are found."""

from __future__ import annotations

from dataclasses import replace

import pytest
from planned_examples import codes, energy_of, planned, with_energy, with_months

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.inspection.running_empty import empty_days_are_no_fewer_than_must_be
from rooflayout.job import Battery, Facet, Job, PanelModel, PanelRules
from rooflayout.needs import Load
from rooflayout.plan import Layout, Plan
from rooflayout.yields import Energy, MonthYield

BOAT = "canal-boat"
JOB = Job(
    "hut",
    (Facet("roof", ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0))),),
    PanelRules((PanelModel("Eider 200", 1000.0, 1000.0, 200.0),)),
    battery=Battery(12.0, 14.4, 100.0, chemistry="lithium"),
    loads=(Load("lamp", 500.0),),
)


def plan(empty_pct: dict[int, float], short: dict[int, float], usable_wh: float = 1080.0) -> Plan:
    """500 Wh a day are drawn and come in, but in some months so many Wh a day less come in."""
    months = tuple(
        MonthYield(
            m, 3.0, 10.0, 500.0 - short.get(m, 0.0), 0.0, 0.0, 500.0,
            empty_pct.get(m, 0.0), None, None, None, "",
        )
        for m in range(1, 13)
    )  # fmt: skip
    year = sum(m.harvest_wh_day * d for m, d in zip(months, (31, 28, 31, 30) + (31,) * 8, strict=True))
    energy = Energy(months, (), (), (), year, 15.0, "invented", usable_wh=usable_wh)
    return Plan("hut", "hut.toml", Layout(0.0, 0.0, "nothing fits", 1.0, ()), energy=energy)


def found(one: Plan) -> list[str]:
    return [f"{b.where}: {b.text}" for b in empty_days_are_no_fewer_than_must_be(JOB, one)]


def test_a_month_by_hand() -> None:
    """In December 235 Wh a day less, 3 % of the 265 that come in for chance: 227.05 x 31 - 1080 Wh are not
    there, 500 at most a day: 11.9 days at least, of which half must be stated."""
    assert found(plan({12: 25.0}, {12: 235.0})) == []  # 7.75 days
    (text,) = found(plan({12: 15.0}, {12: 235.0}))  # 4.65 days
    assert text.startswith("month 12: 4.7 days are stated")
    assert "there are 11.9 at least" in text
    assert found(plan({}, {})) == []
    assert found(plan({}, {12: 235.0}, usable_wh=8000.0)) == []  # a battery that carries it over


def test_months_in_a_row_across_the_year() -> None:
    """A battery carries one such month, not five."""
    winter = dict.fromkeys((11, 12, 1, 2, 3), 150.0)
    assert found(plan({}, {12: 150.0}, usable_wh=4500.0)) == []
    (text,) = found(plan({}, winter, usable_wh=4500.0))
    assert text.startswith("month 11 to 3: 0 days are stated")
    assert found(plan(dict.fromkeys(winter, 30.0), winter, usable_wh=4500.0)) == []


def test_the_example_that_runs_empty() -> None:
    energy = energy_of(planned(BOAT)[1])
    assert max(m.empty_pct or 0.0 for m in energy.months) > 40.0
    never = with_months(BOAT, empty_pct=0.0, soc_low_pct=60.0, soc_middle_pct=80.0, soc_high_pct=90.0)
    assert codes(BOAT, never) == {"energy-empty"}
    assert codes(BOAT, with_months(BOAT, empty_pct=None)) == set()


@pytest.mark.parametrize(
    ("charge", "empty_pct", "holds"),
    [
        ((0.0, 30.0, 60.0), 4.0, False),
        ((0.0, 30.0, 60.0), 8.0, True),
        ((0.0, 0.0, 60.0), 20.0, False),
        ((0.0, 0.0, 0.0), 40.0, False),
        ((0.0, 0.0, 0.0), 95.0, True),
        ((0.1, 30.0, 60.0), 0.0, True),
    ],
)
def test_mornings_with_nothing_in_it(
    charge: tuple[float, float, float], empty_pct: float, holds: bool
) -> None:
    low, middle, high = charge
    energy = energy_of(planned("ringing-trailer")[1])
    june = replace(
        energy.months[5], empty_pct=empty_pct, soc_low_pct=low, soc_middle_pct=middle, soc_high_pct=high
    )
    months = (*energy.months[:5], june, *energy.months[6:])
    changed = with_energy("ringing-trailer", months=months, soc_band_pct=())
    assert codes("ringing-trailer", changed) == (set() if holds else {"energy-empty"})


def test_without_capacity_nothing_is_told() -> None:
    one = plan({}, {12: 400.0})
    assert one.energy is not None
    assert found(one)
    unknown = replace(one, energy=replace(one.energy, usable_wh=None))
    assert found(unknown) == []
    assert "energy-empty" not in {b.code for b in inspect_plan(JOB, unknown)}
