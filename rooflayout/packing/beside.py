"""Beside the search: what no layout whatever can exceed, and what a little more room would carry.

Where a roof has round or slanted lines the search's bound holds over the places tried; where a roof is
large the search has no bound of its own but the area. In the first case the eased roof (eased.py) is
priced, in the second the roof on a coarse raster (ceiling.py).
"""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from rooflayout.packing.ceiling import ceiling
from rooflayout.packing.clearance import Field
from rooflayout.packing.eased import eased
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.missing import small_layout
from rooflayout.packing.rules import Rules
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.teams import kinds_in, restricted, search, teams_of

NEAR = 0.03  # of the bound: closer to it, windows may bring it down to the watts
EFFORT = 0.1  # deterministic seconds for each window of the eased roof: the rest is the prices' work
SMALL_SHARE = 0.1  # of the time, at most, for the layout of smaller panels


@dataclass(frozen=True, slots=True)
class Searched:
    """packing: over the places tried. bound: watts (tenths) that no layout whatever can exceed."""

    packing: Packing
    bound: int
    small: tuple[Place, ...]  # a layout of panels a little too small, for near misses


def search_all(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> Searched:
    """The best packing, a bound for all others, and what would go on if panels were a little smaller."""
    quiet = replace(clock, tell=lambda watts, bound: None)
    large = Search(fields, rules, quiet).large
    with ThreadPoolExecutor(max_workers=1) as pool:
        if large:
            bound = pool.submit(_of_large, fields, rules, quiet)
            packing = search(fields, rules, clock)
            lowest = max(packing.watts, min(packing.bound, bound.result()))
            return Searched(replace(packing, bound=lowest), lowest, ())
        slanted = any(field.slanted() for field in fields)
        above = pool.submit(_prepared, fields, rules, quiet) if slanted else None
        teams = teams_of(rules) is not None
        short = replace(quiet, deadline=time.monotonic() + SMALL_SHARE * quiet.left())
        small = None if teams else pool.submit(small_layout, fields, rules, short)
        packing = search(fields, rules, clock)
        true_bound = packing.bound if above is None else _true_bound(packing, above.result(), rules.grain())
        if small is not None:
            return Searched(packing, true_bound, small.result())
        return Searched(packing, true_bound, _of_same_groups(fields, rules, packing, quiet))


def _true_bound(packing: Packing, above: Search, grain: int) -> int:
    bound = above.sound_bound()
    if bound - packing.watts <= NEAR * bound:
        bound = above.bound_from(packing.watts + grain, EFFORT)
    return max(packing.watts, bound)


def _of_same_groups(
    fields: tuple[Field, ...], rules: Rules, packing: Packing, clock: Clock
) -> tuple[Place, ...]:
    """Where few models may be wired: of the models that are on the roof."""
    team = tuple(sorted({int(rules.group_of_kind[k]) for k, _, _ in packing.places}))
    if not team:
        return ()
    numbers = kinds_in(rules, team)
    return tuple((numbers[k], x, y) for k, x, y in small_layout(fields, restricted(rules, team), clock))


def _of_large(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> int:
    grain = rules.grain()
    return int((ceiling(fields, rules, clock.deadline, clock.stopped) + 1e-3) // grain * grain)


def _prepared(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> Search:
    above = Search(tuple(eased(field) for field in fields), rules, clock)
    above.prepare(answers=False)
    return above
