"""What is left to choose from in a window once its own relaxation is solved.

The prices of all candidates spread over thousands of points; those of one solution over a window sit on
a few hundred. So the window is first solved with the dearest points, more are asked for until none is
too full, and then the choice is made anew: only the places with which the window's watts can be reached
and that others can hold, only the points that have a price.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice, reaches
from rooflayout.packing.clearance import Ints
from rooflayout.packing.grid import Point

DEAR = 3e-3  # of the dearest point's price
VERY_DEAR = 0.02
NEW_POINTS = 60  # at most, after one solution
LITTLE, FEW_ROUNDS = 0.1, 3  # of the window: points are enough when so many rounds change so little

Points = tuple[list[Point], list[tuple[int, Point]]]  # of all panels, and of families
Narrowed = tuple[Choice, Points]  # a choice, and the points that bound it


def dearest(asked: Asked, share: float = DEAR) -> Points:
    """The points to begin with, by the prices of all candidates; share: of the dearest's price."""
    return _dearer(asked, share), list(asked.prices.family_rows)


def with_dearest(asked: Asked, binding: Points) -> Points:
    """To begin the next window with: those that bound the last one, and the dearest of all."""
    points, of_families = binding
    return list(dict.fromkeys([*points, *_dearer(asked, VERY_DEAR)])), of_families


def _dearer(asked: Asked, share: float) -> list[Point]:
    """The points with so large a share of the highest price."""
    prices = asked.prices
    dear = prices.row_prices > share * prices.row_prices.max(initial=0.0)
    return [p for p, d in zip(prices.rows, dear.tolist(), strict=True) if d]


def narrowed(asked: Asked, keep: Ints, low: float, points: Points) -> Narrowed | None:
    """The choice among those of keep (candidate numbers) that can be in a layout of low grains.

    points: to begin with; returned with those that bind. None when time was up.
    """
    kind = asked.candidates.kind
    choice = Choice(asked.grid, asked.rules, kind, keep, *points)
    bound = _relax(asked, choice, low)
    if bound is None:
        return None
    if not reaches(bound, low):
        return Choice(asked.grid, asked.rules, kind, keep[:0], [], []), points
    able = reaches(choice.ceilings(bound), low)
    binding = choice.binding()
    return Choice(asked.grid, asked.rules, kind, asked.held(keep[able]), *binding), binding


def _relax(asked: Asked, choice: Choice, low: float) -> float | None:
    """The value of the relaxation, where more points change little; or the first value below low."""
    clock, values = asked.incumbent.clock, [np.inf] * FEW_ROUNDS
    while not clock.over():
        bound = choice.programme.solve(clock.deadline, first=len(values) == FEW_ROUNDS)
        little = LITTLE * (bound - low + 1.0) if bound is not None else 0.0
        if bound is None or not reaches(bound, low) or values[-FEW_ROUNDS] - bound < little:
            return bound
        values.append(bound)
        of_columns = choice.programme.values()[choice.others :]
        points = choice.too_full(of_columns, NEW_POINTS)
        if not points:
            return bound
        choice.add_points(points)
    return None
