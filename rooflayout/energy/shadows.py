"""Shadows that convex solids cast on a facet, for many sun directions at once.

A solid is corners and edges. What of it stands above the facet's plane is kept, and each of its edges is
moved along the sun's ray down to the plane: the outline of a shadow of something convex is made of shadows
of its edges. Along a row of cells the shadow then reaches from the least to the greatest x at which an
edge's shadow crosses the row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.job import Facet, Obstacle, Point

Floats = NDArray[np.float64]
CIRCLE_CORNERS = 32
ON_THE_PLANE_MM = 1e-6
LEAST_SINE = 0.01  # of the sun above a facet's plane; lower the facet gets no beam worth naming


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """Convex: corners_mm [n, 3], edges [m, 2] as numbers of corners."""

    corners_mm: Floats
    edges: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Raster:
    """Square cells of step_mm from the corner (x_mm, y_mm) on."""

    x_mm: float
    y_mm: float
    step_mm: float
    rows: int
    columns: int

    def centres_mm(self) -> tuple[Floats, Floats]:
        """x of the columns and y of the rows."""
        columns, rows = np.arange(0.5, self.columns, 1.0), np.arange(0.5, self.rows, 1.0)
        return self.x_mm + columns * self.step_mm, self.y_mm + rows * self.step_mm


def convex_parts(outline_mm: Sequence[Point]) -> list[Floats]:
    """An outline as convex pieces [n, 2]: itself where it is convex, else triangles."""
    import shapely  # not at the top: help must come without it

    ring = np.array(outline_mm, dtype=float)
    ahead = np.roll(ring, -1, axis=0) - ring
    after = np.roll(ahead, -1, axis=0)
    turns = ahead[:, 0] * after[:, 1] - ahead[:, 1] * after[:, 0]
    if np.all(turns >= 0.0) or np.all(turns <= 0.0):
        return [ring]
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(ring)))
    return [shapely.get_coordinates(t)[:3] for t in triangles]


def outline_of(obstacle: Obstacle) -> tuple[Point, ...]:
    """Its outline in mm; a circle as a polygon of CIRCLE_CORNERS corners and the circle's area."""
    if obstacle.outline_mm is not None:
        return obstacle.outline_mm
    assert obstacle.centre_mm is not None
    assert obstacle.diameter_mm is not None
    turn = 2.0 * np.pi / CIRCLE_CORNERS
    radius_mm = obstacle.diameter_mm / 2.0 * np.sqrt(turn / np.sin(turn))
    angles = np.arange(CIRCLE_CORNERS) * turn
    x, y = obstacle.centre_mm
    return tuple(
        (float(x + a), float(y + b))
        for a, b in zip(radius_mm * np.cos(angles), radius_mm * np.sin(angles), strict=True)
    )


def prism(lower_mm: Floats, upper_mm: Floats) -> Solid:
    """Between two polygons [n, 3] whose corners belong together."""
    n = len(lower_mm)
    here, ahead = np.arange(n), np.roll(np.arange(n), -1)
    edges = np.concatenate(
        [np.stack([here, ahead], 1), np.stack([here + n, ahead + n], 1), np.stack([here, here + n], 1)]
    )
    return Solid(np.concatenate([lower_mm, upper_mm]), edges)


def sheet(corners_mm: Floats) -> Solid:
    """A convex polygon [n, 3] without thickness."""
    here = np.arange(len(corners_mm))
    return Solid(corners_mm, np.stack([here, np.roll(here, -1)], 1))


def edges_above(solid: Solid) -> Floats:
    """The edges [m, 2, 3] of what of the solid stands above height 0, corners as (x, y, height)."""
    height = np.where(np.abs(solid.corners_mm[:, 2]) < ON_THE_PLANE_MM, 0.0, solid.corners_mm[:, 2])
    corners = np.column_stack([solid.corners_mm[:, :2], height])
    first, second = corners[solid.edges[:, 0]], corners[solid.edges[:, 1]]
    kept = (first[:, 2] >= 0.0) & (second[:, 2] >= 0.0)
    if np.all(kept):
        return np.stack([first, second], axis=1)
    cut = first[:, 2] * second[:, 2] < 0.0
    part = first[cut, 2] / (first[cut, 2] - second[cut, 2])
    middle = first[cut] + part[:, None] * (second[cut] - first[cut])
    middle[:, 2] = 0.0
    upper = np.where(first[cut, 2:] > 0.0, first[cut], second[cut])
    ring = np.concatenate([middle, corners[height == 0.0]])
    found = [np.stack([first[kept], second[kept]], axis=1), np.stack([upper, middle], axis=1)]
    if len(ring) > 1:  # the section, whose corners go round in order of their angle
        away = ring[:, :2] - ring[:, :2].mean(axis=0)
        ring = ring[np.argsort(np.arctan2(away[:, 1], away[:, 0]))]
        found.append(np.stack([ring, np.roll(ring, -1, axis=0)], axis=1))
    return np.concatenate(found)


def cast(raster: Raster, solids: Iterable[Solid], to_sun: Floats) -> NDArray[np.bool_]:
    """[directions, rows, columns]: whether a cell's centre lies in the shadow of one of the solids.

    solids and to_sun [directions, 3] by the facet's own axes and height above it, so that its plane is
    height 0. Where the sun stands behind the facet no cell counts as shaded: it has no beam to lose.
    """
    lit = np.flatnonzero(to_sun[:, 2] > LEAST_SINE)
    slip = to_sun[lit, :2] / to_sun[lit, 2:]  # how far a shadow is moved for each mm of height
    steps = np.zeros((len(lit), raster.rows, raster.columns + 1), dtype=np.int16)
    for solid in solids:
        edges = edges_above(solid)
        if len(edges) and edges[:, :, 2].max() > 0.0:
            _add_intervals(steps, raster, edges, slip)
    shaded = np.zeros((len(to_sun), raster.rows, raster.columns), dtype=bool)
    np.cumsum(steps, axis=2, out=steps)
    shaded[lit] = steps[:, :, :-1] > 0
    return shaded


def _add_intervals(steps: NDArray[np.int16], raster: Raster, edges: Floats, slip: Floats) -> None:
    """Add 1 where the solid's shadow begins in a row, take it away behind where it ends."""
    rows_mm = raster.centres_mm()[1]
    left = np.full(steps.shape[:2], np.inf)
    right = np.full(steps.shape[:2], -np.inf)
    for a, b in edges:
        ax, ay = a[0] - a[2] * slip[:, :1], a[1] - a[2] * slip[:, 1:]  # [directions, 1]
        bx, by = b[0] - b[2] * slip[:, :1], b[1] - b[2] * slip[:, 1:]
        crosses = (ay <= rows_mm) != (by <= rows_mm)
        rise = np.where(ay == by, 1.0, by - ay)
        x = ax + (bx - ax) / rise * (rows_mm - ay)
        np.minimum(left, x, out=left, where=crosses)
        np.maximum(right, x, out=right, where=crosses)
    begin = np.ceil(np.clip((left - raster.x_mm) / raster.step_mm - 0.5, 0, raster.columns))
    end = np.floor(np.clip((right - raster.x_mm) / raster.step_mm - 0.5, -1, raster.columns - 1)) + 1
    direction, row = np.nonzero(begin < end)
    steps[direction, row, begin[direction, row].astype(np.intp)] += 1
    steps[direction, row, end[direction, row].astype(np.intp)] -= 1


def covered(raster: Raster, outline_mm: Sequence[Point]) -> NDArray[np.bool_]:
    """[rows, columns]: whether a cell's centre lies within the outline."""
    import shapely

    x, y = np.meshgrid(*raster.centres_mm())
    return np.asarray(shapely.contains_xy(shapely.Polygon(outline_mm), x, y))


def raster_of(facet: Facet, step_mm: float) -> Raster:
    """Cells over the box round a facet's outline."""
    corners = np.array(facet.outline_mm, dtype=float)
    low, size = corners.min(axis=0), np.ptp(corners, axis=0)
    columns, rows = (int(n) for n in np.ceil(size / step_mm))
    return Raster(float(low[0]), float(low[1]), step_mm, max(rows, 1), max(columns, 1))
