"""What the wiring costs, and which change of the controllers would carry how many watts more.

A search that does not mind the wiring tells whether it costs anything. If so, each change is asked for a
layout of more watts among the most promising places at the prices of that search; where the last change,
one more controller as a rule, has none, it is asked once more at prices of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rooflayout.packing.clearance import Field
from rooflayout.packing.closing import FIRST_SIZE, FIRST_WINDOW, answer_promising
from rooflayout.packing.incumbent import Clock, Incumbent
from rooflayout.packing.rules import Rules, unwired
from rooflayout.packing.search import Search
from rooflayout.packing.stock import Pool

ENOUGH = 0.003  # share of the bound to be unsure of
EFFORT = 1.0  # deterministic seconds for a layout
QUICK_EFFORT = 0.15  # and for the first try of each change


@dataclass(frozen=True, slots=True)
class Cost:
    """Watts (tenths) of layouts that were found: without minding the wiring, and with each change.

    None where no layout of more watts was found. in_time: every change was asked to the end.
    """

    unminded: int | None
    freed: tuple[int | None, ...]
    in_time: bool = True


NO_COST = Cost(None, ())


def cost_of_wiring(
    fields: tuple[Field, ...],
    rules: Rules,
    changed: Sequence[Rules],
    watts: int,
    clock: Clock,
    free: Search | None,
    pool: Pool | None = None,
) -> Cost:
    """What is lost to the wiring of rules, where the best layout has so many watts (tenths).

    changed: the rules with each change. free: a search of these kinds that did not mind the wiring, if any.
    pool: candidates that were made for a search of these fields.
    """
    floor = watts + rules.grain()
    if free is None:
        free = Search(fields, unwired(rules), clock, floor, pool)
        free.begins_with_rows = False
        free.roughly(FIRST_WINDOW, EFFORT, ENOUGH)
    if free.incumbent.places is None or free.incumbent.watts < floor:
        return NO_COST
    quick = [_of_promising(free, own, floor, clock) for own in changed]
    if quick and quick[-1] is None:
        quick[-1] = _at_own_prices(fields, free, changed[-1], floor, clock)
    return Cost(free.incumbent.watts, tuple(quick), not clock.over())


def _of_promising(free: Search, rules: Rules, floor: int, clock: Clock) -> int | None:
    """The watts of a layout under changed rules, among the most promising places of the free search."""
    if free.fine is None or clock.over():
        return None
    incumbent = Incumbent(clock, rules.grain(), 0, floor, free.incumbent.bound)
    asked = replace(free.fine, rules=rules, incumbent=incumbent)
    answer_promising(asked, FIRST_SIZE, QUICK_EFFORT)
    return None if incumbent.places is None else incumbent.watts


def _at_own_prices(
    fields: tuple[Field, ...], free: Search, rules: Rules, floor: int, clock: Clock
) -> int | None:
    """The same among the places that matter with the changed rules."""
    if clock.over():
        return None
    search = Search(fields, rules, clock, floor, free.pool)
    search.begin_from(free)
    search.roughly(FIRST_WINDOW, EFFORT, ENOUGH)
    return None if search.incumbent.places is None else search.incumbent.watts
