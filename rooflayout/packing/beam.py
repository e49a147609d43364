"""Rounds over skylines (skyline.py) with more states each: layouts at first, all layouts in the end.

A beam (breadth first, the most promising states of each number of panels kept; Ow and Morton 1988, "Filtered
beam search in scheduling", from memory) gives a layout. One in which no state had to go has seen all layouts
of more watts than the best: that is the proof.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.clearance import Ints
from rooflayout.packing.incumbent import Clock, Incumbent
from rooflayout.packing.pieces import Pieces
from rooflayout.packing.rules import Rules
from rooflayout.packing.skyline import Skyline
from rooflayout.packing.states import Children, Floats, States

FIRST_WIDTH = 100  # states of a number of panels
WIDER = 3  # times, each beam than the one before
WIDEST = 80_000
DOUBLE = 3  # as many children are made as states are kept, since some turn out to be the same
TRIED = 1_500_000  # panels in niches, for a deterministic second of effort
OVER = 3  # times its effort that a beam once begun may take


class Beams:
    """One beam after the other, each wider than the one before, until one had no state to let go.

    They stop for good once they gain nothing or others find more watts after them: then watts follow area too
    little, and the bound of a state says too little of what comes of it.
    """

    def __init__(self, pieces: Pieces, rules: Rules, incumbent: Incumbent) -> None:
        self._pieces, self._inc, self._most_models = pieces, incumbent, rules.most_models
        self._skyline = Skyline(pieces)
        self._kept_models = rules.kept_models
        self._models = [sort.model for sort in pieces.sorts]
        first = [pieces.ways[sort.ways[0]].kind for sort in pieces.sorts]
        self._per_sort: Ints = np.array(
            [[cap.per_kind[k] for k in first] for cap in rules.caps], dtype=np.int64
        )
        self._limits: Ints = np.array([max(0, cap.limit) for cap in rules.caps], dtype=np.int64)
        self._width, self._shifted = FIRST_WIDTH, False
        self._effort, self.tried = 0, 0  # panels in niches; tried in the last run
        self._after: int | None = None  # watts when the last of them had ended
        self._whole_bound = float(self._skyline.bound(self._skyline.empty())[0])

    @staticmethod
    def suit(pieces: Pieces) -> bool:
        """Whether the roof is one sheet with nothing on it."""
        return len(pieces.sheets) == 1 and not pieces.sheets[0].taken

    def run(self, effort: float, clock: Clock) -> None:
        """Beams until settled, or until so many deterministic seconds are spent."""
        inc = self._inc
        if self._after is not None and inc.watts > self._after:
            self._width = WIDEST + 1
        before, whole = (inc.watts, inc.places), False
        self.tried, self._effort = 0, int(effort * TRIED)
        while self.tried < self._effort and self._width <= WIDEST and not inc.settled():
            ended = self._beam(clock)
            if ended is None:
                break
            whole = whole or ended
            if ended and self._shifted:
                inc.lower(inc.least() - inc.grain)
                break
            self._shifted = self._shifted or ended  # all was seen without shifts: it may be with them, too
            self._width *= WIDER
        self._after = inc.watts
        if not whole and before == (inc.watts, inc.places):
            self._width = WIDEST + 1

    def _beam(self, clock: Clock) -> bool | None:
        """Whether every state was followed; None where the effort or the time was too little for it."""
        skyline, states, whole = self._skyline, self._skyline.empty(), True
        while len(states):
            states = skyline.with_raised(states, self._low())
            children = Children(*(np.zeros(0, dtype=np.int64),) * 4, np.zeros(0))
            for tried, some in skyline.children(states, self._low(), self._shifted):
                self.tried += tried
                if clock.over() or self.tried > OVER * self._effort:
                    return None
                children = _both(children, some)
                if len(children) > 2 * DOUBLE * self._width:
                    children, whole = self._promising(states, children), False
            if len(children) > DOUBLE * self._width:
                children, whole = self._promising(states, children), False
            states = self._allowed(_different(skyline.made(states, children)))
            self._take_best(states)
            waste = (self._whole_bound - skyline.bound(states)) / np.maximum(1, states.filled)
            if len(states) > self._width:
                states, whole = states.take(_least(waste, self._width)), False
        return whole

    # small helpers

    def _low(self) -> int:
        """Watts of new panels that are of use."""
        return self._inc.least() - self._inc.kept

    def _promising(self, states: States, children: Children) -> Children:
        """Those that lose the fewest watts for the area they fill."""
        sky = self._skyline
        filled = states.filled[children.state] + (sky.ways_wide * sky.ways_deep)[children.way]
        return children.take(_least((self._whole_bound - children.bound) / filled, DOUBLE * self._width))

    def _allowed(self, states: States) -> States:
        """Those that keep to mass, money and models, which more panels never mend."""
        if len(self._limits):
            sums = states.used @ self._per_sort.T
            states = states.take(np.flatnonzero((sums <= self._limits).all(axis=1)))
        if self._most_models is None:
            return states
        new = [n for n, model in enumerate(self._models) if model not in self._kept_models]
        models = (states.used[:, new] > 0).sum(axis=1) + len(self._kept_models)
        most = max(self._most_models, len(self._kept_models))
        return states.take(np.flatnonzero(models <= most))

    def _take_best(self, states: States) -> None:
        if len(states) == 0:
            return
        best = int(np.argmax(states.watts))
        if states.watts[best] >= self._low():
            places = [self._pieces.place(*piece) for piece in self._skyline.pieces_of(states.path[best])]
            self._inc.better(int(states.watts[best]) + self._inc.kept, places)


def _both(a: Children, b: Children) -> Children:
    return Children(
        np.concatenate((a.state, b.state)),
        np.concatenate((a.way, b.way)),
        np.concatenate((a.shift, b.shift)),
        np.concatenate((a.lost, b.lost)),
        np.concatenate((a.bound, b.bound)),
    )


def _least(values: Floats, count: int) -> Ints:
    """The numbers of the least values, in their order; of equal ones the first."""
    return np.sort(np.argsort(values, kind="stable")[:count])


def _different(states: States) -> States:
    """One state of those with the same skyline and the same panels, compared byte by byte."""
    if len(states) == 0:
        return states
    rows = np.ascontiguousarray(np.column_stack([states.x, states.y, states.used]))
    _, first = np.unique(rows.view(f"V{rows.shape[1] * 8}").ravel(), return_index=True)
    return states.take(np.sort(first))
