"""Which candidates cover the same points, and which of them cover more than another of their kind.

Of the points asked about a candidate covers all that lie in its box, so the tight box round those tells what
it covers: two cover the same where these boxes are the same, and one covers all that another does where its
box holds the other's. A linear programme over these points has no use for one that covers more than another.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import PointGrid

MANY = 5000  # each is compared with each: 0.02 s for 1500


def tight_boxes(grid: PointGrid, points: Ints, which: Ints) -> Ints:
    """Round the points (rows of two indices) that each of these candidates covers: (candidates, 4).

    From and to along x, from and to along y, in numbers of lines with points. What covers none has no such
    box; the one told for it is never that of one that covers some, nor holds one.
    """
    p, q = points.reshape(-1, 2).T
    columns, rows = np.unique(p), np.unique(q)
    total = np.zeros((len(columns) + 1, len(rows) + 1), dtype=np.int32)
    total[np.searchsorted(columns, p) + 1, np.searchsorted(rows, q) + 1] = 1
    total = total.cumsum(axis=0).cumsum(axis=1)
    a, b = (np.searchsorted(columns, side[which]) for side in (grid.left, grid.right))
    c, d = (np.searchsorted(rows, side[which]) for side in (grid.low, grid.high))

    def any_in(a: Ints, b: Ints, c: Ints, d: Ints) -> Bools:
        return np.asarray(total[b, d] - total[a, d] - total[b, c] + total[a, c] > 0)

    left = a + _least(lambda lines: any_in(a, a + lines, c, d), b - a) - 1
    right = b - _least(lambda lines: any_in(b - lines, b, c, d), b - a) + 1
    low = c + _least(lambda lines: any_in(left, right, c, c + lines), d - c) - 1
    high = d - _least(lambda lines: any_in(left, right, d - lines, d), d - c) + 1
    return np.stack([left, right, low, high], axis=1)


def _least(found: Callable[[Ints], Bools], most: Ints) -> Ints:
    """The least number from 1 to most, of each, with which it is found; most, or 1, where it never is."""
    low, high = np.ones_like(most), most.copy()
    while np.any(low < high):
        middle = (low + high) // 2
        there = found(middle)
        low, high = np.where(there, low, middle + 1), np.where(there, middle, high)
    return np.maximum(high, 1)


def alike(boxes: Ints, kind: Ints) -> tuple[Ints, Ints]:
    """The first of each sort with the same kind and box, by kind; and the sort of each."""
    count = len(kind) + 1
    x, y = (_numbered(boxes[:, side], boxes[:, side + 1]) for side in (0, 2))
    _, first, sort = np.unique((kind * count + x) * count + y, return_index=True, return_inverse=True)
    return first, sort


def _numbered(one: Ints, other: Ints) -> Ints:
    """Pairs of numbers from 0 on by one number, below how many they are."""
    _, number = np.unique(one * (int(other.max(initial=0)) + 1) + other, return_inverse=True)
    return np.asarray(number)


def _covers_all_of(boxes: Ints) -> Bools:
    """[i, j]: i covers all that j does, and j is another."""
    left, right, low, high = boxes.T
    holds = (left[:, None] <= left) & (right[:, None] >= right)
    holds &= (low[:, None] <= low) & (high[:, None] >= high)
    np.fill_diagonal(holds, False)
    return np.asarray(holds)


def needed(boxes: Ints, kind: Ints) -> Bools:
    """Those that cover no more than they need to, all different; all where there are MANY of a kind."""
    keep = np.ones(len(kind), dtype=bool)
    for k in np.unique(kind):
        own = np.nonzero(kind == k)[0]
        if len(own) <= MANY:
            keep[own[_covers_all_of(boxes[own]).any(axis=1)]] = False
    return keep
