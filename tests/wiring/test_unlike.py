"""Which two sorts of strings may share a tracker, against mismatch.worst_loss and against the inspection."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product

import pytest
from wired_roofs import DUCK, FRONT, GOOSE, HERON, MAIN, SWAN, a_job

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.inspection.unlike import Sort, worst_loss_pct
from rooflayout.job import ControllerModel, Facet, Job, PanelModel, PanelRules, WiringRules
from rooflayout.plan import Layout, Plan, Temperatures
from rooflayout.planner import plan_job
from rooflayout.wiring import limits
from rooflayout.wiring.mismatch import StringPart, worst_loss
from rooflayout.wiring.options import Supply, supply_of
from rooflayout.wiring.temperatures import design_temperatures

NOSE = replace(FRONT, downhill="+x")
BOX = ControllerModel("Box", max_pv_v=100, max_pv_isc_a=40, max_charge_a=30, battery_v=(12,))
NEAR_PCT = 0.02  # a sampled loss beside an exact one


def sloped(*fitted: ControllerModel, most_pct: float = 2.0, models: tuple[PanelModel, ...] = ()) -> Job:
    job = a_job(*fitted, facets=(MAIN, NOSE), wiring_rules=WiringRules(most_mismatch_pct=most_pct))
    return replace(job, panels=PanelRules(models)) if models else job


def temperatures(job: Job) -> Temperatures:
    return design_temperatures(job.site)


def supply(job: Job) -> Supply:
    return supply_of(job, temperatures(job))


def test_none_where_each_group_can_have_a_tracker_of_its_own() -> None:
    """Two models on two facets are four groups."""
    job = sloped(*[BOX] * 4, models=(GOOSE, DUCK))
    assert supply(job).pairs == ()
    assert supply(sloped(*[BOX] * 3, models=(GOOSE, DUCK))).pairs != ()
    assert supply(sloped(models=(GOOSE, DUCK))).pairs == ()  # controllers are chosen
    job = sloped(BOX, models=(GOOSE, DUCK))
    only = supply_of(
        job, temperatures(job), there=frozenset({("main", GOOSE.model), (NOSE.name, GOOSE.model)})
    )
    assert {p.models for p in only.pairs} == {(GOOSE, GOOSE)}


@pytest.mark.parametrize("most_pct", [0.0, 0.5, 2.0, 6.0])
def test_every_pair_within_the_jobs_limit_and_no_other(most_pct: float) -> None:
    """Over all numbers of strings that the tracker's current allows, by mismatch.worst_loss."""
    job = sloped(BOX, most_pct=most_pct, models=(GOOSE, DUCK, SWAN))
    every = frozenset((f.name, m.model) for f in (MAIN, NOSE) for m in (GOOSE, DUCK, SWAN))
    own = supply_of(job, temperatures(job), there=every)
    alike = {p for p in own.pairs if p.models[0] == p.models[1]}
    assert set(supply(job).pairs) == alike  # nobody buys two models to mix them
    found = {(p.facets, tuple(m.model for m in p.models), p.in_series, p.in_parallel): p for p in own.pairs}
    groups = [(f, m) for f in (MAIN, NOSE) for m in (GOOSE, DUCK, SWAN)]
    ways = {
        m.model: {o.in_series: o.most_parallel for o in own.options if o.model == m}
        for m in (GOOSE, DUCK, SWAN)
    }
    told = 0
    for (facet_a, a), (facet_b, b) in combinations(groups, 2):
        for series_a, series_b in product(ways[a.model], ways[b.model]):
            for k, n in product(range(1, ways[a.model][series_a] + 1), range(1, ways[b.model][series_b] + 1)):
                assert a.isc_a is not None
                assert b.isc_a is not None
                if 1.25 * (k * a.isc_a + n * b.isc_a) > BOX.max_pv_isc_a or k > 3 or n > 3:
                    continue
                parts = (StringPart(a, series_a, k), StringPart(b, series_b, n))
                loss, _ = worst_loss(parts, (facet_a, facet_b), temperatures(job))
                key = ((facet_a.name, facet_b.name), (a.model, b.model), (series_a, series_b), (k, n))
                if abs(loss - most_pct) < NEAR_PCT:
                    continue
                assert (key in found) == (loss < most_pct), (key, loss)
                if key in found:
                    told += 1
                    assert found[key].loss_pct == pytest.approx(loss, abs=NEAR_PCT)
    assert told > 0 or most_pct == 0.0


def test_both_sorts_keep_the_current_of_the_tracker_together() -> None:
    for pair in supply(sloped(BOX, models=(GOOSE, DUCK))).pairs:
        isc_a = sum(n * (m.isc_a or 0.0) for n, m in zip(pair.in_parallel, pair.models, strict=True))
        assert limits.design_isc_a(isc_a) <= BOX.max_pv_isc_a


def test_no_string_is_fed_backwards_by_far_stronger_ones() -> None:
    """60 W of 32.5 V beside five 400 W of 37.4 V: together they lose less than 2 % in many a condition, but
    while the battery is full the five would feed more than its Isc into the one."""
    small = replace(DUCK, model="Old 60", power_w=60.0, voc_v=32.5, vmp_v=29.0, isc_a=2.2, imp_a=2.07)
    big = replace(BOX, max_pv_isc_a=200.0)
    job = replace(sloped(big, most_pct=6.0, models=(SWAN, small)), facets=(MAIN,))
    every = frozenset({("main", SWAN.model), ("main", small.model)})
    of_swan = {
        p.in_parallel
        for p in supply_of(job, temperatures(job), there=every).pairs
        if p.in_series[0] == p.in_series[1]
    }
    mild = replace(small, voc_v=37.4, vmp_v=33.0)  # as high as the others: nothing flows back
    job = replace(job, panels=PanelRules((SWAN, mild)))
    of_mild = {p.in_parallel for p in supply_of(job, temperatures(job), there=every).pairs}
    assert (5, 1) in of_mild
    assert (5, 1) not in of_swan


STEEP = replace(FRONT, name="steep", slope_deg=60.0, downhill="-x")


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((MAIN, GOOSE, 2, 1), (NOSE, GOOSE, 2, 1)),
        ((MAIN, GOOSE, 1, 2), (STEEP, GOOSE, 1, 1)),
        ((NOSE, SWAN, 1, 1), (STEEP, SWAN, 1, 3)),
        ((MAIN, DUCK, 2, 1), (MAIN, HERON, 1, 1)),
        ((MAIN, DUCK, 1, 1), (NOSE, GOOSE, 1, 1)),
    ],
)
def test_the_inspection_finds_the_same_loss_by_another_way(
    one: tuple[Facet, PanelModel, int, int], other: tuple[Facet, PanelModel, int, int]
) -> None:
    job = replace(sloped(BOX), facets=(MAIN, NOSE, STEEP))
    parts = tuple(StringPart(m, n, k) for _, m, n, k in (one, other))
    loss, _ = worst_loss(parts, (one[0], other[0]), temperatures(job))
    empty = Plan("", "", Layout(0.0, 0.0, "best found", 0.0, ()))
    found, slack = worst_loss_pct(job, empty, [Sort(*one), Sort(*other)])
    assert found == pytest.approx(loss, abs=slack)


def two_slopes(most_pct: float) -> Job:
    """A level main roof that holds two Goose 200, a front slope that holds one, and one tracker."""
    main = Facet("main", ((0, 0), (3200, 0), (3200, 1100), (0, 1100)))
    front = Facet("front", ((0, 0), (1600, 0), (1600, 1100), (0, 1100)), slope_deg=25.0, downhill="+x")
    job = sloped(BOX, most_pct=most_pct, models=(GOOSE,))
    return replace(job, facets=(main, front))


def test_the_front_slope_shares_the_only_tracker() -> None:
    """Three panels of one model lose little; where nothing may be lost the front slope stays empty."""
    plan = plan_job(two_slopes(2.0))
    assert (plan.layout.watts, plan.layout.status) == (600.0, "proven")
    assert plan.wiring is not None
    assert {(s.controller, s.tracker) for s in plan.wiring.strings} == {("C1", 1)}
    assert {s.facet for s in plan.wiring.strings} == {"main", "front"}
    assert "more sorts of panels than trackers" in dict(plan.wiring.because)["C1"]
    assert inspect_plan(two_slopes(2.0), plan) == []
    assert "strings-unlike" in {b.code for b in inspect_plan(two_slopes(0.0), plan)}
    alone = plan_job(two_slopes(0.0))
    assert (alone.layout.watts, alone.layout.status) == (400.0, "proven")


def test_of_equal_watts_the_layout_without_unlike_strings() -> None:
    """One Swan on each facet, or four Goose on one: 800 W with fewer panels, but a shared tracker."""
    job = two_slopes(2.0)
    facets = tuple(replace(f, outline_mm=((0, 0), (3000, 0), (3000, 1400), (0, 1400))) for f in job.facets)
    goose = replace(GOOSE, length_mm=1500, width_mm=700, stock=4)
    swan = replace(SWAN, length_mm=3000, width_mm=1400, stock=2)
    plan = plan_job(replace(job, facets=facets, panels=PanelRules((goose, swan))))
    assert (plan.layout.watts, plan.layout.status) == (800.0, "proven")
    assert {p.model for p in plan.layout.panels} == {GOOSE.model}
    assert len({p.facet for p in plan.layout.panels}) == 1
    only_swan = plan_job(replace(job, facets=facets, panels=PanelRules((swan,))))
    assert only_swan.layout.watts == 800.0


def test_no_more_strings_than_a_facet_has_room_for() -> None:
    """A nose of 2.1 times a panel's area has room for two panels of it, so for two strings of one."""
    wide, deep = 2.1 * GOOSE.length_mm, GOOSE.width_mm
    nose = replace(NOSE, outline_mm=((0, 0), (wide, 0), (wide, deep), (0, deep)))
    assert nose.area_mm2() == pytest.approx(2.1 * GOOSE.length_mm * GOOSE.width_mm)
    strong = replace(BOX, max_pv_isc_a=400, max_charge_a=300)
    job = replace(sloped(strong, most_pct=50.0, models=(GOOSE,)), facets=(MAIN, nose))
    roomy = supply(replace(job, facets=(MAIN, NOSE))).pairs
    assert max(p.panels[1] for p in roomy) > 2
    assert set(supply(job).pairs) == {p for p in roomy if p.panels[1] <= 2}
