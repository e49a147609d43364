"""Where may a panel lie? Everything that forbids a place, as convex shapes with a margin.

A panel of w x h with its corner at (x, y) is forbidden by a convex shape with a margin m when
(x, y) lies inside the shape swept by the box [-w - m, m] x [-h - m, m] (the Minkowski sum).
That sum is convex too, so along any line y = const it forbids one interval of x.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

from rooflayout.job import Facet, Job, KeptPanel, Obstacle, Point

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Box = tuple[float, float, float, float]  # x0, y0, x1, y1
TOLERANCE_MM = 1e-6  # touching is allowed; floating point must not turn a touch into a breach


@dataclass(frozen=True, slots=True)
class ConvexBlock:
    """A convex polygon (counter-clockwise corners) that panels keep margin_mm away from, along x and y."""

    corners_mm: tuple[Point, ...]
    margin_mm: float

    def axis_parallel(self) -> bool:
        """True when every edge follows an axis."""
        return _axis_parallel(self.corners_mm)

    def bounds_mm(self) -> Box:
        """The box round what it takes, its margin included."""
        xs, ys = zip(*self.corners_mm, strict=True)
        m = self.margin_mm
        return min(xs) - m, min(ys) - m, max(xs) + m, max(ys) + m

    def forbidden_x(self, w: float, h: float, ys: Floats) -> tuple[Floats, Floats]:
        """For each y the open interval (low, high) of x that a w x h panel may not take; low > high: none."""
        if self.axis_parallel():
            x0, y0, x1, y1 = self.bounds_mm()
            inside = (ys > y0 - h + TOLERANCE_MM) & (ys < y1 - TOLERANCE_MM)
            return np.where(inside, x0 - w + TOLERANCE_MM, np.inf), np.where(
                inside, x1 - TOLERANCE_MM, -np.inf
            )
        xs_swept, ys_swept = self._swept(w, h)
        low = np.full(len(ys), np.inf)
        high = np.full(len(ys), -np.inf)
        inside = (ys > ys_swept.min() + TOLERANCE_MM) & (ys < ys_swept.max() - TOLERANCE_MM)
        at = ys[inside]
        lo = np.full(len(at), np.inf)
        hi = np.full(len(at), -np.inf)
        for i in range(len(xs_swept)):
            x0, y0 = xs_swept[i - 1], ys_swept[i - 1]
            x1, y1 = xs_swept[i], ys_swept[i]
            if y0 == y1:
                continue
            hit = (at >= min(y0, y1)) & (at <= max(y0, y1))
            x = x0 + (x1 - x0) * (at[hit] - y0) / (y1 - y0)
            lo[hit] = np.minimum(lo[hit], x)
            hi[hit] = np.maximum(hi[hit], x)
        low[inside], high[inside] = lo + TOLERANCE_MM, hi - TOLERANCE_MM
        return low, high

    def shape(self) -> shapely.Geometry:
        """The polygon with its margin along x and y."""
        m = self.margin_mm
        corners = np.array(self.corners_mm)
        sums = [corners + np.array((dx, dy)) for dx in (-m, m) for dy in (-m, m)]
        return shapely.MultiPoint(np.vstack(sums)).convex_hull

    def _swept(self, w: float, h: float) -> tuple[Floats, Floats]:
        m = self.margin_mm
        corners = np.array(self.corners_mm)
        sums = [corners + np.array((dx, dy)) for dx in (-w - m, m) for dy in (-h - m, m)]
        hull = shapely.MultiPoint(np.vstack(sums)).convex_hull
        ring = shapely.get_coordinates(hull)[:-1]
        return ring[:, 0], ring[:, 1]


@dataclass(frozen=True, slots=True)
class RoundBlock:
    """A circle, its clearance included, that panels may touch but not enter."""

    centre_mm: Point
    radius_mm: float

    def shape(self) -> shapely.Geometry:
        """A polygon inside the circle, which it all but fills."""
        return shapely.Point(self.centre_mm).buffer(self.radius_mm, quad_segs=32)

    def bounds_mm(self) -> Box:
        """As ConvexBlock.bounds_mm."""
        (x, y), r = self.centre_mm, self.radius_mm
        return x - r, y - r, x + r, y + r

    def forbidden_x(self, w: float, h: float, ys: Floats) -> tuple[Floats, Floats]:
        """As ConvexBlock.forbidden_x."""
        cx, cy = self.centre_mm
        gap = np.maximum(0.0, np.maximum(ys - cy, cy - (ys + h)))  # from the centre to the panel, along y
        half = np.sqrt(np.maximum(0.0, self.radius_mm**2 - gap**2))
        inside = gap < self.radius_mm - TOLERANCE_MM
        low = np.where(inside, cx - half - w + TOLERANCE_MM, np.inf)
        high = np.where(inside, cx + half - TOLERANCE_MM, -np.inf)
        return low, high


Block = ConvexBlock | RoundBlock


@dataclass(frozen=True, slots=True)
class Field:
    """A facet as packing sees it: the box that panels stay in, and what they stay clear of inside it."""

    facet: str
    x_min: float
    y_min: float
    x_max: float
    y_max: float
    blocks: tuple[Block, ...]
    slant_step_mm: int = (
        10  # along a slanted edge touching positions are a continuum: so fine a raster of them
    )
    slant_step_fixed: bool = False  # whether that is how fine it is to be, and no other raster is chosen

    def slanted(self) -> bool:
        """True when some block is round or has an edge that follows neither axis."""
        return any(_slanted(b) for b in self.blocks)

    def slanted_edges(self) -> bool:
        """True when some block has an edge that follows neither axis."""
        return any(isinstance(b, ConvexBlock) and not b.axis_parallel() for b in self.blocks)

    def of_slants(self) -> Field:
        """Only the blocks that are round or slanted, without the box."""
        blocks = tuple(b for b in self.blocks if _slanted(b))
        return Field(self.facet, -math.inf, -math.inf, math.inf, math.inf, blocks, self.slant_step_mm)


def _slanted(block: Block) -> bool:
    return isinstance(block, RoundBlock) or not block.axis_parallel()


def free_area_mm2(field: Field) -> float:
    """The area on which panels may lie, gaps between them not counted; circles count a little too small."""
    inside = box(field.x_min, field.y_min, max(field.x_min, field.x_max), max(field.y_min, field.y_max))
    return float(inside.difference(shapely.union_all([b.shape() for b in field.blocks])).area)


def field_of(job: Job, facet: Facet) -> Field:
    """What forbids places on this facet: outline, obstacles, swinging lids, kept panels."""
    xs = [p[0] for p in facet.outline_mm]
    ys = [p[1] for p in facet.outline_mm]
    edge = job.spacing.from_edge_mm
    blocks: list[Block] = []
    blocks += outside(facet, edge)
    for obstacle in job.obstacles_on(facet.name):
        blocks += keep_out(obstacle)
        swing = obstacle.swing_mm()
        if swing is not None:
            blocks.append(box_block(*swing))
    for kept in job.kept:
        if kept.facet == facet.name:
            blocks.append(_kept_block(kept, job.spacing.between_panels_mm))
    return Field(facet.name, min(xs) + edge, min(ys) + edge, max(xs) - edge, max(ys) - edge, tuple(blocks))


def outside(facet: Facet, edge_mm: float) -> list[ConvexBlock]:
    """The part of the bounding box outside the outline, in convex pieces."""
    outline = Polygon(facet.outline_mm)
    rest = box(*outline.bounds).difference(outline)
    return [ConvexBlock(corners, edge_mm) for piece in _polygons(rest) for corners in _convex_parts(piece)]


def keep_out(obstacle: Obstacle) -> list[Block]:
    """What an obstacle with its clearance forbids, in convex pieces; without a lid's swing."""
    clearance = obstacle.clearance_mm
    if obstacle.outline_mm is not None:
        return [ConvexBlock(c, clearance) for c in _convex_parts(Polygon(obstacle.outline_mm))]
    assert obstacle.centre_mm is not None
    assert obstacle.diameter_mm is not None
    return [RoundBlock(obstacle.centre_mm, obstacle.diameter_mm / 2 + clearance)]


def _kept_block(kept: KeptPanel, gap_mm: float) -> ConvexBlock:
    along_x, along_y = kept.model.sides_mm(kept.turned)
    return box_block(kept.x_mm, kept.y_mm, kept.x_mm + along_x, kept.y_mm + along_y, gap_mm)


def box_block(x0: float, y0: float, x1: float, y1: float, margin_mm: float = 0.0) -> ConvexBlock:
    """A rectangle that panels keep away from."""
    return ConvexBlock(_corners(x0, y0, x1, y1), margin_mm)


def _corners(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def _polygons(shape: shapely.Geometry) -> list[Polygon]:
    return [g for g in shapely.get_parts(shape) if isinstance(g, Polygon) and g.area > TOLERANCE_MM]


def _convex_parts(polygon: Polygon) -> list[tuple[Point, ...]]:
    """Convex pieces that cover the polygon: itself when convex, else its triangles."""
    if math.isclose(polygon.area, polygon.convex_hull.area, rel_tol=1e-12):
        return [_ring(polygon.convex_hull)]
    if _axis_parallel(_ring(polygon)):
        return _slabs(polygon)
    return [_ring(t) for t in _polygons(shapely.constrained_delaunay_triangles(polygon))]


def _slabs(polygon: Polygon) -> list[tuple[Point, ...]]:
    """A polygon of axis-parallel edges, cut into rectangles at each of its x values."""
    _, y0, _, y1 = polygon.bounds
    xs = sorted({x for x, _ in polygon.exterior.coords})
    slabs = [polygon.intersection(box(a, y0, b, y1)) for a, b in pairwise(xs)]
    return [_corners(*rectangle.bounds) for slab in slabs for rectangle in _polygons(slab)]


def _ring(polygon: shapely.Geometry) -> tuple[Point, ...]:
    assert isinstance(polygon, Polygon)
    return tuple((float(x), float(y)) for x, y in orient(polygon).exterior.coords[:-1])


def _axis_parallel(corners: tuple[Point, ...]) -> bool:
    return all(a[0] == b[0] or a[1] == b[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True))
