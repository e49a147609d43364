"""Prices on a coarse raster: what mattered there is what the finest candidates begin with."""

from __future__ import annotations

import time

from rooflayout.packing.asked import Asked
from rooflayout.packing.diving import FIRST_EFFORT
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import SLACK, Incumbent
from rooflayout.packing.kinds import coarser
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rules import Rules
from rooflayout.packing.stock import Stock, nearest

RASTER_MM = 20
COARSE_ENOUGH = 0.01  # share of the bound to be unsure of


def priced_coarsely(stock: Stock, rules: Rules, incumbent: Incumbent, price_end: float) -> Asked | None:
    """None where nothing fits. price_end: when all prices are to be known (time.monotonic())."""
    kinds = coarser(rules.kinds, RASTER_MM)
    candidates = stock.on(kinds)
    if not len(candidates):
        return None
    grid = PointGrid(candidates, kinds)
    end = (time.monotonic() + price_end) / 2
    search = PriceSearch(candidates, grid, rules)
    prices = search.run(nearest([], candidates), end, incumbent.clock.stopped, COARSE_ENOUGH)
    return Asked(candidates, kinds, grid, rules, prices, incumbent)


def answer_coarsely(asked: Asked) -> None:
    """A layout on the raster."""
    prices = asked.prices
    if len(prices.columns):
        dear = prices.reduced_cost[prices.columns]
        asked.answer(prices.columns[dear > -2 * asked.incumbent.grain - SLACK], FIRST_EFFORT)
