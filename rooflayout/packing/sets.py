"""Which panels first, then whether they fit: for roofs where stock binds (pieces.py).

The best set by stock, caps and scales is asked whether it fits; if it does, it is the best there is. If not,
panels are taken off as long as the rest does not fit either, and that rest is barred for good, with every
set whose panels are larger (combinatorial Benders cuts, as in Cote, Haouari and Iori 2021, "Combinatorial
Benders decomposition for the two-dimensional bin packing problem"; sets first and scales as in Fekete,
Schepers and van der Veen 2007, "An exact algorithm for higher-dimensional orthogonal packing"). In turn with
it the whole question is put at once, with all that was barred, and on one bare sheet layouts are grown from
below (beam.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.packing.beam import Beams
from rooflayout.packing.copies import WISHES, Copies, Counts, wishes_of
from rooflayout.packing.fitting import at_once, fits
from rooflayout.packing.incumbent import Incumbent
from rooflayout.packing.pieces import Pieces
from rooflayout.packing.rules import Rules
from rooflayout.packing.scales import Scales

FIRST_EFFORT = 0.3  # deterministic seconds for each of the two questions, at first
CHOICE_EFFORT = 0.5  # for one choice of a set
LESS_EFFORT = 0.05  # for a set with a panel less
WISH_EFFORT = 1.0  # for each wish among sets of equal watts
MOST_LARGER = 40  # sets with a larger panel in place of another, barred together
CLOSING_IN = 0.8  # of the gap before a round may be left by one that closes in
MOST_STALLED = 2  # rounds one after the other that do not


class Sets:
    """Rounds with more effort each; what was barred is kept from one to the next."""

    def __init__(self, pieces: Pieces, rules: Rules, incumbent: Incumbent) -> None:
        self._pieces, self._rules, self._inc = pieces, rules, incumbent
        self._clock = incumbent.clock
        self._scales = Scales(pieces)
        self._barred: list[Counts] = []
        self._effort = FIRST_EFFORT
        self._copies = Copies(pieces, rules, incumbent.kept)
        self._beams = Beams(pieces, rules, incumbent) if Beams.suit(pieces) else None

    @property
    def bare(self) -> bool:
        """Nothing stands on any facet."""
        return not any(sheet.taken for sheet in self._pieces.sheets)

    def run(self, end: float) -> None:
        """Rounds until settled, until two have not closed in, or until the end (time.monotonic())."""
        inc = self._inc
        self._clock = replace(inc.clock, deadline=end)
        stalled = 0
        while not inc.settled() and not self._clock.over():
            before = inc.bound - inc.watts
            self.round()
            stalled = stalled + 1 if inc.bound - inc.watts > CLOSING_IN * before else 0
            if stalled == MOST_STALLED:
                break
        self._clock = inc.clock

    def round(self) -> None:
        """Both questions, and layouts from below, with three times the effort of the round before."""
        effort, self._effort = self._effort, self._effort * 3
        self._by_sets(effort)
        if not self._inc.settled() and not self._clock.over():
            self._at_once(effort)
        if self._beams is not None and not self._inc.settled() and not self._clock.over():
            self._beams.run(effort, self._clock)

    def prefer(self) -> tuple[int, ...] | None:
        """As prefer.prefer, for an incumbent that is settled; lines are not counted."""
        lying = fits(self._pieces, self._counts(), self._inc.clock, WISH_EFFORT)
        if lying.found:  # in a corner, whoever found the layout
            self._inc.places = lying.places
        reached: list[int] = []
        for number in range(WISHES):
            value = self._wish(number, reached)
            if value is None:
                return None
            reached.append(value)
        return 0, *reached, 0, 0

    # the two questions

    def _by_sets(self, effort: float) -> None:
        inc, spent, copies = self._inc, 0.0, self._copies
        clock = self._clock
        while not inc.settled() and not clock.over() and spent < effort:
            copies.model.add(copies.watts >= inc.least())
            copies.model.add(copies.watts <= inc.bound)
            chosen = copies.best(True, copies.watts, self._scales, clock, min(CHOICE_EFFORT, effort - spent))
            spent += chosen.effort
            if chosen.status == "INFEASIBLE":
                inc.lower(inc.least() - inc.grain)
            if not chosen.counts:
                return
            inc.lower(chosen.bound)
            fit = fits(self._pieces, chosen.counts, clock, max(LESS_EFFORT, effort - spent))
            spent += fit.effort
            if fit.found:
                self._better(chosen.counts, fit.places)
            elif fit.status == "INFEASIBLE":
                less, took = self._less(chosen.counts)
                spent += took
                self._bar(less)
            else:
                return

    def _at_once(self, effort: float) -> None:
        inc = self._inc
        copies = self._all_copies()
        answer = at_once(self._pieces, copies, inc.least(), inc.bound, self._clock, effort)
        if answer.status == "INFEASIBLE":
            inc.lower(inc.least() - inc.grain)
        if answer.found:
            inc.better(answer.value, answer.places)
            inc.lower(max(answer.bound, answer.value))

    # sets that do not fit

    def _less(self, counts: Counts) -> tuple[Counts, float]:
        """A set that does not fit, without the panels that are not needed for it; and the effort."""
        spent, area = 0.0, [self._area(number) for number in range(len(counts))]
        for number in sorted(range(len(counts)), key=lambda n: (area[n], n)):
            for _ in range(counts[number]):
                less = tuple(n - (i == number) for i, n in enumerate(counts))
                fit = fits(self._pieces, less, self._clock, LESS_EFFORT)
                spent += fit.effort
                if fit.found:
                    self._better(less, fit.places)
                if fit.status != "INFEASIBLE":
                    break
                counts = less
        return counts, spent

    def _bar(self, counts: Counts) -> None:
        """The set, and those with a sort's panels changed for as many of a larger one."""
        sorts = self._pieces.sorts
        larger = [
            tuple(counts[a] if n == b else 0 if n == a else count for n, count in enumerate(counts))
            for a in range(len(counts))
            for b in range(len(counts))
            if counts[a] and not counts[b] and sorts[b].copies >= counts[a] and self._pieces.covers(b, a)
        ]
        for barred in (counts, *larger[:MOST_LARGER]):
            self._barred.append(barred)
            self._copies.bar(barred)

    # small helpers

    def _all_copies(self) -> Copies:
        """A choice that keeps to all that was barred and to the rows that mattered."""
        copies = Copies(self._pieces, self._rules, self._inc.kept)
        for barred in self._barred:
            copies.bar(barred)
        copies.say(self._scales, sorted(self._copies.said))
        return copies

    def _better(self, counts: Counts, places: tuple[tuple[int, int, int], ...]) -> None:
        watts = sum(n * sort.watts for n, sort in zip(counts, self._pieces.sorts, strict=True))
        if watts + self._inc.kept >= self._inc.least():
            self._inc.better(watts + self._inc.kept, places)

    def _wish(self, number: int, reached: Sequence[int]) -> int | None:
        """The least that a wish comes to among sets of the best watts that fit; None when effort ran out."""
        inc, copies, spent = self._inc, self._all_copies(), 0.0
        own = wishes_of(self._pieces, self._rules, self._counts())[number]
        wishes = copies.wishes()
        copies.model.add(copies.watts == inc.watts)
        for wish, value in zip(wishes, reached, strict=False):
            copies.model.add(wish <= value)
        while spent < WISH_EFFORT and not inc.clock.over():
            chosen = copies.best(False, wishes[number], self._scales, inc.clock, WISH_EFFORT - spent)
            if chosen.status == "OPTIMAL" and chosen.bound >= own:
                return own
            if chosen.status != "OPTIMAL":
                return None
            fit = fits(self._pieces, chosen.counts, inc.clock, WISH_EFFORT - spent)
            spent += chosen.effort + fit.effort
            if fit.found:
                inc.places = fit.places
                return chosen.bound
            if fit.status != "INFEASIBLE":
                return None
            self._barred.append(chosen.counts)
            copies.bar(chosen.counts)
        return None

    def _counts(self) -> Counts:
        """Of the incumbent."""
        models = [self._rules.kinds[k].model for k, _, _ in self._inc.places or ()]
        return tuple(models.count(sort.model) for sort in self._pieces.sorts)

    def _area(self, sort: int) -> int:
        way = self._pieces.ways[self._pieces.sorts[sort].ways[0]]
        return way.wide * way.deep
