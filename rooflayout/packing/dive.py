"""A layout straight down from the relaxation: what it uses most is fixed, and it is solved again.

The relaxation of a window knows what fits beside what over the whole roof, where gaps filled anew know
their neighbours only. So the place with the largest value is taken for good, all that overlap it are
barred, and the programme, which has only lost columns, is solved again from its last basis.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats

SURE = 0.9  # a place with so large a value is taken with the largest
NEW_POINTS, POINT_ROUNDS = 30, 3  # of points that are too full, after one solution
FULL = 1e-4


def dive(asked: Asked, choice: Choice, at_once: int) -> Ints | None:
    """Candidate numbers of a layout among the choice's places; None where it came to nothing.

    at_once: places, at least, that are taken after one solution.
    """
    clock = asked.incumbent.clock
    barred = np.zeros(len(choice.keep), dtype=bool)
    taken: list[int] = []  # places
    first = True
    while not clock.over():
        values = _solved(choice, barred, clock.deadline, first)
        first = False
        if values is None:
            return None
        before = len(taken)
        _take(choice, values, at_once, taken, barred)
        if len(taken) == before:
            return np.sort(choice.keep[np.array(taken, dtype=np.int64)])
    return None


def _solved(choice: Choice, barred: Bools, deadline: float, first: bool) -> Floats | None:
    """By column, with few points too full."""
    for _ in range(POINT_ROUNDS):
        choice.bar(barred)
        bound = choice.programme.solve(deadline, first=first)
        first = False
        if bound is None or not np.isfinite(bound):
            return None
        values = choice.programme.values()[choice.others :]
        points = choice.too_full(values, NEW_POINTS)
        if not points:
            break
        choice.add_points(points)
    return values


def _take(choice: Choice, values: Floats, at_once: int, taken: list[int], barred: Bools) -> None:
    """Adds the places to take now to those taken, and what overlaps them to what is barred."""
    most = len(taken) + at_once
    for column in np.argsort(-values, kind="stable").tolist():
        if values[column] <= FULL or (values[column] < SURE and len(taken) >= most):
            return
        place = int(choice.columns[column])
        if not barred[place] and place not in taken:
            taken.append(place)
            barred |= _beside(choice, place)


def _beside(choice: Choice, place: int) -> Bools:
    """The other places that overlap this one."""
    over = choice.grid.over(choice.keep[place], choice.keep)
    over[place] = False
    return over
