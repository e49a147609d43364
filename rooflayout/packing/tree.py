"""The last gap: a search tree over the candidates that prices leave, best bound first.

A question asked at each fork: is this point of the roof covered by a panel of this kind, or not? Either
answer rules out many candidates at once, where asking for a single place would leave its neighbours a
millimetre away. Of a few promising questions the one is asked that lowers the bounds of both answers most
("strong branching").
"""

from __future__ import annotations

import heapq
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import highspy
import numpy as np

from rooflayout.packing.choice import WHOLE, Choice, reaches
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats
from rooflayout.packing.questions import NOBODY, questions, single

STEPS = 160  # of the simplex method, to try an answer
NEW_POINTS = 10  # at most, after one solution: few, for most of them bind at this node only
POINT_ROUNDS = 2  # of points that are too full, where values are not whole anyway
LEAST_GAIN = 1e-3
MUCH = 200_000  # places with columns times points: a large programme
SMALLER, MUCH_SMALLER = 0.7, 0.35  # so small a part of a large one, of another is worth making anew

Others = tuple[tuple[int, float, float], ...]  # (column, low, high)


@dataclass(frozen=True, slots=True)
class Found:
    """bound: no layout of these candidates has more (grains of watts). chosen: candidate numbers, or None."""

    bound: float
    value: float
    chosen: Ints | None
    finished: bool


@dataclass(order=True, slots=True)
class Node:
    minus_bound: float
    number: int
    barred: Bools = field(compare=False)  # by place: may not be used
    used: Ints = field(compare=False)  # groups of which one place must be used
    others: Others = field(compare=False)
    basis: highspy.HighsBasis | None = field(compare=False)


@dataclass(frozen=True, slots=True)
class Tried:
    """The bound of an answer: guessed after a few steps, and what it is for sure; and how far they came."""

    guess: float
    sure: float
    basis: highspy.HighsBasis


class Tree:
    """The search for the best layout of at least low grains."""

    def __init__(
        self,
        choice: Choice,
        low: float,
        held: Callable[[Ints], Ints],
        deadline: float,
        stopped: Callable[[], bool],
        used: Ints = NOBODY,
        others: Others = (),
    ) -> None:
        """held: which of some candidates (numbers) the roof or one another can hold.

        used and others as in Node, for the whole tree.
        """
        self._choice, self._low, self._held = choice, low, held
        self._deadline, self._stopped = deadline, stopped
        self._root = Node(-np.inf, 0, np.zeros(len(choice.keep), dtype=bool), used, others, None)
        self._best: Ints | None = None
        self._number = 0
        self.nodes = 0

    def run(self, most_nodes: int = 1 << 30) -> Found:
        """Until no open node can hold low or more than the best found, or time or nodes are used up."""
        heap = [self._root]
        value = 0.0
        while heap:
            node = heapq.heappop(heap)
            bound = -node.minus_bound
            if bound < self._low - WHOLE:
                break
            over = time.monotonic() > self._deadline or self._stopped() or self.nodes >= most_nodes
            self.nodes += 1
            solved = None if over else self._relax(node)
            if solved is None:
                return Found(bound, value, self._best, finished=False)
            bound, values = solved
            if not reaches(bound, self._low):
                continue
            node.barred = self._beyond(node.barred, bound)
            if self.nodes > 1 and self._much_smaller(node.barred):
                found = self._branch(node, most_nodes - self.nodes)
                if found.chosen is not None:
                    self._best, value, self._low = found.chosen, found.value, found.value + 1
                if not found.finished:
                    most = max([min(bound, found.bound), *(-n.minus_bound for n in heap)])
                    return Found(most, value, self._best, finished=False)
                continue
            fork = self._fork(node, bound, values)
            if fork is None and not self._choice.holds(values):
                fork = self._fork_closely(node, bound, values)
            if fork is None:
                value = round(bound)
                self._best = self._choice.keep[self._choice.columns[values[self._choice.others :] > 0.5]]
                self._low = value + 1
                continue
            for child in fork:
                heapq.heappush(heap, child)
        return Found(max(self._low - 1, value), value, self._best, finished=True)

    def _relax(self, node: Node) -> tuple[float, Floats] | None:
        """The node's bound and its column values, with no point too full."""
        choice = self._choice
        self._enter(node)
        first = self.nodes == 1
        turn = 0
        while True:
            bound = choice.programme.solve(self._deadline, first=first)
            first = False
            if bound is None:
                return None
            if not reaches(bound, self._low):
                return bound, np.zeros(0)
            values = choice.programme.values()
            points = choice.too_full(values[choice.others :], NEW_POINTS)
            whole = np.abs(values - np.round(values)).max(initial=0.0) <= WHOLE
            if not points or (turn >= POINT_ROUNDS and not whole):
                return bound, values
            choice.add_points(points)
            self._bar(node.barred, node.used)
            turn += 1

    def _beyond(self, barred: Bools, bound: float) -> Bools:
        """Barred from here on: places with which low cannot be reached, or that no other can hold."""
        choice = self._choice
        left = np.nonzero(~barred & reaches(choice.ceilings(bound), self._low))[0]
        still = np.ones(len(barred), dtype=bool)
        still[left[np.isin(choice.keep[left], self._held(choice.keep[left]))]] = False
        return still

    def _much_smaller(self, barred: Bools) -> bool:
        """Whether what is left below a node would make a much smaller programme."""
        choice = self._choice
        columns, rows = int(choice.open_columns(barred).sum()), len(choice.binding()[0])
        now = len(choice.columns) * len(choice.covers)
        return columns * rows < (SMALLER if now > MUCH else MUCH_SMALLER) * now

    def _branch(self, node: Node, most_nodes: int) -> Found:
        """All that is below a node, as a tree with a choice of its own."""
        choice = self._choice.below(~node.barred, node.used)
        used = np.arange(len(node.used))
        tree = Tree(choice, self._low, self._held, self._deadline, self._stopped, used, node.others)
        found = tree.run(most_nodes)
        self.nodes += tree.nodes
        return found

    def _enter(self, node: Node) -> None:
        self._bar(node.barred, node.used)
        low, high = np.zeros(self._choice.others), np.array(self._choice.exact.most, dtype=np.float64)
        for column, least, most in node.others:
            low[column], high[column] = least, most
        self._choice.programme.bound_others(low, high)
        if node.basis is not None:
            self._choice.programme.begin_from(node.basis)

    def _bar(self, barred: Bools, used: Ints) -> None:
        self._choice.bar(barred)
        self._choice.programme.ask_for(used)

    # forks

    def _fork(self, node: Node, bound: float, values: Floats) -> list[Node] | None:
        """Two nodes for the two answers to the best question; None when all values are whole."""
        others = values[: self._choice.others]
        broken = np.abs(others - np.round(others)) > WHOLE
        asked = [] if broken.any() else questions(self._choice, values[self._choice.others :])
        basis = self._choice.programme.basis()  # of the rows that the questions need, too
        if broken.any():  # which trackers serve what decides more than any place
            distance = np.where(broken, np.abs(others - np.floor(others) - 0.5), 1.0)
            return self._split_other(node, bound, int(distance.argmin()), others, basis)
        if not asked:
            return None
        best, score = None, -np.inf
        for question in asked:
            answers = [(node.barred | bar, np.concatenate([node.used, used])) for bar, used in question]
            tried = [self._try(*answer, bound, basis) for answer in answers]
            gains = [max(bound - answer.guess, LEAST_GAIN) for answer in tried]
            if min(gains) * max(gains) > score:
                best = [
                    (t.sure, *answer, node.others, t.basis) for t, answer in zip(tried, answers, strict=True)
                ]
                score = min(gains) * max(gains)
            if not any(reaches(answer.guess, self._low) for answer in tried):
                break
        assert best is not None
        return [self._node(*child) for child in best]

    def _fork_closely(self, node: Node, bound: float, values: Floats) -> list[Node] | None:
        """Two nodes for values that are whole for all purposes but one: a rule with large numbers in it.

        None when they are whole to the last digit; then the solver's own tolerance was at fault.
        """
        basis, others = self._choice.programme.basis(), self._choice.others
        off = np.abs(values - np.round(values))
        column = int(off.argmax())
        if off[column] <= 0.0:
            return None
        if column < others:
            return self._split_other(node, bound, column, values[:others], basis)
        answers = single(self._choice, column - others)
        basis = self._choice.programme.basis()  # of the row that the question needs, too
        return [
            self._node(bound, node.barred | bar, np.concatenate([node.used, used]), node.others, basis)
            for bar, used in answers
        ]

    def _node(
        self,
        bound: float,
        barred: Bools,
        used: Ints,
        others: Others,
        basis: highspy.HighsBasis,
    ) -> Node:
        self._number += 1
        return Node(-bound, self._number, barred, used, others, basis)

    def _try(self, barred: Bools, used: Ints, bound: float, basis: highspy.HighsBasis) -> Tried:
        choice = self._choice
        choice.programme.begin_from(basis)
        self._bar(barred, used)
        found = choice.programme.solve(self._deadline, STEPS)
        guess = bound if found is None else min(bound, found)
        sure = guess if choice.programme.finished() else bound
        return Tried(guess, sure, choice.programme.basis())

    def _split_other(
        self, node: Node, bound: float, column: int, values: Floats, basis: highspy.HighsBasis
    ) -> list[Node]:
        low, high = 0.0, self._choice.exact.most[column]
        for c, least, most in node.others:
            if c == column:
                low, high = least, most
        below, above = float(np.floor(values[column])), float(np.ceil(values[column]))
        return [
            self._node(bound, node.barred, node.used, (*node.others, (column, low, below)), basis),
            self._node(bound, node.barred, node.used, (*node.others, (column, above, high)), basis),
        ]
