"""States of a sheet that fills up from below, a row a state, and what may be put into their niches."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Ints

Floats = NDArray[np.float64]
NOTHING = 1 << 40  # the height of a stretch that is not there


@dataclass(frozen=True, slots=True)
class States:
    """A row a state; all of them have as many panels."""

    x: Ints  # (n, k + 1): where each stretch of the skyline begins, then the sheet's width
    y: Ints  # (n, k): its height, then NOTHING
    used: Ints  # (n, sorts)
    lost: Ints  # (n,): area
    watts: Ints
    filled: Ints  # area of panels
    spare: Floats  # (n, rates): what the panels left are worth beyond their area at a rate
    path: Ints  # (n, panels): way and corner of each

    def __len__(self) -> int:
        return len(self.x)

    def take(self, which: Ints) -> States:
        return States(*(getattr(self, f.name)[which] for f in fields(self)))


@dataclass(frozen=True, slots=True)
class Children:
    """A row for each panel put into the niche of a state, before it is made a state."""

    state: Ints  # its number
    way: Ints
    shift: Ints  # from the niche's left wall
    lost: Ints  # as the state's will be
    bound: Floats  # the most watts of any layout that begins so

    def __len__(self) -> int:
        return len(self.state)

    def take(self, which: Ints) -> Children:
        return Children(*(getattr(self, f.name)[which] for f in fields(self)))


def tidy(x: Ints, y: Ints) -> tuple[Ints, Ints]:
    """Without stretches of no width, and neighbours of the same height in one."""
    x, y = _kept(x, y, x[:, 1:] > x[:, :-1])
    there = y < NOTHING
    there[:, 1:] &= y[:, 1:] != y[:, :-1]
    return _kept(x, y, there)


def _kept(x: Ints, y: Ints, there: NDArray[np.bool_]) -> tuple[Ints, Ints]:
    """The stretches that are there, as far to the left as they go."""
    count = there.sum(axis=1)
    most = max(1, int(count.max(initial=1)))
    order = np.argsort(~there, axis=1, kind="stable")[:, :most]
    gone = np.arange(most) >= count[:, None]
    ends = np.where(gone, x[:, -1:], np.take_along_axis(x[:, :-1], order, axis=1))
    tops = np.where(gone, NOTHING, np.take_along_axis(y, order, axis=1))
    return np.column_stack([ends, x[:, -1]]), tops
