"""Jobs on which an earlier version stated too much: each by hand, with what is true of it."""

from __future__ import annotations

import math
import time
from dataclasses import replace

import pytest
from small_random_jobs import CONTROLLER, packed, rectangle, square_on

from rooflayout.job import Facet, Job, KeptPanel, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.ceiling import ceiling
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.wiring.options import StringOption, Supply, TrackerClass

TINY = PanelModel("tiny", 1200, 180, 200)
WIDE = tuple(PanelModel(f"W{i}", 1700 + 10 * i, 1100, 300 + 5 * i) for i in range(9))


def ceiling_w(job: Job, seconds: float = 20.0) -> float:
    models = models_of(job)
    rules = rules_of(job, models, kinds_of(job, models), None)
    return ceiling(tuple(field_of(job, f) for f in job.facets), rules, time.monotonic() + seconds) / 10


@pytest.mark.parametrize("facets", [1, 2])
def test_what_the_wiring_costs_where_three_trackers_are_priced_together(facets: int) -> None:
    """The search that does not mind the wiring has no families of groups to take over."""
    models = tuple(
        PanelModel(n, a, b, p)
        for n, a, b, p in (("A", 1000, 500, 100), ("B", 700, 400, 60), ("C", 900, 600, 113))
    )
    roofs = (rectangle("m", 1500, 1000), rectangle("f", 700, 450))[:facets]
    job = Job("t", roofs, PanelRules(models), (), Spacing(10, 20))
    supply = Supply((TrackerClass(CONTROLLER, 3),), tuple(StringOption(m, 0, 2, 2) for m in models))
    bare, wired = packed(job), packed(job, supply)
    assert bare.proven
    assert wired.proven
    assert 0 < wired.watts <= wired.watts + wired.wiring_costs_watts <= bare.watts


def test_a_panel_narrower_than_the_coarse_raster_counts_in_the_ceiling() -> None:
    """882 tiny panels in plain rows between five walls, 176 400 W."""
    walls = [
        (1080, 0, 1180, 5000),
        (1180, 1080, 18000, 1180),
        (0, 5000, 18000, 5100),
        (0, 6180, 18000, 6280),
    ]
    obstacles = tuple(square_on(f"wall {i}", "hall", *w) for i, w in enumerate(walls))
    job = Job("t", (rectangle("hall", 18000, 11000),), PanelRules((*WIDE, TINY)), obstacles)
    assert ceiling_w(job) >= 176_400


def test_narrow_panels_on_a_large_roof_count_in_the_ceiling() -> None:
    vent = Obstacle("vent", "hall", centre_mm=(9000, 9000), diameter_mm=400)
    job = Job("t", (rectangle("hall", 30000, 20000),), PanelRules((*WIDE, TINY)), (vent,))
    in_rows = 25 * (20000 // 180) - 3 * 2  # 25 columns of 111, less those that the vent takes
    assert ceiling_w(job, seconds=1.0) >= 200 * in_rows


def test_millimetres_missing_in_two_places_are_not_told_as_one() -> None:
    """Both sides of the wall are 9 and 8 mm short of a large panel: no single gap gives both."""
    wall = square_on("wall", "m", 1000, 0, 1300, 500)
    large, small = (
        PanelModel("L", 1009, 500, 100, turnable=False),
        PanelModel("S", 900, 500, 80, turnable=False),
    )
    job = Job("t", (rectangle("m", 2301, 500),), PanelRules((large, small)), (wall,))
    found = packed(job).near_misses
    assert found
    assert all(m.watts == 20 for m in found)


def test_a_panel_is_not_pushed_through_the_arm_of_an_obstacle() -> None:
    """In the notch of the L there is no room for a panel: it takes 50 mm more, not 10."""
    outline = ((20.0, 0.0), (600.0, 0.0), (600.0, 20.0), (40.0, 20.0), (40.0, 600.0), (20.0, 600.0))
    elbow = Obstacle("elbow", "m", outline_mm=outline)
    panel = PanelModel("P", 1000, 500, 100, turnable=False)
    job = Job("t", (rectangle("m", 1990, 530),), PanelRules((panel,)), (elbow,))
    for miss in packed(job).near_misses:
        longer = replace(job, facets=(rectangle("m", 1990 + miss.short_mm, 530),))
        assert packed(longer).watts >= packed(job).watts + miss.watts


def test_a_near_miss_counts_what_a_kept_panel_must_give_up() -> None:
    """Two trackers: with the 120 W panel on the second facet the kept one of 50 W loses its own."""
    kept = PanelModel("K", 500, 475, 50, turnable=False)
    there, short = (
        PanelModel("B", 1000, 475, 100, turnable=False),
        PanelModel("C", 1000, 480, 120, turnable=False),
    )
    job = Job(
        "t",
        (rectangle("m", 1500, 475), rectangle("n", 990, 480)),
        PanelRules((there, short)),
        kept=(KeptPanel(kept, "m", 0, 0),),
    )
    supply = Supply(
        (TrackerClass(CONTROLLER, 2),), tuple(StringOption(m, 0, 1, 1) for m in (kept, there, short))
    )
    found = packed(job, supply)
    assert found.watts == 150
    assert all(found.watts + m.watts <= 220 for m in found.near_misses)


@pytest.mark.parametrize(
    ("roof", "spacing", "panel", "fits"),
    [
        (rectangle("m", 1025, 525), Spacing(0, 12.5), PanelModel("P", 1000, 500, 100, turnable=False), 1),
        (rectangle("m", 3025.4, 500), Spacing(12.7, 0), PanelModel("P", 1000, 500, 100, turnable=False), 3),
        (rectangle("m", 5002, 500), Spacing(), PanelModel("P", 1000.4, 500, 100, turnable=False), 5),
    ],
)
def test_parts_of_millimetres_are_within_the_true_bound(
    roof: Facet, spacing: Spacing, panel: PanelModel, fits: int
) -> None:
    found = packed(Job("t", (roof,), PanelRules((panel,)), (), spacing))
    assert found.true_bound_watts >= fits * panel.power_w > found.watts


def test_a_bound_is_not_lifted_to_the_watts() -> None:
    """Below watts that are there a bound would be a fault; the ceiling itself must be above them."""
    job = Job("t", (rectangle("m", 9000, 4000),), PanelRules((TINY,)))
    bound_w = ceiling_w(job, seconds=1.0)
    assert math.isinf(bound_w) or bound_w >= packed(job, seconds=1.0).watts


def test_a_raster_that_would_take_too_long_is_not_begun() -> None:
    models = tuple(PanelModel(f"M{i}", 900 + 37 * i, 400 + 23 * i, 100 + 11 * i) for i in range(10))
    holes = tuple(
        square_on(f"h{i}", "m", 1500 + 1700 * i, 900 + 311 * i, 1900 + 1700 * i, 1400 + 311 * i)
        for i in range(4)
    )
    job = Job("t", (rectangle("m", 9000, 5000),), PanelRules(models), holes, Spacing(13, 31))
    begun = time.monotonic()
    found = packed(job, seconds=2.0)
    assert found.watts > 0
    assert time.monotonic() - begun < 12.0
