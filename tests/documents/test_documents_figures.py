"""Running dimensions, leaders and keep-outs as plain geometry."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from shapely import LineString, Point, Polygon
from shapely import box as rectangle

from rooflayout.documents.box import Box, bounding_box, point_in_polygon
from rooflayout.documents.callouts import Surroundings, place_callout
from rooflayout.documents.running import distinct, plan_running, spread
from rooflayout.documents.shapes import keep_out_polygon, lid_name_strip, obstacle_polygon
from rooflayout.documents.view import plan_dimensions
from rooflayout.job import Facet, Obstacle

from .samples import SAMPLES, box, outline, round_thing


def test_values_that_read_alike_are_written_once() -> None:
    assert distinct([810, 40, 40.02, 830, 810]) == (40, 810, 830)


def test_figures_with_room_stay_where_they_are() -> None:
    assert spread([0, 10, 20], 3, -1, 30) == (0, 10, 20)


def test_crowded_figures_move_as_little_as_may_be() -> None:
    # Two wishes at 10 and 11, 3 apart: least squares puts them at 9 and 12.
    assert spread([10, 11], 3, -5, 30) == pytest.approx((9, 12))
    assert spread([0, 1, 20], 3, 0, 30) == pytest.approx((0, 3, 20))


def test_figures_never_pass_the_ends_nor_come_too_close() -> None:
    r = random.Random(7)
    for _ in range(200):
        places = sorted(r.uniform(0, 100) for _ in range(r.randint(1, 30)))
        found = spread(places, 2.5, -1, 104)
        assert found is not None
        assert all(b - a >= 2.5 - 1e-9 for a, b in pairwise(found))
        assert found[0] >= -1 - 1e-9
        assert found[-1] <= 104 + 1e-9


def test_no_figures_where_they_cannot_stand() -> None:
    assert spread([0, 1, 2, 3], 3, 0, 8) is None
    assert plan_running(range(0, 4000, 10), 20, 0, 200) is None


def test_figures_shrink_to_1_8_mm_before_they_are_left_out() -> None:
    few, many = plan_running(range(0, 4000, 400), 20, 0, 200), plan_running(range(0, 4000, 65), 20, 0, 200)
    assert few is not None
    assert many is not None
    assert few.height_mm == 2.5
    assert many.height_mm == 1.8


def test_crowded_edges_fall_back_to_the_near_ones_and_say_so() -> None:
    job, plan = SAMPLES["crowded"]()
    facet = job.facets[0]
    bounds = bounding_box(facet.outline_mm)
    dimensions = plan_dimensions(facet, plan.layout.panels, bounds, 20)
    # The far edge is the near one plus the panel's length that way; both stand in the table.
    assert dimensions.remarks == ("along y: near edges only; far edges are y + along y in the table",)
    assert dimensions.left is not None
    assert set(dimensions.left.values) == {0.0, *(p.y_mm for p in plan.layout.panels)}


def test_every_panel_edge_is_dimensioned() -> None:
    job, plan = SAMPLES["trailer"]()
    panels = tuple(p for p in plan.layout.panels if p.facet == "main")
    d = plan_dimensions(job.facets[0], panels, bounding_box(job.facets[0].outline_mm), 20)
    assert d.bottom is not None
    assert d.left is not None
    assert set(d.bottom.values) == {0.0, *(x for p in panels for x in (p.x_mm, p.x_mm + p.along_x_mm))}
    assert set(d.left.values) == {0.0, *(y for p in panels for y in (p.y_mm, p.y_mm + p.along_y_mm))}
    assert d.top is None


def test_a_slanted_outline_has_its_corners_dimensioned() -> None:
    facet = SAMPLES["slanted"]()[0].facets[0]
    d = plan_dimensions(facet, (), bounding_box(facet.outline_mm), 20)
    assert d.top is not None
    assert d.right is not None
    assert d.top.values == (0, 2600, 3400)
    assert d.right.values == (0, 700, 1500, 2200)


def test_a_curved_outline_falls_back_to_overall_lengths() -> None:
    round_roof = obstacle_polygon(round_thing("r", "f", 500, 500, 1000))
    d = plan_dimensions(Facet("f", round_roof), (), bounding_box(round_roof), 20)
    assert (d.top, d.right) == (None, None)
    assert d.remarks == ("corners of the outline: see the job file",)


AROUND = Surroundings(
    roof=Box(0, 0, 100, 50),
    solids=(Box(5, 5, 60, 22), Box(5, 28, 60, 45), Box(30, 23, 34, 27)),
    rows=(60.0, 65.0),
    row_start=-10,
    row_end=110,
)


def test_a_name_stands_on_bare_roof_beside_its_thing() -> None:
    callout = place_callout("vent", [(80.0, 25.0)], AROUND)
    assert callout is not None
    assert AROUND.roof.contains(callout.box)
    assert not any(callout.box.overlaps(solid) for solid in AROUND.solids)


def test_a_name_without_bare_roof_goes_to_a_row_above() -> None:
    full = Surroundings(Box(0, 0, 100, 50), (Box(0, 0, 100, 50),), (60.0,), -10, 110)
    callout = place_callout("vent", [(32.0, 25.0)], full)
    assert callout is not None
    assert callout.y == 60.0
    assert place_callout("vent", [(32.0, 25.0)], Surroundings(full.roof, full.solids, (), -10, 110)) is None


def test_names_stay_off_each_other_and_off_leaders() -> None:
    things = tuple(Box(7.5 + 9 * k, 24.5, 8.5 + 9 * k, 25.5) for k in range(6))
    around = Surroundings(AROUND.roof, (*AROUND.solids[:2], *things), AROUND.rows, -10, 110)
    boxes: list[Box] = []
    leaders: list[LineString] = []
    for k, thing in enumerate(things):
        callout = place_callout(f"thing {k}", [thing.centre], around)
        assert callout is not None
        leader = LineString([callout.anchor, callout.end])
        assert not any(callout.box.overlaps(other) for other in boxes)
        assert not any(leader.crosses(other) for other in leaders)
        assert not any(leader.intersects(rectangle(*_sides(other))) for other in boxes)
        assert not any(other.intersects(rectangle(*_sides(callout.box))) for other in leaders)
        boxes.append(callout.box)
        leaders.append(leader)
        around.add(callout)


def _sides(b: Box) -> tuple[float, float, float, float]:
    return b.x0, b.y0, b.x1, b.y1


@pytest.mark.parametrize(
    "corners",
    [
        ((0, 0), (400, 0), (400, 300), (0, 300)),
        ((0, 0), (400, 100), (300, 400)),
        ((0, 0), (500, 0), (500, 400), (380, 400), (380, 120), (120, 120), (120, 400), (0, 400)),
        ((100, 0), (400, 200), (250, 500), (0, 300)),
    ],
)
def test_keep_out_is_where_a_square_of_the_clearance_touches(
    corners: tuple[tuple[float, float], ...],
) -> None:
    # A point is kept out exactly when the square of twice the clearance around it meets the thing.
    thing, c = Polygon(corners), 50.0
    grown = keep_out_polygon(Obstacle("o", "f", outline_mm=corners, clearance_mm=c))
    assert grown is not None
    r = random.Random(3)
    inside = 0
    for _ in range(1500):
        x, y = r.uniform(-120, 620), r.uniform(-120, 620)
        square = rectangle(x - c, y - c, x + c, y + c)
        if square.exterior.distance(thing) < 1e-6 and square.intersection(thing).area < 1e-3:
            continue  # on the edge
        meets = square.intersects(thing)
        inside += meets
        assert Polygon(grown).covers(Point(x, y)) == meets
        assert point_in_polygon((x, y), grown) == meets
    assert 100 < inside < 1400


def test_a_lid_is_named_beyond_its_hatch_and_clearance() -> None:
    hatch = box("h", "f", 1000, 500, 400, 300, clearance_mm=40, opens="+x", reach_mm=320)
    assert lid_name_strip(hatch) == (1440, 500, 1720, 800)
    hatch = box("h", "f", 1000, 500, 400, 300, clearance_mm=40, opens="-y", reach_mm=320)
    assert lid_name_strip(hatch) == (1000, 180, 1400, 460)
    assert lid_name_strip(box("h", "f", 0, 0, 10, 10)) is None


def test_boxes() -> None:
    a = Box(0, 0, 10, 10)
    assert a.overlaps(Box(9, 9, 20, 20))
    assert not a.overlaps(Box(10, 0, 20, 10))
    assert a.meet(Box(9, -5, 20, 3)) == Box(9, 0, 10, 3)
    assert a.meet(Box(10, 0, 20, 10)) is None
    assert a.contains(Box(0, 0, 10, 10))
    assert not a.contains(Box(0, 0, 10.1, 10))
    assert bounding_box(outline(3, 2)) == Box(0, 0, 3, 2)
