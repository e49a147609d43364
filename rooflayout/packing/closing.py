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
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Ints
from rooflayout.packing.improve import improve
from rooflayout.packing.incumbent import places_of
from rooflayout.packing.tree import Tree

FIRST_EFFORT = 1.0  # deterministic seconds for a layout, to begin with
FIRST_GAPS = 40  # gaps to fill anew in the first try to improve it
FIRST_SIZE = 1000  # candidates in the first try for a better layout
FAR = 0.015  # of the bound: so far from it a layout is improved before better ones are ruled out
FIRST_WINDOW = 3000  # candidates in the first window


def close_in(asked: Asked) -> None:
    """Until the incumbent is settled or time is up."""
    inc = asked.incumbent
    by_promise = np.argsort(-asked.prices.reduced_cost, kind="stable")
    size, effort, gaps = FIRST_SIZE, FIRST_EFFORT, FIRST_GAPS
    while not inc.settled() and not inc.clock.over():
        asked.answer(np.sort(by_promise[:size]), effort)
        if inc.bound - inc.watts > FAR * inc.bound:
            improve(asked, inc, gaps)
        windows(asked, FIRST_WINDOW)
        size, effort, gaps = size * 2, effort * 3, gaps * 3


def windows(asked: Asked, most: int) -> None:
    """From the bound down, each window as wide as so many candidates allow, twice as many after each."""
    inc = asked.incumbent
    points, family_points = list(asked.prices.rows), list(asked.prices.family_rows)
    while not inc.settled() and not inc.clock.over():
        low, keep = _window(asked, most)
        choice = Choice(asked.grid, asked.rules, asked.candidates.kind, keep, points, family_points)
        tree = Tree(choice, (low - inc.kept) / inc.grain, asked.held, inc.clock.deadline, inc.clock.stopped)
        found = tree.run()
        if found.chosen is not None:
            _take(asked, found.chosen)
        inc.lower(max(found.bound * inc.grain + inc.kept, low - inc.grain))
        most *= 2


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
