"""All candidates of a job on one grid of points, so that overlap becomes arithmetic on indices.

Two places overlap exactly when some point (a left edge's x, a lower edge's y) lies in both. Facets
lie side by side on the grid, far enough apart never to meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.closure import APART, Candidates
from rooflayout.packing.kinds import Kind

Floats = NDArray[np.float64]
Bits = NDArray[np.uint8]
Point = tuple[int, int]  # indices of a grid point


class PointGrid:
    """Candidates as index boxes: candidate i covers the points [left, right) x [low, high)."""

    def __init__(self, candidates: Candidates, kinds: Sequence[Kind]) -> None:
        k = candidates.kind
        offset = np.array([kind.facet for kind in kinds], dtype=np.int64)[k] * APART
        x, y = candidates.x_mm + offset, candidates.y_mm
        pitch_x = np.array([kind.pitch_x_mm for kind in kinds], dtype=np.int64)[k]
        pitch_y = np.array([kind.pitch_y_mm for kind in kinds], dtype=np.int64)[k]
        self.x_mm, self.y_mm = x, y  # of the candidates; facets apart by a large offset along x
        xs, ys = np.unique(x), np.unique(y)
        self.shape = (len(xs), len(ys))
        self.xs_mm, self.ys_mm = xs, ys
        self.left, self.right = np.searchsorted(xs, x), np.searchsorted(xs, x + pitch_x)
        self.low, self.high = np.searchsorted(ys, y), np.searchsorted(ys, y + pitch_y)

    def __len__(self) -> int:
        return len(self.left)

    def cover(self, which: Ints, weights: Floats) -> Floats:
        """How much of the given candidates, weighted, lies on each point: shape (nx, ny)."""
        return heaped(
            self.shape, self.left[which], self.right[which], self.low[which], self.high[which], weights
        )

    def sums(self, points: NDArray[np.int64], values: Floats, which: Ints | slice = slice(None)) -> Floats:
        """For each candidate the sum of the values at the points it covers."""
        p, q = points.reshape(-1, 2).T
        column, row = _ranks(p, self.shape[0]), _ranks(q, self.shape[1])  # lines without points add nothing
        total = np.zeros((int(column[-1]) + 1, int(row[-1]) + 1))
        np.add.at(total, (column[p] + 1, row[q] + 1), values)
        total = total.cumsum(axis=0).cumsum(axis=1)
        a, b = column[self.left[which]], column[self.right[which]]
        c, d = row[self.low[which]], row[self.high[which]]
        return np.asarray(total[b, d] - total[a, d] - total[b, c] + total[a, c])

    def at(self, point: Point, among: Ints) -> Ints:
        """Those of the given candidates that cover a point."""
        p, q = point
        inside = (self.left[among] <= p) & (self.right[among] > p)
        inside &= (self.low[among] <= q) & (self.high[among] > q)
        return among[inside]

    def point_mm(self, point: Point) -> tuple[int, int]:
        """A grid point's coordinates, x with the offset that keeps facets apart."""
        return int(self.xs_mm[point[0]]), int(self.ys_mm[point[1]])

    def point_at(self, x_mm: int, y_mm: int) -> Point | None:
        """The grid point that lies in the same candidates as these coordinates; None before the first."""
        p = int(np.searchsorted(self.xs_mm, x_mm, side="right")) - 1
        q = int(np.searchsorted(self.ys_mm, y_mm, side="right")) - 1
        return (p, q) if p >= 0 and q >= 0 else None

    def points_at(self, points_mm: Iterable[tuple[int, int, int]]) -> list[tuple[int, Point]]:
        """Of points (family, x, y) those that lie on the grid, as (family, point)."""
        found = [(family, self.point_at(x_mm, y_mm)) for family, x_mm, y_mm in points_mm]
        return [(family, point) for family, point in found if point is not None]

    def same_in(self, other: PointGrid, p: Ints, q: Ints) -> tuple[Ints, Ints]:
        """Points of this grid as the points of another in the same candidates; -1 before its first."""
        column = np.searchsorted(other.xs_mm, self.xs_mm[p], side="right") - 1
        return column, np.searchsorted(other.ys_mm, self.ys_mm[q], side="right") - 1

    def covers(self, points: Ints, which: Ints) -> Bools:
        """Which point (a row of two indices) lies in which candidate: shape (points, candidates)."""
        p, q = points.reshape(-1, 2).T[:, :, None]
        covers = (p >= self.left[which]) & (p < self.right[which])
        return np.asarray(covers & (q >= self.low[which]) & (q < self.high[which]))

    def covers_packed(self, points: Ints, which: Ints) -> Bits:
        """The same, eight candidates a byte, as np.packbits has it: for many points, on few lines."""
        p, q = points.reshape(-1, 2).T
        columns, column = np.unique(p, return_inverse=True)
        rows, row = np.unique(q, return_inverse=True)
        along_x = (columns[:, None] >= self.left[which]) & (columns[:, None] < self.right[which])
        along_y = (rows[:, None] >= self.low[which]) & (rows[:, None] < self.high[which])
        return np.asarray(np.packbits(along_x, axis=1)[column] & np.packbits(along_y, axis=1)[row])

    def over(self, candidate: int, among: Ints | slice = slice(None)) -> Bools:
        """Which of the given candidates overlap this one; it overlaps itself."""
        left, right, low, high = (v[among] for v in (self.left, self.right, self.low, self.high))
        over = (left < self.right[candidate]) & (self.left[candidate] < right)
        return np.asarray(over & (low < self.high[candidate]) & (self.low[candidate] < high))

    def overlaps(self, which: Ints) -> list[Point]:
        """One common point for each overlapping pair of the given candidates."""
        a, b, c, d = (v[which] for v in (self.left, self.right, self.low, self.high))
        left, low = np.maximum(a[:, None], a[None, :]), np.maximum(c[:, None], c[None, :])
        meet = (left < np.minimum(b[:, None], b[None, :])) & (low < np.minimum(d[:, None], d[None, :]))
        i, j = np.nonzero(np.triu(meet, 1))
        return sorted({(int(p), int(q)) for p, q in zip(left[i, j], low[i, j], strict=True)})


def heaped(shape: tuple[int, int], left: Ints, right: Ints, low: Ints, high: Ints, weights: Floats) -> Floats:
    """How much lies on each cell of a grid when boxes of cells [left, right) x [low, high) are laid on it."""
    corners = np.zeros((shape[0] + 1, shape[1] + 1))
    np.add.at(corners, (left, low), weights)
    np.add.at(corners, (right, high), weights)
    np.add.at(corners, (left, high), -weights)
    np.add.at(corners, (right, low), -weights)
    return corners.cumsum(axis=0).cumsum(axis=1)[:-1, :-1]


def different(rows: Bools) -> tuple[Ints, Ints]:
    """The first of each sort of equal rows, in the order of what they hold; and the sort of each row."""
    if not rows.size:
        return np.zeros(min(1, len(rows)), dtype=np.int64), np.zeros(len(rows), dtype=np.int64)
    bits = np.ascontiguousarray(np.packbits(rows, axis=1))
    whole = bits.view(np.dtype((np.void, bits.shape[1]))).reshape(-1)
    _, first, sort = np.unique(whole, return_index=True, return_inverse=True)
    return first, sort


def _ranks(used: Ints, size: int) -> Ints:
    """For each of 0 to size, how many different used numbers are below it."""
    below = np.zeros(size + 1, dtype=np.int64)
    below[used + 1] = 1
    return below.cumsum()
