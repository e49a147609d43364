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
OTHER_SIDE = 1 << 60  # and the lines of places pushed one way from those of places pushed the other way
NOBODY = -1


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
    along_x = _Holding(x + facet, size_x, y, size_y, some.low_x, some.held_x)
    along_y = _Holding(y + facet, size_y, x, size_x, some.low_y, some.held_y)
    stays = np.ones(len(which), dtype=bool)
    while along_x.drop(stays) | along_y.drop(stays):
        pass
    return which[stays]


class _Holding:
    """Along one axis: by whom each place is held, that is touched by one pushed the same way, or by the roof.

    Who is asked for again: only those whose holder is gone.
    """

    def __init__(self, at: Ints, size: Ints, across: Ints, width: Ints, low: Bools, held: Bools) -> None:
        far, side = at + size, np.where(low, 0, OTHER_SIDE)
        self._asks = np.where(low, at, far) * KEY + across + side  # the line that must be touched
        self._gives = np.where(low, far, at) * KEY + across + side  # the line where others may be held
        self._width, self._needs = width, ~held
        self._order = np.argsort(self._gives, kind="stable")
        self._holder = np.full(len(at), NOBODY)

    def drop(self, stays: Bools) -> bool:
        """No longer stay those whom nobody holds that stays; whether there were any."""
        gone = (self._holder == NOBODY) | ~stays[self._holder]
        ask = np.nonzero(stays & self._needs & gone)[0]
        if not len(ask):
            return False
        self._holder[ask] = self._touching(ask, stays)
        lost = ask[self._holder[ask] == NOBODY]
        stays[lost] = False
        return len(lost) > 0

    def _touching(self, ask: Ints, stays: Bools) -> Ints:
        """For each asker one that stays, gives its line and overlaps it across; or NOBODY."""
        order = self._order[stays[self._order]]
        starts = self._gives[order]
        ends = starts + self._width[order]
        furthest = np.maximum.accumulate(ends)
        number = np.arange(len(order))
        reaches = np.maximum.accumulate(np.where(ends == furthest, number, 0))
        last = np.searchsorted(starts, self._asks[ask] + self._width[ask], side="left") - 1
        touched = (last >= 0) & (furthest[np.maximum(last, 0)] > self._asks[ask])
        return np.where(touched, order[reaches[np.maximum(last, 0)]], NOBODY)
