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

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import LinearExpr

PREFER_EFFORT, TIDY_EFFORT = 0.25, 0.3  # deterministic seconds
PREFER_MOST, TIDY_MOST = 1500, 400  # candidates at most when choosing among equal watts


def prefer(asked: Asked) -> tuple[int, ...] | None:
    """Puts the preferred layout in the incumbent; returns what the wishes came to, None if not all were."""
    able = asked.enough(asked.incumbent.watts)
    able = able[np.argsort(-asked.prices.reduced_cost[able], kind="stable")]
    reached: list[int] = []
    model = _equal(asked, able[:PREFER_MOST], reached)
    for wish in _wishes(model):
        if wish is None:
            reached.append(0)
            continue
        value = _wish(asked, model, wish, PREFER_EFFORT)
        if value is None:
            return None
        reached.append(value)
        model.model.add(wish <= value)
    model = _equal(asked, able[:TIDY_MOST], reached)
    _wish(asked, model, model.lines() * 10000 + model.spread(), TIDY_EFFORT)
    return tuple(reached)


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
