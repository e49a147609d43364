"""Few trackers, many models: layouts of a few models each, before all models are searched.

A tracker takes strings of one model, so a wired layout has few models, while the relaxation of all models
uses a little of each and its dives come to little. Of two or three models it is near the truth and takes a
tenth of a second. So each model and every two are tried, the densest first, then the best few pairs with one
model more, up to as many as the trackers can take. Nothing is proven here: it is the layout that counts.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import combinations

from rooflayout.packing.clearance import Field
from rooflayout.packing.diving import dive_roughly
from rooflayout.packing.incumbent import Clock, Incumbent
from rooflayout.packing.kinds import densest_models
from rooflayout.packing.rules import Rules
from rooflayout.packing.search import Search
from rooflayout.packing.stock import Pool
from rooflayout.packing.team_rules import kinds_in, most_wired_models, restricted

MOST_MODELS = 12  # the densest, of which two each are tried
MOST_TRACKERS = 6  # beyond that a layout may have so many models that all together are no worse
SHARE = 0.35  # of the time, at most
ROUGH = 0.005  # share of a bound that prices may be unsure of
DIVED = 3000  # candidates for a dive
MOST_PLACES = 80_000  # of all sets of a size together, after which no more are tried
GROWN = 4  # sets of models that get one model more
TOGETHER = 6  # of these, that know nothing of one another

Models = tuple[int, ...]  # numbers, in order


@dataclass(frozen=True, slots=True)
class _Tried:
    watts: int  # of the best layout, 0 where none is known
    bound: int
    models: Models
    places: int  # that were looked at

    def rank(self) -> tuple[int, int, Models]:
        return -self.watts, -self.bound, self.models


def worth_it(rules: Rules) -> bool:
    """Whether there are more models than the trackers can take, and few trackers."""
    new = densest_models(rules.kinds)
    return rules.wired and len(new) > most_wired_models(rules) and 1 < sum(rules.trackers) <= MOST_TRACKERS


def begin_with_few_models(
    fields: tuple[Field, ...], rules: Rules, clock: Clock, pool: Pool, incumbent: Incumbent
) -> None:
    """The best layout of few models, in the incumbent, where it is worth the time."""
    if worth_it(rules) and not incumbent.settled():
        _FewModels(fields, rules, clock.part(SHARE), pool, incumbent).run()


class _FewModels:
    def __init__(
        self, fields: tuple[Field, ...], rules: Rules, clock: Clock, pool: Pool, incumbent: Incumbent
    ) -> None:
        self._fields, self._rules, self._pool, self._incumbent = fields, rules, pool, incumbent
        self._clock = replace(clock, tell=lambda watts, bound: None)

    def run(self) -> None:
        new = densest_models(self._rules.kinds)[:MOST_MODELS]
        most = min(most_wired_models(self._rules), len(new))
        self._in_turn([(m,) for m in new], 0)
        line = self._in_turn([tuple(sorted(two)) for two in combinations(new, 2)], 0)
        for size in range(3, most + 1):
            least = self._incumbent.least()
            best = sorted(line, key=_Tried.rank)[:GROWN]
            grown = dict.fromkeys(
                tuple(sorted((*t.models, m))) for t in best for m in new if m not in t.models
            )
            line = self._in_turn(list(grown), None if size == most else least)

    def _in_turn(self, sets: list[Models], least: int | None) -> list[_Tried]:
        """A few together; each has to exceed what those before it found where least is None.

        As many as their places allow, so that no clock decides.
        """
        found: list[_Tried] = []
        for first in range(0, len(sets), TOGETHER):
            if not self._over() and sum(tried.places for tried in found) < MOST_PLACES:
                floor = self._incumbent.least() if least is None else least
                found += self._together(sets[first : first + TOGETHER], floor)
        return found

    def _together(self, sets: list[Models], floor: int) -> list[_Tried]:
        """Two at a time where there are workers; none knows of the others, so that it does not matter."""
        with ThreadPoolExecutor(max_workers=self._clock.workers) as pool:
            searches = list(pool.map(lambda models: self._searched(models, floor), sets))
        found = []
        for models, search in zip(sets, searches, strict=True):
            if search is not None:
                self._take(search, models)
                places = 0 if search.fine is None else len(search.fine.candidates)
                inc = search.incumbent
                watts = inc.watts if inc.places is not None else 0
                found.append(_Tried(watts, inc.bound, models, places))
        return found

    def _over(self) -> bool:
        return self._incumbent.settled() or self._clock.over()

    def _searched(self, models: Models, floor: int) -> Search | None:
        """Prices and a dive; None where time is up."""
        if self._clock.over():
            return None
        own = restricted(self._rules, self._team(models))
        search = Search(self._fields, own, replace(self._clock, workers=1), floor, self._pool)
        search.begins_with_rows = search.prefers = False
        search.prepare(enough=ROUGH)
        if search.fine is not None and not search.incumbent.settled():
            dive_roughly(search.fine, DIVED)
        return search

    def _take(self, search: Search, models: Models) -> None:
        inc, kinds = search.incumbent, kinds_in(self._rules, self._team(models))
        if inc.places is not None and inc.watts >= self._incumbent.least():
            self._incumbent.better(inc.watts, [(kinds[k], x, y) for k, x, y in inc.places])

    def _team(self, models: Models) -> tuple[int, ...]:
        """All groups of these models, and of those that are kept."""
        own = self._rules.kept_models.union(models)
        return tuple(n for n, group in enumerate(self._rules.groups) if group.model in own)
