"""Rows from edge to edge, and large roofs that are filled window by window."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from plans_of_packed import breaches_of
from rows_by_hand import watts_in_rows
from small_random_jobs import CONTROLLER, clock_of, packed, rectangle, square_on
from test_packing_any_roof import SPARE_MM, roofs

from rooflayout.job import Job, KeptPanel, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.bands import row_layouts
from rooflayout.packing.clearance import field_of
from rooflayout.packing.incumbent import Incumbent, Place
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.pack import Packed
from rooflayout.packing.patches import patch
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.plan import PlacedPanel
from rooflayout.wiring.options import UNLIMITED, StringOption, Supply, TrackerClass

BIG, LITTLE = PanelModel("Big", 1722, 1134, 430.0), PanelModel("Little", 1002, 673, 140.0)
STANDING = tuple(
    square_on(f"O{n}", "roof", x, y, x + 780, y + 1180, clearance_mm=60)
    for n, (x, y) in enumerate(((2110, 1330), (6470, 5210), (9030, 2090), (12110, 6570), (14330, 1190)))
)
VENT = Obstacle("vent", "roof", centre_mm=(4000, 4000), diameter_mm=300, clearance_mm=50)
BARN = Job("barn", (rectangle("roof", 17030, 9010),), PanelRules((BIG, LITTLE)), STANDING, Spacing(20, 50))


def as_packed(job: Job, layout: list[Place]) -> Packed:
    models = models_of(job)
    kinds = kinds_of(job, models)
    panels = tuple(
        PlacedPanel(
            "", job.facets[kinds[k].facet].name, models[kinds[k].model].model, x, y,
            kinds[k].w_mm, kinds[k].h_mm, kinds[k].turned, models[kinds[k].model].power_w,
        )
        for k, x, y in layout
    )  # fmt: skip
    watts = sum(p.watts for p in panels)
    return Packed(panels, watts, watts + 1, False, watts + 1)


def with_nothing_but_geometry(job: Job) -> Job:
    models = tuple(replace(m, stock=None) for m in job.panels.models)
    return replace(job, panels=replace(job.panels, models=models), kept=())


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(roofs(slanted=True))
def test_rows_lie_where_panels_may(job: Job) -> None:
    job = with_nothing_but_geometry(job)
    for layout in row_layouts([field_of(job, f) for f in job.facets], kinds_of(job, models_of(job))):
        assert breaches_of(job, as_packed(job, layout)) == []


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(roofs(slanted=False))
def test_mixed_rows_are_never_worse_than_rows_by_hand(job: Job) -> None:
    job = with_nothing_but_geometry(job)
    kinds = kinds_of(job, models_of(job))
    mixed, *_ = row_layouts([field_of(job, f) for f in job.facets], kinds)
    assert sum(kinds[k].watts for k, _, _ in mixed) / 10 >= watts_in_rows(job, SPARE_MM)


def test_rows_of_different_depth_are_stacked_to_fit() -> None:
    """Two rows of one depth leave 300 mm, which a third row of another depth fills."""
    deep, flat = (
        PanelModel("D", 1000, 500, 100.0, turnable=False),
        PanelModel("F", 1000, 300, 55.0, turnable=False),
    )
    job = Job("stack", (rectangle("roof", 2000, 1300),), PanelRules((deep, flat)), (), Spacing(0, 0))
    mixed, *_ = row_layouts([field_of(job, job.facets[0])], kinds_of(job, models_of(job)))
    assert sorted((k, y) for k, x, y in mixed if x == 0) in (
        [(0, 0), (0, 500), (1, 1000)],
        [(0, 0), (0, 800), (1, 500)],
        [(0, 300), (0, 800), (1, 0)],
    )


def test_windows_never_make_it_worse_and_keep_every_rule() -> None:
    models = models_of(BARN)
    kinds = kinds_of(BARN, models)
    rules = rules_of(BARN, models, kinds, None)
    fields = (field_of(BARN, BARN.facets[0]),)
    mixed, *_ = row_layouts(fields, kinds)
    inc = Incumbent(clock_of(30), rules.grain(), 0, 0, 1 << 40)
    inc.better(sum(kinds[k].watts for k, _, _ in mixed), mixed)
    before = inc.watts
    patch(fields, rules, inc, time.monotonic() + 2)
    assert inc.watts > before
    assert inc.places is not None
    assert inc.watts == sum(kinds[k].watts for k, _, _ in inc.places)
    assert breaches_of(BARN, as_packed(BARN, list(inc.places))) == []


@pytest.mark.parametrize(("kept", "vent"), [(False, False), (True, True)])
def test_a_large_roof_ends_in_time_with_a_bound(kept: bool, vent: bool) -> None:
    job = BARN
    if kept:
        job = replace(job, kept=(KeptPanel(LITTLE, "roof", 10000, 6000),))
    if vent:
        job = replace(job, obstacles=(*STANDING, VENT))
    start = time.monotonic()
    found = packed(job, seconds=3)
    assert time.monotonic() - start < 8
    assert breaches_of(job, found) == []
    assert watts_in_rows(job, SPARE_MM) <= found.watts <= found.bound_watts <= found.true_bound_watts
    assert found.watts > 0.85 * found.bound_watts


def test_a_large_roof_keeps_stock_and_models() -> None:
    rules = PanelRules((replace(BIG, stock=11), replace(LITTLE, stock=40)), most_models=1)
    found = packed(replace(BARN, panels=rules), seconds=3)
    assert found.watts == max(11 * 430, 40 * 140)
    assert found.bound_watts >= found.watts


def test_a_large_roof_is_wired_to_the_last_panel() -> None:
    supply = Supply(
        (TrackerClass(CONTROLLER, UNLIMITED),),
        tuple(StringOption(m, 0, 3, 2) for m in (BIG, LITTLE)),
    )
    found = packed(BARN, supply, seconds=3)
    for model in (BIG, LITTLE):
        assert sum(p.model == model.model for p in found.panels) % 3 == 0
    assert found.watts > 0.8 * found.bound_watts
