"""A large roof and many models: first a layout of the few densest alone, then the others for what is left.

With ten models a window of the roof has so many places that they are made on a coarse raster, and the whole
roof has too many for its relaxation. The few models with the most watts for their area fill most of any good
layout, and with them alone the roof is searched as if there were no others.
"""

from __future__ import annotations

from dataclasses import replace

from rooflayout.packing.clearance import Field
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.kinds import densest_models
from rooflayout.packing.large import is_large
from rooflayout.packing.rules import Rules
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.sweeps import FEW
from rooflayout.packing.team_rules import kinds_in, restricted

SHARE = 0.5  # of the time, at most, for the few alone
SWEPT_SHARE = 0.2  # likewise for sweeps, before prices, where the roof is not large for the few


def many(rules: Rules) -> bool:
    """Whether there are so many models that the few densest go first; not where rules bind the panels."""
    return not rules.bound() and len(densest_models(rules.kinds)) > FEW


def search_by_few(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> Packing:
    """The best layout of a large roof with many models."""
    search = Search(fields, rules, clock)
    found = _of_the_few(fields, rules, clock, search.incumbent.bound)
    _begin_with(search, found)
    return search.run()


def _of_the_few(fields: tuple[Field, ...], rules: Rules, clock: Clock, bound: int) -> tuple[Place, ...]:
    """Places (kinds as in rules) of the densest models alone; bound: of all models, to tell meanwhile."""
    few = densest_models(rules.kinds)[:FEW]
    team = tuple(n for n, group in enumerate(rules.groups) if group.model in few)
    own, numbers = restricted(rules, team), kinds_in(rules, team)
    quiet = replace(clock, tell=lambda watts, _: clock.tell(watts, bound))
    large = is_large(fields, own, quiet)
    found = _searched(fields, own, quiet.part(SHARE if large else SWEPT_SHARE), (), swept=True)
    if not large:
        found = _searched(fields, own, quiet.part(SHARE), found, swept=False)
    return tuple((numbers[k], x, y) for k, x, y in found)


def _searched(
    fields: tuple[Field, ...], rules: Rules, clock: Clock, start: tuple[Place, ...], swept: bool
) -> tuple[Place, ...]:
    """From a layout (or none) on, by sweeps or by prices."""
    search = Search(fields, rules, clock)
    search.prefers, search.large = False, swept
    _begin_with(search, start)
    return search.run().places


def _begin_with(search: Search, layout: tuple[Place, ...]) -> None:
    if layout:
        watts = sum(search.rules.kinds[k].watts for k, _, _ in layout)
        search.incumbent.better(watts + search.incumbent.kept, layout)
