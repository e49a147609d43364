"""Every rule on energy and masses: our own plan passes, and each figure put wrong is found."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from rooflayout.energy.energy import energy_of
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Direction, Facet, Job, PanelModel, PanelRules
from rooflayout.needs import Mounts, Vehicle
from rooflayout.plan import Layout, PlacedPanel, Plan
from rooflayout.planner import plan_job
from rooflayout.survey.read import read_job
from rooflayout.vehicle.balance import balance_of
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
    assert first.passes_least_wh_year is not None
    least = replace(first, passes_least_wh_year=1.02 * first.passes_wh_year)
    assert codes(with_energy(controllers=(least, *others))) == {"energy-clipped"}
    for left_out in (None, NAN):
        unsaid = replace(first, passes_least_wh_year=left_out)
        assert codes(with_energy(controllers=(unsaid, *others))) == set()
    less = replace(first, passes_wh_year=0.5 * first.passes_wh_year, passes_least_wh_year=None)
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


def test_what_driving_gives_is_the_jobs() -> None:
    """30 A x 13.2 V x 0.3 h = 118.8 Wh a day in March; nobody drives in January."""
    for right in (118.8, 119.0, NAN):
        assert codes(with_month(3, driving_wh_day=right)) == set()
    assert codes(with_month(3, driving_wh_day=129.6)) == {"energy-driving"}
    assert codes(with_month(1, driving_wh_day=130.0)) == {"energy-driving"}


def test_less_sun_empties_it_no_less_often() -> None:
    oct_ = trailer()[1].energy.months[9]  # type: ignore[union-attr]
    more, own, less = oct_.empty_more_sun_pct, oct_.empty_pct, oct_.empty_less_sun_pct
    assert more is not None
    assert own is not None
    assert less is not None
    assert more < own < less
    for change in (
        {"empty_less_sun_pct": own - 0.2},
        {"empty_more_sun_pct": own + 0.2},
        {"empty_less_sun_pct": 101.0},
        {"spilled_pct": -1.0},
    ):
        assert codes(with_month(10, **change)) == {"energy-value"}
    for name in ("empty_less_sun_pct", "empty_more_sun_pct", "spilled_pct"):
        for left_out in (None, NAN):
            assert codes(with_month(10, **{name: left_out})) == set()


def test_what_finds_the_battery_full_was_not_drawn() -> None:
    """A battery that never runs empty in August took what is drawn of it, but for its 4320 Wh."""
    plan = trailer()[1]
    assert plan.energy is not None
    august = plan.energy.months[7]
    assert august.empty_pct == 0.0
    comes = august.harvest_wh_day + august.portable_wh_day + august.driving_wh_day
    least = 0.95 * (august.demand_wh_day * 31 - 4320.0) / (comes * 31)
    most_pct = 100.0 * (1.0 - least)
    assert codes(with_month(8, spilled_pct=most_pct - 1.0)) == set()
    assert codes(with_month(8, spilled_pct=most_pct + 1.0)) == {"energy-spilled"}
    empties = with_month(8, spilled_pct=most_pct + 1.0, empty_pct=50.0, empty_less_sun_pct=60.0)
    assert codes(empties) == {"energy-empty"}  # of charges that do not go with it, not of what is spilled


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
    falling = with_month(4, soc_low_pct=95.0, soc_middle_pct=50.0, soc_high_pct=60.0)
    assert codes(falling) == {"energy-value", "energy-charge"}
    plan = trailer()[1]
    assert plan.balance is not None
    coupling, *others = plan.balance.bearings
    for change in ({"most_kg": 500.0}, {"before_kg": 20.0}, {"most_kg": None}):
        wrong = replace(coupling, **change)
        assert codes(with_balance(bearings=(wrong, *others))) == {"mass-limit"}


@pytest.mark.parametrize("what", ["usable_wh", "days_without_sun", "refill_hours", "watts_per_ah"])
def test_the_batterys_figures(what: str) -> None:
    plan = trailer()[1]
    assert plan.energy is not None
    value = getattr(plan.energy, what)
    assert value is not None
    assert value > 0.0
    for factor in (0.9, 1.02):
        assert codes(with_energy(**{what: factor * value})) == {"energy-battery"}
    for left_out in (None, NAN, round(value, 2)):
        assert codes(with_energy(**{what: left_out})) == set()


def test_a_battery_refills_the_slower_the_steeper_the_facets() -> None:
    """The sun overhead: a facet gets the cosine of its slope, so 30° more makes the stated hours wrong."""
    job, plan = trailer()
    for more_deg, wrong in ((0.0, []), (30.0, ["refill_hours"])):
        steep = tuple(replace(f, slope_deg=f.slope_deg + more_deg) for f in job.facets)
        found = inspect_plan(replace(job, facets=steep), plan)
        assert [b.where for b in found if b.code == "energy-battery"] == wrong


def test_figures_of_a_battery_whose_capacity_nobody_knows() -> None:
    job, plan = trailer()
    assert job.battery is not None
    without = replace(job, battery=replace(job.battery, capacity_ah=None))
    found = [b.where for b in inspect_plan(without, plan) if b.code == "energy-battery"]
    assert found == ["usable_wh", "days_without_sun", "refill_hours", "watts_per_ah"]


def test_the_band_of_the_year_and_the_hours_of_loads() -> None:
    plan = trailer()[1]
    assert plan.energy is not None
    band = plan.energy.soc_band_pct
    assert len(band) == 365
    for day in ((-1.0, 50.0, 60.0), (10.0, 50.0, 101.0), (60.0, 50.0, 70.0), (10.0, 80.0, 70.0)):
        assert codes(with_energy(soc_band_pct=(*band[:99], day, *band[100:]))) == {"energy-value"}
    assert codes(with_energy(soc_band_pct=())) == set()
    first, *others = plan.energy.load_hours
    hours = first.hours_day
    for wrong in (-0.5, 24.5, NAN):
        own = replace(first, hours_day=(wrong, *hours[1:]))
        assert codes(with_energy(load_hours=(own, *others))) == {"energy-load"}
    assert codes(with_energy(load_hours=(replace(first, load="no such"), *others))) == {"energy-load"}


@pytest.mark.parametrize(
    ("what", "off"),
    [("centre_x_mm", 5.0), ("centre_y_mm", -5.0), ("lopsided_kg_m", 1.0), ("payload_left_kg", 1.0)],
)
def test_centre_left_against_right_and_payload(what: str, off: float) -> None:
    plan = trailer()[1]
    assert plan.balance is not None
    value = getattr(plan.balance, what)
    assert value is not None
    assert codes(with_balance(**{what: value + off})) == {"mass-balance"}
    asked = not what.startswith("centre")  # the job gives limits of the others
    for left_out in (None, NAN):
        assert codes(with_balance(**{what: left_out})) == ({"mass-missing"} if asked else set())
    assert codes(with_balance(**{what: round(value, 2 if asked else 0)})) == set()


def test_what_vehicle_and_roof_bear() -> None:
    plan = trailer()[1]
    assert plan.balance is not None
    bearings = {b.what: b for b in plan.balance.bearings}
    heavier = replace(bearings["vehicle"], change_kg=bearings["vehicle"].change_kg + 1.0)
    wrong = tuple(heavier if b.what == "vehicle" else b for b in plan.balance.bearings)
    assert codes(with_balance(bearings=wrong)) == {"mass-balance"}
    (name, load), *others = plan.balance.roof_kg_m2
    assert codes(with_balance(roof_kg_m2=((name, 1.05 * load), *others))) == {"mass-balance"}
    assert codes(with_balance(roof_kg_m2=((name, round(load, 1)), *others))) == set()


FRONTS = {
    "+x": ((0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)),
    "-x": ((0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)),
    "+y": ((0.0, 0.0), (2000.0, 0.0), (2000.0, 4000.0), (0.0, 4000.0)),
    "-y": ((0.0, 0.0), (2000.0, 0.0), (2000.0, 4000.0), (0.0, 4000.0)),
}
# A panel of 20 kg in the corner by the origin, its middle 500 mm from the centre line: 10 kg m. Seen from
# above with the front to the right (+x), the origin lies on the right; turned by halves and quarters else.
ON_THE_LEFT = {"+x": -1.0, "-x": 1.0, "+y": 1.0, "-y": -1.0}


def boat(front: Direction, downhill: Direction | float | None = None) -> tuple[Job, Plan]:
    """A boat with one panel; with downhill its first facet slopes."""
    model = PanelModel("Eider 200", 1000.0, 1000.0, 200.0, mass_kg=20.0)
    job = Job(
        "boat",
        (Facet("deck", FRONTS[front], 0.0 if downhill is None else 20.0, downhill, front),),
        PanelRules((model,)),
        mounts=Mounts(0.0),
        vehicle=Vehicle("boat", displacement_kg=1980.0, metacentric_height_mm=500.0),
    )
    panels = (PlacedPanel("P1", "deck", "Eider 200", 0.0, 0.0, 1000.0, 1000.0, False, 200.0),)
    layout = Layout(200.0, 1600.0, "best found", 1.0, panels)
    return job, Plan("boat", "boat.toml", layout, balance=balance_of(job, panels, None))


@pytest.mark.parametrize("front", ["+x", "-x", "+y", "-y"])
def test_heel_of_a_boat(front: Direction) -> None:
    job, plan = boat(front)
    balance = plan.balance
    assert balance is not None
    assert balance.lopsided_kg_m == pytest.approx(10.0 * ON_THE_LEFT[front])
    # tan(heel) = 10 / (2000 x 0.5): 0.573 degrees (statics as in vehicle/statics.py, worked by hand)
    assert balance.heel_deg == pytest.approx(0.573 * ON_THE_LEFT[front], abs=1e-3)
    assert inspect_plan(job, plan) == []
    for change in ({"heel_deg": -balance.heel_deg}, {"lopsided_kg_m": 11.0}, {"heel_deg": 0.6}):
        wrong = replace(plan, balance=replace(balance, **change))
        assert {b.code for b in inspect_plan(job, wrong)} == {"mass-balance"}


@pytest.mark.parametrize("downhill", ["+x", "-x", "+y", 0.0, 0.6, 180.0, 30.0, 90.0])
def test_our_own_balance_of_a_sloping_first_facet_holds(downhill: Direction | float) -> None:
    """Its centre line is known where it slopes along the boat, and passed over where it does not."""
    job, plan = boat("+x", downhill)
    assert plan.balance is not None
    assert inspect_plan(job, plan) == []
    if downhill in ("+x", "-x", 0.0, 180.0):
        wrong = replace(plan, balance=replace(plan.balance, lopsided_kg_m=-11.0))
        assert {b.code for b in inspect_plan(job, wrong)} == {"mass-balance"}
