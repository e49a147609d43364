"""First answers fast, then proof: coarse rasters, prices, and windows of watts from the bound down.

The prices bound the watts, mostly within a panel's width of the best. So the search asks from the
top: is there a layout between the bound and a little below it? Only candidates whose reduced cost
leaves room for that many watts need be looked at, which is a few hundred out of a hundred thousand.
The first window that holds a layout holds the best one, and the empty ones above it are the proof.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from ortools.sat.python.cp_model import LinearExpr

from rooflayout.packing.clearance import Field, Ints, free_area_mm2
from rooflayout.packing.first import first_layouts
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import Kind, coarser
from rooflayout.packing.model import PackingModel
from rooflayout.packing.positions import Candidates, candidates_of, cells_of
from rooflayout.packing.prices import Prices, PriceSearch
from rooflayout.packing.rules import Rules

RASTERS_MM = (50, 20)  # coarse rasters for first answers and first columns
FINE_RASTERS_MM = (1, 2, 5, 10, 20, 50, 100, 200)
SLANT_STEPS_MM = (10, 20, 40, 80)  # likewise, where a roof has slanted edges
MOST_CELLS = 3_000_000  # places to look at, and candidates among them: what memory and a minute allow
MOST_CANDIDATES = 600_000
SMALL = 3000  # so few candidates need no coarse raster
FIRST_COLUMNS = 200
COARSE_ROUNDS = 40  # of new columns, on a coarse raster
FIRST_EFFORT = 1.0  # deterministic seconds for a layout on a coarse raster, and to begin with
FIRST_SIZE = 1000  # candidates in the first try for a better layout
PRICE_SHARE = 0.7  # of the time, at most, for prices; the rest is for layouts
SLACK = 1e-3  # tenths of a watt, for floating point
PREFER_EFFORT, TIDY_EFFORT = 1.0, 0.4  # deterministic seconds
PREFER_MOST, TIDY_MOST = 2500, 400  # candidates at most when choosing among equal watts

NO_WISHES = (1 << 40,)  # worse than any that were reached
Place = tuple[int, int, int]  # kind, x_mm, y_mm
Pool = dict[tuple[object, ...], Candidates]  # candidates by facet and panel sizes, to be used again


@dataclass(frozen=True, slots=True)
class Packing:
    """watts and bound in tenths; proven when no choice of candidates has more."""

    watts: int
    bound: int
    places: tuple[Place, ...]

    @property
    def proven(self) -> bool:
        return self.watts >= self.bound


@dataclass(slots=True)
class Clock:
    """When to stop, whether to stop now, and whom to tell of progress."""

    deadline: float  # time.monotonic()
    stopped: Callable[[], bool]
    tell: Callable[[int, int], None]  # watts, bound (tenths)
    workers: int = 1  # threads for building candidates

    def left(self) -> float:
        return self.deadline - time.monotonic()

    def over(self) -> bool:
        return self.left() <= 0 or self.stopped()


class Search:
    """One search over all facets; best and bound always hold what is known so far."""

    def __init__(
        self, fields: tuple[Field, ...], rules: Rules, clock: Clock, floor: int = 0, pool: Pool | None = None
    ) -> None:
        self._fields, self._rules, self._clock = fields, rules, clock
        self._pool: Pool = {} if pool is None else pool
        self._grain = rules.grain()
        self._kept = 0 if rules.wired else rules.kept_watts()
        self.best: tuple[Place, ...] | None = None
        self.watts = floor  # of the best layout; before there is one, what a layout must reach to matter
        self.bound = self._area_bound()
        self.wishes: tuple[int, ...] = NO_WISHES  # what _prefer reached: models, panels, mass, price

    def run(self) -> Packing:
        """Search until proven, out of time, or stopped."""
        self.prepare()
        return self.settle() or Packing(self._kept, max(self._kept, self._area_bound()), ())

    def prepare(self, answers: bool = True) -> None:
        """Candidates and their prices, with first layouts on the way if answers; sets the bound."""
        start: list[Place] = []
        self._price_end = time.monotonic() + PRICE_SHARE * self._clock.left()
        kinds = self._finest()
        if len(self._fine) > SMALL:
            if answers:
                self._set_down_first()
            for raster in RASTERS_MM:
                if raster > self.raster_mm and not self._clock.over():
                    start = self._coarse(raster, start, answers)
        self._grid = PointGrid(self._fine, kinds)
        first = self._nearest(start, self._fine)
        search = PriceSearch(self._fine, self._grid, self._rules)
        self._prices = search.run(first, self._price_end, self._clock.stopped)
        self._lower_bound(self._prices.bound)

    def settle(self) -> Packing | None:
        """The best layout and its proof as far as time goes; None if none reaches the floor."""
        self._close_in(self._fine, self._grid, self._prices)
        if self.best is None:
            return None
        if self.is_settled():
            self._prefer(self._fine, self._grid, self._prices)
        return Packing(self.watts, max(self.watts, self.sound_bound()), self.best)

    def sound_bound(self) -> int:
        """What no layout can exceed; on a coarse raster bound holds for the candidates only."""
        return self.bound if self.raster_mm == 1 else self._area_bound()

    def is_settled(self) -> bool:
        """The best layout reaches the bound, or no layout can reach the floor."""
        return self.watts > self.bound if self.best is None else self.watts >= self.bound

    def raise_floor(self, floor: int) -> None:
        """Only layouts of at least so many watts matter from now on."""
        if self.best is None or self.watts < floor:
            self.best, self.watts = None, max(floor, self.watts)

    def kept_watts(self) -> int:
        """Watts (tenths) of kept panels that this search counts beside the new ones."""
        return self._kept

    def prices_bound(self) -> float:
        """The relaxation's watts (tenths), kept panels not counted."""
        if self.raster_mm > 1:
            return float(self._area_bound() - self._kept)
        return self._prices.bound if len(self._fine) else 0.0

    def worth_of_groups(self) -> list[float]:
        """For each group the most that one of its panels is worth of the price of the points it takes."""
        if self.raster_mm > 1:
            return [1.0 for _ in self._rules.groups]
        watts = np.array([k.watts for k in self._rules.kinds], dtype=np.float64)[self._fine.kind]
        share = watts / (watts - self._prices.reduced_cost)
        of = self._rules.group_of_kind[self._fine.kind] if len(self._fine) else np.zeros(0, dtype=np.int64)
        return [float(np.max(share[of == g], initial=0.0)) for g in range(len(self._rules.groups))]

    # stages

    def _set_down_first(self) -> None:
        """The best of some layouts made without search, on the coarsest raster."""
        kinds = coarser(self._rules.kinds, max(RASTERS_MM[0], self.raster_mm))
        candidates = self._candidates(kinds)
        grid = PointGrid(candidates, kinds)
        for chosen in first_layouts(candidates, grid, kinds):
            self._answer(candidates, grid, None, chosen, FIRST_EFFORT)

    def _coarse(self, raster: int, start: list[Place], answers: bool) -> list[Place]:
        """A layout on a coarse raster; returns the places that mattered, to start the next raster from."""
        kinds = coarser(self._rules.kinds, raster)
        candidates = self._candidates(kinds)
        if not len(candidates):
            return start
        grid = PointGrid(candidates, kinds)
        search = PriceSearch(candidates, grid, self._rules)
        first = self._nearest(start, candidates)
        end = (time.monotonic() + self._price_end) / 2
        prices = search.run(first, end, self._clock.stopped, COARSE_ROUNDS)
        good = prices.columns[prices.reduced_cost[prices.columns] > -2 * self._grain - SLACK]
        if answers:
            self._answer(candidates, grid, prices, good, FIRST_EFFORT)
        kept = prices.columns[prices.reduced_cost[prices.columns] > -SLACK - self._grain]
        return _places(candidates, kept)

    def _close_in(self, candidates: Candidates, grid: PointGrid, prices: Prices) -> None:
        """Better layouts from below and windows from above, with growing effort, until they meet."""
        by_promise = np.argsort(-prices.reduced_cost, kind="stable")
        size, effort = FIRST_SIZE, FIRST_EFFORT
        while not self.is_settled() and not self._clock.over():
            self._answer(candidates, grid, prices, np.sort(by_promise[:size]), effort)
            if prices.converged:
                self._windows(candidates, grid, prices, effort)
            if size >= len(candidates) and not prices.converged:
                return
            size, effort = size * 2, effort * 3

    def _windows(self, candidates: Candidates, grid: PointGrid, prices: Prices, effort: float) -> None:
        """From the bound down, in windows that widen while they are easy, until one is too hard."""
        width = self._grain
        while not self.is_settled():
            least = self.watts + self._grain if self.best is not None else self.watts
            low = max(self.bound - width + self._grain, least)
            keep = np.nonzero(prices.reduced_cost >= low - self._kept - prices.bound - SLACK)[0]
            model = PackingModel(candidates, grid, self._rules, keep, prices)
            model.model.add(model.watts >= low)
            model.model.add(model.watts <= self.bound)
            answer = model.solve(
                model.watts, self._clock.deadline, self._clock.stopped, most=True, effort=effort
            )
            if answer.status in ("OPTIMAL", "FEASIBLE"):
                self._better(answer.value, _places(candidates, answer.chosen))
                self.bound = min(self.bound, self._whole(max(answer.bound, answer.value)))
            elif answer.status == "INFEASIBLE":
                self.bound = low - self._grain
                width = width * 2 if answer.effort < effort / 8 else width
            self._clock.tell(self.watts, self.bound)
            if answer.status in ("FEASIBLE", "UNKNOWN"):
                return

    def _answer(
        self, candidates: Candidates, grid: PointGrid, prices: Prices | None, keep: Ints, effort: float
    ) -> None:
        """The best layout of a few candidates, no proof."""
        if not len(keep):
            return
        model = PackingModel(candidates, grid, self._rules, keep, prices)
        model.model.add(model.watts >= self.watts)
        model.model.add(model.watts <= self.bound)
        answer = model.solve(model.watts, self._clock.deadline, self._clock.stopped, most=True, effort=effort)
        if answer.status in ("OPTIMAL", "FEASIBLE"):
            self._better(answer.value, _places(candidates, answer.chosen))

    def _prefer(self, candidates: Candidates, grid: PointGrid, prices: Prices) -> None:
        """Among layouts of the best watts: fewer models, fewer panels, less mass, lower price, fewer lines.

        One worker and deterministic time, so that every seed and number of workers ends with the same.
        """
        order = np.argsort(-prices.reduced_cost, kind="stable")
        enough = prices.reduced_cost >= self.watts - self._kept - prices.bound - SLACK
        able = order[enough[order]]
        reached: list[int] = []
        model = self._equal(candidates, grid, prices, able[:PREFER_MOST], reached)
        for number in range(4):
            wish = _wishes(model)[number]
            value = self._wish(model, candidates, wish, PREFER_EFFORT)
            if value is None:
                break
            reached.append(value)
            model.model.add(wish <= value)
        if len(reached) == 4:
            self.wishes = tuple(reached)
            model = self._equal(candidates, grid, prices, able[:TIDY_MOST], reached)
            self._wish(model, candidates, model.lines() * 10000 + model.spread(), TIDY_EFFORT)

    def _equal(
        self, candidates: Candidates, grid: PointGrid, prices: Prices, some: Ints, reached: list[int]
    ) -> PackingModel:
        """The layouts as good as the best one, in watts and in the wishes reached, among some candidates."""
        best = set(self.best or ())
        everyone = np.arange(len(candidates), dtype=np.int64)
        found = everyone[[place in best for place in _places(candidates, everyone)]]
        model = PackingModel(candidates, grid, self._rules, np.union1d(some, found), prices)
        model.model.add(model.watts == self.watts)
        for wish, value in zip(_wishes(model), reached, strict=False):
            model.model.add(wish <= value)
        model.hint(found)
        return model

    def _wish(
        self, model: PackingModel, candidates: Candidates, wish: LinearExpr, effort: float
    ) -> int | None:
        """The least that a wish comes to, and the layout with it as the best; None when none was found."""
        answer = model.solve(wish, self._clock.deadline, self._clock.stopped, most=False, effort=effort)
        if answer.status not in ("OPTIMAL", "FEASIBLE"):
            return None
        model.hint(answer.chosen)
        self.best = tuple(_places(candidates, answer.chosen))
        return answer.value

    # small helpers

    def _finest(self) -> tuple[Kind, ...]:
        """The finest candidates that memory and time allow, 1 mm as a rule; returns their kinds."""
        slanted = any(field.slanted() for field in self._fields)
        for raster, step in product(FINE_RASTERS_MM, SLANT_STEPS_MM if slanted else SLANT_STEPS_MM[:1]):
            kinds = coarser(self._rules.kinds, raster)
            self._fields = tuple(replace(field, slant_step_mm=step) for field in self._fields)
            if self._cells(kinds) > MOST_CELLS and raster != FINE_RASTERS_MM[-1]:
                continue
            self._fine, self.raster_mm = self._candidates(kinds), raster
            if len(self._fine) <= MOST_CANDIDATES or self._clock.over():
                break
        return kinds

    def _cells(self, kinds: tuple[Kind, ...]) -> int:
        numbers = [[i for i, k in enumerate(kinds) if k.facet == f] for f in range(len(self._fields))]
        return sum(cells_of(field, kinds, n) for field, n in zip(self._fields, numbers, strict=True))

    def _candidates(self, kinds: tuple[Kind, ...]) -> Candidates:
        with ThreadPoolExecutor(max_workers=self._clock.workers) as pool:
            parts = list(pool.map(lambda number: self._on_facet(kinds, number), range(len(self._fields))))
        columns = [np.concatenate(c) for c in zip(*((p.kind, p.x_mm, p.y_mm) for p in parts), strict=True)]
        return Candidates(*columns)

    def _on_facet(self, kinds: tuple[Kind, ...], number: int) -> Candidates:
        mine = [i for i, k in enumerate(kinds) if k.facet == number]
        sizes = (
            number,
            self._fields[number].slant_step_mm,
            *((kinds[i].w_mm, kinds[i].h_mm, kinds[i].pitch_x_mm) for i in mine),
        )
        if sizes not in self._pool:
            own = tuple(kinds[i] for i in mine)
            self._pool[sizes] = candidates_of(self._fields[number], own, list(range(len(own))))
        found = self._pool[sizes]
        return replace(found, kind=np.array(mine, dtype=np.int64)[found.kind])

    def _nearest(self, places: list[Place], candidates: Candidates) -> Ints:
        """Of each place's kind the nearest candidate; spread evenly over all candidates if there are none."""
        if not len(candidates):
            return np.zeros(0, dtype=np.int64)
        if not places:
            step = max(1, len(candidates) // FIRST_COLUMNS)
            return np.arange(0, len(candidates), step, dtype=np.int64)
        chosen = []
        for kind in sorted({k for k, _, _ in places}):
            own = np.nonzero(candidates.kind == kind)[0]
            if not len(own):
                continue
            for _, x, y in (p for p in places if p[0] == kind):
                far = np.abs(candidates.x_mm[own] - x) + np.abs(candidates.y_mm[own] - y)
                chosen.append(int(own[np.argmin(far)]))
        return np.unique(np.array(chosen, dtype=np.int64))

    def _area_bound(self) -> int:
        """Watts of the densest panel over the free area, or the box with gaps: crude, but always true."""
        total = float(self._kept)
        if self._rules.wired:
            total += self._rules.kept_watts()
        for number, field in enumerate(self._fields):
            kinds = [k for k in self._rules.kinds if k.facet == number]
            if kinds:
                gap_x, gap_y = kinds[0].pitch_x_mm - kinds[0].w_mm, kinds[0].pitch_y_mm - kinds[0].h_mm
                width, depth = field.x_max - field.x_min + gap_x, field.y_max - field.y_min + gap_y
                with_gaps = max(0.0, width) * max(0.0, depth)
                total += min(
                    with_gaps * max(k.watts / (k.pitch_x_mm * k.pitch_y_mm) for k in kinds),
                    free_area_mm2(field) * max(k.watts / (k.w_mm * k.h_mm) for k in kinds),
                )
        return self._whole(total)

    def _lower_bound(self, prices_bound: float) -> None:
        self.bound = min(self.bound, self._whole(prices_bound + self._kept))
        self._clock.tell(self.watts, self.bound)

    def _whole(self, watts: float) -> int:
        """Down to what a layout can have; floating point must not cost a layout that is just there."""
        return int((watts + SLACK) // self._grain * self._grain)

    def _better(self, watts: int, places: tuple[Place, ...] | list[Place]) -> None:
        if self.best is None or watts > self.watts:
            self.best, self.watts = tuple(places), watts
            self._clock.tell(self.watts, self.bound)


def _places(candidates: Candidates, which: Ints) -> list[Place]:
    rows = (candidates.kind[which], candidates.x_mm[which], candidates.y_mm[which])
    return [(int(k), int(x), int(y)) for k, x, y in zip(*rows, strict=True)]


def _wishes(model: PackingModel) -> tuple[LinearExpr, ...]:
    """What is wanted among equal watts, the most wanted first."""
    return model.models_used(), model.panels(), model.mass(), model.price()
