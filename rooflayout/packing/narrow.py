"""What is left to choose from in a window once its own relaxation is solved.

The prices of all candidates spread over thousands of points; those of one solution over a window sit on
a few hundred. So the window is first solved with the dearest points, more are asked for until none is
too full, and then the choice is made anew: only the places with which the window's watts can be reached
and that others can hold, only the points that have a price.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Ints

DEAR = 3e-3  # of the dearest point's price
WHOLE = 1e-5
NEW_POINTS = 60  # at most, after one solution


def narrowed(asked: Asked, keep: Ints, low: float) -> Choice | None:
    """The choice among those of keep (candidate numbers) that can be in a layout of low grains.

    None when time was up.
    """
    prices = asked.prices
    dear = prices.row_prices > DEAR * prices.row_prices.max(initial=0.0)
    points = [p for p, d in zip(prices.rows, dear.tolist(), strict=True) if d]
    choice = Choice(asked.grid, asked.rules, asked.candidates.kind, keep, points, list(prices.family_rows))
    bound = _relax(asked, choice, low)
    if bound is None:
        return None
    if np.floor(bound + WHOLE) < low:
        return Choice(asked.grid, asked.rules, asked.candidates.kind, keep[:0], [], [])
    able = np.floor(choice.ceilings(bound) + WHOLE) >= low
    held = asked.held(keep[able])
    return Choice(asked.grid, asked.rules, asked.candidates.kind, held, *choice.binding())


def _relax(asked: Asked, choice: Choice, low: float) -> float | None:
    """The value of the relaxation, with no point too full; or the first value below low."""
    clock, first = asked.incumbent.clock, True
    while not clock.over():
        bound = choice.solve(clock.deadline, first=first)
        if bound is None or np.floor(bound + WHOLE) < low:
            return bound
        values = np.array(choice.solver.getSolution().col_value)
        points = choice.too_full(values[choice.others :], NEW_POINTS)
        if not points:
            return bound
        choice.add_points(points)
        first = False
    return None
