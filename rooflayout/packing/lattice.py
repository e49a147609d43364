"""One facet on a lattice: prices of its points that no panel beats are a bound for every layout.

Along each axis a corner at v counts as line ceil((v - lead) / raster), v from the facet's first corner on,
and a panel takes floor(pitch / raster) points from its corner's line on. Panels that keep apart on the roof
keep apart on the lattice: where v' >= v + pitch,

    ceil((v' - lead) / r) >= ceil((v - lead) / r + pitch / r) >= ceil((v - lead) / r) + floor(pitch / r),

so no point is taken twice. If every place that some corner on the roof is rounded to takes points worth the
panel's watts at least, then the watts of a layout are no more than the worth of the points it takes, hence no
more than the worth of all points. That holds for any prices of at least 0, however they were found.

The rasters need not be whole millimetres: half a panel's width loses nothing of it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Bools, Field, Floats, Ints
from rooflayout.packing.kinds import Kind
from rooflayout.packing.relaxed import open_cells

SINGLE = np.float32  # precise enough for looking for prices, not for what is said of them
Singles = NDArray[np.float32]
SLACK = 1e-8  # of a raster: corners are whole micrometres apart, so that only floating point comes so near
NEARLY = 1e-6  # of a raster: a first line so near to a whole one is at the edge
NOWHERE = -(10**9)
FEW_KINDS = 4  # for so few sums of rows are quicker than prefix sums
DEAREST = 1e6  # times: prices are not raised by more, where a panel's points are worth next to nothing


@dataclass(frozen=True, slots=True)
class Axis:
    """Lines along one axis, the first lead_mm from where the field begins; ValueError if lead_mm is no less
    than raster_mm, or so little less that only floating point keeps them apart.
    """

    raster_mm: float
    lead_mm: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.lead_mm < self.raster_mm * (1 - 2 * SLACK):
            raise ValueError(f"the first line is {self.lead_mm} mm from the edge, others {self.raster_mm} mm")

    @classmethod
    def with_line_at(cls, raster_mm: float, at_mm: float) -> Axis:
        """The axis that has a line so far from where the field begins."""
        lead = at_mm % raster_mm
        return cls(raster_mm, lead if lead < raster_mm * (1 - NEARLY) else 0.0)

    def points_of(self, pitch_mm: float) -> int:
        """How many points a panel takes."""
        return int(pitch_mm / self.raster_mm + SLACK)

    def last(self, room_mm: float) -> int:
        """The last line that a corner so far from where the field begins can have; NOWHERE below 0."""
        if room_mm < -SLACK:
            return NOWHERE
        return max(0, math.ceil((room_mm - self.lead_mm) / self.raster_mm - SLACK))

    def halved(self) -> Axis:
        """The same lines and one more between every two: what is a bound on these is one on the old lines."""
        return Axis.with_line_at(self.raster_mm / 2, self.lead_mm)


def rooms_mm(field: Field, kind: Kind) -> tuple[float, float]:
    """How far a kind's corners can be from the field's, along x and y; below 0 where it is too large."""
    return field.x_max - kind.w_mm - field.x_min, field.y_max - kind.h_mm - field.y_min


class Lattice:
    """The places of kinds, all of one facet, and which points each takes; pitches not below the rasters."""

    def __init__(self, field: Field, kinds: Sequence[Kind], along_x: Axis, along_y: Axis) -> None:
        """Kinds that are too large for the field are left out."""
        fitting = [k for k in kinds if min(rooms_mm(field, k)) >= 0]
        self.axes = along_x, along_y
        self.points = [(along_x.points_of(k.pitch_x_mm), along_y.points_of(k.pitch_y_mm)) for k in fitting]
        self.watts = [float(k.watts) for k in fitting]
        rooms = [rooms_mm(field, k) for k in fitting]
        wide = [along_x.last(room) + a for (room, _), (a, _) in zip(rooms, self.points, strict=True)]
        deep = [along_y.last(room) + b for (_, room), (_, b) in zip(rooms, self.points, strict=True)]
        self.shape = max(wide, default=0), max(deep, default=0)
        self.open = [self._open(field, k, p) for k, p in zip(fitting, self.points, strict=True)]

    def _open(self, field: Field, kind: Kind, points: tuple[int, int]) -> Bools:
        """Which places of a kind some corner on the roof is rounded to."""
        (x, y), (room_x, room_y) = self.axes, rooms_mm(field, kind)
        i, j = np.arange(x.last(room_x) + 1), np.arange(y.last(room_y) + 1)
        xs = field.x_min + x.lead_mm + i.astype(np.float64) * x.raster_mm
        ys = field.y_min + y.lead_mm + j.astype(np.float64) * y.raster_mm
        found = np.zeros((self.shape[0] - points[0] + 1, self.shape[1] - points[1] + 1), dtype=bool)
        found[: len(i), : len(j)] = open_cells(field, kind, xs, ys, x.raster_mm, y.raster_mm)
        return found

    @property
    def counts(self) -> list[float]:
        """By kind how many points a place takes."""
        return [float(a * b) for a, b in self.points]

    def even(self) -> Floats:
        """Prices that are all alike, worth what the kind needs that is dearest for its points."""
        return np.full(
            self.shape, max((w / n for w, n in zip(self.watts, self.counts, strict=True)), default=0.0)
        )

    def worths(self, prices: NDArray[np.floating]) -> list[NDArray[np.floating]]:
        """Of each kind the worth of the points that each place takes."""
        if len(self.points) <= FEW_KINDS:
            return [_windows(_windows(prices, a).T, b).T for a, b in self.points]
        total = np.zeros((self.shape[0] + 1, self.shape[1] + 1), prices.dtype)
        np.cumsum(prices, axis=0, out=total[1:, 1:])
        np.cumsum(total[1:, 1:], axis=1, out=total[1:, 1:])
        found = []
        for a, b in self.points:
            band = total[a:] - total[:-a]
            found.append(band[:, b:] - band[:, :-b])
        return found

    def taken(self, places: Sequence[NDArray[np.floating]]) -> NDArray[np.floating]:
        """How often each point is taken when each place is used so much; the transpose of worths."""
        if len(self.points) <= FEW_KINDS:
            found = np.zeros(self.shape, places[0].dtype)
            for used, (a, b) in zip(places, self.points, strict=True):
                around = np.zeros((self.shape[0] + a - 1, self.shape[1] + b - 1), used.dtype)
                around[a - 1 : self.shape[0], b - 1 : self.shape[1]] = used
                found += _windows(_windows(around, a).T, b).T
            return found
        total = np.zeros((self.shape[0] + 1, self.shape[1] + 1), places[0].dtype)
        for used, (a, b) in zip(places, self.points, strict=True):
            band = np.zeros((used.shape[0], total.shape[1]), used.dtype)
            band[:, :-b] = used
            band[:, b:] -= used
            total[:-a] += band
            total[a:] -= band
        np.cumsum(total, axis=0, out=total)
        np.cumsum(total, axis=1, out=total)
        return total[:-1, :-1]

    def boxes(self, kind: int, places: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        """Of places of a kind (numbers, row by row) the points they take: [left, right) x [low, high)."""
        left, low = np.divmod(places, self.open[kind].shape[1])
        return left, left + self.points[kind][0], low, low + self.points[kind][1]

    def put_right(self, prices: NDArray[np.floating]) -> Floats:
        """Prices that no panel beats: each multiplied by what the worst place that takes its point needs.

        Every place then is worth its watts at least, for each of its points is multiplied by what that
        place needs or more. What all places have too much of is taken off likewise. Open places must have
        a worth of more than a millionth of their watts, or the result is endless.
        """
        prices = np.maximum(prices, 0.0).astype(np.float64)
        factor = np.zeros(self.shape)
        for worth, open_, watts, (a, b) in zip(
            self.worths(prices), self.open, self.watts, self.points, strict=True
        ):
            if float(worth[open_].min(initial=watts)) < watts / DEAREST:
                return np.full(self.shape, np.inf)
            needs = np.zeros(self.shape)
            needs[: open_.shape[0], : open_.shape[1]] = np.divide(
                watts, worth, out=np.zeros(open_.shape), where=open_
            )
            np.maximum(factor, _highest(_highest(needs, a).T, b).T, out=factor)
        return prices * factor

    def bound(self, prices: NDArray[np.floating]) -> float:
        """Watts (tenths) that no layout on the facet exceeds; endless where prices are useless."""
        right = self.put_right(prices)
        return float(right.sum()) * (1.0 + 1e-9)


def _windows(values: NDArray[np.floating], count: int) -> NDArray[np.floating]:
    """The sums of count rows in a row: of two of them, of four, and so on, as count is made up."""
    found, done, size, part = values[:0], 0, 1, values
    while True:
        if count & size:
            found = part.copy() if not done else found[: len(part) - done] + part[done : done + len(found)]
            done += size
        if 2 * size > count:
            return found
        part = part[:-size] + part[size:]
        size *= 2


def _highest(values: Floats, count: int) -> Floats:
    """For each row the highest values of it and the rows before it, count in all."""
    have = 1
    while have < count:
        step = min(have, count - have)
        higher = values.copy()
        np.maximum(values[step:], values[:-step], out=higher[step:])
        values, have = higher, have + step
    return values
