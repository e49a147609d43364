"""Few trackers, or few models allowed: try each team of groups by itself, best bound first.

A tracker takes one group (one model on one facet) or two that get on, so two trackers take four groups at
most. A relaxation that may use a little of every group is far too hopeful then. A team of a few groups is
a small, well bounded problem; teams are opened in the order of their bounds, and the search ends
when no unopened team can reach the best watts found.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

from rooflayout.packing.ceiling import area_bound
from rooflayout.packing.clearance import Field
from rooflayout.packing.diving import dive_roughly
from rooflayout.packing.incumbent import Clock, Place, whole
from rooflayout.packing.rules import Rules
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.stock import Pool
from rooflayout.packing.team_bounds import TeamBounds
from rooflayout.packing.team_rules import Team, kinds_in, restricted, teams_by_models, teams_of, unshared

ROUNDS = 1  # of trying, before another team has its turn
DIVED = 3000  # candidates of a team, at most, for a layout when it is opened
MOST_TIES = 12  # teams of equal watts that are compared in mass and price


@dataclass(frozen=True, slots=True)
class Found:
    """The best packing; the rules and the search that it came from, those of one team where there are teams.

    search: None when no team had a layout.
    """

    packing: Packing
    rules: Rules
    search: Search | None
    kind_of: tuple[int, ...]  # by kind of those rules, its number in all of them


def search(
    fields: tuple[Field, ...],
    rules: Rules,
    clock: Clock,
    when_settled: Callable[[Search], None] | None = None,
    when_opened: Callable[[], None] | None = None,
) -> Found:
    """The best packing, by teams where that is the better way.

    when_settled: as in Search, where there are no teams. when_opened: as in TeamSearch, where there are.
    """
    teams = teams_of(rules)
    if teams is None:
        whole_roof = Search(fields, rules, clock)
        whole_roof.when_settled = when_settled
        return Found(whole_roof.run(), rules, whole_roof, tuple(range(len(rules.kinds))))
    by_teams = TeamSearch(fields, rules, clock, teams)
    by_teams.when_opened = when_opened
    return by_teams.found()


def bound_by_teams(fields: tuple[Field, ...], rules: Rules, clock: Clock, reached: Callable[[], int]) -> int:
    """Watts (tenths) that no layout exceeds; not below those that are reached elsewhere meanwhile.

    Raises ValueError where there are no teams.
    """
    teams = teams_of(rules) or teams_by_models(rules)
    if teams is None:
        raise ValueError("the whole roof is searched at once here")
    return TeamSearch(fields, rules, clock, teams, reached).run().bound


class Waiting(NamedTuple):
    """A team in line: those tried least come first, then those with the best bound."""

    tries: int
    negative: int  # its bound
    number: int  # no two alike, so that nothing further is compared
    team: Team
    opened: Search | None


class TeamSearch:
    """Opens teams from the best bound down; one that takes long waits until the others had their turn."""

    def __init__(
        self,
        fields: tuple[Field, ...],
        rules: Rules,
        clock: Clock,
        teams: list[Team],
        reached: Callable[[], int] | None = None,
    ) -> None:
        """reached: watts of a layout that is known elsewhere; only better ones matter then."""
        self._fields, self._rules, self._clock, self._teams = fields, rules, clock, teams
        self._reached = reached
        self._quiet = replace(clock, tell=lambda watts, bound: None)
        self._grain = rules.grain()
        self._kept = 0 if rules.wired else rules.kept_watts()
        self._watts = self._kept
        self._highest = area_bound(fields, rules)  # what no team exceeds
        self._others = self._highest  # what teams that are not being searched may have
        self._best: tuple[Place, ...] | None = None
        self.winner: tuple[Team, Search] | None = None
        self._tied: list[tuple[Team, Search]] = []  # teams that have as many watts
        self.when_opened: Callable[[], None] | None = None  # told once all teams worth it are opened
        self._unsound = 0  # the highest bound of a team that was searched on a coarse raster only
        self._pool: Pool = {}
        self._first: tuple[Team, Search] | None = None  # opened before the others, for a layout early
        self._begun = False  # with a layout from elsewhere

    def begin_with(self, watts: int, places: tuple[Place, ...], bound: int, pool: Pool) -> None:
        """A layout and a bound that are known already; pool: candidates that were made for these fields."""
        self._watts, self._best, self._begun = watts, places, True
        self._pool, self._highest = pool, min(self._highest, bound)
        self._others = self._highest

    def found(self) -> Found:
        """What the search comes to."""
        packing = self.run()
        if self.winner is None:
            return Found(packing, self._rules, None, ())
        team, opened = self.winner
        return Found(packing, restricted(self._rules, team), opened, tuple(kinds_in(self._rules, team)))

    def run(self) -> Packing:
        """Search until no unopened team can be better, or until time is up or stopped."""
        together = Search(self._fields, self._rules, self._quiet)
        if together.large:
            return self._best_by_rows(together.sound_bound())
        if self._reached is None and not self._begun:
            self._begin_with_rows(together)
        bound_of = self._first_bounds()
        heap = [Waiting(0, -bound_of[team], number, team, None) for number, team in enumerate(self._teams)]
        heapq.heapify(heap)
        all_opened = False
        while heap and not self._clock.over():
            next_ = heapq.heappop(heap)
            self._catch_up()
            if self._hopeless(-next_.negative):
                continue
            self._others = max([*(-w.negative for w in heap), self._watts])
            self._clock.tell(self._watts, max(-next_.negative, self._others))
            if next_.opened is not None and not all_opened:
                all_opened = True
                self._all_opened([next_, *heap])
            if next_.opened is None:
                opened = self._open(next_.team, -next_.negative)
                self._take_if_better(opened, next_.team)
                heapq.heappush(heap, self._waiting(next_, opened, next_.tries))
            elif not self._finish(next_.opened, next_.team, ROUNDS):
                heapq.heappush(heap, self._waiting(next_, next_.opened, next_.tries + 1))
        self._catch_up()
        if self._reached is None:
            self._choose()
        left = [-w.negative for w in heap if not self._hopeless(-w.negative)]
        known = self._watts if self._reached is None or self._best is not None else self._watts - self._grain
        return Packing(known, max([*left, known, self._unsound]), self._best or ())

    def _begin_with_rows(self, together: Search) -> None:
        """A layout at once where there are many places and a team takes time; a team's own is preferred."""
        together.rows_if_slow()
        inc = together.incumbent
        if inc.places is not None and inc.watts >= self._watts:
            self._watts, self._best = inc.watts, inc.places
            self._clock.tell(inc.watts, max(inc.watts, inc.bound))

    def _catch_up(self) -> None:
        """With what was reached elsewhere."""
        least = 0 if self._reached is None else self._reached() + self._grain
        if least > self._watts:
            self._watts, self._best, self._tied = least, None, []

    def _hopeless(self, bound: int) -> bool:
        """Whether a team with this bound need not be looked at any more."""
        return bound < self._watts or (len(self._tied) >= MOST_TIES and bound == self._watts)

    def _waiting(self, before: Waiting, opened: Search, tries: int) -> Waiting:
        bound = min(-before.negative, opened.sound_bound())
        return Waiting(tries, -bound, before.number, before.team, opened)

    def _best_by_rows(self, bound: int) -> Packing:
        """A large roof: the team whose rows have the most watts, made better as long as time goes."""
        best: tuple[Search, Team] | None = None
        for team in self._teams:
            opened = self._open(team, bound)
            if best is None or opened.incumbent.watts > best[0].incumbent.watts:
                best = opened, team
            if self._clock.over():
                break
        if best is not None:
            self._finish(*best)
        return Packing(self._watts, max(self._watts, bound), self._best or ())

    def _first_bounds(self) -> dict[Team, int]:
        """A bound for each team, and a layout on the way."""
        bounds = TeamBounds(self._fields, self._rules, self._quiet, self._pool)
        alone = bounds.alone({g for team in self._teams for g in team})
        if not self._begun:
            self._first_answer(alone)
        together = bounds.together(self._teams)
        return {team: min(self._highest, self._whole(together[team])) for team in self._teams}

    def _first_answer(self, alone: dict[int, float]) -> None:
        """A layout early: the team that promises most where its groups do not share a facet."""
        plain = unshared(self._rules) or self._teams
        facet = [group.facet for group in self._rules.groups]
        apart = [t for t in plain if len({facet[g] for g in t}) == len(t)] or plain
        team = max(apart, key=lambda t: (sum(alone[g] for g in t), t))
        self._first = team, self._open(team, self._whole(sum(alone[g] for g in team)))
        self._finish(self._first[1], team, ROUNDS)

    def _whole(self, watts: float) -> int:
        return whole(watts + self._kept, self._grain)

    def _open(self, team: Team, bound: int) -> Search:
        """With a layout straight down from its prices, which the teams after it have to reach."""
        if self._first is not None and self._first[0] == team:
            return self._first[1]
        search = Search(self._fields, restricted(self._rules, team), self._quiet, self._watts, self._pool)
        search.prefers = False  # not before it is known which teams have the most watts
        search.begins_with_rows = self._first is None and not self._begun
        search.prepare()
        search.incumbent.lower(bound)
        if search.fine is not None and not search.incumbent.settled():
            dive_roughly(search.fine, DIVED)
        return search

    def _finish(self, search: Search, team: Team, rounds: int | None = None) -> bool:
        """Settle an opened team; False when time was up or so many rounds had passed before."""
        self._catch_up()
        search.incumbent.raise_floor(self._watts)
        packing = search.settle(rounds)
        if search.raster_mm > 1:
            self._unsound = max(self._unsound, search.sound_bound())
        if packing is not None:  # no places: kept panels alone, which may be the best
            self._take(search, team)
            self._clock.tell(self._watts, max(self._watts, search.incumbent.bound, self._others))
        return search.incumbent.settled()

    def _take(self, search: Search, team: Team) -> None:
        """The layout that a team has, where it is better than any before, or as good."""
        inc = search.incumbent
        assert inc.places is not None
        if self._best is None or inc.watts > self._watts:
            self._best, self._watts = self._renumbered(inc.places, team), max(self._watts, inc.watts)
            self.winner, self._tied = (team, search), []
        if inc.watts == self._watts and all(team != other for other, _ in self._tied):
            self._tied.append((team, search))

    def _take_if_better(self, search: Search, team: Team) -> None:
        inc = search.incumbent
        if inc.places is not None and inc.watts > self._watts:
            self._take(search, team)
            self._clock.tell(self._watts, max(inc.bound, self._others))

    def _all_opened(self, line: list[Waiting]) -> None:
        """Rows of those that are still worth it, before any is tried; what they have others must reach."""
        if self.when_opened is not None:
            self.when_opened()
        for _, negative, _, team, opened in sorted(line):
            if self._clock.over():
                return
            if opened is not None and not self._hopeless(-negative):
                opened.incumbent.raise_floor(self._watts)
                opened.rows_if_slow()
                self._take_if_better(opened, team)

    def _choose(self) -> None:
        """Of teams with equal watts the one whose preferred layout is liked best."""
        wishes: tuple[int, ...] | None = None
        for team, search in self._tied:
            if self._clock.over():
                break
            if search.incumbent.settled():
                search.choose(wishes)
                if wishes is None or search.wishes < wishes:
                    wishes, self.winner = search.wishes, (team, search)
                    self._best = self._renumbered(search.incumbent.places or (), team)

    def _renumbered(self, places: tuple[Place, ...], team: Team) -> tuple[Place, ...]:
        kinds = kinds_in(self._rules, team)
        return tuple((kinds[k], x, y) for k, x, y in places)
