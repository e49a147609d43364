"""Conservative scales: sizes that may be counted in place of the real ones, to see early what cannot fit.

A dual feasible function f has: sizes that together stay within the length L have f of them together within
f(L). With such functions along both axes, the products f(wide) g(deep) of whatever fits on a sheet stay
within f(W) g(H) (Fekete and Schepers 2004, "A general framework for bounds for higher-dimensional
orthogonal packing problems"; the functions as in Carlier, Clautiaux and Moukrim 2007, "New reduction
procedures and lower bounds for the two-dimensional bin packing problem with fixed orientation"; both from
memory, and tested against every sum of small sizes).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from rooflayout.packing.clearance import Ints
from rooflayout.packing.pieces import Pieces

Scale = Callable[[int], int]
MOST_FUNCTIONS = 90  # along an axis; those for the larger sizes come first
MOST_STEPS = 8  # of u


def plain(size: int) -> int:
    """The sizes themselves."""
    return size


def large(length: int, k: int) -> Scale:
    """Sizes above L - k count as L, those under k not at all; k at most L / 2."""
    return lambda size: length if size > length - k else (size if size >= k else 0)


def steps(length: int, k: int) -> Scale:
    """Sizes in whole k; those over L / 2 by what they leave (f_CCM,1); k at most L / 2."""

    def scale(size: int) -> int:
        if 2 * size > length:
            return 2 * (length // k - (length - size) // k)
        return length // k if 2 * size == length else 2 * (size // k)

    return scale


def shares(length: int, k: int) -> Scale:
    """Sizes in whole (k + 1)-ths of L, counted as k-ths (u of k)."""
    return lambda size: size * k if (k + 1) * size % length == 0 else (k + 1) * size // length * length


def functions(length: int, sizes: Sequence[int]) -> list[Scale]:
    """Functions that differ on these sizes, for a length."""
    marks = sorted({s for size in sizes for s in (size, length - size, length - size + 1)}, reverse=True)
    marks = [k for k in marks if 1 <= k <= length // 2]
    every: list[Scale] = [plain]
    every += [make(length, k) for k in marks for make in (large, steps)]
    every += [shares(length, k) for k in range(1, MOST_STEPS)]
    found: dict[tuple[int, ...], Scale] = {}
    for scale in every:
        if scale(length) > 0:
            found.setdefault((*(scale(s) for s in sizes), scale(length)), scale)
    return list(found.values())[:MOST_FUNCTIONS]


class Scales:
    """Rows over the ways of pieces: weights and a limit, which every set that fits keeps to."""

    def __init__(self, pieces: Pieces) -> None:
        rows: dict[tuple[int, ...], int] = {}
        for number, sheet in enumerate(pieces.sheets):
            own = [n for n, w in enumerate(pieces.ways) if w.sheet == number]
            if not own:
                continue
            wide, deep = ([getattr(pieces.ways[n], side) for n in own] for side in ("wide", "deep"))
            across, along = functions(sheet.wide, wide), functions(sheet.deep, deep)
            for f in across:
                of_wide = [f(w) for w in wide]
                for g in along:
                    weights = [0] * len(pieces.ways)
                    for n, a, d in zip(own, of_wide, deep, strict=True):
                        weights[n] = a * g(d)
                    taken = sum(f(x1 - x0) * g(y1 - y0) for x0, y0, x1, y1 in sheet.taken)
                    limit = f(sheet.wide) * g(sheet.deep) - taken
                    key = tuple(weights)
                    rows[key] = min(limit, rows.get(key, limit))
        self.weights: Ints = np.array(list(rows), dtype=np.int64).reshape(len(rows), len(pieces.ways))
        self.limits: Ints = np.array(list(rows.values()), dtype=np.int64)

    def broken(self, counts: Sequence[int], most: int) -> list[int]:
        """The rows (numbers) that so many pieces of each way break worst, at most so many of them."""
        over = (self.weights @ np.array(counts, dtype=np.int64) - self.limits) / np.maximum(1, self.limits)
        worst = np.argsort(-over, kind="stable")[:most]
        return [int(n) for n in worst if over[n] > 0]
