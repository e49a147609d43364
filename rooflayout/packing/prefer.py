"""Among layouts of the best watts: fewer trackers with unlike strings, fewer models, fewer panels, less mass,
lower price, as heavy on the left as on the right where that is asked, less shade, then a tidy look.

One worker and deterministic time, so that every seed and number of workers ends with the same.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.clearance import Ints
from rooflayout.packing.incumbent import places_of
from rooflayout.packing.model import PackingModel
from rooflayout.packing.rules import price_cents

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import LinearExpr

PREFER_EFFORT, TIDY_EFFORT = 0.25, 0.3  # deterministic seconds
PREFER_MOST, TIDY_MOST = 1500, 400  # candidates at most when choosing among equal watts


def prefer(asked: Asked, rival: tuple[int, ...] | None = None) -> tuple[int, ...] | None:
    """Puts the preferred layout in the incumbent; returns what the wishes came to, None if not all were.

    rival: what they came to elsewhere; None too where no layout was found that is liked as much.
    """
    able = asked.enough(asked.incumbent.watts)
    able = able[np.argsort(-asked.prices.reduced_cost[able], kind="stable")]
    reached: list[int] = []
    model = _equal(asked, able[:PREFER_MOST], reached)
    unlike, models, panels, mass, price, lopsided, lost = _wishes(model)
    asking = _Asking(asked, model, reached, rival)
    dearest = max((price_cents(m) for m in asked.rules.models), default=0)
    every = (
        asking.for_one(unlike)
        and asking.for_two(models, panels, len(asked.grid))
        and asking.for_two(mass, price, reached[-1] * dearest)
        and asking.for_one(lopsided)
        and asking.for_one(lost)
    )
    if not every:
        return None
    model = _equal(asked, able[:TIDY_MOST], reached)
    _wish(asked, model, model.lines() * 10000 + model.spread(), TIDY_EFFORT)
    return tuple(reached)


class _Asking:
    """Wishes asked for one after the other: what one comes to, no layout may exceed from then on."""

    def __init__(
        self, asked: Asked, model: PackingModel, reached: list[int], rival: tuple[int, ...] | None
    ) -> None:
        """reached: what the wishes came to is added to it; rival as for prefer."""
        self._asked, self._model, self._reached, self._rival = asked, model, reached, rival

    def for_one(self, wish: LinearExpr | None) -> bool:
        """Whether a layout was found; a wish that nobody has comes to 0."""
        self._outdo(wish)
        value = 0 if wish is None else _wish(self._asked, self._model, wish, PREFER_EFFORT)
        if value is None:
            return False
        self._hold(wish, value)
        return True

    def for_two(self, first: LinearExpr | None, second: LinearExpr | None, most: int) -> bool:
        """The same of the first, then the second, in one question, for each question takes its presolve.

        most: what the second comes to at most.
        """
        assert first is not None
        assert second is not None
        self._outdo(first)
        both = _wish(self._asked, self._model, first * (most + 1) + second, 2 * PREFER_EFFORT)
        if both is None:
            return False
        for wish, value in zip((first, second), divmod(both, most + 1), strict=True):
            self._hold(wish, value)
        return True

    def _outdo(self, wish: LinearExpr | None) -> None:
        """As long as the rival's wishes came to the same, the next one may come to no more than there."""
        done = len(self._reached)
        if wish is not None and self._rival is not None and tuple(self._reached) == self._rival[:done]:
            self._model.model.add(wish <= self._rival[done])

    def _hold(self, wish: LinearExpr | None, value: int) -> None:
        self._reached.append(value)
        if wish is not None:
            self._model.model.add(wish <= value)


def _equal(asked: Asked, some: Ints, reached: list[int]) -> PackingModel:
    """The layouts as good as the best one, in watts and in the wishes reached, among some candidates."""
    at = asked.candidates
    best = [
        np.nonzero((at.kind == k) & (at.x_mm == x) & (at.y_mm == y))[0]
        for k, x, y in asked.incumbent.places or ()
    ]
    found = np.unique(np.concatenate([np.zeros(0, dtype=np.int64), *best]))
    keep = np.union1d(some, found)
    model = PackingModel(asked.candidates, asked.grid, asked.rules, keep, asked.prices)
    model.model.add(model.watts == asked.incumbent.watts)
    for wish, value in zip(_wishes(model), reached, strict=False):
        if wish is not None:
            model.model.add(wish <= value)
    model.hint(found)
    return model


def _wish(asked: Asked, model: PackingModel, wish: LinearExpr, effort: float) -> int | None:
    """The least that a wish comes to, and the layout with it as the best; None when none was found."""
    clock = asked.incumbent.clock
    answer = model.solve(wish, clock.deadline, clock.stopped, most=False, effort=effort)
    if answer.status not in ("OPTIMAL", "FEASIBLE"):
        return None
    model.hint(answer.chosen)
    asked.incumbent.places = tuple(places_of(asked.candidates, answer.chosen))
    return answer.value


def _wishes(model: PackingModel) -> tuple[LinearExpr | None, ...]:
    """What is wanted among equal watts, the most wanted first; None: nothing to wish for."""
    light = model.unlike(), model.models_used(), model.panels(), model.mass(), model.price()
    return *light, model.lopsided(), model.lost()
