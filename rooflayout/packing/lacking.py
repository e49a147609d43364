"""How many millimetres a layout lacks along one axis, its panels pushed together at their real sizes.

Panels that overlap a little may be pushed apart along either axis. Here nothing may be lacking across; as
many pairs as that allows are kept apart across, and what overlaps across is pushed along. What is in a
panel's way along the axis is exact, since by then it is known where it stands across: beside the shoulder of
a round vent there is room that the box round it does not have.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from rooflayout.packing.clearance import Bools, Floats, Ints
from rooflayout.packing.ground import AXES, EDGE, END, NOTHING, Axis, Give, Ground, Walls
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import Kind

MOST_MM = 60  # more is no near miss
FAR = 1e9
NEARLY_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Lack:
    """So many millimetres along an axis, between two things."""

    axis: Axis
    short_mm: int
    between: tuple[str, str]
    places: tuple[Place, ...]  # of the panels, once what is behind them has given way


@dataclass(frozen=True, slots=True)
class _Panels:
    """Corners, sides and pitches in mm, each (panels, 2)."""

    corner: Floats
    side: Floats
    pitch: Floats

    def gaps(self, axis: int) -> Floats:
        """[i, j]: from the one's end to the other's start, whichever comes first along an axis."""
        start, end = self.corner[:, axis], self.corner[:, axis] + self.pitch[:, axis]
        gap = start[None, :] - end[:, None]
        return np.maximum(gap, gap.T)

    def later(self, axis: int) -> Bools:
        """[i, j]: j's middle comes after i's; of two alike the one that is named later."""
        middle = 2 * self.corner[:, axis] + self.pitch[:, axis]
        number = np.arange(len(middle))
        same = (middle[None, :] == middle[:, None]) & (number[None, :] > number[:, None])
        return np.asarray((middle[None, :] > middle[:, None]) | same)


@dataclass(frozen=True, slots=True)
class _Apart:
    """What is kept apart across: pairs of panels, and panels from things."""

    pairs: Bools  # (panels, panels), both ways round
    things: Bools  # (panels, things)


@dataclass(frozen=True, slots=True)
class _Pushed:
    """Panels pushed along an axis towards its start."""

    at: Floats
    before: Ints  # on which panel each leans; -1: on a wall
    walls: Walls
    across: Floats  # where the panels stand along the other axis, if that is settled

    def excess(self) -> Floats:
        return self.at - self.walls.high_mm

    def chain(self, last: int) -> list[int]:
        """The panels up to this one, each leaning on the one before it."""
        found = [last]
        while self.before[found[-1]] >= 0:
            found.append(int(self.before[found[-1]]))
        return found[::-1]


def lacks(ground: Ground, kinds: Sequence[Kind], places: Sequence[Place]) -> Iterator[Lack]:
    """Along each axis, where something little is lacking along it and nothing along the other.

    One length between two things, each of which alone would only have to give way by it. Nothing where the
    panels fit as they are.
    """
    own = [kinds[k] for k, _, _ in places]
    panels = _Panels(
        np.array([(x, y) for _, x, y in places], dtype=np.float64),
        np.array([(k.w_mm, k.h_mm) for k in own], dtype=np.float64),
        np.array([(k.pitch_x_mm, k.pitch_y_mm) for k in own], dtype=np.float64),
    )
    for axis in (0, 1):
        judge = _Judge(ground, panels, axis)
        found = judge.least()
        if found is not None and 0 < (short := int(found.excess().max())) <= MOST_MM:
            between = judge.between(found, short)
            if between is not None:
                x, y = (found.at, found.across)[:: 1 - 2 * axis]
                there = ((k, int(at[0]), int(at[1])) for (k, _, _), *at in zip(places, x, y, strict=True))
                yield Lack(AXES[axis], short, between, tuple(there))


class _Judge:
    """Looks for the order of neighbours with which the least is lacking along an axis."""

    def __init__(self, ground: Ground, panels: _Panels, axis: int) -> None:
        self.ground, self.panels, self.axis, self.other = ground, panels, axis, 1 - axis
        self.gaps = panels.gaps(0), panels.gaps(1)
        self.from_things = tuple(ground.gaps(a, panels.corner, panels.side) for a in (0, 1))
        self.later = panels.later(0), panels.later(1)

    def least(self) -> _Pushed | None:
        """The panels pushed along the axis; None where something is lacking across all the same."""
        start = self._start()
        if start is None:
            return None
        apart, best = start
        tried: set[tuple[int, int, bool]] = set()
        while best.excess().max() > NEARLY_MM:
            better = next(self._better(apart, best, tried), None)
            if better is None:
                break
            apart, best = better
        return best

    def _start(self) -> tuple[_Apart, _Pushed] | None:
        """What is farther apart across than along, less what does not go."""
        a, b = self.axis, self.other
        apart = _Apart(self.gaps[b] > self.gaps[a], self.from_things[b] > self.from_things[a])
        for _ in range(2 * len(self.panels.corner)):
            across = self._across(apart)
            excess = across.excess()
            if excess.max() <= NEARLY_MM:
                return apart, self._along(apart, across)
            links = list(self._links(across, int(excess.argmax()), self.gaps[a], self.from_things[a]))
            if not links:
                return None
            _, i, j, thing = max(links)
            apart = _changed(apart, i, j, thing, across=False)
        return None

    def _better(
        self, apart: _Apart, best: _Pushed, tried: set[tuple[int, int, bool]]
    ) -> Iterator[tuple[_Apart, _Pushed]]:
        """One more kept apart across of those that are in each other's way where most is lacking."""
        b = self.other
        links = self._links(best, int(best.excess().argmax()), self.gaps[b], self.from_things[b])
        for _, i, j, thing in sorted(links, reverse=True):
            if (i, j, thing) in tried:
                continue
            tried.add((i, j, thing))
            more = _changed(apart, i, j, thing, across=True)
            across = self._across(more)
            if across.excess().max() <= NEARLY_MM:
                found = self._along(more, across)
                if found.excess().max() < best.excess().max() - NEARLY_MM:
                    yield more, found

    def _links(
        self, found: _Pushed, last: int, gaps: Floats, from_things: Floats
    ) -> Iterator[tuple[float, int, int, bool]]:
        """What stands behind one another up to this panel, that may be apart the other way; by how much."""
        chain = found.chain(last)
        for i, j in pairwise(chain):
            if gaps[i, j] >= -MOST_MM:
                yield float(gaps[i, j]), i, j, False
        for i, walls in ((chain[0], found.walls.lows), (chain[-1], found.walls.highs)):
            n = int(walls[i])
            if n != END and from_things[i, n] >= -MOST_MM:
                yield float(from_things[i, n]), i, n, True

    def _across(self, apart: _Apart) -> _Pushed:
        p, b = self.panels, self.other
        walls = self.ground.walls_of(b, p.side, p.corner, apart.things)
        return _push(walls, p.pitch[:, b], apart.pairs & self.later[b])

    def _along(self, apart: _Apart, across: _Pushed) -> _Pushed:
        """The best of three: across as far to the start as it goes, to the end, and as it was."""
        p, b = self.panels, self.other
        order = apart.pairs & self.later[b]
        last = _pushed_back(across.walls.high_mm, p.pitch[:, b], order)
        near = np.minimum(np.maximum(p.corner[:, b], across.at), last)
        near = _push(replace(across.walls, low_mm=near), p.pitch[:, b], order).at
        found = []
        for at in (near, across.at, last):
            found.append(self._pushed(at))
            if found[-1].excess().max() <= NEARLY_MM:
                break
        return min(found, key=lambda f: (float(f.excess().max()), self._leans_on_a_slant(f)))

    def _pushed(self, at: Floats, give: Give = NOTHING) -> _Pushed:
        """Along the axis, standing at so much across."""
        p, a, b = self.panels, self.axis, self.other
        ends = at + p.pitch[:, b]
        meet = (at[None, :] < ends[:, None] - NEARLY_MM) & (at[:, None] < ends[None, :] - NEARLY_MM)
        walls = self.ground.walls_at(a, p.side, p.corner[:, a], at, give)
        return replace(_push(walls, p.pitch[:, a], meet & self.later[a]), across=at)

    def _leans_on_a_slant(self, found: _Pushed) -> bool:
        """Whether a panel touches a slanted edge: of such places the search tries but a few.

        They may be there, and still it need not find them on a roof that gave way.
        """
        walls, slants = found.walls, self.ground.slanted_edges()
        leans = (found.before < 0) & np.isin(walls.lows, slants)
        return bool((leans | (np.isin(walls.highs, slants) & (found.excess() > -1))).any())

    def between(self, found: _Pushed, short: int) -> tuple[str, str] | None:
        """Between what so much is lacking; None where one of the two giving way would not be enough."""
        if self._leans_on_a_slant(found):
            return None
        worst = int(found.excess().argmax())
        low, high = int(found.walls.lows[found.chain(worst)[0]]), int(found.walls.highs[worst])
        names = self.ground.name(low), self.ground.name(high)
        behind = self.ground.like(high) if names[1] != EDGE else (high,)
        gives = [Give(behind, short, "ends")]
        if names[0] != EDGE or names[1] != EDGE:
            gives.append(Give(self.ground.like(low), short, "begins"))
        enough = all(self._pushed(found.across, give).excess().max() <= NEARLY_MM for give in gives)
        return names if enough else None


def _changed(apart: _Apart, i: int, j: int, thing: bool, *, across: bool) -> _Apart:
    """With one pair kept apart across, or no longer."""
    which = (apart.things if thing else apart.pairs).copy()
    which[i, j] = across
    if thing:
        return _Apart(apart.pairs, which)
    which[j, i] = across
    return _Apart(which, apart.things)


def _push(walls: Walls, pitch: Floats, after: Bools) -> _Pushed:
    """Each panel as near to its wall and to those before it as it goes; [i, j]: j comes after i."""
    at = walls.low_mm.copy()
    every = np.arange(len(at))
    by, ends = every, np.full(len(at), -FAR)
    for _ in range(len(at) + 1):
        all_ends = np.where(after, (at + pitch)[:, None], -FAR)
        by = all_ends.argmax(axis=0)
        ends = all_ends[by, every]
        moved = ends > at
        if not moved.any():
            break
        at = np.where(moved, ends, at)
    return _Pushed(at, np.where(ends > walls.low_mm, by, -1), walls, at)


def _pushed_back(high: Floats, pitch: Floats, after: Bools) -> Floats:
    """Each panel as near to the end as it goes."""
    walls = Walls(-(high + pitch), high, np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64))
    return -(_push(walls, pitch, after.T).at + pitch)
