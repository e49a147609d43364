"""Obstacles as shapes to draw, in millimetres of roof: the thing, its keep-out, its lid's strip."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..job import Facet, Obstacle, Point
from .box import Box

_CIRCLE_SIDES = 64


def is_upright_rectangle(outline: tuple[Point, ...]) -> bool:
    """True for a rectangle with its sides along x and y."""
    return len(outline) == 4 and len({p[0] for p in outline}) == 2 and len({p[1] for p in outline}) == 2


def facet_is_rectangle(facet: Facet) -> bool:
    """True when two overall lengths say all about the outline."""
    return is_upright_rectangle(facet.outline_mm)


def obstacle_polygon(obstacle: Obstacle) -> tuple[Point, ...]:
    """The thing itself; a circle as a polygon of 64 sides."""
    if obstacle.outline_mm is not None:
        return obstacle.outline_mm
    x0, y0, x1, y1 = obstacle.bounds_mm()
    cx, cy, r = (x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0) / 2
    turns = (2 * math.pi * k / _CIRCLE_SIDES for k in range(_CIRCLE_SIDES))
    return tuple((cx + r * math.cos(t), cy + r * math.sin(t)) for t in turns)


def clipped(points: Sequence[Point], box: Box) -> list[Point]:
    """The part of a polygon within a box (Sutherland and Hodgman's clipping); empty when there is none."""
    rest = list(points)
    for axis, limit, sign in ((0, box.x0, 1.0), (0, box.x1, -1.0), (1, box.y0, 1.0), (1, box.y1, -1.0)):
        before, rest = rest, []
        for a, b in zip(before, before[1:] + before[:1], strict=True):
            a_in, b_in = (sign * (p[axis] - limit) >= 0 for p in (a, b))
            if a_in:
                rest.append(a)
            if a_in != b_in:
                share = (limit - a[axis]) / (b[axis] - a[axis])
                rest.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    return rest


def keep_out_polygon(obstacle: Obstacle) -> tuple[Point, ...] | None:
    """A polygon obstacle grown by its clearance along x and y (square corners); None for a circle.

    Growing by a square sweeps every edge into a hexagon at most; their union with the polygon is
    the keep-out (Minkowski sum). Holes that close up are left out: nothing fits in them to scale.
    """
    if obstacle.outline_mm is None:
        return None
    outline, c = obstacle.outline_mm, obstacle.clearance_mm
    if is_upright_rectangle(outline):
        x0, y0, x1, y1 = obstacle.bounds_mm()
        return (x0 - c, y0 - c), (x1 + c, y0 - c), (x1 + c, y1 + c), (x0 - c, y1 + c)
    if c <= 0:
        return outline
    from shapely import MultiPoint, Polygon, unary_union

    swept = [
        MultiPoint([(x + dx, y + dy) for x, y in edge for dx in (-c, c) for dy in (-c, c)]).convex_hull
        for edge in zip(outline, outline[1:] + outline[:1], strict=True)
    ]
    grown = unary_union([Polygon(outline), *swept])
    assert isinstance(grown, Polygon)  # each piece touches the next along the outline
    return tuple((float(x), float(y)) for x, y in list(grown.exterior.coords)[:-1])


def lid_name_strip(obstacle: Obstacle) -> tuple[float, float, float, float] | None:
    """(x_min, y_min, x_max, y_max) of the lid's strip beyond the clearance, where its name may stand."""
    swing = obstacle.swing_mm()
    if swing is None:
        return None
    x0, y0, x1, y1 = swing
    c = min(obstacle.clearance_mm, obstacle.reach_mm / 2)
    return {
        "+x": (x0 + c, y0, x1, y1),
        "-x": (x0, y0, x1 - c, y1),
        "+y": (x0, y0 + c, x1, y1),
        "-y": (x0, y0, x1, y1 - c),
        None: swing,
    }[obstacle.opens]
