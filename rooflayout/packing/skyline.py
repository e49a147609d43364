"""Layouts of one bare sheet, grown from below: states with the skyline of what lies there, by the thousand.

Push the panels of any layout down and to the left until none moves. Then take the lowest stretch of the
skyline (the niche; the leftmost of those that are equally low). Either a panel stands on its floor, and the
leftmost of these is named with where it begins; or none does, and the niche is filled up as waste to the
lower of its walls. Every pushed layout has exactly one such story, so whoever follows all stories has seen
all layouts. A panel begins at the niche's left wall, or further to the right where it leans against one
that lies on top of that wall; then it begins at a sum of panel widths from the sheet's edge.

What is lost for sure is the waste so far and, above each stretch of the skyline, what no sum of panel depths
fills of the height that is left. All lengths in units of the pieces (pieces.py), watts in tenths.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Ints
from rooflayout.packing.incumbent import SLACK
from rooflayout.packing.pieces import Pieces
from rooflayout.packing.states import NOTHING, Children, Floats, States, tidy

MOST_RATES = 8  # of watts by area, at which what is left of the sheet is valued
AT_A_TIME = 400_000  # pairs of a state and a way
DIGITS = 20  # binary, of a coordinate


@dataclass(frozen=True, slots=True)
class _Niche:
    """The lowest stretch of each state: its number, its ends, its floor, the tops of its walls."""

    at: Ints
    begin: Ints
    end: Ints
    floor: Ints
    left: Ints
    right: Ints


class Skyline:
    """What can be done with states of one sheet, which must be bare."""

    def __init__(self, pieces: Pieces) -> None:
        (sheet,) = pieces.sheets
        ways, sorts = pieces.ways, pieces.sorts
        self._width, self._depth = sheet.wide, sheet.deep
        self.ways_wide, self.ways_deep = _ints([w.wide for w in ways]), _ints([w.deep for w in ways])
        self.sort_of = np.zeros(len(ways), dtype=np.int64)
        for number, sort in enumerate(sorts):
            self.sort_of[list(sort.ways)] = number
        self.copies, self.watts = _ints([s.copies for s in sorts]), _ints([s.watts for s in sorts])
        areas = (self.ways_wide * self.ways_deep)[[s.ways[0] for s in sorts]]
        rates = np.unique(self.watts / areas)
        if len(rates) > MOST_RATES:
            rates = np.quantile(rates, np.linspace(0, 1, MOST_RATES))
        self._rates: Floats = rates
        self._over: Floats = np.maximum(0.0, self.watts[:, None] - rates * areas[:, None])
        every = [v for s in sorts for v in s.ways for _ in range(s.copies)]
        sums_x, sums_y = (
            sums(side[every], n) for side, n in ((self.ways_wide, sheet.wide), (self.ways_deep, sheet.deep))
        )
        self._begins, self._unfilled_x, self._unfilled_y = sums_x, unfilled(sums_x), unfilled(sums_y)
        self._narrowest, self._shallowest = int(self.ways_wide.min()), int(self.ways_deep.min())

    def empty(self) -> States:
        """The one state with nothing on the sheet."""
        return States(
            x=_ints([[0, self._width]]),
            y=_ints([[0]]),
            used=np.zeros((1, len(self.copies)), dtype=np.int64),
            lost=_ints([self._width * self._unfilled_y[self._depth]]),
            watts=_ints([0]),
            filled=_ints([0]),
            spare=(self._over * self.copies[:, None]).sum(axis=0)[None],
            path=np.zeros((1, 0), dtype=np.int64),
        )

    def bound(self, states: States) -> Floats:
        """The most watts that any layout of a state has."""
        return self._bound(states.watts, states.filled + states.lost, states.spare)

    def with_raised(self, states: States, low: int) -> States:
        """The states, and with them those in which nothing more stands in the niche, and the next, ..."""
        parts = [states]
        while len(parts[-1]):
            niche = _niche(parts[-1], self._width, self._depth)
            lost = parts[-1].lost + self._raising(niche)
            bound = self._bound(parts[-1].watts, parts[-1].filled + lost, parts[-1].spare)
            whole = (niche.begin == 0) & (niche.end == self._width)
            parts.append(self._raised(parts[-1], niche, np.flatnonzero(~whole & (bound >= low - SLACK))))
        return self.joined(parts[:-1])

    def children(self, states: States, low: int, shifted: bool) -> Iterator[tuple[int, Children]]:
        """How many panels were tried in niches, and those that may come to so many watts; some at a time.

        shifted: also panels that do not begin at their niche's left wall.
        """
        niche = _niche(states, self._width, self._depth)
        step = max(1, AT_A_TIME // len(self.ways_wide))
        for first in range(0, len(states), step):
            own = slice(first, first + step)
            fits = self.ways_wide <= (niche.end - niche.begin)[own, None]
            fits &= niche.floor[own, None] + self.ways_deep <= self._depth
            fits &= (states.used[own] < self.copies)[:, self.sort_of]
            state, way = np.nonzero(fits)
            state += first
            yield len(state), self._child(states, niche, state, way, np.zeros_like(state), low)
            if shifted:
                yield from self._shifted(states, niche, state, way, low)

    def made(self, states: States, children: Children) -> States:
        """The children as states; niches too narrow for any panel are filled up at once."""
        niche = _niche(states, self._width, self._depth)
        own, way, row = children.state, children.way, np.arange(len(children))
        at, begin, floor = niche.at[own], niche.begin[own] + children.shift, niche.floor[own]
        top = floor + self.ways_deep[way]
        # three stretches in place of one: what is shifted over, the panel, the rest
        columns = np.arange(states.y.shape[1] + 2)
        source = np.clip(columns - np.clip(columns - at[:, None], 0, 2), 0, None)
        y = np.take_along_axis(states.y[own], source, axis=1)
        x = np.take_along_axis(states.x[own], np.column_stack([source, source[:, -1] + 1]), axis=1)
        y[row, at], y[row, at + 1] = np.minimum(niche.left[own], top), top
        x[row, at + 1], x[row, at + 2] = begin, begin + self.ways_wide[way]
        sort, used = self.sort_of[way], states.used[own]
        used[row, sort] += 1
        corner = ((way << DIGITS) + begin << DIGITS) + floor
        grown = States(
            *tidy(x, y),
            used=used,
            lost=children.lost,
            watts=states.watts[own] + self.watts[sort],
            filled=states.filled[own] + self.ways_wide[way] * self.ways_deep[way],
            spare=states.spare[own] - self._over[sort],
            path=np.column_stack([states.path[own], corner]),
        )
        return self._without_slits(grown)

    def joined(self, parts: Sequence[States]) -> States:
        """All in one; with as many stretches as any of them has."""
        most = max(part.y.shape[1] for part in parts)
        ends = [
            np.pad(p.x, ((0, 0), (0, most + 1 - p.x.shape[1])), constant_values=self._width) for p in parts
        ]
        tops = [np.pad(p.y, ((0, 0), (0, most - p.y.shape[1])), constant_values=NOTHING) for p in parts]
        rest = ([getattr(part, f.name) for part in parts] for f in fields(States)[2:])
        return States(np.concatenate(ends), np.concatenate(tops), *(np.concatenate(own) for own in rest))

    def pieces_of(self, path: Ints) -> tuple[tuple[int, int, int], ...]:
        """Way and corner of each panel of a state."""
        mask = (1 << DIGITS) - 1
        return tuple((int(c) >> 2 * DIGITS, int(c) >> DIGITS & mask, int(c) & mask) for c in path)

    # small helpers

    def _bound(self, watts: Ints, gone: Ints, spare: Floats) -> Floats:
        """gone: area that is filled or lost."""
        free = self._width * self._depth - gone
        worth: Floats = watts + (spare + self._rates * free[:, None]).min(axis=1)
        return worth

    def _raising(self, niche: _Niche) -> Ints:
        """What is lost by filling it up to the lower wall, beyond what was lost for sure."""
        to, depth = np.minimum(niche.left, niche.right), self._depth
        above = self._unfilled_y[depth - to] - self._unfilled_y[depth - niche.floor]
        lost: Ints = (niche.end - niche.begin) * (to - niche.floor + above)
        return lost

    def _raised(self, states: States, niche: _Niche, which: Ints) -> States:
        """The states of these numbers, with their niche filled up."""
        some = states.take(which)
        y = some.y.copy()
        y[np.arange(len(which)), niche.at[which]] = np.minimum(niche.left, niche.right)[which]
        others = (getattr(some, f.name) for f in fields(States)[4:])
        return States(*tidy(some.x, y), some.used, some.lost + self._raising(niche)[which], *others)

    def _without_slits(self, states: States) -> States:
        """Niches that no panel can stand in are filled up, for every state as long as it has one."""
        done = []
        while len(states):
            niche = _niche(states, self._width, self._depth)
            whole = (niche.begin == 0) & (niche.end == self._width)
            slit = (niche.end - niche.begin < self._narrowest) & ~whole
            done.append(states.take(np.flatnonzero(~slit)))
            states = self._raised(states, niche, np.flatnonzero(slit))
        return self.joined(done) if done else states

    def _shifted(
        self, states: States, niche: _Niche, state: Ints, way: Ints, low: int
    ) -> Iterator[tuple[int, Children]]:
        """Panels that lean against one on top of the left wall; as far to the right as waste allows."""
        depth, wide, deep = self._depth, self.ways_wide[way], self.ways_deep[way]
        floor, left = niche.floor[state], niche.left[state]
        room = niche.end[state] - niche.begin[state] - wide
        pairs = np.flatnonzero((niche.at[state] > 0) & (left < floor + deep) & (room > 0))
        state, way, room, wide, deep = (e[pairs] for e in (state, way, room, wide, deep))
        floor, left = floor[pairs], left[pairs]
        before = self._unfilled_y[depth - floor]
        each = left - floor + self._unfilled_y[depth - left] - before  # lost by a unit to the right, at least
        lost = states.lost[state] + wide * (self._unfilled_y[depth - floor - deep] - before)
        gone = states.filled[state] + wide * deep + lost
        sort = self.sort_of[way]
        spare = states.spare[state] - self._over[sort]
        worth = (states.watts[state] + self.watts[sort] - low + SLACK)[:, None] + spare
        worth = worth + self._rates * (self._width * depth - gone)[:, None]
        with np.errstate(divide="ignore"):
            most = (worth / (self._rates * each[:, None])).min(axis=1)
        most = np.where((worth < 0).any(axis=1), 0, np.where(each > 0, np.minimum(most, room), room))
        upto = np.cumsum(most.astype(np.int64))
        first = 0
        while first < len(state):  # some pairs at a time, with all their shifts
            begun = int(upto[first - 1]) if first else 0
            last = max(first + 1, int(np.searchsorted(upto, begun + AT_A_TIME, side="right")))
            count = np.diff(upto[first:last], prepend=begun)
            pair = np.repeat(np.arange(first, last), count)
            shift = np.arange(len(pair)) - np.repeat(np.cumsum(count) - count, count) + 1
            some = np.flatnonzero(self._begins[niche.begin[state[pair]] + shift])
            pair, shift = pair[some], shift[some]
            yield len(pair), self._child(states, niche, state[pair], way[pair], shift, low)
            first = last

    def _child(
        self, states: States, niche: _Niche, state: Ints, way: Ints, shift: Ints, low: int
    ) -> Children:
        """Those of the pairs that may come to so many watts."""
        depth, unfilled_y = self._depth, self._unfilled_y
        wide, deep, sort = self.ways_wide[way], self.ways_deep[way], self.sort_of[way]
        floor = niche.floor[state]
        top, before = floor + deep, unfilled_y[depth - floor]
        left, right = np.minimum(niche.left[state], top), np.minimum(niche.right[state], top)
        lost = states.lost[state] + wide * (unfilled_y[depth - top] - before)
        lost += shift * (left - floor + unfilled_y[depth - left] - before)
        # of the rest of the niche: all where it is a slit, else what no sum of widths fills of its first rows
        rest = niche.end[state] - niche.begin[state] - wide - shift
        slit = rest * (right - floor + unfilled_y[depth - right] - before)
        rows = self._unfilled_x[rest] * np.minimum(self._shallowest, right - floor)
        more = np.where(rest < self._narrowest, slit, np.maximum(0, rows - rest * before))
        gone = states.filled[state] + wide * deep + lost + more
        spare = states.spare[state] - self._over[sort]
        bound = self._bound(states.watts[state] + self.watts[sort], gone, spare)
        return Children(state, way, shift, lost, bound).take(np.flatnonzero(bound >= low - SLACK))


def sums(sizes: Sequence[int] | Ints, length: int) -> NDArray[np.bool_]:
    """(length + 1,): which lengths are a sum of some of the sizes, each used once."""
    found = np.zeros(length + 1, dtype=np.bool_)
    found[0] = True
    for size in (int(s) for s in sizes if s <= length):
        found[size:] |= found[: length + 1 - size].copy()
    return found


def unfilled(some: NDArray[np.bool_]) -> Ints:
    """(length + 1,): by how much each length is more than the largest sum that it holds."""
    lengths = np.arange(len(some), dtype=np.int64)
    largest: Ints = np.maximum.accumulate(np.where(some, lengths, 0))
    return lengths - largest


def _niche(states: States, width: int, depth: int) -> _Niche:
    row, at = np.arange(len(states)), states.y.argmin(axis=1)
    begin, end = states.x[row, at], states.x[row, at + 1]
    left = np.where(at > 0, states.y[row, np.maximum(at - 1, 0)], depth)
    after = np.minimum(at + 1, states.y.shape[1] - 1)
    right = np.where(end < width, states.y[row, after], depth)
    return _Niche(at, begin, end, states.y[row, at], left, right)


def _ints(values: object) -> Ints:
    return np.array(values, dtype=np.int64)
