"""The search that does not mind the wiring, before the one that does.

Where its best layout can be wired, that is the best wired one too, with the same proof, in the time of a
plan without wiring; and nothing is lost to the wiring. Otherwise the search with wiring begins under the
bound that was reached, and what is lost is known. (Begun from what mattered without wiring it
took longer, 12 s instead of 6 s on a roof of 4.2 m: with wiring others matter.)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from rooflayout.packing.around import allowed_by
from rooflayout.packing.clearance import Field
from rooflayout.packing.few_models import begin_with_few_models
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.large import is_large
from rooflayout.packing.rules import Rules, unwired
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.stock import Pool
from rooflayout.packing.team_rules import Team, restricted, teams_by_models, teams_of
from rooflayout.packing.teams import Found, TeamSearch, search

SHARE = 0.6  # of the time, at most
ROUNDS = 1  # of trying: a roof that takes more may be hard for its geometry alone


@dataclass(frozen=True, slots=True)
class Minded:
    """found: the best wired packing. free: the search without wiring, None where there was none.

    by_teams: whether it was searched team by team, so that found.search knows only one team's kinds.
    """

    found: Found
    free: Search | None
    by_teams: bool = False

    @property
    def nothing_lost(self) -> bool:
        """No layout has more watts without minding the wiring."""
        if not self.found.rules.wired:
            return True
        return self.free is not None and self.found.packing.watts >= self.free.sound_bound()


def search_minding(
    fields: tuple[Field, ...],
    rules: Rules,
    clock: Clock,
    when_settled: Callable[[Search], None],
    when_opened: Callable[[], None] | None = None,
) -> Minded:
    """The best packing under all rules; those of wiring are left out first, where that can be of use.

    With few trackers (teams.py) wiring nearly always binds, and a team is searched more easily.
    when_settled as in Search, when_opened as in TeamSearch.
    """
    by_teams = teams_of(rules) is not None
    if not rules.wired or by_teams:
        return Minded(search(fields, rules, clock, when_settled, when_opened), None, by_teams)
    pool: Pool = {}
    wired = Search(fields, rules, clock, pool=pool)
    wired.rows_if_slow()
    short = replace(clock.part(SHARE), tell=_bound_only(clock, wired))
    free = Search(fields, unwired(rules), short, pool=pool)
    free.when_settled = when_settled
    free.prepare()
    packing = free.settle(ROUNDS)
    numbers = tuple(range(len(rules.kinds)))
    if packing is not None and _can_be_wired(rules, packing):
        clock.tell(packing.watts, packing.bound)
        if packing.proven:
            return Minded(Found(packing, unwired(rules), free, numbers), free)
        wired.incumbent.better(packing.watts, packing.places)
    wired.incumbent.lower(free.sound_bound())
    wired.keep_to_positions_of(free)  # whose bound holds for these only
    tried = free.fields_as_tried()
    if not wired.large:
        begin_with_few_models(tried, rules, clock, pool, wired.incumbent)
    wired.rows_if_none()
    begun = wired.incumbent
    unproven = begun.places is not None and not begun.settled()
    teams = _teams(fields, rules, clock) if unproven else None
    if teams is not None and begun.places is not None:
        of_models = TeamSearch(tried, rules, clock, teams)
        of_models.begin_with(begun.watts, begun.places, begun.bound, pool)
        of_models.when_opened = when_opened
        return Minded(of_models.found(), free, by_teams=True)
    wired.when_settled = when_settled
    return Minded(Found(wired.run(), rules, wired, numbers), free)


def _teams(fields: tuple[Field, ...], rules: Rules, clock: Clock) -> list[Team] | None:
    """Teams of models, unless one is so large by itself (of small panels) that it can have no proof."""
    teams = teams_by_models(rules)
    if teams is None or any(is_large(fields, restricted(rules, team), clock) for team in teams):
        return None
    return teams


def _can_be_wired(rules: Rules, packing: Packing) -> bool:
    """Whether a packing that did not mind the wiring can be wired as it is, kept panels too.

    Without unlike strings on a tracker: another layout of as many watts may do without them.
    """
    kinds = [k for k, _, _ in packing.places]
    return bool(kinds) and allowed_by(replace(rules, pairs=()), kinds, packing.watts)


def _bound_only(clock: Clock, wired: Search) -> Callable[[int, int], None]:
    """Tells of the bound, and of the best wired layout instead of one that may not be wireable."""

    def tell(watts: int, bound: int) -> None:
        clock.tell(wired.incumbent.watts, bound)

    return tell
