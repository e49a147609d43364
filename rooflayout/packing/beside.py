"""Beside and after the search: a bound for any layout, and what a little more would carry.

Where a roof has round or slanted lines the search's bound holds over the places tried; where a roof is
large the search has no bound of its own but the area. In the first case the eased roof (eased.py) is
priced, in the second the roof on lattices (ceiling.py).
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from threading import Event

from rooflayout.packing.ahead import Ahead, Ending
from rooflayout.packing.by_few import many, search_by_few
from rooflayout.packing.ceiling import MANY_CELLS, area_bound, ceiling
from rooflayout.packing.clearance import Field
from rooflayout.packing.eased import eased, widened
from rooflayout.packing.freed import NO_COST, Cost, cost_of_wiring
from rooflayout.packing.incumbent import Clock, Place, whole
from rooflayout.packing.large import is_large
from rooflayout.packing.rules import Rules, unwired
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.teams import Found, bound_by_teams, search
from rooflayout.packing.unminded import Minded, search_minding

NEAR = 0.03  # of the bound: closer to it, windows may bring it down to the watts
FEW = 3000  # candidates, with which they are tried anyway, and finer rectangles too
SEVERAL = 8000  # with which finer rectangles are tried where the bound is far off
FINER = (1, 4, 16)  # times as many rectangles inside what is round or slanted
EFFORT = 0.1  # deterministic seconds for each window of the eased roof: the rest is the prices' work
ENOUGH = 0.005  # share of the eased roof's bound to be unsure of
MOST_S = 30.0  # once the search is done, for all that is beside it: ample, so that no slow clock decides
GRACE_S = 1.0  # for a rough bound when time is up
LATE_S = 10.0  # a search that takes longer may have no end: then a better one is worked out beside it


@dataclass(frozen=True, slots=True)
class Searched:
    """packing: over the places tried. bound: watts (tenths) that no layout whatever can exceed."""

    packing: Packing
    bound: int
    small: tuple[tuple[Place, ...], ...]  # layouts of panels a little too small, for near misses
    cost: Cost = NO_COST  # of the wiring


def search_all(
    fields: tuple[Field, ...],
    rules: Rules,
    clock: Clock,
    asked: Callable[[], Sequence[Rules]] | None = None,
    every: bool = False,
    anywhere: bool = False,
) -> Searched:
    """The best packing, a bound for all others, and what would go on if panels were a little smaller.

    asked: gives the rules as they are, and with each change of the controllers that is to be asked for its
    watts, over kinds that may be more than those of rules; None: nothing is asked. every: there are no more.
    anywhere: the bound is to hold for panels that do not stand on whole millimetres, too.
    """
    quiet = replace(clock, tell=lambda watts, bound: None)
    if is_large(fields, rules, quiet):
        watched, reached = _watched(clock)
        with ThreadPoolExecutor(max_workers=1) as pool:
            of_large = pool.submit(_of_large, fields, rules, quiet, reached)
            if many(rules):
                packing = search_by_few(fields, rules, watched)
            else:
                packing = search(fields, rules, watched).packing
            lowest = _lower(packing, of_large.result())
        return Searched(replace(packing, bound=lowest), lowest, ())
    slanted = anywhere or any(field.slanted() for field in fields)
    with ThreadPoolExecutor(min(2, clock.workers)) as pool, ThreadPoolExecutor(2) as bounds:
        ending, ease, done = Ending(quiet), _Ease(fields, anywhere), Event()
        late = bounds.submit(_bound_if_late, fields, rules, quiet, done) if slanted else None
        alone = replace(ending.clock, workers=1)  # beside others that have all workers
        ahead = Ahead(pool, fields, ending)
        watched, reached = _watched(clock)
        above: Future[int] | None = None

        def begin_above() -> None:
            nonlocal above
            if slanted and clock.workers > 1:
                above = bounds.submit(_bound_by_teams, ease, rules, alone, reached)

        def settled(by: Search) -> None:
            nonlocal above
            ahead.begin(by)
            if slanted and not rules.wired:
                above = bounds.submit(_bound_by_prices, ease, rules, ending.clock, by, by.incumbent.watts)

        try:
            minded = search_minding(fields, rules, watched, settled, begin_above)
        finally:
            done.set()
        found, packing = minded.found, minded.found.packing
        ending.end = min(clock.deadline, time.monotonic() + MOST_S)
        if clock.over():
            ahead.end(None)
            bound = packing.bound if late is None else min(_late_bound(fields, rules, above), late.result())
            return _bounded(packing, bound, ())
        ahead.end(found.search)
        if slanted and above is None:
            bare = found.rules if minded.nothing_lost else rules  # without wiring none has more either
            if not minded.by_teams:
                above = bounds.submit(_bound_by_prices, ease, bare, ending.clock, found.search, packing.watts)
            else:
                above = bounds.submit(_bound_by_teams, ease, rules, ending.clock, reached)
        cost = NO_COST
        if asked is not None and not (minded.nothing_lost and every):
            cost = _cost(fields, rules, asked(), minded, ending.clock)
        bound = packing.bound if above is None else above.result()
        if above is not None and clock.over():  # it was cut off, perhaps before it knew anything
            bound = _late_bound(fields, rules, above)
        return _bounded(packing, bound, _small(found, ahead), cost)


def _bounded(
    packing: Packing, bound: int, small: tuple[tuple[Place, ...], ...], cost: Cost = NO_COST
) -> Searched:
    """What holds for all positions holds for those that were tried."""
    bound = max(packing.watts, bound)
    return Searched(replace(packing, bound=min(packing.bound, bound)), bound, small, cost)


def _bound_if_late(fields: tuple[Field, ...], rules: Rules, clock: Clock, done: Event) -> int:
    """By a raster as soon as the search has taken long, by the area before; done: the search has ended."""
    if done.wait(min(LATE_S, max(0.0, clock.left()))) or clock.over():
        return area_bound(fields, rules)
    return _on_raster(fields, rules, replace(clock, stopped=lambda: done.is_set() or clock.stopped()))


def _late_bound(fields: tuple[Field, ...], rules: Rules, above: Future[int] | None) -> int:
    """When time is up, or somebody stopped it."""
    rough = rough_bound(fields, rules)
    return rough if above is None else min(rough, above.result())


def rough_bound(fields: tuple[Field, ...], rules: Rules) -> int:
    """Of a coarse raster or lattice, or of the area; in little time."""
    clock = Clock(time.monotonic() + GRACE_S, lambda: False, lambda watts, bound: None)
    return int(min(area_bound(fields, rules), _of_large(fields, rules, clock)))


@dataclass(frozen=True, slots=True)
class _Ease:
    """Makes eased fields. anywhere: panels need not stand on whole millimetres there."""

    fields: tuple[Field, ...]
    anywhere: bool

    def by(self, finer: int) -> tuple[Field, ...]:
        rects = tuple(eased(field, finer) for field in self.fields)
        return tuple(widened(field) for field in rects) if self.anywhere else rects


def _bound_by_teams(ease: _Ease, rules: Rules, clock: Clock, reached: Callable[[], int]) -> int:
    """By the best of all teams on the eased roof; reached: the most watts that layouts have so far."""
    bound = bound_by_teams(ease.by(1), rules, clock, reached)
    return bound if bound <= reached() else max(reached(), min(bound, _on_raster(ease.fields, rules, clock)))


def _bound_by_prices(ease: _Ease, rules: Rules, clock: Clock, real: Search | None, watts: int) -> int:
    """By the eased roof with its prices, begun from a search of the real one if there was one.

    On small roofs with finer rectangles again and again as long as more than watts seems possible; watts:
    that a layout has, so that lower bounds say no more.
    """
    bound = area_bound(ease.fields, rules)
    for finer in FINER:
        above = Search(ease.by(finer), rules, clock)
        if real is not None:
            above.begin_from(real)
        above.prepare(answers=False, enough=ENOUGH)
        if above.raster_mm > 1:  # then it says nothing that holds for the real roof
            return max(watts, min(bound, _on_raster(ease.fields, rules, clock)))
        bound = min(bound, above.sound_bound())
        count = math.inf if above.fine is None else len(above.fine.candidates)
        far = bound - watts > NEAR * bound
        if count <= FEW or not far:
            bound = min(bound, above.bound_from(watts + rules.grain(), EFFORT))
        if bound <= watts or count > (SEVERAL if far else FEW) or clock.over():
            break
    return max(watts, bound)


def _on_raster(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> int:
    """Of the roof on a raster, as fine as some seconds allow, or of the area; the wiring is not minded."""
    by_area = area_bound(fields, rules)
    bound = ceiling(fields, unwired(rules), clock.deadline, clock.stopped, most_cells=MANY_CELLS)
    return min(by_area, whole(bound, rules.grain())) if math.isfinite(bound) else by_area


def _small(found: Found, ahead: Ahead) -> tuple[tuple[Place, ...], ...]:
    """Where few models may be wired: of the models that are on the roof."""
    return tuple(tuple((found.kind_of[k], x, y) for k, x, y in places) for places in ahead.result())


def _cost(
    fields: tuple[Field, ...], rules: Rules, asked: Sequence[Rules], minded: Minded, clock: Clock
) -> Cost:
    """What the wiring costs; where the search had all kinds, by what is known of it without wiring."""
    free, found = minded.free if rules is asked[0] else None, minded.found
    pool = None if found.search is None else found.search.pool
    return cost_of_wiring(fields, asked[0], asked[1:], found.packing.watts, clock, free, pool)


def _lower(packing: Packing, bound: float) -> int:
    """The lower bound of the two; one below watts that are there would be a fault and is not believed."""
    if not packing.watts <= bound < packing.bound:
        return packing.bound
    return int(bound)


def _watched(clock: Clock) -> tuple[Clock, Callable[[], int]]:
    """The same clock, and what tells the most watts that it was told of."""
    most = [0]

    def tell(watts: int, bound: int) -> None:
        most[0] = max(most[0], watts)
        clock.tell(watts, bound)

    return replace(clock, tell=tell), lambda: most[0]


def _of_large(
    fields: tuple[Field, ...], rules: Rules, clock: Clock, reached: Callable[[], int] = lambda: 0
) -> float:
    """inf when no lattice gives a bound; reached: watts below which it need not come."""
    found = ceiling(fields, rules, clock.deadline, clock.stopped, reached)
    return whole(found, rules.grain()) if math.isfinite(found) else found
