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
from rooflayout.packing.rules import Rules
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.sweeps import FEW
from rooflayout.packing.team_rules import kinds_in, restricted

SHARE = 0.5  # of the time, at most, for the few alone


def many(rules: Rules) -> bool:
    """Whether there are so many models that the few densest go first; not where rules bind the panels."""
    return not rules.bound() and len(densest_models(rules.kinds)) > FEW


def search_by_few(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> Packing:
    """The best layout of a large roof with many models."""
    search = Search(fields, rules, clock)
    found = _of_the_few(fields, rules, clock, search.incumbent.bound)
    if found:
        watts = sum(rules.kinds[k].watts for k, _, _ in found)
        search.incumbent.better(watts + search.incumbent.kept, found)
    return search.run()


def _of_the_few(fields: tuple[Field, ...], rules: Rules, clock: Clock, bound: int) -> tuple[Place, ...]:
    """Places (kinds as in rules) of the densest models alone; bound: of all models, to tell meanwhile."""
    few = densest_models(rules.kinds)[:FEW]
    team = tuple(n for n, group in enumerate(rules.groups) if group.model in few)
    own = replace(clock.part(SHARE), tell=lambda watts, _: clock.tell(watts, bound))
    search = Search(fields, restricted(rules, team), own)
    search.prefers = False
    numbers = kinds_in(rules, team)
    return tuple((numbers[k], x, y) for k, x, y in search.run().places)
