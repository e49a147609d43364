"""What the packing wishes for, from the sun on the roof: the whole road on small roofs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rooflayout import wishing
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Site
from rooflayout.needs import Vehicle
from rooflayout.packing.kinds import Kind, kinds_of
from rooflayout.plan import Plan
from rooflayout.planner import plan_job

FERN = PanelModel("Fern", 1000, 500, 100.0, mass_kg=8.0, stock=1, power_pct_per_k=-0.35)
ROOF = Facet("roof", ((0, 0), (4000, 0), (4000, 500), (0, 500)))
CHIMNEY = Obstacle(
    "chimney", "roof", "chimney", outline_mm=((0, 0), (300, 0), (300, 500), (0, 500)), height_mm=900
)
DELTA = Job("small roof", (ROOF,), PanelRules((FERN,)), (CHIMNEY,), site=Site(40.7, 0.7, heading_deg=0.0))


def aiming(job: Job, aim: str) -> Job:
    return replace(job, panels=replace(job.panels, aim=aim))


def only_x_mm(plan: Plan) -> float:
    (panel,) = plan.layout.panels
    return panel.x_mm


@pytest.mark.parametrize("aim", ["watts", "harvest"])
def test_one_panel_keeps_away_from_the_chimney(aim: str) -> None:
    plan = plan_job(aiming(DELTA, aim))
    assert only_x_mm(plan) == 3000
    assert plan.layout.status == "proven"
    without_sun = plan_job(replace(DELTA, site=None))
    assert only_x_mm(without_sun) == 300  # the datum decides


def test_the_wh_packed_for_are_those_of_the_yield() -> None:
    """A layout alone has no strings and no controllers, so that both are the same sum."""
    job = aiming(replace(DELTA, panels=PanelRules((replace(FERN, stock=None),))), "harvest")
    plan = plan_job(job)
    assert plan.energy is not None
    assert plan.layout.harvest_wh_year == pytest.approx(plan.energy.wh_year, rel=0.005)
    assert plan.layout.bound_harvest_wh_year == plan.layout.harvest_wh_year
    assert inspect_plan(job, plan) == []
    lower = replace(plan, layout=replace(plan.layout, bound_harvest_wh_year=1000.0))
    assert {b.code for b in inspect_plan(job, lower)} == {"harvest-bound"}
    higher = replace(plan, layout=replace(plan.layout, bound_harvest_wh_year=9e6))
    assert {b.code for b in inspect_plan(job, higher)} == {"harvest-proof"}


def test_the_sunny_slope_is_worth_more_than_the_shady_one() -> None:
    """Two slopes of 35°, to the south and to the north: of one panel in stock, on the one to the south."""
    south, north = (
        Facet(name, ((0, 0), (1000, 0), (1000, 500), (0, 500)), slope_deg=35.0, downhill=bearing)
        for name, bearing in (("south", 180.0), ("north", 0.0))
    )
    job = aiming(replace(DELTA, facets=(north, south), obstacles=()), "harvest")
    (panel,) = plan_job(job).layout.panels
    assert panel.facet == "south"


def test_where_nothing_is_known_of_the_sun_watts_are_packed_and_it_is_said() -> None:
    at_sea = aiming(replace(DELTA, site=Site(-40.0, -120.0)), "harvest")
    plan = plan_job(at_sea)
    assert plan.layout.watts == 100.0
    assert plan.energy is None
    assert {"no-harvest", "aim-unheard"} <= {n.code for n in plan.notes}


def test_balance_puts_two_panels_on_either_side() -> None:
    roof = Facet("roof", ((0, 0), (2000, 0), (2000, 1000), (0, 1000)))
    two = PanelRules((replace(FERN, stock=2, turnable=False),))
    job = replace(DELTA, facets=(roof,), obstacles=(), panels=two, vehicle=Vehicle("trailer"))
    balanced = plan_job(replace(job, panels=replace(two, balance=True)))
    assert sorted(p.y_mm for p in balanced.layout.panels) == [0, 500]
    assert balanced.balance is not None
    assert balanced.balance.added_kg == pytest.approx(2 * 8.0 + 2 * 1.5)


def test_a_place_is_worked_out_once() -> None:
    asked: list[tuple[float, ...]] = []

    def value(kind: Kind, model: PanelModel, rects_mm: np.ndarray) -> np.ndarray:
        asked.extend(map(tuple, rects_mm.tolist()))
        return rects_mm[:, 0] * 2 + rects_mm[:, 1] + (1000 if kind.turned else 0)

    upright, turned = kinds_of(DELTA, (FERN,))
    remembered = wishing._remembered(value)
    first = np.array([[0, 0, 500, 1000], [10, 0, 510, 1000], [0, 20, 500, 1020]], dtype=float)
    second = np.array([[0, 20, 500, 1020], [30, 0, 530, 1000], [0, 0, 500, 1000]], dtype=float)
    for rects in (first, second, first):
        for kind in (upright, turned):
            plain = rects[:, 0] * 2 + rects[:, 1] + (1000 if kind.turned else 0)
            assert remembered(kind, FERN, rects).tolist() == plain.tolist()
    assert len(asked) == 2 * 4
