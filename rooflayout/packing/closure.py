"""Closure: a candidate stays while the roof or another candidate can hold it along x and along y.

Every layout can be pushed until each panel is held both ways (positions.py). So a candidate whose
support can come neither from the roof nor from another candidate is dropped; that may take the support
of others, so it is done until nothing changes. It holds for any set of candidates that a whole layout
is to be made of, and is done again when prices have ruled some out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.kinds import Kind

KEY = 1 << 21  # more than any coordinate; makes (coordinate, coordinate) one sortable number
APART = 1 << 20  # keeps the lines of one facet from those of another


@dataclass(frozen=True, slots=True)
class Candidates:
    """Places, one a row: which kind, its corner nearest the facet's origin, and how it is pushed.

    low: pushed towards the origin along the axis, else away from it. held: by the roof itself.
    """

    kind: Ints
    x_mm: Ints
    y_mm: Ints
    low_x: Bools
    low_y: Bools
    held_x: Bools
    held_y: Bools

    def __len__(self) -> int:
        return len(self.kind)

    def take(self, which: Ints | Bools) -> Candidates:
        """The rows picked by an index or a mask."""
        return Candidates(
            self.kind[which],
            self.x_mm[which],
            self.y_mm[which],
            self.low_x[which],
            self.low_y[which],
            self.held_x[which],
            self.held_y[which],
        )


def free_standing(kind: Ints, x_mm: Ints, y_mm: Ints) -> Candidates:
    """Candidates that need no support."""
    yes = np.ones(len(kind), dtype=bool)
    return Candidates(kind, x_mm, y_mm, yes, yes, yes, yes)


def joined(parts: Sequence[Candidates]) -> Candidates:
    """The candidates of several parts, one after the other."""
    return Candidates(
        np.concatenate([p.kind for p in parts]),
        np.concatenate([p.x_mm for p in parts]),
        np.concatenate([p.y_mm for p in parts]),
        np.concatenate([p.low_x for p in parts]),
        np.concatenate([p.low_y for p in parts]),
        np.concatenate([p.held_x for p in parts]),
        np.concatenate([p.held_y for p in parts]),
    )


def closed(candidates: Candidates, kinds: Sequence[Kind], which: Ints) -> Ints:
    """Those of the given candidates (sorted numbers) that the roof or one another can hold."""
    facet = np.array([k.facet for k in kinds], dtype=np.int64)[candidates.kind[which]] * APART
    size_x = np.array([k.pitch_x_mm for k in kinds], dtype=np.int64)[candidates.kind[which]]
    size_y = np.array([k.pitch_y_mm for k in kinds], dtype=np.int64)[candidates.kind[which]]
    some = candidates.take(which)
    x, y = some.x_mm, some.y_mm
    stays = np.ones(len(which), dtype=bool)
    while True:
        before = int(stays.sum())
        for at, size, across, width, low, held in (
            (x + facet, size_x, y, size_y, some.low_x, some.held_x),
            (y + facet, size_y, x, size_x, some.low_y, some.held_y),
        ):
            s = np.nonzero(stays)[0]
            stays[s] = _supported(at[s], size[s], across[s], width[s], low[s], held[s])
        if int(stays.sum()) == before:
            return which[stays]


def _supported(at: Ints, size: Ints, across: Ints, width: Ints, low: Bools, held: Bools) -> Bools:
    """Which places are held by the roof, or touched by another place pushed the same way."""
    ok = held.copy()
    ask = low & ~held
    ok[ask] = _touched(at[ask], across[ask], width[ask], (at + size)[low], across[low], width[low])
    ask = ~low & ~held
    ok[ask] = _touched((at + size)[ask], across[ask], width[ask], at[~low], across[~low], width[~low])
    return ok


def _touched(line: Ints, start: Ints, width: Ints, by_line: Ints, by_start: Ints, by_width: Ints) -> Bools:
    """For each asker: does some other one on the same line overlap (start, start + width)?"""
    if not len(by_line) or not len(line):
        return np.zeros(len(line), dtype=bool)
    order = np.argsort(by_line * KEY + by_start, kind="stable")
    starts = (by_line * KEY + by_start)[order]
    furthest = np.maximum.accumulate((by_line * KEY + by_start + by_width)[order])
    last = np.searchsorted(starts, line * KEY + start + width, side="left") - 1
    return np.asarray((last >= 0) & (furthest[np.maximum(last, 0)] > line * KEY + start))
