"""Which lines a lattice should have: those that take least off panels, roof and obstacles.

A raster that divides a panel's side, or comes just short of it, takes little off the panel; lines that end
where the last panel can begin leave little beyond the roof's far edge. What panels lose and what the roof
has too much show in the area bound on the lattice, so that is what is compared, with an estimate of what
obstacles lose (half a raster on each side, of which half was seen in measurements) and of what panels that
are smaller than they should be find in gaps.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import numpy as np

from rooflayout.packing.clearance import Field, Floats
from rooflayout.packing.kinds import Kind
from rooflayout.packing.lattice import Axis, rooms_mm

WIDER = 2.0  # times the raster of just so many points, at most
ALIKE = 0.02  # of a raster
MOST_TRIED = 60  # rasters along each axis
SMALLER_GAIN = 0.5  # of the mean share by which kinds are too small, as measured with two models
OBSTACLES_LOSE = 0.25  # of a raster, along each of an obstacle's four sides

Axes = tuple[Axis, Axis]


def axes_for(field: Field, kinds: Sequence[Kind], most: int, count: int) -> list[Axes]:
    """So many axes with about so many points at most, the most promising first; kinds: those of one facet.

    None where nothing fits, or panels are too narrow for a lattice of so few points.
    """
    fitting = [k for k in kinds if min(rooms_mm(field, k)) >= 0]
    if not fitting:
        return []
    area = (field.x_max - field.x_min) * (field.y_max - field.y_min)
    least = math.sqrt(area / most)
    if least > min(min(k.pitch_x_mm, k.pitch_y_mm) for k in fitting):
        return []
    wide, deep = (_promising(field, fitting, (least, WIDER * least), along_y) for along_y in (0, 1))
    found: list[Axes] = []
    for axes in sorted(product(wide, deep), key=lambda axes: estimate(field, fitting, axes)):
        if len(found) < count and not any(_alike(axes, other) for other in found):
            found.append(axes)
    return found


def _alike(axes: Axes, other: Axes) -> bool:
    """Whether both rasters are nearly the same."""
    return all(abs(a.raster_mm / b.raster_mm - 1) < ALIKE for a, b in zip(axes, other, strict=True))


def estimate(field: Field, kinds: Sequence[Kind], axes: Axes) -> float:
    """The area bound (tenths of a watt) on such a lattice, with what obstacles lose; to compare axes."""
    boxes = [block.bounds_mm() for block in field.blocks]
    wide, deep = sum(x1 - x0 for x0, _, x1, _ in boxes), sum(y1 - y0 for _, y0, _, y1 in boxes)
    lost = 2 * OBSTACLES_LOSE * (deep * axes[0].raster_mm + wide * axes[1].raster_mm)
    counts = [_counts(field, kinds, axis, along_y) for along_y, axis in enumerate(axes)]
    watts = np.array([k.watts for k in kinds], dtype=np.float64)
    sizes = np.array([k.pitch_x_mm * k.pitch_y_mm for k in kinds], dtype=np.float64)
    cell, taken = axes[0].raster_mm * axes[1].raster_mm, counts[0][1] * counts[1][1]
    points = counts[0][0] * counts[1][0] + lost / cell
    fill_gaps = 1.0 + SMALLER_GAIN * float(np.mean(sizes / (taken * cell) - 1.0))
    return float(points * np.max(watts / taken)) * fill_gaps


def _promising(
    field: Field, kinds: Sequence[Kind], rasters_mm: tuple[float, float], along_y: int
) -> list[Axis]:
    """Axes between two rasters that take little off the roof and the panels, as far as one axis tells."""
    pitches = [k.pitch_y_mm if along_y else k.pitch_x_mm for k in kinds]
    rooms = [rooms_mm(field, k)[along_y] for k in kinds]
    least, most = rasters_mm
    rasters = {p / q for p in pitches for q in range(1, int(p / least) + 1)}
    rasters = {r for r in rasters if r <= min(most, *pitches)} or {least}
    worth = np.array([k.watts / (k.pitch_x_mm * k.pitch_y_mm) for k in kinds])
    found: list[tuple[float, Axis]] = []
    for raster in sorted(rasters):
        axes = [Axis.with_line_at(raster, at) for at in sorted({0.0, *rooms})]
        axis = min(axes, key=lambda a: _counts(field, kinds, a, along_y)[0])
        count, points = _counts(field, kinds, axis, along_y)
        found.append((float(count * np.max(worth * pitches / points)), axis))
    found.sort(key=lambda pair: pair[0])
    return [axis for _, axis in found[:MOST_TRIED]]


def _counts(field: Field, kinds: Sequence[Kind], axis: Axis, along_y: int) -> tuple[int, Floats]:
    """How many points panels can take along an axis, and how many each kind takes."""
    points = [axis.points_of(k.pitch_y_mm if along_y else k.pitch_x_mm) for k in kinds]
    lasts = [axis.last(rooms_mm(field, k)[along_y]) for k in kinds]
    return max(a + b for a, b in zip(lasts, points, strict=True)), np.array(points, dtype=np.float64)
