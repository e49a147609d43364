"""One search: rows for first answers, prices for the bound, then answers and proof."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

from rooflayout import cpsat
from rooflayout.packing.asked import Asked
from rooflayout.packing.ceiling import area_bound
from rooflayout.packing.clearance import Field, Ints
from rooflayout.packing.closing import FIRST_SIZE, NEXT_WINDOW, Closing, Windows, answer_promising
from rooflayout.packing.diving import dive_roughly
from rooflayout.packing.early import Early
from rooflayout.packing.ends import layout_of, priced_by_ends
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.first_rows import rows_first
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import Clock, Incumbent, Place
from rooflayout.packing.interior import NO_FAMILY
from rooflayout.packing.large import is_large
from rooflayout.packing.patches import patch
from rooflayout.packing.pieces import pieces_of
from rooflayout.packing.prefer import prefer
from rooflayout.packing.prices import Prices, PriceSearch, Watch, no_prices
from rooflayout.packing.relaxed import panels_by_area
from rooflayout.packing.rules import Rules
from rooflayout.packing.sets import Sets
from rooflayout.packing.stock import Pool, Stock, nearest
from rooflayout.packing.sweeps import sweep

SMALL = 3000  # so few candidates are priced as a whole at once
FINE_ENOUGH = 0.0007  # share of the bound to be unsure of: a window is solved to the end by itself
ROUGH = 0.02  # share of the bound: prices that need be no surer are rough ones
NO_RASTER = 1000  # in place of a raster, where no places were made
MANY = 25  # panels from which on rows come first
FAR_OFF = 0.125  # of the bound: a layout so far off unfinished prices is made better by windows
PATCH_SHARE = 0.1  # of the time, at most, for that
PRICE_SHARE = 0.7  # of the time, at most, for prices; the rest is for layouts
SETS_SHARE = 0.6  # of the time, at most, for sets of panels before the prices, where stock binds
NO_WISHES = (1 << 40,)  # worse than any that were reached


@dataclass(frozen=True, slots=True)
class Packing:
    """watts and bound in tenths; proven when no choice of candidates has more."""

    watts: int
    bound: int
    places: tuple[Place, ...]

    @property
    def proven(self) -> bool:
        return self.watts >= self.bound


class Search:
    """One search over all facets; best and bound always hold what is known so far."""

    def __init__(
        self, fields: tuple[Field, ...], rules: Rules, clock: Clock, floor: int = 0, pool: Pool | None = None
    ) -> None:
        self._fields, self.rules, self._clock = fields, rules, clock
        self.pool: Pool = {} if pool is None else pool
        self._stock = Stock(fields, rules.kinds, self.pool, clock)
        kept = 0 if rules.wired else rules.kept_watts()
        self.incumbent = Incumbent(clock, rules.grain(), kept, floor, 0)
        self.incumbent.bound = self._sound = area_bound(self._fields, self.rules)
        self.raster_mm = 1
        self.large = is_large(fields, rules, clock)
        self._points_mm: list[tuple[int, int, int]] = []
        self._start: list[Place] = []  # what mattered in a search like this one
        self._closing: Closing | None = None
        self._late: Callable[[], None] = lambda: None  # takes the layout that is still being made, if any is
        self._sets: Sets | None = None  # where stock binds
        self.fine: Asked | None = None  # the finest candidates with their prices, once prepared
        self.wishes: tuple[int, ...] = NO_WISHES  # what prefer reached, in its order
        self.prefers = True  # among layouts of equal watts
        self.begins_with_rows = True
        self._rows_done = False
        self.when_settled: Callable[[Search], None] | None = None  # told before the choice among equal watts

    def keep_to_positions_of(self, other: Search) -> None:
        """Of the same raster along slanted edges as another search, once prepared, has tried."""
        self._fields = other.fields_as_tried()
        self._stock = Stock(self._fields, self.rules.kinds, self.pool, self._clock)

    def fields_as_tried(self) -> tuple[Field, ...]:
        """The fields, once prepared, with which other searches try positions of the same raster only."""
        return tuple(replace(field, slant_step_fixed=True) for field in self._stock.fields)

    def run(self) -> Packing:
        """Search until proven, out of time, or stopped."""
        self.prepare(late=True)
        kept = self.incumbent.kept
        return self.settle() or Packing(kept, max(kept, self.sound_bound()), ())

    def begin_from(self, other: Search) -> None:
        """In place of the ends what mattered in a search of nearly the same; kinds as there."""
        if other.fine is None:
            return
        alike = Auxiliary(self.rules).families == Auxiliary(other.rules).families  # numbered as here
        points = other.fine.prices.points_mm(other.fine.grid)
        self._points_mm = [point for point in points if alike or point[0] == NO_FAMILY]
        self._start = other.fine.mattering(self.incumbent.grain)

    def prepare(self, answers: bool = True, enough: float = FINE_ENOUGH, late: bool = False) -> None:
        """Candidates and their prices, with first layouts on the way if answers; sets the bound.

        enough: the share of the bound that prices may be unsure of; from ROUGH on the first such do.
        late: whether the last of these layouts may still be on its way then, until settle.
        """
        begun = bool(self._start)
        if answers and not self.large and self._settled_by_sets():
            return
        self._price_end = time.monotonic() + self._price_share() * self._clock.left()
        if self.large:
            self._on_raster(NO_RASTER)
            if answers:
                self._rows_first()
            return
        if answers and not begun and self.begins_with_rows:
            self.rows_if_slow()
        if self._clock.workers > 1:
            cpsat.load_beside()
        pool = ThreadPoolExecutor(max_workers=1)
        try:
            self._price(pool, answers, enough)
            if not late:
                self._late()
        finally:
            pool.shutdown(wait=not late)

    def _price(self, pool: Executor, answers: bool, enough: float) -> None:
        """pool: for dives, which can be made beside."""
        inc, begun = self.incumbent, bool(self._start)
        fine, kinds, raster_mm = self._stock.finest()
        self._on_raster(raster_mm)
        grid = PointGrid(fine, kinds)
        start, many = nearest(self._start, fine), len(fine) > SMALL and not begun
        if many and answers and inc.places is None and self.begins_with_rows:
            self._rows_first()
        if many and not self._clock.over():
            start = self._by_ends(Asked(fine, kinds, grid, self.rules, no_prices(len(fine)), inc), answers)
        search = PriceSearch(fine, grid, self.rules)
        search.lay_out(self._points_mm)
        early = Early(lambda prices: Asked(fine, kinds, grid, self.rules, prices, inc), inc, pool)
        watch: Watch | None = None
        if enough >= ROUGH:
            watch = partial(self._good_enough, enough)
        elif answers and many:
            watch = early.watch
        elif answers:
            watch = self._hopeless
        prices = search.run(start, self._price_end, self._clock.stopped, enough, watch)
        self._late = early.take
        self.fine = Asked(fine, kinds, grid, self.rules, prices, inc)
        inc.lower(prices.bound + inc.kept)

    def _on_raster(self, raster_mm: int) -> None:
        """From now on bounds are those of its candidates; if it is a coarse one nobody is told of them."""
        self.raster_mm, inc = raster_mm, self.incumbent
        if raster_mm > 1:
            self._sound, tell = min(self._sound, inc.bound), inc.clock.tell
            inc.clock = replace(inc.clock, tell=lambda watts, bound: tell(watts, max(watts, self._sound)))

    def _good_enough(self, enough: float, bound: float, value: float, prices: Callable[[], Prices]) -> bool:
        """As PriceSearch.run watches: whether prices are so, or leave no room for what is looked for."""
        self.incumbent.lower(bound + self.incumbent.kept)
        return self.incumbent.settled() or bound - value <= enough * bound

    def _hopeless(self, bound: float, value: float, prices: Callable[[], Prices]) -> bool:
        """As PriceSearch.run watches: whether no layout reaches the floor."""
        self.incumbent.lower(bound + self.incumbent.kept)
        return self.incumbent.places is None and self.incumbent.settled()

    def _by_ends(self, asked: Asked, answers: bool) -> Ints:
        """What mattered at either end of the roof; a layout of that where there is none and answers."""
        ends = priced_by_ends(asked, (time.monotonic() + self._price_end) / 2)
        self._points_mm = ends.points_mm
        if answers and self.incumbent.places is None and len(ends.best):
            layout_of(asked, ends)
        return ends.columns

    def settle(self, rounds: int | None = None) -> Packing | None:
        """The best layout and its proof as far as time goes; None if none reaches the floor.

        rounds: of trying, after which it is left unsettled; the next call goes on from there.
        """
        inc, fine = self.incumbent, self.fine
        if fine is None and not inc.settled():
            sweep(self._fields, self.rules, inc, self._clock.deadline)
        elif fine is not None:
            if not fine.prices.converged:
                self._late()
                if inc.places is not None and not inc.near(FAR_OFF):
                    patch(self._fields, self.rules, inc, time.monotonic() + PATCH_SHARE * self._clock.left())
            self._closing = self._closing or Closing(fine, self._late)
            self._close_in(self._closing, rounds)
        self._late()  # where there was no time for a round
        if inc.places is None:
            return None
        if inc.settled() and self.when_settled is not None:
            self.when_settled(self)
        if inc.settled() and self.prefers:
            self.choose()
        assert inc.places is not None
        return Packing(inc.watts, max(inc.watts, self.sound_bound()), inc.places)

    def choose(self, rival: tuple[int, ...] | None = None) -> None:
        """Once settled: the preferred layout among those of the best watts, and what the wishes came to.

        rival: what they came to elsewhere; where that is liked better, the rest need not be asked.
        """
        self.wishes = self._preferred(rival) or NO_WISHES

    def roughly(self, size: int, effort: float, enough: float = FINE_ENOUGH) -> tuple[Place, ...]:
        """A good layout among so many places and no proof, with so much effort; enough as for prepare."""
        sets = None if self._start else self._of_sets()
        if sets is not None and sets.bare:
            sets.round()
            return self.incumbent.places or ()
        self.prepare(enough=enough)
        if self.fine is not None and not self.incumbent.settled():
            dive_roughly(self.fine, size)
            if self.incumbent.places is None:
                answer_promising(self.fine, FIRST_SIZE, effort)
        return self.incumbent.places or ()

    def bound_from(self, floor: int, effort: float) -> int:
        """After prepare: what no layout can exceed, where only watts from the floor up matter."""
        self.incumbent.raise_floor(floor)
        if self.fine is not None and not self._clock.over():
            Windows(self.fine).descend(effort, NEXT_WINDOW)
        return self.sound_bound()

    def sound_bound(self) -> int:
        """What no layout can exceed; on a coarse raster what was known before it."""
        return self.incumbent.bound if self.raster_mm == 1 else self._sound

    # stages

    def _of_sets(self) -> Sets | None:
        """None where stock does not bind."""
        if self._sets is None:
            pieces = pieces_of(self._fields, self.rules)
            self._sets = None if pieces is None else Sets(pieces, self.rules, self.incumbent)
        return self._sets

    def _settled_by_sets(self) -> bool:
        """Whether sets of panels settle it all; wishes for places need places all the same.

        With obstacles the prices come first: measured 3 to 10 times faster.
        """
        sets = self._of_sets()
        if sets is None or not sets.bare:
            return False
        self._rows_first()
        sets.run(time.monotonic() + SETS_SHARE * self._clock.left())
        return self.incumbent.settled() and self.rules.wishes.none()

    def _price_share(self) -> float:
        """Where sets have come so far, prices seldom bring more."""
        return PRICE_SHARE / 2 if self._sets is not None and self._sets.bare else PRICE_SHARE

    def _close_in(self, closing: Closing, rounds: int | None) -> None:
        """So many rounds, until settled or out of time; those of sets between them where there are sets."""
        inc = self.incumbent
        while not inc.settled() and not inc.clock.over() and rounds != 0:
            closing.round()
            if self._sets is not None:
                self._sets.round()
            rounds = None if rounds is None else rounds - 1

    def _preferred(self, rival: tuple[int, ...] | None = None) -> tuple[int, ...] | None:
        """The preferred layout of the best watts, in the incumbent; what the wishes came to."""
        if self._sets is not None and self.rules.wishes.none():
            return self._sets.prefer()
        return None if self.fine is None else prefer(self.fine, rival)

    def rows_if_slow(self) -> None:
        """Layouts in rows, where it is not just wiring that takes time, or where others take time."""
        many = panels_by_area(self._fields, self.rules.kinds) > MANY
        if not self.rules.wired or many or self._stock.takes_time():
            self._rows_first()

    def rows_if_none(self) -> None:
        """Layouts in rows, where there is no layout yet."""
        if self.incumbent.places is None:
            self._rows_first()

    def _rows_first(self) -> None:
        if not self._rows_done:
            self._rows_done = True
            rows_first(self._fields, self.rules, self.incumbent)
