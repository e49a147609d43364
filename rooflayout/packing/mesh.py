"""One facet on the lines where panels can begin: nothing is rounded, so its bound is the relaxation's own.

Pushed together, panels begin at sums of pitches from the roof's own lines (positions.py). On a roof for a
hundred panels of two models these are a few hundred lines along x and a hundred along y, fewer than a
lattice (lattice.py) needs that rounds pitches down. Points are where two lines cross; a place takes those
from its corner on that it covers. If every place takes points worth the panel's watts at least, no layout
has more watts than all points are worth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Bools, Field, Floats, Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.eased import eased, widened
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import Kind
from rooflayout.packing.lattice import DEAREST
from rooflayout.packing.positions import candidates_of, cells_of
from rooflayout.packing.stock import CELLS_PER_S

MOST_CELLS = 1_000_000  # places to look at, of a facet
SHARE = 0.1  # of the time that is left, at most, for looking at places
MOST_POINTS = 4_000_000  # times kinds: a step for each takes so long


class Mesh:
    """Candidates of one facet as places on a grid of their own lines; kinds without a place are left out."""

    def __init__(self, candidates: Candidates, kinds: Sequence[Kind]) -> None:
        self.candidates = candidates
        self.grid = PointGrid(candidates, kinds)
        self.shape = self.grid.shape
        xs, ys = self.grid.xs_mm, self.grid.ys_mm
        used = [n for n in range(len(kinds)) if np.any(candidates.kind == n)]
        self.watts = [float(kinds[n].watts) for n in used]
        self.numbers = [self._numbers(n) for n in used]  # by kind and place the candidate, -1 where none is
        self.open: list[Bools] = [numbers >= 0 for numbers in self.numbers]
        self._along_x = [_Reach(xs, kinds[n].pitch_x_mm) for n in used]
        self._along_y = [_Reach(ys, kinds[n].pitch_y_mm) for n in used]
        narrow = min((kinds[n].pitch_x_mm for n in used), default=0)
        flat = min((kinds[n].pitch_y_mm for n in used), default=0)
        self._cells = np.outer(_gaps(xs, narrow), _gaps(ys, flat))
        self.counts = [np.maximum(1.0, worth) for worth in self.worths(np.ones(self.shape))]

    def _numbers(self, kind: int) -> Ints:
        found = np.full(self.shape, -1, dtype=np.int64)
        own = np.nonzero(self.candidates.kind == kind)[0]
        found[self.grid.left[own], self.grid.low[own]] = own
        return found

    def even(self) -> Floats:
        """Prices by area, worth what the kind needs that is dearest for its area."""
        areas = [area[o].min() for area, o in zip(self.worths(self._cells), self.open, strict=True)]
        return self._cells * max((w / a for w, a in zip(self.watts, areas, strict=True)), default=0.0)

    def worths(self, prices: NDArray[np.floating]) -> list[NDArray[np.floating]]:
        """Of each kind the worth of the points that each place takes."""
        total, found = _summed(prices), []
        for x, y in zip(self._along_x, self._along_y, strict=True):
            band = total[x.end] - total[:-1]
            found.append(band[:, y.end] - band[:, :-1])
        return found

    def taken(self, places: Sequence[NDArray[np.floating]]) -> NDArray[np.floating]:
        """How often each point is taken when each place is used so much; the transpose of worths."""
        found = np.zeros(self.shape, places[0].dtype)
        for used, x, y in zip(places, self._along_x, self._along_y, strict=True):
            total = _summed(used)
            band = total[1:] - total[x.first]
            found += band[:, 1:] - band[:, y.first]
        return found

    def boxes(self, kind: int, places: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        """As Lattice.boxes."""
        left, low = np.divmod(places, self.shape[1])
        return left, self._along_x[kind].end[left], low, self._along_y[kind].end[low]

    def put_right(self, prices: NDArray[np.floating]) -> Floats:
        """As Lattice.put_right: each price multiplied by what the worst place that takes its point needs."""
        prices = np.maximum(prices, 0.0).astype(np.float64)
        factor = np.zeros(self.shape)
        for worth, open_, watts, x, y in zip(
            self.worths(prices), self.open, self.watts, self._along_x, self._along_y, strict=True
        ):
            if float(worth[open_].min()) < watts / DEAREST:
                return np.full(self.shape, np.inf)
            needs = np.zeros(self.shape)
            needs[open_] = watts / worth[open_]
            np.maximum(factor, y.highest(x.highest(needs).T).T, out=factor)
        return prices * factor

    def bound(self, prices: NDArray[np.floating]) -> float:
        """Watts (tenths) that no layout of the candidates exceeds; endless where prices are useless."""
        return float(self.put_right(prices).sum()) * (1.0 + 1e-9)

    def by_candidate(self, uses: Sequence[NDArray[np.floating]]) -> Floats:
        """The values of places, by the candidates' numbers."""
        found = np.zeros(len(self.candidates))
        for values, open_, numbers in zip(uses, self.open, self.numbers, strict=True):
            found[numbers[open_]] = values[open_]
        return found


def cells_in(left_s: float) -> int:
    """How many places may be looked at where so many seconds are left; it is not ended on the way."""
    return max(0, min(MOST_CELLS, int(SHARE * CELLS_PER_S * left_s)))


def mesh_of(
    field: Field, kinds: Sequence[Kind], numbers: Sequence[int], most_cells: int = MOST_CELLS
) -> Mesh | None:
    """The mesh of a facet with all places of the kinds of these numbers; None where there are too many."""
    if cells_of(field, tuple(kinds), list(numbers)) > most_cells:
        return None
    mesh = Mesh(candidates_of(field, tuple(kinds), list(numbers)), kinds)
    return mesh if math.prod(mesh.shape) * len(numbers) <= MOST_POINTS else None


def mesh_above(field: Field, kinds: Sequence[Kind], most_cells: int = MOST_CELLS) -> Mesh | None:
    """A mesh of a facet that forbids a little less: what bounds its layouts bounds those at any places.

    kinds: those of the facet, with pitches in whole millimetres.
    """
    return mesh_of(widened(eased(field)), kinds, range(len(kinds)), most_cells)


class _Reach:
    """Of one kind along one axis: from each line the lines that a panel covers, and those that cover it."""

    def __init__(self, lines: Ints, pitch_mm: int) -> None:
        self.end = np.searchsorted(lines, lines + pitch_mm)  # the first line past a panel that begins here
        self.first = np.searchsorted(self.end, np.arange(len(lines)), side="right")
        self._spans = np.arange(len(lines)) - self.first + 1  # lines where a panel over this line can begin

    def highest(self, values: Floats) -> Floats:
        """For each line the highest values of the lines where a panel over it can begin."""
        found, size, part = np.zeros_like(values), 1, values
        most = int(self._spans.max(initial=1))
        while True:
            lines = np.nonzero((self._spans >= size) & (self._spans < 2 * size))[0]
            found[lines] = np.maximum(part[self.first[lines]], part[lines - size + 1])
            if 2 * size > most:
                return found
            part = np.maximum(part[:-size], part[size:])  # the highest of twice as many lines from each on
            size *= 2


def _summed(values: NDArray[np.floating]) -> NDArray[np.floating]:
    """Sums over all that comes before, along both axes."""
    total = np.zeros((values.shape[0] + 1, values.shape[1] + 1), values.dtype)
    np.cumsum(values, axis=0, out=total[1:, 1:])
    np.cumsum(total[1:, 1:], axis=1, out=total[1:, 1:])
    return total


def _gaps(lines: Ints, last_mm: int) -> Floats:
    """From each line to the next."""
    return np.diff(lines, append=lines[-1:] + last_mm).astype(np.float64)
