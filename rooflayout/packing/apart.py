"""More points for candidates that overlap without sharing a point that has been asked for.

The points of the relaxation are those that its solutions needed. Whole panels need more: two candidates
may overlap by a few millimetres where no point lies. A few hundred points, each where most such pairs
overlap, leave few of them.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Point, PointGrid


def parting_points(grid: PointGrid, which: Ints, covers: Bools, most: int) -> list[Point]:
    """At most so many points, those first that part most overlapping pairs of the given candidates.

    covers: which points (rows) are asked for already, and which of the candidates (columns) each lies in.
    """
    left, right, low, high = (v[which] for v in (grid.left, grid.right, grid.low, grid.high))
    overlap = np.maximum(left[:, None], left) < np.minimum(right[:, None], right)
    overlap &= np.maximum(low[:, None], low) < np.minimum(high[:, None], high)
    each = covers.astype(np.float32)
    overlap &= each.T @ each < 0.5
    i, j = np.nonzero(np.triu(overlap, 1))
    a, b = np.maximum(left[i], left[j]), np.minimum(right[i], right[j])
    c, d = np.maximum(low[i], low[j]), np.minimum(high[i], high[j])
    found: list[Point] = []
    while len(a) and len(found) < most:
        count = np.zeros((grid.shape[0] + 1, grid.shape[1] + 1), dtype=np.int32)
        for x, y, sign in ((a, c, 1), (b, d, 1), (a, d, -1), (b, c, -1)):
            np.add.at(count, (x, y), sign)
        count = count.cumsum(axis=0).cumsum(axis=1)
        p, q = (int(v) for v in np.unravel_index(count.argmax(), count.shape))
        found.append((p, q))
        rest = (a > p) | (p >= b) | (c > q) | (q >= d)
        a, b, c, d = a[rest], b[rest], c[rest], d[rest]
    return found
