"""Good prices for a lattice's points, however large the roof: by steps that need no solver.

The relaxation "most watts, no point taken more than once" and its prices are brought together by the
primal-dual hybrid gradient method (Chambolle and Pock 2011), with a step for each variable of its own (Pock
and Chambolle 2011), and steps taken longer than they are (over-relaxation). A step takes a few sums of rows
and columns of the lattice, and no matrix is kept. Whatever comes out, lattice.py makes a true bound of it.
A mesh (mesh.py) can stand for the lattice.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Bools, Floats, Ints
from rooflayout.packing.lattice import SINGLE, Axis, Lattice, Singles

COLD = 3.0  # how much longer steps of places are than those of prices
WARM = 10.0  # likewise where there are good prices to begin with
FURTHER = 1.7  # times each step
ROUND = 100  # steps between two looks at the bound
LOOK = 10  # and between two looks at the clock
LEAST_GAIN = 2e-4  # of the bound, in so many rounds; with less the descent is at its end
ROUNDS = 5
MOST_ROUNDS = 80
CLOSED = SINGLE(-1e3)  # a place that nobody may use is worth far less than nothing


@dataclass(frozen=True, slots=True)
class Descended:
    """Prices (tenths of a watt) by point, uses by kind and place; bound: watts that no layout exceeds."""

    bound: float
    prices: Floats
    uses: tuple[Singles, ...]


class Pointed(Protocol):
    """Points, and places of kinds that take them: a lattice or a mesh, whose methods say what they give."""

    shape: tuple[int, int]
    watts: list[float]
    open: list[Bools]

    @property
    def counts(self) -> Sequence[float | Floats]:
        """By kind how many points a place takes."""

    def even(self) -> Floats: ...

    def worths(self, prices: NDArray[np.floating]) -> list[NDArray[np.floating]]: ...

    def taken(self, places: Sequence[NDArray[np.floating]]) -> NDArray[np.floating]: ...

    def boxes(self, kind: int, places: Ints) -> tuple[Ints, Ints, Ints, Ints]: ...

    def bound(self, prices: NDArray[np.floating]) -> float: ...


def start_at(lattice: Pointed) -> Descended:
    """The area bound: by area every point alike, worth what the densest kind needs."""
    prices = lattice.even()
    if not lattice.watts:
        return Descended(0.0, prices, ())
    crowd = max(1.0, float(lattice.taken([o.astype(SINGLE) for o in lattice.open]).max()))
    uses = tuple((o / crowd).astype(SINGLE) for o in lattice.open)
    return Descended(lattice.bound(prices), prices, uses)


def descend(
    lattice: Pointed,
    start: Descended,
    ended: Callable[[float], bool],
    warm: bool = False,
    rounds: int = MOST_ROUNDS,
    walk: Walking | None = None,
) -> Descended:
    """From there on down, until ROUNDS rounds gain less than LEAST_GAIN, or ended(bound).

    warm: start has good prices, of another lattice as a rule. walk: that goes from start, if not a Walk.
    """
    if not lattice.watts or not any(o.any() for o in lattice.open):
        return Descended(0.0, np.zeros(lattice.shape), start.uses)
    walk = Walk(lattice, start, WARM if warm else COLD) if walk is None else walk
    best, bounds = start, [math.inf]
    while len(bounds) <= rounds and not ended(best.bound):
        for step in range(ROUND):
            if step % LOOK == 0 and ended(best.bound):
                return best
            walk.step()
        here = walk.here()
        walk.ask()
        bounds.append(min(bounds[-1], here.bound))
        if best is start:  # its prices have not learnt anything, even where their bound is still the lowest
            best = replace(here, bound=min(start.bound, here.bound))
        best = min(best, here, key=lambda found: found.bound)
        if len(bounds) > ROUNDS and bounds[-1 - ROUNDS] - bounds[-1] < LEAST_GAIN * bounds[-1]:
            break
    return best


def moved(old: Lattice, found: Descended, new: Lattice) -> Descended:
    """Prices at the nearest points, uses at the nearest places, of another lattice of the same field."""
    near_x, near_y = (
        _nearest(a, b, n, m) for a, b, n, m in zip(old.axes, new.axes, old.shape, new.shape, strict=True)
    )
    prices = np.zeros(new.shape)
    np.add.at(prices, (near_x[:, None], near_y[None, :]), found.prices)
    uses = []
    for used, open_ in zip(found.uses, new.open, strict=True):
        there = np.zeros(open_.shape, SINGLE)
        between = [
            _between(a, b, n, m)
            for a, b, n, m in zip(old.axes, new.axes, used.shape, open_.shape, strict=True)
        ]
        for i, share_i in between[0]:
            for j, share_j in between[1]:
                part = used * np.outer(share_i, share_j).astype(SINGLE)
                np.add.at(there, (i[:, None], j[None, :]), part)
        uses.append(np.where(open_, there, SINGLE(0)))
    return Descended(new.bound(prices), prices, tuple(uses))


def _nearest(old: Axis, new: Axis, count: int, most: int) -> Ints:
    """Of each of the old lines the nearest new one."""
    at = old.lead_mm + np.arange(count) * old.raster_mm
    nearest: Ints = np.rint((at - new.lead_mm) / new.raster_mm).astype(np.int64)
    return np.clip(nearest, 0, most - 1)


def _between(old: Axis, new: Axis, count: int, most: int) -> list[tuple[Ints, Floats]]:
    """Of what is rounded up to each of the old lines two new ones, and the share that each has of it."""
    middle = old.lead_mm + (np.arange(count) - 0.5) * old.raster_mm
    at = (middle - new.lead_mm) / new.raster_mm + 0.5
    low = np.floor(at)
    return [
        (np.clip(low, 0, most - 1).astype(np.int64), 1 - (at - low)),
        (np.clip(low + 1, 0, most - 1).astype(np.int64), at - low),
    ]


class Walking(Protocol):
    """What steps: a Walk, or an ActiveWalk (active.py)."""

    @property
    def uses(self) -> Sequence[NDArray[np.floating]]:
        """By kind how much each place is used."""

    def ask(self) -> None:
        """Which places matter, where not all are stepped."""

    def step(self) -> None: ...

    def close(self, places: Sequence[Bools]) -> None: ...

    def here(self) -> Descended: ...


class Walk:
    """Prices and uses as they are, and one step after the other."""

    def __init__(self, lattice: Pointed, start: Descended, longer: float) -> None:
        self._lattice, self._unit = lattice, max(lattice.watts)
        unit = self._unit
        self._watts = [
            np.where(o, SINGLE(w / unit), CLOSED) for o, w in zip(lattice.open, lattice.watts, strict=True)
        ]
        crowd = lattice.taken([o.astype(SINGLE) for o in lattice.open])
        on = crowd > 0.5  # points that some panel can take
        self._price_step = np.where(on, 1 / np.maximum(crowd, 1) / longer, 0).astype(SINGLE)
        self._use_steps = [np.asarray(longer / count, SINGLE) for count in lattice.counts]
        self._prices = np.where(on, start.prices / unit, 0).astype(SINGLE)
        self._uses = list(start.uses)

    @property
    def uses(self) -> list[Singles]:
        """By kind how much each place is used."""
        return self._uses

    def ask(self) -> None:
        """All places are stepped."""

    def step(self) -> None:
        """Places that are worth their points are used more, points that are taken too often cost more."""
        ahead = []
        for n, worth in enumerate(self._lattice.worths(self._prices)):
            used = self._uses[n]
            np.subtract(self._watts[n], worth, out=worth)
            worth *= self._use_steps[n]
            worth += used
            np.maximum(worth, 0, out=worth)
            ahead.append(2 * worth - used)
            self._uses[n] = _beyond(used, worth)
        dearer = self._lattice.taken(ahead)
        dearer -= 1
        dearer *= self._price_step
        dearer += self._prices
        np.maximum(dearer, 0, out=dearer)
        self._prices = _beyond(self._prices, dearer)

    def close(self, places: Sequence[Bools]) -> None:
        """From now on nobody may use these places (by kind)."""
        for watts, used, there in zip(self._watts, self._uses, places, strict=True):
            watts[there] = CLOSED
            used[there] = 0

    def here(self) -> Descended:
        """As they are now."""
        prices = self._prices.astype(np.float64) * self._unit
        return Descended(self._lattice.bound(prices), prices, tuple(self._uses))


def _beyond(old: Singles, new: Singles) -> Singles:
    """From the old values to the new ones and further, not below 0."""
    step = new - old
    step *= SINGLE(FURTHER)
    step += old
    np.maximum(step, 0, out=step)
    return step
