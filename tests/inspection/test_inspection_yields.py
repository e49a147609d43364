"""Every rule on energy and masses: our own plan passes, and each figure put wrong is found."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from rooflayout.energy.energy import energy_of
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.planner import plan_job
from rooflayout.survey.read import read_job
from rooflayout.yields import Balance, Energy

NAN = float("nan")  # how a figure is read that plan.json does not state
TRAILER = Path(__file__).parent.parent.parent / "roofs" / "ringing-trailer.toml"


@cache
def trailer() -> tuple[Job, Plan]:
    """The example trailer's plan with two models to choose from, which is quickly proven."""
    job, _ = read_job(TRAILER)
    two = tuple(m for m in job.panels.models if m.model in ("Tern 150", "Dunlin 110"))
    job = replace(job, panels=replace(job.panels, models=two))
    return job, plan_job(job)


def codes(plan: Plan) -> set[str]:
    return {b.code for b in inspect_plan(trailer()[0], plan)}


def with_energy(**changes: Any) -> Plan:
    plan = trailer()[1]
    assert isinstance(plan.energy, Energy)
    return replace(plan, energy=replace(plan.energy, **changes))


def with_month(number: int, **changes: Any) -> Plan:
    plan = trailer()[1]
    assert plan.energy is not None
    months = list(plan.energy.months)
    months[number - 1] = replace(months[number - 1], **changes)
    return with_energy(months=tuple(months))


def with_balance(**changes: Any) -> Plan:
    plan = trailer()[1]
    assert isinstance(plan.balance, Balance)
    return replace(plan, balance=replace(plan.balance, **changes))


def test_our_plan_holds() -> None:
    job, plan = trailer()
    assert plan.energy is not None
    assert plan.balance is not None
    assert inspect_plan(job, plan) == []
    assert energy_of(job, plan.layout.panels, plan.wiring) == plan.energy


def test_months() -> None:
    plan = trailer()[1]
    assert plan.energy is not None
    assert "energy-months" in codes(with_energy(months=plan.energy.months[::-1]))
    assert "energy-months" in codes(with_energy(months=plan.energy.months[:11]))
    for name in ("harvest_wh_day", "portable_wh_day", "driving_wh_day", "demand_wh_day"):
        assert "energy-value" in codes(with_month(3, **{name: -1.0}))
        assert "energy-value" in codes(with_month(3, **{name: float("inf")}))
        assert codes(with_month(3, **{name: NAN})) == set()
    for name in ("empty_pct", "soc_low_pct", "soc_middle_pct", "soc_high_pct"):
        assert codes(with_month(3, **{name: 101.0})) == {"energy-value"}
        assert codes(with_month(3, **{name: None})) == set()


def test_the_year_and_what_the_controllers_pass() -> None:
    plan = trailer()[1]
    assert plan.energy is not None
    assert codes(with_energy(wh_year=1.02 * plan.energy.wh_year)) == {"energy-year"}
    first, *others = plan.energy.controllers
    more = replace(first, passes_wh_year=1.1 * first.could_wh_year)
    assert "energy-clipped" in codes(with_energy(controllers=(more, *others)))
    less = replace(first, passes_wh_year=0.5 * first.passes_wh_year)
    assert codes(with_energy(controllers=(less, *others))) == {"energy-year"}


def test_figures_that_are_left_out_are_not_compared() -> None:
    plan = trailer()[1]
    assert plan.energy is not None
    assert plan.balance is not None
    first, *others = plan.energy.controllers
    for change in ({"passes_wh_year": NAN}, {"could_wh_year": NAN}):
        assert codes(with_energy(controllers=(replace(first, **change), *others))) == set()
    assert codes(with_energy(wh_year=NAN)) == set()
    assert codes(with_month(5, sun_kwh_m2_day=NAN, air_c=NAN, empty_pct=NAN, soc_low_pct=NAN)) == set()
    assert codes(with_balance(added_kg=NAN)) == set()
    items = (replace(plan.balance.items[0], kg=NAN), *plan.balance.items[1:])
    assert codes(with_balance(items=items)) == set()


def test_the_demand_is_the_jobs() -> None:
    plan = trailer()[1]
    assert plan.energy is not None
    demand = plan.energy.months[0].demand_wh_day
    assert demand > 0.0
    assert codes(with_month(1, demand_wh_day=1.02 * demand)) == {"energy-demand"}
    assert codes(with_month(1, demand_wh_day=round(demand))) == set()


@pytest.mark.parametrize("off_kg", [-5.0, 5.0])
def test_masses(off_kg: float) -> None:
    plan = trailer()[1]
    assert plan.balance is not None
    assert "mass-sum" in codes(with_balance(added_kg=plan.balance.added_kg + off_kg))
    assert "mass-sum" in codes(with_balance(added_kg=10.0, items=()))
    coupling, axle, *others = plan.balance.bearings
    assert coupling.what == "coupling"
    heavier = replace(coupling, change_kg=coupling.change_kg + off_kg)
    assert codes(with_balance(bearings=(heavier, axle, *others))) == {"mass-borne"}
    lighter = replace(axle, change_kg=axle.change_kg - off_kg)
    assert codes(with_balance(bearings=(heavier, lighter, *others))) == {"mass-borne"}  # the moment is wrong


def test_charges_rise_and_limits_are_the_jobs() -> None:
    assert codes(with_month(4, soc_low_pct=95.0, soc_middle_pct=50.0, soc_high_pct=60.0)) == {"energy-value"}
    plan = trailer()[1]
    assert plan.balance is not None
    coupling, *others = plan.balance.bearings
    for change in ({"most_kg": 500.0}, {"before_kg": 20.0}, {"most_kg": None}):
        wrong = replace(coupling, **change)
        assert codes(with_balance(bearings=(wrong, *others))) == {"mass-limit"}
