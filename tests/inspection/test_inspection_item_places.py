"""Masses that are moved although nothing else has moved are found, all together too."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from planned_examples import EXAMPLES, balance_of, codes, planned, with_balance

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Direction, Facet, Job, PanelModel, PanelRules, Site
from rooflayout.needs import Mounts
from rooflayout.plan import Layout, PlacedPanel, Plan
from rooflayout.vehicle.balance import balance_of as house_balance


def moved(name: str, ahead_mm: float) -> Plan:
    """Every mass so much further along x, centre, coupling and axle to match."""
    job, plan = planned(name)
    balance = balance_of(plan)
    items = tuple(i if i.x_mm is None else replace(i, x_mm=i.x_mm + ahead_mm) for i in balance.items)
    assert balance.centre_x_mm is not None
    bearings = list(balance.bearings)
    vehicle = job.vehicle
    if vehicle is not None and vehicle.coupling_x_mm is not None and vehicle.axle_x_mm is not None:
        kg = sum(i.kg for i in items if i.x_mm is not None)
        shift = kg * ahead_mm / (vehicle.coupling_x_mm - vehicle.axle_x_mm)
        for number, off in ((0, shift), (1, -shift)):
            bearings[number] = replace(bearings[number], change_kg=bearings[number].change_kg + off)
    return with_balance(
        name, items=items, centre_x_mm=balance.centre_x_mm + ahead_mm, bearings=tuple(bearings)
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_all_masses_moved_together(name: str) -> None:
    assert codes(name, moved(name, 0.0)) == set()
    assert codes(name, moved(name, 1.0)) == set()  # rounding
    assert codes(name, moved(name, 300.0)) == {"mass-place"}


def test_a_controller_hangs_where_the_job_has_it() -> None:
    job, plan = planned("canal-boat")
    assert job.vehicle is not None
    items = balance_of(plan).items
    assert [i for i in items if i.item.startswith("C1 ")]
    elsewhere = replace(job, vehicle=replace(job.vehicle, controllers_at_mm=(400.0, 600.0)))
    assert {b.code for b in inspect_plan(elsewhere, plan)} == {"mass-place"}


def shed(slope_deg: float, downhill: Direction | float | None, front: Direction = "+x") -> tuple[Job, Plan]:
    """One panel of 20 kg whose middle is at 900, 500 in the facet's plane."""
    model = PanelModel("Eider 200", 1600.0, 800.0, 200.0, mass_kg=20.0)
    facet = Facet(
        "deck", ((0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)), slope_deg, downhill, front
    )
    job = Job("shed", (facet,), PanelRules((model,)), mounts=Mounts(0.0), site=Site(heading_deg=25.0))
    panels = (PlacedPanel("P1", "deck", "Eider 200", 100.0, 100.0, 1600.0, 800.0, False, 200.0),)
    layout = Layout(200.0, 1200.0, "best found", 1.0, panels)
    return job, Plan("shed", "shed.toml", layout, balance=house_balance(job, panels, None))


@pytest.mark.parametrize(
    ("slope_deg", "downhill", "front", "known"),
    [
        (0.0, None, "+x", True),
        (35.0, "+y", "+x", True),
        (35.0, "-x", "+x", True),
        (35.0, 115.0, "+x", True),  # 90 degrees to the right of the front
        (35.0, 25.0, "+y", True),
        (35.0, 60.0, "+x", True),  # aslant
        (35.0, None, "+x", False),  # nobody knows whereto: passed over
    ],
)
def test_on_slopes_as_seen_from_above(
    slope_deg: float, downhill: Direction | float | None, front: Direction, known: bool
) -> None:
    job, plan = shed(slope_deg, downhill, front)
    balance = plan.balance
    assert balance is not None
    (item,) = balance.items
    assert inspect_plan(job, plan) == []
    for change in ({"x_mm": (item.x_mm or 0.0) + 5.0}, {"y_mm": (item.y_mm or 0.0) - 5.0}):
        wrong = replace(item, **change)
        centre = replace(balance, items=(wrong,), centre_x_mm=None, centre_y_mm=None, lopsided_kg_m=None)
        found = {b.code for b in inspect_plan(job, replace(plan, balance=centre))}
        assert found == ({"mass-place"} if known else set())


def test_an_item_weighs_what_its_panels_do() -> None:
    job, plan = shed(0.0, None)
    assert plan.balance is not None
    (item,) = plan.balance.items
    for kg, found in ((20.0, set()), (math.nan, set()), (21.0, {"mass-place", "mass-sum"})):
        wrong = replace(plan.balance, items=(replace(item, kg=kg),), added_kg=kg, lopsided_kg_m=None)
        assert {b.code for b in inspect_plan(job, replace(plan, balance=wrong))} == found
