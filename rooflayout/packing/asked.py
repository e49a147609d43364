"""Candidates of one raster with their prices, and the two questions that are put to them."""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.clearance import Ints
from rooflayout.packing.closure import Candidates, closed
from rooflayout.packing.grid import Floats, PointGrid
from rooflayout.packing.incumbent import SLACK, Incumbent, Place, places_of
from rooflayout.packing.kinds import Kind
from rooflayout.packing.model import PackingModel
from rooflayout.packing.prices import Prices
from rooflayout.packing.rules import Rules

GRACE_S = 0.3  # for a first layout when time is up


@dataclass(frozen=True, slots=True)
class Asked:
    """kinds: those of the rules, with the pitches of this raster."""

    candidates: Candidates
    kinds: tuple[Kind, ...]
    grid: PointGrid
    rules: Rules
    prices: Prices
    incumbent: Incumbent

    def enough(self, watts: int) -> Ints:
        """The candidates with which a layout can have so many watts; nothing else need be looked at."""
        return self.held(np.nonzero(self.most_with() >= watts)[0])

    def held(self, which: Ints) -> Ints:
        """Those of the candidates (sorted numbers) that the roof or one another can hold."""
        return closed(self.candidates, self.kinds, which)

    def most_with(self) -> Floats:
        """By candidate, the most watts that a layout with it can have."""
        return np.asarray(self.incumbent.kept + self.prices.bound + self.prices.reduced_cost + SLACK)

    def mattering(self, grain: int) -> list[Place]:
        """Places that a layout within a grain of the bound may use."""
        columns = self.prices.columns
        dear = self.prices.reduced_cost[columns]
        return places_of(self.candidates, columns[dear > -grain - SLACK])

    def answer(self, keep: Ints, effort: float) -> None:
        """The best layout of a few candidates, no proof."""
        inc = self.incumbent
        model = PackingModel(self.candidates, self.grid, self.rules, keep, self.prices)
        model.model.add(model.watts >= inc.watts)
        model.model.add(model.watts <= inc.bound)
        deadline, stopped = inc.clock.deadline, inc.clock.stopped
        if inc.places is None and inc.clock.over():  # a late layout is better than none
            deadline, stopped = time.monotonic() + GRACE_S, _never
        answer = model.solve(model.watts, deadline, stopped, most=True, effort=effort)
        if answer.status in ("OPTIMAL", "FEASIBLE"):
            inc.better(answer.value, places_of(self.candidates, answer.chosen))


def _never() -> bool:
    return False
