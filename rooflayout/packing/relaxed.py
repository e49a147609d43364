"""A roof that forbids a little less, on a coarse raster: no layout of the real roof has more than its best.

Corners are rounded up to a raster and pitches down to it. Panels that keep apart on the roof keep apart on
the raster, so every real layout is one of the raster too; a cell of the raster is only closed when one
thing on the roof closes every place that is rounded to it. A bound for the raster is a bound for the roof,
whatever the shape of its lines, and whatever its size.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rooflayout.packing.clearance import TOLERANCE_MM, Bools, Field, Floats, Ints
from rooflayout.packing.closure import Candidates, closed, free_standing, joined
from rooflayout.packing.kinds import Kind, smaller

FINEST_MM, COARSEST_MM = 10, 250
OBSTACLES_LOSE = 4e-5  # of the area, for each millimetre of the raster; as measured on a few roofs


def panels_by_area(fields: Sequence[Field], kinds: Sequence[Kind]) -> float:
    """How many panels of the middling size the facets' boxes have room for."""
    if not kinds:
        return 0.0
    areas = [max(0.0, f.x_max - f.x_min) * max(0.0, f.y_max - f.y_min) for f in fields]
    return float(sum(areas) / np.median([k.pitch_x_mm * k.pitch_y_mm for k in kinds]))


def raster_for(fields: Sequence[Field], kinds: Sequence[Kind], most_cells: int) -> int | None:
    """The raster, in mm, with about so many cells at most that takes least off the panels' area.

    None when it would have to be coarser than the narrowest panel, of which nothing would be left.
    """
    best: tuple[float, int | None] = (math.inf, None)
    narrowest = min((min(k.pitch_x_mm, k.pitch_y_mm) for k in kinds), default=0)
    for raster in range(FINEST_MM, min(COARSEST_MM, narrowest) + 1):
        cells = 0.0
        for number, field in enumerate(fields):
            area = max(0.0, field.x_max - field.x_min) * max(0.0, field.y_max - field.y_min)
            cells += area / raster**2 * sum(k.facet == number for k in kinds)
        if cells <= most_cells:
            loss = _loss(kinds, raster)
            best = (loss, raster) if loss < best[0] else best
    return best[1]


def _loss(kinds: Sequence[Kind], raster: int) -> float:
    """The share of area that rounding down takes off the panel that gains most; and what obstacles lose."""
    left = []
    for k in kinds:
        wide, deep = k.pitch_x_mm // raster * raster, k.pitch_y_mm // raster * raster
        left.append(wide * deep / (k.pitch_x_mm * k.pitch_y_mm) / _worth(k))
    full = [1 / _worth(k) for k in kinds]
    return 1 - min(left) / min(full) + OBSTACLES_LOSE * raster


def _worth(kind: Kind) -> float:
    return kind.watts / (kind.pitch_x_mm * kind.pitch_y_mm)


def places_on(fields: Sequence[Field], kinds: Sequence[Kind], raster: int) -> Candidates:
    """The places of the raster that are not closed, held by the roof or one another."""
    down = smaller(kinds, raster)
    nobody = np.zeros(0, dtype=np.int64)
    parts = [free_standing(nobody, nobody, nobody)]
    parts += [_of_kind(fields[kind.facet], kind, number, raster) for number, kind in enumerate(kinds)]
    found = joined(parts)
    return found.take(closed(found, down, np.arange(len(found), dtype=np.int64)))


def _of_kind(field: Field, kind: Kind, number: int, raster: int) -> Candidates:
    xs = _lines(field.x_min, field.x_max - kind.w_mm, raster)
    ys = _lines(field.y_min, field.y_max - kind.h_mm, raster)
    open_ = open_cells(field, kind, xs, ys, raster, raster)
    around = np.pad(open_, 1)
    low_x = xs <= (field.x_min + field.x_max - kind.w_mm) / 2
    low_y = ys <= (field.y_min + field.y_max - kind.h_mm) / 2
    held_x = np.where(low_x[:, None], ~around[:-2, 1:-1], ~around[2:, 1:-1])
    held_y = np.where(low_y[None, :], ~around[1:-1, :-2], ~around[1:-1, 2:])
    i, j = np.nonzero(open_)
    of = np.full(len(i), number, dtype=np.int64)
    return Candidates(of, xs[i], ys[j], low_x[i], low_y[j], held_x[i, j], held_y[i, j])


def _lines(low: float, high: float, raster: int) -> Ints:
    """Rounded up, the coordinates that a corner between low and high can have."""
    first, last = math.ceil((low - TOLERANCE_MM) / raster), math.ceil((high + TOLERANCE_MM) / raster)
    return np.arange(first, last + 1 if high >= low - TOLERANCE_MM else first, dtype=np.int64) * raster


def open_cells(
    field: Field, kind: Kind, xs: Ints | Floats, ys: Ints | Floats, raster_x: float, raster_y: float
) -> Bools:
    """Which cells some place is rounded to: not those that lie in what one block forbids.

    Cell (i, j) is what is rounded up to (xs[i], ys[j]). What a block forbids is convex, so a cell lies in it
    when its corners do.
    """
    closed_ = np.zeros((len(xs) + 1, len(ys)), dtype=np.int32)
    columns = np.arange(len(ys))
    bottoms, tops = (ys - raster_y).astype(np.float64), ys.astype(np.float64)
    for block in field.blocks:
        ends: list[Floats] = []
        for at in (bottoms, tops):
            ends += block.forbidden_x(kind.w_mm, kind.h_mm, at)
        low, high = np.maximum(ends[0], ends[2]), np.minimum(ends[1], ends[3])
        first = np.searchsorted(xs - raster_x, low, side="left")
        last = np.searchsorted(xs, high, side="right")
        hit = last > first
        np.add.at(closed_, (first[hit], columns[hit]), 1)
        np.add.at(closed_, (last[hit], columns[hit]), -1)
    return np.asarray(np.cumsum(closed_, axis=0)[:-1] == 0)
