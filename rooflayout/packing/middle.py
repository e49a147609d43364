"""A choice's programme in the form that central.py solves; never changed, so that nodes can share it."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

import numpy as np

from rooflayout.packing.central import LITTLE, State
from rooflayout.packing.chain import ALONE, paid
from rooflayout.packing.choice import Choice, reaches
from rooflayout.packing.clearance import Bools
from rooflayout.packing.grid import Floats

NEAR = 0.05  # grains to the bound, where a solution is good enough
EARLY = 5.0  # grains to the bound, from where the next programme begins
RIGHT, NEARLY_RIGHT = 1e-4, 1e-2  # what rows may lack


@dataclass(frozen=True, slots=True)
class Solved:
    """values: of the choice's columns. exact, points: prices, none below 0.

    early: of all columns, for what has fewer to begin from. effort: as steps of the simplex method times
    columns.
    """

    values: Floats
    exact: Floats
    points: Floats
    early: State
    effort: float


class Middle:
    """Of a choice without other columns than places."""

    def __init__(self, choice: Choice) -> None:
        self.choice, programme = choice, choice.programme
        self._equations = programme.equations()
        self._places, self._spare, self._before = programme.places, programme.spare, programme.before
        self._point_rows, self._exact = programme.point_rows, len(choice.exact.rows)

    def solve(self, open_: Bools, early: State | None, low: float, deadline: float) -> Solved | None:
        """With these of the choice's columns, or as far as it is clear that low cannot be reached.

        early: from a solution with more of them. deadline: by time.monotonic(), when it is left as it is.
        None where it comes to no end.
        """
        use = np.ones(len(self._equations.worth), dtype=bool)
        use[self._places] = open_
        equations = self._equations.only(use)
        found: list[State] = []
        steps = 0

        def stop(state: State, lacks: float) -> bool:
            nonlocal steps
            steps += 1
            gap = state.gap()
            if not found and gap < EARLY and lacks < NEARLY_RIGHT:
                found.append(state)
            if (gap < NEAR and lacks < RIGHT) or time.monotonic() > deadline:
                return True
            if reaches(float(equations.limit @ state.prices), low):
                return False
            return not reaches(self.choice.bound_by(*self._prices(state), open_)[0], low)

        begun = None if early is None else self._begun(early, use)
        state = equations.follow(begun, stop)
        effort = steps * equations.size()
        if state is None:
            return None
        every = _every(state, use)
        next_ = _every(found[0], use) if found else every
        return Solved(every.values[self._places], *self._prices(state), next_, effort)

    def _prices(self, state: State) -> tuple[Floats, Floats]:
        """Of exact rows and of points, none below 0."""
        points = paid(state.prices[self._point_rows], self._before)
        return np.maximum(0.0, state.prices[: self._exact]), np.maximum(0.0, points)

    def _begun(self, early: State, use: Bools) -> State:
        """The state without the columns that are gone; the room that they leave is room to spare."""
        values = np.where(use, early.values, 0.0)
        values[self._spare] = 0.0
        gained = self._equations.limit - self._equations.of_rows(values)
        room = gained[self._point_rows].tolist()
        for n, before in enumerate(self._before.tolist()):
            if before != ALONE:
                room[n] += room[before]
        values[self._spare] = np.maximum(room, LITTLE)
        return State(values[use], early.prices, early.costs[use])


def _every(state: State, use: Bools) -> State:
    """Of all columns; those not in use have no value."""
    values, costs = np.zeros(len(use)), np.ones(len(use))
    values[use], costs[use] = state.values, state.costs
    return replace(state, values=values, costs=costs)
