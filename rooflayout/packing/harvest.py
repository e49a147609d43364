"""Packing for yearly Wh instead of watts: every candidate has a worth of its own, by slope and shade.

The candidates are those of the search for watts, so the bound holds over the positions tried. Prices at
these worths bound what any choice among them gives; CP-SAT then chooses among those that may matter.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rooflayout.packing.clearance import Field, Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.incumbent import SLACK, Clock, Place, places_of
from rooflayout.packing.model import PackingModel
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rules import Rules, unwired
from rooflayout.packing.search import Search
from rooflayout.packing.stock import nearest

FIRST, MOST = 1500, 6000  # candidates in one model
ENOUGH = 0.001  # share of the bound that prices may be unsure of
PRICE_SHARE = 0.4  # of the time
EFFORT = 20.0  # deterministic seconds for the choice


@dataclass(frozen=True, slots=True)
class Harvested:
    """Wh a year of a layout, and what no layout of the positions tried can exceed; kept panels included."""

    places: tuple[Place, ...]
    wh: int
    bound_wh: int

    @property
    def proven(self) -> bool:
        return self.wh >= self.bound_wh


def most_harvest(
    fields: tuple[Field, ...], rules: Rules, begin: Sequence[Place], clock: Clock
) -> Harvested | None:
    """The layout of most Wh, begun from one of many watts; None where the roof is too large for it."""
    assert rules.wishes.harvest_wh is not None
    search = Search(fields, unwired(rules), clock)
    search.prepare(answers=False)
    fine = search.fine
    if fine is None or search.raster_mm > 1:
        return None
    worth = rules.wishes.harvest_wh(fine.kinds, fine.candidates)
    own = for_harvest(rules)
    prices_of = PriceSearch(fine.candidates, fine.grid, own, worth.astype(np.float64))
    end = time.monotonic() + PRICE_SHARE * clock.left()
    prices = prices_of.run(nearest(list(begin), fine.candidates), end, clock.stopped, ENOUGH)
    chosen = numbers_of(fine.candidates, begin)
    kept = 0 if own.wired else own.kept_watts()
    most_with = prices.bound + kept + prices.reduced_cost  # by candidate
    bound, best = int(prices.bound + kept + SLACK), None
    for most in (FIRST, MOST):
        able = np.nonzero(most_with >= (0 if best is None else best + 1 - SLACK))[0]
        keep = able[np.argsort(-most_with[able], kind="stable")][:most]
        model = PackingModel(
            fine.candidates, fine.grid, own, _with(keep, chosen), prices if prices.converged else None
        )
        total = model.total(worth)
        if best is not None:
            model.model.add(total >= best)
        if chosen is not None:
            model.hint(chosen)
        answer = model.solve(total, clock.deadline, clock.stopped, most=True, effort=EFFORT)
        if answer.status in ("OPTIMAL", "FEASIBLE"):
            chosen, best = answer.chosen, answer.value
        if answer.status == "OPTIMAL" and len(keep) == len(able) and best is not None:
            bound = best  # nothing that was left out can have more
        if best is not None and best >= bound:
            break
    if chosen is None or best is None:
        return None
    return Harvested(tuple(places_of(fine.candidates, chosen)), best, max(bound, best))


def _with(keep: Ints, chosen: Ints | None) -> Ints:
    """Sorted, and those of a layout that is known."""
    return np.unique(keep) if chosen is None else np.union1d(keep, chosen)


def for_harvest(rules: Rules) -> Rules:
    """The rules with kept panels worth their Wh, so that one whole Wh is the step."""
    kept = rules.wishes.kept_wh or {}
    groups = tuple(replace(g, kept_watts=kept.get((g.facet, g.model), 0)) for g in rules.groups)
    return replace(rules, groups=groups, grain_watts=1)


def numbers_of(candidates: Candidates, places: Sequence[Place]) -> Ints | None:
    """Numbers of the candidates at these places; None when one of them is not among them."""
    found = []
    for k, x, y in places:
        at = np.nonzero((candidates.kind == k) & (candidates.x_mm == x) & (candidates.y_mm == y))[0]
        if not len(at):
            return None
        found.append(int(at[0]))
    return np.array(sorted(found), dtype=np.int64)
