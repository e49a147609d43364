"""Where a panel may lie: inside the outline, clear of obstacles and lids, apart from other panels.

Lengths are millimetres in the facet's plane. Touching is allowed; a micron's thousandth is the
tolerance. What is on the roof already and stays is not held to the spacing that the job asks of
new panels, only to what is physically possible.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations

import shapely
from shapely.geometry import MultiPoint, Point, Polygon, box

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.lookup import TOLERANCE_MM, facet_of, has_place, model_of
from rooflayout.job import Facet, Job, Obstacle
from rooflayout.plan import PlacedPanel, Plan

XY = tuple[float, float]
Rectangle = tuple[float, float, float, float]  # x_min, y_min, x_max, y_max


def keepout_polygon(obstacle: Obstacle) -> Polygon:
    """The area around an obstacle that no panel may enter, in mm of the facet.

    A polygon grows by its clearance along x and y (square corners, exact); a circle's radius
    grows by it and is drawn with 64 chords a quarter, from inside, so it is for drawings only.
    """
    c = obstacle.clearance_mm
    if obstacle.outline_mm is None:
        centre, radius = _circle(obstacle)
        return Point(centre).buffer(radius + c, quad_segs=64)
    shape = Polygon(obstacle.outline_mm)
    if c <= 0:
        return shape
    swept = [
        MultiPoint([(x + dx, y + dy) for x, y in edge for dx in (-c, c) for dy in (-c, c)]).convex_hull
        for edge in _edges(obstacle.outline_mm)
    ]
    grown = shapely.union_all([shape, *swept])
    assert isinstance(grown, Polygon)  # a connected shape swept by a square stays connected
    return grown


def swing_polygon(obstacle: Obstacle) -> Polygon | None:
    """The strip that the opening lid needs, in mm of the facet, or None where nothing swings."""
    strip = obstacle.swing_mm()
    return None if strip is None else box(*strip)


def position_is_a_number(job: Job, plan: Plan) -> Iterator[Breach]:
    """Corner and sides of every panel are finite, the sides positive."""
    for panel in plan.layout.panels:
        if not has_place(panel):
            yield Breach(
                "position",
                panel.panel,
                f"{panel.panel} lies at ({panel.x_mm}, {panel.y_mm}) mm and measures {panel.along_x_mm} x "
                f"{panel.along_y_mm} mm; numbers, and sides above 0, are needed",
            )


def inside_outline(job: Job, plan: Plan) -> Iterator[Breach]:
    """A panel grown by from_edge on all four sides lies inside the facet's outline."""
    for facet, panels in _by_facet(job, plan):
        outline = Polygon(facet.outline_mm)
        shapely.prepare(outline)
        for panel, rect in panels:
            margin = 0.0 if panel.kept else job.spacing.from_edge_mm
            if not outline.covers(box(*_grown(rect, margin - TOLERANCE_MM))):
                text = _edge_text(panel.panel, rect, facet, outline, margin)
                yield Breach("outline", f"{panel.panel} on {facet.name}", text)


def clear_of_obstacles(job: Job, plan: Plan) -> Iterator[Breach]:
    """No panel enters an obstacle's keep-out; a kept one is only not where the obstacle itself is."""
    for facet, panels in _by_facet(job, plan):
        for obstacle in job.obstacles_on(facet.name):
            bare = replace(obstacle, clearance_mm=0.0)
            keepout, itself = keepout_polygon(obstacle), keepout_polygon(bare)
            shapely.prepare([keepout, itself])
            for panel, rect in panels:
                thing, area = (bare, itself) if panel.kept else (obstacle, keepout)
                found = _too_near(rect, thing, area, itself)
                if found is not None:
                    text = _obstacle_text(panel.panel, thing, found)
                    yield Breach("obstacle", f"{panel.panel} on {facet.name}", text)


def clear_of_lids(job: Job, plan: Plan) -> Iterator[Breach]:
    """No new panel lies in the strip that an opening lid needs."""
    for facet, panels in _by_facet(job, plan):
        for obstacle in job.obstacles_on(facet.name):
            strip = obstacle.swing_mm()
            for panel, rect in panels:
                if strip is None or panel.kept:
                    continue
                into = -_gap(rect, strip)
                if into > TOLERANCE_MM:
                    yield Breach(
                        "lid-swing",
                        f"{panel.panel} on {facet.name}",
                        f"{panel.panel} reaches {figures(into, 0)[0]} mm into the swing of {obstacle.name}, "
                        f"which opens {plain(obstacle.reach_mm)} mm to {obstacle.opens}; 0 mm is allowed",
                    )


def apart_from_panels(job: Job, plan: Plan) -> Iterator[Breach]:
    """Two panels of a facet are at least between_panels apart along x or along y."""
    for facet, panels in _by_facet(job, plan):
        boxes = [box(*rect) for _, rect in panels]
        grown = [box(*_grown(rect, job.spacing.between_panels_mm)) for _, rect in panels]
        for i, j in sorted(shapely.STRtree(boxes).query(grown).T.tolist()):
            if i >= j:
                continue
            (one, rect), (other, other_rect) = panels[i], panels[j]
            allowed = 0.0 if one.kept and other.kept else job.spacing.between_panels_mm
            found = _gap(rect, other_rect)
            if found < allowed - TOLERANCE_MM:
                names = f"{one.panel} and {other.panel}"
                a, b = figures(abs(found), allowed)
                apart = f"overlap by {a} mm; at least {b} mm apart"
                text = apart if found < 0 else f"are {a} mm apart; at least {b} mm"
                yield Breach("panel-gap", f"{names} on {facet.name}", f"{names} {text}")


def _by_facet(job: Job, plan: Plan) -> Iterator[tuple[Facet, list[tuple[PlacedPanel, Rectangle]]]]:
    for facet in job.facets:
        here = [p for p in plan.layout.panels if has_place(p) and facet_of(job, p) is facet]
        if here:
            yield facet, [(panel, _rectangle(job, panel)) for panel in here]


def _rectangle(job: Job, panel: PlacedPanel) -> Rectangle:
    """The area that the plan gives a panel; of a kept one, which may touch its neighbours, the exact one."""
    along_x, along_y = panel.along_x_mm, panel.along_y_mm
    model = model_of(job, panel) if panel.kept else None
    if model is not None:
        along_x, along_y = model.sides_mm(panel.turned)
    return panel.x_mm, panel.y_mm, panel.x_mm + along_x, panel.y_mm + along_y


def _grown(rect: Rectangle, by: float) -> Rectangle:
    return rect[0] - by, rect[1] - by, rect[2] + by, rect[3] + by


def _circle(obstacle: Obstacle) -> tuple[XY, float]:
    assert obstacle.centre_mm is not None
    assert obstacle.diameter_mm is not None
    return obstacle.centre_mm, obstacle.diameter_mm / 2


def _edges(ring: tuple[XY, ...]) -> Iterable[tuple[XY, XY]]:
    return zip(ring, ring[1:] + ring[:1], strict=True)


def _gap(one: Rectangle, other: Rectangle) -> float:
    """The larger of the free distances along x and along y; negative where the two overlap."""
    along_x = max(other[0] - one[2], one[0] - other[2])
    along_y = max(other[1] - one[3], one[1] - other[3])
    return max(along_x, along_y)


def _distance_to_point(rect: Rectangle, point: XY) -> float:
    dx = max(rect[0] - point[0], point[0] - rect[2], 0.0)
    dy = max(rect[1] - point[1], point[1] - rect[3], 0.0)
    return math.hypot(dx, dy)


def _gap_to_edge(rect: Rectangle, edge: tuple[XY, XY]) -> float:
    """How far the rectangle may grow until it touches the edge; negative where the edge cuts it.

    The growth that reaches the point at t on the edge is the largest of four straight lines in t,
    so its least value lies at an end of the edge or where two of the lines cross.
    """
    (px, py), (qx, qy) = edge
    dx, dy = qx - px, qy - py
    lines = ((rect[0] - px, -dx), (px - rect[2], dx), (rect[1] - py, -dy), (py - rect[3], dy))
    crossings = [(c - a) / (b - d) for (a, b), (c, d) in combinations(lines, 2) if b != d]
    return min(max(a + b * t for a, b in lines) for t in (0.0, 1.0, *crossings) if 0 <= t <= 1)


def _gap_to_ring(rect: Rectangle, ring: tuple[XY, ...]) -> float:
    return min(_gap_to_edge(rect, edge) for edge in _edges(ring))


def _too_near(rect: Rectangle, obstacle: Obstacle, keepout: Polygon, itself: Polygon) -> float | None:
    """The distance, mm, where it is less than the clearance (negative: they overlap), else None."""
    if obstacle.outline_mm is None:
        centre, radius = _circle(obstacle)
        found = _distance_to_point(rect, centre) - radius
        return found if found < obstacle.clearance_mm - TOLERANCE_MM else None
    core = box(*_grown(rect, -TOLERANCE_MM))
    if not keepout.intersects(core):
        return None
    return -1.0 if itself.intersects(core) else _gap_to_ring(rect, obstacle.outline_mm)


def _obstacle_text(panel: str, obstacle: Obstacle, found: float) -> str:
    a, b = figures(found, obstacle.clearance_mm)
    if found < 0:
        return f"{panel} lies over {obstacle.name}; at least {b} mm beside it"
    return f"{panel} is {a} mm from {obstacle.name}; at least {b} mm"


def _edge_text(panel: str, rect: Rectangle, facet: Facet, outline: Polygon, allowed: float) -> str:
    gap = _gap_to_ring(rect, facet.outline_mm)
    a, b = figures(gap, allowed)
    if outline.covers(box(*_grown(rect, -TOLERANCE_MM))):
        return f"{panel} is {a} mm from the outline of {facet.name}; at least {b} mm"
    if not outline.intersects(box(*rect)):
        return f"{panel} lies outside the outline of {facet.name}; at least {b} mm inside it"
    outside = shapely.get_coordinates(box(*rect).difference(outline))
    past = max([-gap, *(outline.distance(Point(p)) for p in outside)])
    a = figures(past, 0)[0]
    return f"{panel} reaches {a} mm past the outline of {facet.name}; at least {b} mm inside it"
