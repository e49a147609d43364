"""One node of the search tree: its bound, and the two nodes below it.

A question is asked at each fork: is this point of the roof covered by a panel of this kind, or not? Either
answer rules out many candidates at once, where asking for a single place would leave its neighbours a
millimetre away. Of a few promising questions the one is asked that lowers the bounds of both answers most
("strong branching").
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import highspy
import numpy as np

from rooflayout.packing.central import State
from rooflayout.packing.choice import WHOLE, Choice, reaches
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats
from rooflayout.packing.hands import Meter
from rooflayout.packing.middle import Middle
from rooflayout.packing.questions import Answer, questions, single

STEPS = 160  # of the simplex method, to try an answer
NEW_POINTS = 10  # at most, after one solution: few, for most of them bind at this node only
POINT_ROUNDS = 2  # of points that are too full, where values are not whole anyway
LEAST_GAIN = 1e-3
MUCH = 200_000  # places with columns times points: a large programme
SMALLER, MUCH_SMALLER = 0.7, 0.35  # so small a part of a large one, of another is worth making anew
AROUND = 300  # steps of the simplex method: what takes as long as all the rest of a node

Others = tuple[tuple[int, float, float], ...]  # (column, low, high)


@dataclass(eq=False, slots=True)
class Node:
    """bound: no layout below has more. choice: its own, or shared where middle is. basis: None where new.

    by_corners: even if large. middle, early: the shared programme of central_node.py, and where to begin.
    """

    choice: Choice
    bound: float
    barred: Bools  # by place: may not be used
    used: Ints  # groups of which one place must be used
    others: Others
    basis: highspy.HighsBasis | None = None
    by_corners: bool = False
    middle: Middle | None = None
    early: State | None = None


@dataclass(frozen=True, slots=True)
class Expanded:
    """What a node came to: nodes below it, or a layout (candidate numbers); solved: False out of time."""

    node: Node
    below: tuple[Node, ...] = ()
    chosen: Ints | None = None
    value: float = 0.0
    solved: bool = True


@dataclass(frozen=True, slots=True)
class Tried:
    """The bound of an answer: guessed after a few steps, and what it is for sure; and how far they came."""

    guess: float
    sure: float
    basis: highspy.HighsBasis


def beyond(node: Node, ceilings: Floats, low: float, held: Callable[[Ints], Ints]) -> Bools:
    """Barred from here on: places with which low cannot be reached, or that no other can hold.

    ceilings: by place, the most that a layout with it can have.
    """
    keep = node.choice.keep
    left = np.nonzero(~node.barred & reaches(ceilings, low))[0]
    still = np.ones(len(keep), dtype=bool)
    still[left[np.isin(keep[left], held(keep[left]))]] = False
    return still


class Expanding:
    """Of one node; low: fewer grains are of no use."""

    def __init__(
        self, node: Node, low: float, held: Callable[[Ints], Ints], deadline: float, meter: Meter
    ) -> None:
        self._node, self._choice, self._low = node, node.choice, low
        self._held, self._deadline, self._meter = held, deadline, meter

    def expand(self) -> Expanded:
        node, choice = self._node, self._choice
        self._meter.add(AROUND * len(choice.columns))
        solved = self._relax()
        if solved is None:
            return Expanded(node, solved=False)
        node.bound, values = solved
        if not reaches(node.bound, self._low):
            return Expanded(node)
        node.barred = beyond(node, choice.ceilings(node.bound), self._low, self._held)
        if node.basis is not None and self._much_smaller(node.barred):
            return Expanded(node, (self._anew(),))
        fork = self._fork(values)
        if fork is None and not choice.holds(values):
            fork = self._fork_closely(values)
        if fork is not None:
            return Expanded(node, tuple(self._each_with_its_own(fork)))
        chosen = choice.keep[choice.columns[values[choice.others :] > 0.5]]
        return Expanded(node, (), chosen, round(node.bound))

    # the bound

    def _relax(self) -> tuple[float, Floats] | None:
        """The node's bound and its column values, with no point too full."""
        choice, node = self._choice, self._node
        self._enter()
        first = node.basis is None
        turn = 0
        while True:
            bound = self._solve(first=first)
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

    def _enter(self) -> None:
        node, programme = self._node, self._choice.programme
        self._bar(node.barred, node.used)
        low, high = np.zeros(self._choice.others), np.array(self._choice.exact.most, dtype=np.float64)
        for column, least, most in node.others:
            low[column], high[column] = least, most
        programme.bound_others(low, high)
        if node.basis is not None:
            programme.begin_from(node.basis)

    def _bar(self, barred: Bools, used: Ints) -> None:
        self._choice.bar(barred)
        self._choice.programme.ask_for(used)

    def _solve(self, most_steps: int | None = None, first: bool = False) -> float | None:
        programme = self._choice.programme
        bound = programme.solve(self._deadline, most_steps, first=first)
        self._meter.add(programme.effort())
        return bound

    # a choice of its own

    def _each_with_its_own(self, nodes: list[Node]) -> Iterator[Node]:
        """Those that can hold low, the best first; the first goes on with the choice that they share."""
        able = [node for node in nodes if reaches(node.bound, self._low)]
        for number, node in enumerate(sorted(able, key=lambda node: -node.bound)):
            if number:
                node.choice = node.choice.copy()
            yield node

    def _much_smaller(self, barred: Bools) -> bool:
        """Whether what is left below the node would make a much smaller programme."""
        choice = self._choice
        columns, rows = int(choice.open_columns(barred).sum()), len(choice.binding()[0])
        now = choice.size()
        return columns * rows < (SMALLER if now > MUCH else MUCH_SMALLER) * now

    def _anew(self) -> Node:
        """The same node with a choice of its own."""
        node = self._node
        choice = self._choice.below(~node.barred, node.used)
        nothing = np.zeros(len(choice.keep), dtype=bool)
        return Node(choice, node.bound, nothing, np.arange(len(node.used)), node.others)

    # forks

    def _fork(self, values: Floats) -> list[Node] | None:
        """Two nodes for the two answers to the best question; None when all values are whole."""
        node, choice = self._node, self._choice
        others = values[: choice.others]
        broken = np.abs(others - np.round(others)) > WHOLE
        asked = [] if broken.any() else questions(choice, values[choice.others :])
        basis = choice.programme.basis()  # of the rows that the questions need, too
        if broken.any():  # which trackers serve what decides more than any place
            distance = np.where(broken, np.abs(others - np.floor(others) - 0.5), 1.0)
            return self._split_other(int(distance.argmin()), others, basis)
        if not asked:
            return None
        best, score = None, -np.inf
        for question in asked:
            answers = [self._answered(answer) for answer in question]
            tried = [self._try(*answer, basis) for answer in answers]
            gains = [max(node.bound - answer.guess, LEAST_GAIN) for answer in tried]
            if min(gains) * max(gains) > score:
                best = [
                    Node(choice, t.sure, *answer, node.others, t.basis)
                    for t, answer in zip(tried, answers, strict=True)
                ]
                score = min(gains) * max(gains)
            if not any(reaches(answer.guess, self._low) for answer in tried):
                break
        assert best is not None
        return best

    def _fork_closely(self, values: Floats) -> list[Node] | None:
        """Two nodes for values that are whole for all purposes but one: a rule with large numbers in it.

        None when they are whole to the last digit; then the solver's own tolerance was at fault.
        """
        node, choice = self._node, self._choice
        basis, others = choice.programme.basis(), choice.others
        off = np.abs(values - np.round(values))
        column = int(off.argmax())
        if off[column] <= 0.0:
            return None
        if column < others:
            return self._split_other(column, values[:others], basis)
        answers = single(choice, column - others)
        basis = choice.programme.basis()  # of the row that the question needs, too
        return [Node(choice, node.bound, *self._answered(answer), node.others, basis) for answer in answers]

    def _answered(self, answer: Answer) -> Answer:
        """What is barred and what is used with an answer more."""
        bar, used = answer
        return self._node.barred | bar, np.concatenate([self._node.used, used])

    def _try(self, barred: Bools, used: Ints, basis: highspy.HighsBasis) -> Tried:
        bound, programme = self._node.bound, self._choice.programme
        programme.begin_from(basis)
        self._bar(barred, used)
        found = self._solve(STEPS)
        guess = bound if found is None else min(bound, found)
        sure = guess if programme.finished() else bound
        return Tried(guess, sure, programme.basis())

    def _split_other(self, column: int, values: Floats, basis: highspy.HighsBasis) -> list[Node]:
        node = self._node
        low, high = 0.0, self._choice.exact.most[column]
        for c, least, most in node.others:
            if c == column:
                low, high = least, most
        below, above = float(np.floor(values[column])), float(np.ceil(values[column]))
        return [
            Node(node.choice, node.bound, node.barred, node.used, (*node.others, (column, *ends)), basis)
            for ends in ((low, below), (above, high))
        ]
