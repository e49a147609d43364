"""What no layout of a team exceeds, before the team is looked at by itself.

Its groups each alone, added up; or less, by the prices of a whole facet: no panel is worth more of the
price of the points it takes than its group's best share, so a team has no more of the facet's bound.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from rooflayout.packing.clearance import Field
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.rules import Rules, geometry_only
from rooflayout.packing.search import Search
from rooflayout.packing.stock import Pool
from rooflayout.packing.team_rules import Team, restricted

UNKNOWN = 1e12  # watts (tenths) where there was no time to ask
Worth = tuple[float, dict[int, float]]  # a facet's relaxation, and how much of its price each group is worth


class TeamBounds:
    """Bounds in tenths of watts, without kept panels that count anyway."""

    def __init__(self, fields: tuple[Field, ...], rules: Rules, clock: Clock, pool: Pool) -> None:
        self._fields, self._rules, self._clock, self._pool = fields, rules, clock, pool
        self._alone: dict[int, float] = {}

    def alone(self, groups: Iterable[int]) -> dict[int, float]:
        """Of each group by itself."""
        self._alone = {g: self._of_group(g) for g in sorted(groups)}
        return self._alone

    def together(self, teams: Iterable[Team]) -> dict[Team, float]:
        """Of each team, of whose groups alone has been asked."""
        worth = [self._of_facet(number) for number in range(len(self._fields))]
        return {team: sum(self._on_facet(f, team, worth[f]) for f in range(len(worth))) for team in teams}

    def _on_facet(self, facet: int, team: Team, worth: Worth) -> float:
        return min(self._by_prices(facet, team, worth), self._added(facet, team))

    def _of_group(self, group: int) -> float:
        if self._clock.over():
            return UNKNOWN
        search = Search(self._fields, restricted(self._rules, (group,)), self._clock, pool=self._pool)
        search.prepare(answers=False)
        return float(search.sound_bound() - search.incumbent.kept)

    def _of_facet(self, facet: int) -> Worth:
        if self._clock.over():
            return UNKNOWN, {}
        numbers = [g for g, group in enumerate(self._rules.groups) if group.facet == facet and group.kinds]
        free = geometry_only(restricted(self._rules, tuple(numbers)))
        search = Search(self._fields, free, self._clock, pool=self._pool)
        search.prepare(answers=False)
        return _prices_bound(search), dict(zip(numbers, _worth_of_groups(search), strict=True))

    def _by_prices(self, facet: int, team: Team, worth: Worth) -> float:
        bound, share = worth
        mine = self._on(facet, team)
        best = max((share.get(g, 0.0 if share else 1.0) for g in mine), default=0.0)
        kept = sum(self._rules.groups[g].kept * self._rules.groups[g].kept_watts for g in mine)
        return bound * best + kept

    def _added(self, facet: int, team: Team) -> float:
        return sum(self._alone[g] for g in self._on(facet, team))

    def _on(self, facet: int, team: Team) -> list[int]:
        return [g for g in team if self._rules.groups[g].facet == facet]


def _prices_bound(search: Search) -> float:
    """The relaxation's watts (tenths) once it is prepared, kept panels not counted."""
    if search.fine is None or search.raster_mm > 1:
        return float(search.sound_bound() - search.incumbent.kept)
    return search.fine.prices.bound if len(search.fine.candidates) else 0.0


def _worth_of_groups(search: Search) -> list[float]:
    """For each group the most that one of its panels is worth of the price of the points it takes."""
    rules, fine = search.rules, search.fine
    if fine is None or search.raster_mm > 1:
        return [1.0 for _ in rules.groups]
    candidates = fine.candidates
    watts = np.array([k.watts for k in rules.kinds], dtype=np.float64)[candidates.kind]
    share = watts / fine.prices.cost
    of = rules.group_of_kind[candidates.kind] if len(candidates) else np.zeros(0, dtype=np.int64)
    return [float(np.max(share[of == g], initial=0.0)) for g in range(len(rules.groups))]
