"""Prices on a coarse raster: what mattered there is what the finest candidates begin with."""

from __future__ import annotations

import time
from dataclasses import dataclass

from rooflayout.packing.asked import Asked
from rooflayout.packing.closure import Candidates
from rooflayout.packing.diving import FIRST_EFFORT
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import SLACK, Clock, Incumbent, Place, places_of
from rooflayout.packing.kinds import Kind, coarser
from rooflayout.packing.prices import Prices, PriceSearch
from rooflayout.packing.rules import Rules
from rooflayout.packing.stock import Stock, nearest

RASTER_MM = 20
COARSE_ENOUGH = 0.01  # share of the bound to be unsure of


@dataclass(frozen=True, slots=True)
class Coarse:
    """The candidates of a coarse raster with their prices."""

    candidates: Candidates
    kinds: tuple[Kind, ...]
    grid: PointGrid
    prices: Prices

    def points_mm(self) -> list[tuple[int, int, int]]:
        """The points that mattered, as PriceSearch.lay_out takes them."""
        return self.prices.points_mm(self.grid)

    def answer(self, rules: Rules, incumbent: Incumbent) -> None:
        """A layout on the raster."""
        prices = self.prices
        if len(prices.columns):
            good = prices.columns[prices.reduced_cost[prices.columns] > -2 * incumbent.grain - SLACK]
            asked = Asked(self.candidates, self.kinds, self.grid, rules, prices, incumbent)
            asked.answer(good, FIRST_EFFORT)


def priced_coarsely(stock: Stock, rules: Rules, clock: Clock, price_end: float) -> Coarse | None:
    """None where nothing fits. price_end: when all prices are to be known (time.monotonic())."""
    kinds = coarser(rules.kinds, RASTER_MM)
    candidates = stock.on(kinds)
    if not len(candidates):
        return None
    grid = PointGrid(candidates, kinds)
    end = (time.monotonic() + price_end) / 2
    search = PriceSearch(candidates, grid, rules)
    prices = search.run(nearest([], candidates), end, clock.stopped, COARSE_ENOUGH)
    return Coarse(candidates, kinds, grid, prices)


def mattering(candidates: Candidates, prices: Prices, grain: int) -> list[Place]:
    """Places that a layout within a grain of the bound may use."""
    dear = prices.reduced_cost[prices.columns]
    return places_of(candidates, prices.columns[dear > -grain - SLACK])
