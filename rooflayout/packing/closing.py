"""Layouts from below and proof from above, until they meet.

The prices bound the watts, mostly within a panel's width of the best. So the search asks from the top:
is there a layout between the bound and a little below it? Only candidates whose reduced cost leaves
room for that many watts, and that others among them can hold, need be looked at: a few thousand out of
a hundred thousand. The first window that holds a layout holds the best one, and the empty ones above it
are the proof.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.branching import Branching
from rooflayout.packing.clearance import Ints
from rooflayout.packing.improve import improve
from rooflayout.packing.incumbent import places_of

FIRST_EFFORT = 1.0  # deterministic seconds for a layout, to begin with
FIRST_GAPS = 40  # gaps to fill anew in the first try to improve it
FIRST_SIZE = 1000  # candidates in the first try for a better layout
FAR = 0.015  # of the bound: so far from it a layout is improved before better ones are ruled out
FIRST_WINDOW = 30_000  # candidates in the first window
LEAST_WINDOW = 4000  # and after solutions with overlaps


def close_in(asked: Asked) -> None:
    """Until the incumbent is settled or time is up."""
    inc = asked.incumbent
    by_promise = np.argsort(-asked.prices.reduced_cost, kind="stable")
    size, effort, gaps, window = FIRST_SIZE, FIRST_EFFORT, FIRST_GAPS, FIRST_WINDOW
    while not inc.settled() and not inc.clock.over():
        asked.answer(np.sort(by_promise[:size]), effort)
        if inc.bound - inc.watts > FAR * inc.bound:
            improve(asked, inc, gaps)
        windows(asked, window)
        size, effort, gaps, window = size * 2, effort * 3, gaps * 3, window * 2


def windows(asked: Asked, most: int) -> None:
    """From the bound down, each window as wide as so many candidates allow, until all is settled."""
    inc = asked.incumbent
    points, family_points = list(asked.prices.rows), list(asked.prices.family_rows)
    while not inc.settled() and not inc.clock.over():
        low, keep = _window(asked, most)
        branching = Branching(asked.candidates, asked.grid, asked.rules, keep, points, family_points)
        found = branching.run(low - inc.kept, inc.clock.deadline, inc.clock.stopped)
        inc.lower(max(found.bound + inc.kept, low - inc.grain))
        if not len(found.chosen):
            continue
        if asked.grid.overlaps(found.chosen):
            asked.answer(np.unique(np.concatenate(found.members)), FIRST_EFFORT)
            points += branching.parting(found)
            most = max(LEAST_WINDOW, most // 2)
        else:
            _take(asked, found.chosen)


def _window(asked: Asked, most: int) -> tuple[int, Ints]:
    """The lowest watts with at most so many candidates, or else the bound itself; and these candidates."""
    inc = asked.incumbent
    easy, hard = 0, (inc.bound - inc.least()) // inc.grain + 1  # steps below the bound
    keep = asked.enough(inc.bound)
    while hard - easy > 1:
        middle = (easy + hard) // 2
        some = asked.enough(inc.bound - middle * inc.grain)
        if len(some) <= most:
            easy, keep = middle, some
        else:
            hard = middle
    return inc.bound - easy * inc.grain, keep


def _take(asked: Asked, chosen: Ints) -> None:
    inc = asked.incumbent
    asked.answer(chosen, FIRST_EFFORT)  # with the kept panels that can be wired beside them
    if not asked.rules.wired:
        watts = np.array([k.watts for k in asked.rules.kinds], dtype=np.int64)[asked.candidates.kind[chosen]]
        inc.better(int(watts.sum()) + inc.kept, places_of(asked.candidates, chosen))
