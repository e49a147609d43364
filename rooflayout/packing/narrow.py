"""What is left to choose from in a window once its own relaxation is solved.

The prices of all candidates spread over thousands of points; those of one solution over a window sit on
a few hundred. So the window is first solved with the dearest points, more are asked for until none is
too full, and then the choice is made anew: only the places with which the window's watts can be reached
and that others can hold, only the points that have a price.
"""

from __future__ import annotations

import time

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice, reaches
from rooflayout.packing.clearance import Ints
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Floats, Point
from rooflayout.packing.interior import NO_FAMILY, Relaxation

DEAR = 3e-3  # of the dearest point's price
VERY_DEAR = 0.02
WIDE = 8000  # places of which a choice takes longer to make than their relaxation to solve
EXACT = 1e-7  # of a relaxation's value
PRICED = 1e-7  # grains: what a point that binds costs at least
NEW_POINTS = 60  # at most, after one solution
LITTLE = 0.03  # of the window: points are enough when a round changes so little

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
    kind, ceilings = asked.candidates.kind, None
    if len(keep) >= WIDE and asked.prices.converged and not points[1]:
        ceilings, binding = _priced(asked, keep, points[0])
    if ceilings is None:
        if asked.incumbent.clock.over():
            return None
        choice = Choice(asked.grid, asked.rules, kind, keep, *points)
        bound = _relax(asked, choice, low)
        if bound is None:
            return None
        if not reaches(bound, low):
            return Choice(asked.grid, asked.rules, kind, keep[:0], [], []), points
        ceilings, binding = choice.ceilings(bound), choice.binding()
    able = reaches(ceilings, low)
    return Choice(asked.grid, asked.rules, kind, asked.held(keep[able]), *binding), binding


def _priced(asked: Asked, keep: Ints, points: list[Point]) -> tuple[Floats | None, Points]:
    """By place of keep, the most (grains) that a layout with it can have; and the points that bind.

    Without a choice, whose places are many, and with no further points: where prices have converged those
    of the window's own bring a thousandth of a grain. None where that cannot be done.
    """
    grid, rules, kind = asked.grid, asked.rules, asked.candidates.kind
    auxiliary = Auxiliary(rules)
    worth = np.array([k.watts for k in rules.kinds], dtype=np.float64)[kind] / rules.grain()
    relaxation = Relaxation(grid, kind, worth, auxiliary)
    rows = np.array([(NO_FAMILY, *p) for p in points], dtype=np.int64).reshape(-1, 3)
    bare = grid.sums(rows[:, 1:], np.ones(len(rows)), keep).min(initial=1.0) < 1.0
    if not relaxation.merges or auxiliary.watts or bare:
        return None, (points, [])
    left = asked.incumbent.clock.deadline - time.monotonic()
    found = relaxation.solve(keep, rows, EXACT, left, corner=True)
    if found is None:
        return None, (points, [])
    cost = (auxiliary.per_kind.T @ found.static_duals)[kind[keep]]
    cost += grid.sums(rows[:, 1:], found.point_duals, keep)
    if cost.min(initial=1.0) <= 0.0:
        return None, (points, [])
    scale = float(np.max(worth[keep] / cost, initial=1.0))  # what is asked too little for
    limits = np.array([row.limit for row in auxiliary.rows])
    bound = scale * float(limits @ found.static_duals + found.point_duals.sum())
    binding = [p for p, paid in zip(points, found.point_duals.tolist(), strict=True) if paid > PRICED]
    return bound + worth[keep] - scale * cost, (binding, [])


def _relax(asked: Asked, choice: Choice, low: float) -> float | None:
    """The value of the relaxation, where more points change little; or the first value below low."""
    clock, last = asked.incumbent.clock, np.inf
    while not clock.over():
        bound = choice.programme.solve(clock.deadline, first=last == np.inf)
        if bound is None or not reaches(bound, low) or last - bound < LITTLE * (bound - low + 1.0):
            return bound
        last = bound
        of_columns = choice.programme.values()[choice.others :]
        points = choice.too_full(of_columns, NEW_POINTS)
        if not points:
            return bound
        choice.add_points(points)
    return None
