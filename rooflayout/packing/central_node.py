"""One node of the search tree, by a solution in the middle of all the best: as expand.py, where it is large.

Once a choice has points enough, nodes share it unchanged. No question is tried: with values from the middle
the most promising is good enough. Where little is left, or a solution is nearly whole, expand.py goes on.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import chain, repeat

import numpy as np

from rooflayout.packing.choice import WHOLE, reaches
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.expand import AROUND, Expanded, Node, beyond
from rooflayout.packing.grid import Floats
from rooflayout.packing.hands import Meter
from rooflayout.packing.middle import Middle, Solved
from rooflayout.packing.questions import NOBODY, by_point

LEAST = 300  # columns: smaller ones are as quick by the simplex method, whose corners may be layouts
MOST_POINTS = 1500  # with more the factorisation takes longer than the simplex method
HALF = 0.5  # so small a part of columns times points is worth a choice of its own
PRICED = 3e-3  # grains: a point that costs less does not bind
CROWDED = 1.75  # a point covered so often: then the choice lacks points,
FULL = 1.01  # which are all that are covered so often,
NEW_POINTS = 30  # so many after one solution at most,
LITTLE = 0.03  # until a round changes so little of what is to be bridged
OF_REST = 0.5  # in questions: the best asked is covered by a third
SHOWN = 1e-3  # a smaller value is none


def is_central(node: Node) -> bool:
    """Whether a node is to be looked at so."""
    choice = node.choice
    if node.by_corners or choice.others or len(node.used) or node.basis is not None:
        return False
    return len(choice.columns) >= LEAST and len(choice.covers) <= MOST_POINTS


class ExpandingCentrally:
    """Of one node; low: fewer grains are of no use."""

    def __init__(
        self, node: Node, low: float, held: Callable[[Ints], Ints], deadline: float, meter: Meter
    ) -> None:
        self._node, self._low, self._held, self._meter = node, low, held, meter
        self._deadline = deadline

    def expand(self, by_corners: bool = False) -> Expanded:
        """by_corners: leave it to expand.py, with a choice of its own."""
        node = self._node
        self._meter.add(AROUND * len(node.choice.columns))
        if by_corners:
            return self._by_corners()
        for crowd in chain([CROWDED], repeat(FULL)):
            before, middle = node.bound, node.middle or Middle(node.choice)
            open_ = node.choice.open_columns(node.barred)
            solved = middle.solve(open_, node.early, self._low, self._deadline)
            if solved is None:
                return self._by_corners()
            self._meter.add(solved.effort)
            bound, ceilings = node.choice.bound_by(solved.exact, solved.points, open_)
            node.bound = min(node.bound, bound)
            if not reaches(node.bound, self._low):
                return Expanded(node)
            if time.monotonic() > self._deadline:
                return Expanded(node, solved=False)
            little = before - bound < LITTLE * (bound - self._low + 1.0)
            enough = node.middle is not None or (little and crowd == FULL)
            if enough or not self._add_points(solved, crowd):
                node.barred = beyond(node, ceilings, self._low, self._held)
                return self._below(middle, solved)
        raise AssertionError("repeat has no end")

    def _add_points(self, solved: Solved, crowd: float) -> bool:
        """Those covered so often; whether there are any."""
        points = self._node.choice.too_full(solved.values / crowd, NEW_POINTS)
        self._node.choice.add_points(points)
        return bool(points)

    def _below(self, middle: Middle, solved: Solved) -> Expanded:
        node, choice = self._node, self._node.choice
        left = choice.open_columns(node.barred)
        priced = solved.points > PRICED
        now = choice.size()
        if not left.all() and int(left.sum()) * int(priced.sum()) < HALF * now:  # so it has fewer places
            return Expanded(node, (self._anew(priced),))
        values = np.where(left & (solved.values > SHOWN), solved.values, 0.0)
        asked = by_point(choice, values, 1, OF_REST)
        if not asked or _nearly_whole(values):
            return self._by_corners(priced)
        below = [
            Node(choice, node.bound, node.barred | bar, NOBODY, (), middle=middle, early=solved.early)
            for bar, _ in asked[0]
        ]
        return Expanded(node, tuple(below))

    def _anew(self, priced: Bools) -> Node:
        """The same node with a choice of its own."""
        choice = self._node.choice.among(~self._node.barred, priced)
        return Node(choice, self._node.bound, np.zeros(len(choice.keep), dtype=bool), NOBODY, ())

    def _by_corners(self, priced: Bools | None = None) -> Expanded:
        """The same for expand.py."""
        node = self._anew(np.ones(len(self._node.choice.covers), dtype=bool) if priced is None else priced)
        node.by_corners = True
        return Expanded(self._node, (node,))


def _nearly_whole(values: Floats) -> bool:
    return bool(np.abs(values - np.round(values)).max(initial=0.0) < 10 * SHOWN + WHOLE)
