"""Steps as in descent.py, over the places that matter only: with many kinds nearly all of them do not.

Of the places of ten models at good prices one in fifty is worth its points or nearly so. Only these are
stepped, each by the four corners of what it takes; and since fewer share a point, prices move further in each
step. Which places these are is asked anew from time to time (`ask`), over all of them. What is said of the
prices in the end (their bound) holds for all places: the lattice looks at every one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from rooflayout.packing.clearance import Bools, Floats
from rooflayout.packing.descent import COLD, FURTHER, LOOK, Descended, Pointed, Walk
from rooflayout.packing.lattice import SINGLE, Singles

ROOM = 0.01  # of its watts that a place may lack to matter
USED = 1e-6  # a place that is used so much matters too
FIRST_STEPS = 30  # of all places, until prices tell which matter
MOST_SHARE = 0.1  # of all open places, at most: those that lack least


class ActiveWalk:
    """Prices and uses as they are, and one step after the other; a Walk (descent.py) over some places."""

    def __init__(self, lattice: Pointed, start: Descended, longer: float, room: float = ROOM) -> None:
        """longer: how much longer steps of places are than those of prices. room: see ROOM."""
        self._lattice, self._unit, self._longer = lattice, max(lattice.watts), longer
        self._room = room
        takeable = lattice.taken([open_.astype(np.float64) for open_ in lattice.open]) > 0.5
        self._prices = np.where(takeable, start.prices / self._unit, 0.0)
        self._all = [used.astype(np.float64) for used in start.uses]
        self._open = [open_.copy() for open_ in lattice.open]
        self._which = [np.zeros(0, dtype=np.int64) for _ in self._open]  # the places that matter, by kind
        self._uses = np.zeros(0)
        self.ask()

    def ask(self) -> None:
        """Look at all places anew: which matter at these prices."""
        self._write()
        lacks = [
            np.where(open_, worth / (watts / self._unit) - 1.0, np.inf).ravel()
            for worth, open_, watts in zip(
                self._lattice.worths(self._prices), self._open, self._lattice.watts, strict=True
            )
        ]
        room = min(self._room, _room_of(lacks, MOST_SHARE))
        self._which = [
            np.nonzero((lack <= room) | ((used.ravel() > USED) & np.isfinite(lack)))[0]
            for lack, used in zip(lacks, self._all, strict=True)
        ]
        boxes = [self._lattice.boxes(n, which) for n, which in enumerate(self._which)]
        left, right, low, high = (np.concatenate(side) for side in zip(*boxes, strict=True))
        self._wide = self._lattice.shape[1] + 1
        pairs = ((right, high), (left, low), (left, high), (right, low))
        self._corners = np.stack([at * self._wide + up for at, up in pairs])
        self._watts = np.concatenate(
            [np.full(len(w), v / self._unit) for w, v in zip(self._which, self._lattice.watts, strict=True)]
        )
        self._uses = np.concatenate(
            [used.ravel()[which] for used, which in zip(self._all, self._which, strict=True)]
        )
        for used in self._all:
            used[:] = 0.0
        crowd = self._taken(np.ones(len(self._watts)))
        on = crowd > 0.5  # points that some of them take
        self._price_step = np.where(on, 1 / np.maximum(crowd, 1) / self._longer, 0.0)
        self._use_step = self._longer / np.maximum(1, (right - left) * (high - low))

    def step(self) -> None:
        """Places that are worth their points are used more, points that are taken too often cost more."""
        new = np.maximum(0.0, self._uses + self._use_step * (self._watts - self._worths()))
        ahead = 2 * new - self._uses
        self._uses = np.maximum(0.0, self._uses + FURTHER * (new - self._uses))
        dearer = self._taken(ahead)
        dearer -= 1
        dearer *= self._price_step
        dearer += self._prices
        np.maximum(dearer, 0, out=dearer)
        dearer -= self._prices
        dearer *= FURTHER
        self._prices = np.maximum(0.0, self._prices + dearer)

    @property
    def uses(self) -> list[Singles]:
        """By kind how much each place is used."""
        self._write()
        return [used.astype(SINGLE) for used in self._all]

    def close(self, places: Sequence[Bools]) -> None:
        """From now on nobody may use these places (by kind)."""
        self._write()
        for open_, there, used in zip(self._open, places, self._all, strict=True):
            open_ &= ~there
            used[there] = 0.0
        stays = np.concatenate(
            [open_.ravel()[which] for open_, which in zip(self._open, self._which, strict=True)]
        )
        self._which = [w[open_.ravel()[w]] for open_, w in zip(self._open, self._which, strict=True)]
        self._corners, self._watts, self._use_step, self._uses = (
            self._corners[:, stays],
            self._watts[stays],
            self._use_step[stays],
            self._uses[stays],
        )

    def here(self) -> Descended:
        """As they are now; the bound is over all places."""
        prices = self._prices * self._unit
        return Descended(self._lattice.bound(prices), prices, tuple(self.uses))

    def _write(self) -> None:
        """The uses of the places that matter, among all."""
        at = 0
        for used, which in zip(self._all, self._which, strict=True):
            used.ravel()[which] = self._uses[at : at + len(which)]
            at += len(which)

    def _worths(self) -> Floats:
        """Of each place that matters the worth of the points that it takes."""
        total = np.zeros((self._lattice.shape[0] + 1, self._wide))
        np.cumsum(self._prices, axis=0, out=total[1:, 1:])
        np.cumsum(total[1:, 1:], axis=1, out=total[1:, 1:])
        there = total.ravel()[self._corners]
        return np.asarray(there[0] + there[1] - there[2] - there[3])

    def _taken(self, uses: Floats) -> Floats:
        """How often each point is taken."""
        size = (self._lattice.shape[0] + 1) * self._wide
        signed = np.concatenate([uses, uses, -uses, -uses])
        at_corners = np.bincount(self._corners.ravel(), weights=signed, minlength=size)
        found: Floats = np.asarray(at_corners, dtype=np.float64).reshape(-1, self._wide)
        np.cumsum(found, axis=0, out=found)
        np.cumsum(found, axis=1, out=found)
        return found[:-1, :-1]


def some_steps(lattice: Pointed, start: Descended, ended: Callable[[float], bool]) -> Descended:
    """A few steps of all places, until prices tell which of them matter; ended(bound) ends them."""
    walk = Walk(lattice, start, COLD)
    for step in range(FIRST_STEPS):
        if step % LOOK == 0 and ended(start.bound):
            break
        walk.step()
    here = walk.here()
    return replace(here, bound=min(start.bound, here.bound))


def _room_of(lacks: Sequence[Floats], share: float) -> float:
    """With how much room so large a share of all open places matters."""
    some = np.concatenate([lack[np.isfinite(lack)] for lack in lacks])
    if not len(some):
        return 0.0
    return float(np.partition(some, int(share * (len(some) - 1)))[int(share * (len(some) - 1))])
