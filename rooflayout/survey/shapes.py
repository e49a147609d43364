"""Does a thing lie on its facet, and how near do things on the roof already come to each other?

Distances are taken along x and y: two boxes are apart by the larger of their gaps along x and y.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from shapely import Polygon, box
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry.base import BaseGeometry

from rooflayout.job import Facet, KeptPanel, Obstacle, Point

TOLERANCE_MM = 1e-6
_TOLERANCE_MM2 = 1.0

Box = tuple[float, float, float, float]


def obstacle_shape(obstacle: Obstacle) -> BaseGeometry:
    """The obstacle itself; a circle is a polygon of 128 sides."""
    if obstacle.outline_mm is not None:
        return Polygon(obstacle.outline_mm)
    assert obstacle.centre_mm is not None
    assert obstacle.diameter_mm is not None
    return ShapelyPoint(obstacle.centre_mm).buffer(obstacle.diameter_mm / 2, quad_segs=32)


def lies_outside(obstacle: Obstacle, facet: Facet) -> bool:
    """True when no part of the obstacle lies on the facet."""
    shape = obstacle_shape(obstacle)
    shared = float(shape.intersection(Polygon(facet.outline_mm)).area)
    return shared <= 1e-6 * float(shape.area)


def moved(obstacle: Obstacle, turn: Callable[[float, float], Point]) -> Obstacle:
    """The obstacle with each of its points put through a function."""
    outline, centre = obstacle.outline_mm, obstacle.centre_mm
    return replace(
        obstacle,
        outline_mm=None if outline is None else tuple(turn(*point) for point in outline),
        centre_mm=None if centre is None else turn(*centre),
    )


def sticks_out(obstacle: Obstacle, facet: Facet) -> bool:
    """True when part of the obstacle, more than 1 mm², lies past the outline."""
    return float(obstacle_shape(obstacle).difference(Polygon(facet.outline_mm)).area) > _TOLERANCE_MM2


def distance_mm(point: Point, facet: Facet) -> float:
    """How far a point lies from the facet; 0 on it."""
    return float(Polygon(facet.outline_mm).distance(ShapelyPoint(point)))


def kept_box(kept: KeptPanel) -> Box:
    """(x_min, y_min, x_max, y_max) of a kept panel in mm."""
    along_x, along_y = kept.model.sides_mm(kept.turned)
    return kept.x_mm, kept.y_mm, kept.x_mm + along_x, kept.y_mm + along_y


def box_inside(panel: Box, margin_mm: float, facet: Facet) -> bool:
    """True when the box, grown by the margin on all sides, lies inside the outline."""
    return bool(Polygon(facet.outline_mm).covers(_grown(panel, margin_mm - TOLERANCE_MM)))


def boxes_overlap(one: Box, other: Box) -> bool:
    """True when two boxes share an area."""
    return boxes_gap_mm(one, other) < -TOLERANCE_MM


def boxes_gap_mm(one: Box, other: Box) -> float:
    """The larger of the gaps along x and y, in mm; below 0 where the boxes overlap."""
    along_x = max(other[0] - one[2], one[0] - other[2])
    along_y = max(other[1] - one[3], one[1] - other[3])
    return max(along_x, along_y)


def too_near_obstacle(panel: Box, obstacle: Obstacle) -> bool:
    """True when the panel reaches into the obstacle's clearance or into the swing of its lid."""
    swing = obstacle.swing_mm()
    in_swing = swing is not None and boxes_overlap(panel, swing)
    return in_swing or nearer_than(panel, obstacle, obstacle.clearance_mm)


def nearer_than(panel: Box, obstacle: Obstacle, distance_mm: float) -> bool:
    """True when the panel comes nearer to the obstacle than this; at 0, when it lies on it."""
    if obstacle.outline_mm is not None:
        # Growing the panel by a square is the same as growing the obstacle by it.
        grown = _grown(panel, distance_mm - TOLERANCE_MM)
        return bool(grown.intersects(Polygon(obstacle.outline_mm)))
    assert obstacle.centre_mm is not None
    assert obstacle.diameter_mm is not None
    to_centre = float(box(*panel).distance(ShapelyPoint(obstacle.centre_mm)))
    return to_centre < obstacle.diameter_mm / 2 + distance_mm - TOLERANCE_MM


def _grown(panel: Box, margin_mm: float) -> BaseGeometry:
    x0, y0, x1, y1 = panel
    return box(x0 - margin_mm, y0 - margin_mm, x1 + margin_mm, y1 + margin_mm)
