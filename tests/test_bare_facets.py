"""Facets on which nothing lies are not passed over in silence."""

from __future__ import annotations

from dataclasses import replace

from rooflayout.bare_facets import _by_length, bare_facet_notes
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    Obstacle,
    PanelModel,
    PanelRules,
    Site,
)
from rooflayout.needs import Load
from rooflayout.plan import Layout, Plan
from rooflayout.planner import plan_job

REED = PanelModel("Reed 100", 1000, 500, 100.0, voc_v=24.0, vmp_v=20.0, isc_a=5.3, imp_a=5.0)
SEDGE = PanelModel("Sedge 60", 600, 500, 60.0, voc_v=22.0, vmp_v=18.0, isc_a=3.6, imp_a=3.3)
RUSH = ControllerModel("Rush 20", 100.0, 20.0, 20.0, (12.0, 24.0), 1, 5.0, 97.0)


def facet(name: str, length: float, width: float) -> Facet:
    return Facet(name, ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)))


LAYOUT_ALONE = Job("x", (facet("main", 1100, 600), facet("lip", 1100, 200)), PanelRules((REED,)))
WIRED = replace(
    LAYOUT_ALONE,
    facets=(facet("main", 3300, 600), facet("nose", 1050, 600), facet("tail", 1050, 600)),
    battery=Battery(24.0, 28.8, 100.0),
    controllers=Controllers((RUSH,), (RUSH,)),
)


def bare(job: Job) -> list[str]:
    return [n.text for n in plan_job(job, time_limit_s=20).notes if n.code == "facet-bare"]


def test_a_facet_too_narrow_for_any_panel_is_named() -> None:
    assert bare(LAYOUT_ALONE) == ["Nothing lies on lip. No arrangement with panels there has more watts."]


def test_where_panels_lie_on_every_facet_nothing_is_said() -> None:
    assert not bare(replace(LAYOUT_ALONE, facets=LAYOUT_ALONE.facets[:1]))


def test_strings_too_long_for_a_facet_are_named() -> None:
    # 28.8 V and 5 V more: two panels of 20 V, some 15 V hot, are too few; the small facets hold one each.
    assert bare(WIRED) == [
        "Nothing lies on nose and tail. No arrangement with panels there has more watts. A string lies whole "
        "on one facet; the shortest that these controllers take: 3 x Reed 100."
    ]


def test_models_are_named_by_the_length_of_their_strings() -> None:
    assert _by_length({"A": 2, "B": 3, "C": 2, "D": 2}) == "2 x A, C or D; 3 x B"
    assert _by_length(dict.fromkeys("ABCDEFG", 2)) == "2 x A, B, C, D or 3 others"


def test_a_layout_that_is_not_proven_claims_nothing() -> None:
    plan = plan_job(LAYOUT_ALONE, time_limit_s=20)
    found = replace(plan, layout=replace(plan.layout, status="best found", bound_watts=150.0))
    assert [n.text for n in bare_facet_notes(LAYOUT_ALONE, found, None)] == ["Nothing lies on lip."]


def test_where_nothing_lies_at_all_the_remark_is_another() -> None:
    plan = Plan("x", "x.toml", Layout(0.0, 0.0, "nothing fits", 0.1, ()))
    assert not list(bare_facet_notes(LAYOUT_ALONE, plan, None))


def test_an_interrupted_plan_says_that_the_cost_of_the_wiring_was_not_asked() -> None:
    hatch = Obstacle("hatch", "main", outline_mm=((900, 100), (1000, 100), (1000, 200), (900, 200)))
    job = replace(WIRED, panels=PanelRules((REED, SEDGE)), obstacles=(hatch,))
    told: list[float] = []
    plan = plan_job(
        job, time_limit_s=20, stopped=lambda: bool(told), tell=lambda watts, _: _hear(told, watts)
    )
    codes = [n.code for n in plan.notes]
    assert "wiring-costs-unasked" in codes
    codes = [n.code for n in plan_job(job, time_limit_s=20).notes]
    assert "wiring-costs-unasked" not in codes
    assert "wiring-costs" in codes  # the small facets hold a panel each, which no string can use


def _hear(told: list[float], watts: float) -> None:
    if watts:
        told.append(watts)


def test_where_nothing_lies_no_harvest_and_no_masses_are_made_up() -> None:
    job = replace(
        LAYOUT_ALONE,
        facets=(facet("lip", 1100, 200),),
        site=Site(52.0, 21.0),
        battery=Battery(12.0, 14.4, 100.0),
        loads=(Load("lamp", 10.0, 6.0, 60.0),),
    )
    plan = plan_job(job, time_limit_s=20)
    assert plan.layout.status == "nothing fits"
    assert plan.energy is None
    assert plan.balance is None
    assert not {"runs-empty", "no-harvest", "battery-figures"} & {n.code for n in plan.notes}
