"""Forbidden places against shapely, and the fields of outlines that are no rectangles."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from rows_by_hand import Paper
from shapely import MultiPoint, Polygon, box

from rooflayout.job import Facet, Job, KeptPanel, Obstacle, PanelModel, PanelRules, Point, Spacing
from rooflayout.packing.clearance import ConvexBlock, Field, RoundBlock, field_of, free_area_mm2
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.positions import allowed

NEAR_MM = 0.01  # how far beside a limit the two sides are asked


def random_convex(random: Random) -> tuple[Point, ...]:
    while True:
        points = [(random.uniform(-300, 300), random.uniform(-300, 300)) for _ in range(random.randint(3, 8))]
        hull = MultiPoint(points).convex_hull
        if isinstance(hull, Polygon) and hull.area > 1000:
            return tuple(hull.exterior.coords[:-1])[::-1]


@pytest.mark.parametrize("seed", range(25))
def test_a_convex_block_forbids_what_shapely_says(seed: int) -> None:
    random = Random(seed)
    corners, margin = random_convex(random), random.choice((0.0, 12.5, 80.0))
    w, h = random.uniform(20, 400), random.uniform(20, 400)
    shape = Polygon(corners)
    ys = np.array([random.uniform(-900, 500) for _ in range(30)])
    low, high = ConvexBlock(corners, margin).forbidden_x(w, h, ys)

    def is_clear(x: float, y: float) -> bool:
        return not shape.intersects(box(x - margin, y - margin, x + w + margin, y + h + margin))

    for y, a, b in zip(ys, low, high, strict=True):
        if a >= b:
            swept = box(-5000, y - margin, 5000, y + h + margin)
            assert shape.intersection(swept).area < 1
        else:
            assert is_clear(a - NEAR_MM, y)
            assert is_clear(b + NEAR_MM, y)
            if b - a > 2 * NEAR_MM:
                assert not is_clear(a + NEAR_MM, y)
                assert not is_clear(b - NEAR_MM, y)
                assert not is_clear((a + b) / 2, y)


@pytest.mark.parametrize("seed", range(25))
def test_a_round_block_keeps_its_distance(seed: int) -> None:
    random = Random(seed)
    cx, cy, r = random.uniform(-200, 200), random.uniform(-200, 200), random.uniform(10, 300)
    w, h = random.uniform(20, 400), random.uniform(20, 400)
    ys = np.array([random.uniform(-900, 600) for _ in range(30)])
    low, high = RoundBlock((cx, cy), r).forbidden_x(w, h, ys)

    def distance(x: float, y: float) -> float:
        return float(box(x, y, x + w, y + h).distance(MultiPoint([(cx, cy)])))

    for y, a, b in zip(ys, low, high, strict=True):
        if a >= b:
            assert distance(cx - w / 2, y) >= r - NEAR_MM
        else:
            assert distance(a, y) == pytest.approx(r, abs=NEAR_MM)
            assert distance(b, y) == pytest.approx(r, abs=NEAR_MM)
            assert distance((a + b) / 2, y) < r


def test_touching_is_allowed() -> None:
    square = ConvexBlock(((0, 0), (10, 0), (10, 10), (0, 10)), 5.0)
    low, high = square.forbidden_x(20, 30, np.array([-35.0, -34.0, 14.0, 15.0]))
    assert (low <= high).tolist() == [False, True, True, False]
    assert low[1] == pytest.approx(-25, abs=1e-5)
    assert low[1] > -25
    assert high[1] == pytest.approx(15, abs=1e-5)
    assert high[1] < 15
    low, high = RoundBlock((0, 0), 10).forbidden_x(20, 30, np.array([-40.0, -39.0, 9.0, 10.0]))
    assert (low <= high).tolist() == [False, True, True, False]


OUTLINES: dict[str, tuple[Point, ...]] = {
    "rectangle": ((0, 0), (120, 0), (120, 80), (0, 80)),
    "away from the origin": ((-50, 30), (70, 30), (70, 110), (-50, 110)),
    "corner cut square": ((0, 0), (120, 0), (120, 50), (90, 50), (90, 80), (0, 80)),
    "notch in a side": ((0, 0), (50, 0), (50, 20), (70, 20), (70, 0), (120, 0), (120, 80), (0, 80)),
    "two arms": ((0, 0), (120, 0), (120, 80), (80, 80), (80, 30), (40, 30), (40, 80), (0, 80)),
    "slot inside an arm": ((0, 0), (120, 0), (120, 33), (20, 33), (20, 50), (120, 50), (120, 80), (0, 80)),
    "nose": ((0, 0), (100, 0), (120, 40), (100, 80), (0, 80)),
    "slanted notch": ((0, 0), (120, 0), (120, 80), (70, 80), (60, 40), (50, 80), (0, 80)),
    "triangle": ((0, 0), (120, 0), (40, 80)),
}


def checked(job: Job, w: int, h: int, step: int = 3) -> int:
    """Asks the field and shapely about a grid of places; returns how many are free."""
    field = field_of(job, job.facets[0])
    (kind,) = (k for k in kinds_of(job, job.panels.models) if (k.w_mm, k.h_mm) == (w, h))
    xs, ys = (np.arange(*span, step, dtype=np.int64) for span in ((-60, 130), (-10, 120)))
    ours = allowed(field, kind, xs, ys)
    paper = Paper(job, job.facets[0])
    theirs = [[paper.may_lie((x, y, x + w, y + h)) for y in ys.tolist()] for x in xs.tolist()]
    assert np.array_equal(ours, np.array(theirs))
    return int(ours.sum())


@pytest.mark.parametrize("name", OUTLINES)
@pytest.mark.parametrize("edge", [0.0, 4.0])
def test_a_panel_grown_by_the_edge_distance_lies_inside_the_outline(name: str, edge: float) -> None:
    panel = PanelModel("A", 23, 14, 1.0)
    job = Job("x", (Facet("main", OUTLINES[name]),), PanelRules((panel,)), spacing=Spacing(0, edge))
    free = checked(job, 23, 14)
    assert free > 0
    assert checked(job, 14, 23) > 0


OBSTACLES = {
    "box": Obstacle("o", "main", outline_mm=((40, 20), (60, 20), (60, 45), (40, 45)), clearance_mm=5),
    "triangle": Obstacle("o", "main", outline_mm=((40, 20), (70, 30), (50, 55)), clearance_mm=5),
    "hollow": Obstacle("o", "main", outline_mm=((30, 10), (90, 10), (90, 20), (45, 20), (45, 60), (30, 60))),
    "hollow slanted": Obstacle(
        "o", "main", outline_mm=((30, 10), (90, 12), (88, 20), (45, 25), (50, 60), (30, 55)), clearance_mm=3
    ),
    "round": Obstacle("o", "main", centre_mm=(60, 41), diameter_mm=33, clearance_mm=4),
    "lid": Obstacle(
        "o",
        "main",
        outline_mm=((40, 20), (60, 20), (60, 45), (40, 45)),
        clearance_mm=6,
        opens="-x",
        reach_mm=25,
    ),
    "round lid": Obstacle("o", "main", centre_mm=(60, 30), diameter_mm=20, opens="+y", reach_mm=30),
}


@pytest.mark.parametrize("name", OBSTACLES)
def test_obstacles_and_lids_are_kept_clear(name: str) -> None:
    panel = PanelModel("A", 23, 14, 1.0)
    job = Job("x", (Facet("main", OUTLINES["rectangle"]),), PanelRules((panel,)), (OBSTACLES[name],))
    bare = Job("x", job.facets, job.panels)
    for w, h in ((23, 14), (14, 23)):
        assert 0 < checked(job, w, h) < checked(bare, w, h)


def test_kept_panels_are_kept_clear_by_the_gap() -> None:
    panel = PanelModel("A", 23, 14, 1.0)
    kept = (KeptPanel(panel, "main", 31, 22, True), KeptPanel(panel, "other", 80, 50))
    facets = (Facet("main", OUTLINES["rectangle"]), Facet("other", OUTLINES["rectangle"]))
    job = Job("x", facets, PanelRules((panel,)), spacing=Spacing(7, 0), kept=kept)
    field = field_of(job, facets[0])
    (kind, _, *_) = kinds_of(job, (panel,))
    ys = np.array([22 - 14 - 7, 22 - 14 - 6, 22 + 22, 22 + 23 + 7])
    free = allowed(field, kind, np.array([31 - 23 - 7, 31 - 23 - 6, 31 + 13, 31 + 14 + 7]), ys)
    assert free.tolist() == [
        [True, True, True, True],
        [True, False, False, True],
        [True, False, False, True],
        [True, True, True, True],
    ]


def field(job_outline: tuple[Point, ...], *obstacles: Obstacle) -> Field:
    facet = Facet("main", job_outline)
    return field_of(Job("x", (facet,), PanelRules(()), obstacles), facet)


def test_slanted_is_said_only_where_a_line_follows_no_axis() -> None:
    assert not field(OUTLINES["two arms"], OBSTACLES["box"], OBSTACLES["hollow"]).slanted()
    assert field(OUTLINES["nose"]).slanted()
    assert field(OUTLINES["rectangle"], OBSTACLES["round"]).slanted()
    assert field(OUTLINES["rectangle"], OBSTACLES["triangle"]).slanted()


def test_an_axis_parallel_block_touches_to_the_millimetre() -> None:
    """A row of panels that fills the space between two hatches exactly is found."""
    lines = [math.pi, 500 / 3]
    assert ConvexBlock(((0, 0), (lines[0], 0), (lines[0], 1), (0, 1)), 0).forbidden_x(1, 1, np.array([0.0]))[
        1
    ][0] == pytest.approx(lines[0], abs=1e-5)


def test_the_free_area_is_the_roof_less_what_stands_on_it() -> None:
    roof = Facet("r", ((0, 0), (1000, 0), (1000, 600), (500, 1000), (0, 1000)))
    hatch = Obstacle("h", "r", outline_mm=((100, 100), (200, 100), (200, 200), (100, 200)), clearance_mm=10)
    vent = Obstacle("v", "r", centre_mm=(500, 400), diameter_mm=180, clearance_mm=10)
    job = Job("t", (roof,), PanelRules(()), (hatch, vent))
    exact = 1000 * 1000 - 500 * 400 / 2 - 120 * 120 - math.pi * 100**2
    assert exact <= free_area_mm2(field_of(job, roof)) <= exact * 1.0001
