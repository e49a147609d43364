"""The last gap: a search tree over the candidates that prices leave.

What one node comes to says expand.py. The last node made comes first, so that few choices are kept at
a time. Two hands take them.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.central_node import ExpandingCentrally, is_central
from rooflayout.packing.choice import Choice, reaches
from rooflayout.packing.clearance import Ints
from rooflayout.packing.expand import Expanded, Expanding, Node
from rooflayout.packing.hands import Work, by_two_hands
from rooflayout.packing.questions import NOBODY

MOST_CENTRAL = 100  # nodes by central_node.py: where more are needed, trying questions is worth it


@dataclass(frozen=True, slots=True)
class Found:
    """bound: no layout of these candidates has more (grains of watts). chosen: candidate numbers, or None.

    value: of the best found by now; chosen: of the best found since it was last left.
    """

    bound: float
    value: float
    chosen: Ints | None
    finished: bool


class Tree:
    """The search for the best layout of at least low grains."""

    def __init__(
        self,
        choice: Choice,
        low: float,
        held: Callable[[Ints], Ints],
        deadline: float,
        stopped: Callable[[], bool],
        workers: int = 1,
    ) -> None:
        """held: which of some candidates (numbers) the roof or one another can hold."""
        self._low, self._held, self._deadline, self._stopped = low, held, deadline, stopped
        self._workers = workers
        self._open = [Node(choice, np.inf, np.zeros(len(choice.keep), dtype=bool), NOBODY, ())]
        self._left: list[Node] = []  # that could not be solved
        self._value, self.nodes = 0.0, 0
        self._chosen: Ints | None = None

    def raise_low(self, low: float) -> None:
        """From now on fewer grains are of no use."""
        self._low = max(self._low, low)

    def run(self, most_nodes: int = 1 << 30) -> Found:
        """Until no open node can hold low or more than the best found, or time is up, or so many nodes more.

        It goes on from where it was left; what could not be solved then is tried again after all the rest.
        """
        most_nodes += self.nodes
        self._chosen, self._open, self._left = None, self._left + self._open, []
        by_two_hands(lambda: self._pick(most_nodes), self._done, self._workers)
        left = self._left + [node for node in self._open if reaches(node.bound, self._low)]
        if left:
            bound = max(node.bound for node in left)
            return Found(max(bound, self._value, self._low - 1), self._value, self._chosen, finished=False)
        return Found(max(self._low - 1, self._value), self._value, self._chosen, finished=True)

    def _pick(self, most_nodes: int) -> Work[Expanded] | None:
        """The next node; none once one could not be solved, for there is no proof any more."""
        if self._left or self.nodes >= most_nodes or time.monotonic() > self._deadline or self._stopped():
            return None
        while self._open:
            node = self._open.pop()
            if reaches(node.bound, self._low):
                self.nodes += 1
                return self._work(node)
        return None

    def _work(self, node: Node) -> Work[Expanded]:
        low, by_corners = self._low, self.nodes > MOST_CENTRAL
        if node.middle is not None or (is_central(node) and not by_corners):
            how = self._held, self._deadline
            return lambda meter: ExpandingCentrally(node, low, *how, meter).expand(by_corners)
        return lambda meter: Expanding(node, low, self._held, self._deadline, meter).expand()

    def _done(self, found: Expanded) -> None:
        if not found.solved:
            self._left.append(found.node)
        if found.chosen is not None and reaches(found.value, self._low):
            self._chosen, self._value, self._low = found.chosen, found.value, found.value + 1
        self._open += reversed(found.below)
