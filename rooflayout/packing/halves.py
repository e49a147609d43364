"""Prices of the roof's two halves, each by itself: what mattered there is what the whole begins with.

The time of a relaxation grows much faster than its places do, and the halves are priced at once. A half is
half of the candidates, those whose middles lie towards one end: what juts out finds room beyond, and what
that gets wrong is put right where the whole is priced. Facets lie one after the other along x.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.clearance import Ints
from rooflayout.packing.diving import FIRST_EFFORT
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import SLACK
from rooflayout.packing.interior import NO_FAMILY
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.stock import nearest

ENOUGH = 0.01  # share of the bound to be unsure of
NEARLY = 2  # grains: candidates with which a layout of a half comes so near its bound make a first one


@dataclass(frozen=True, slots=True)
class Half:
    """What mattered: points as PriceSearch.lay_out takes them, candidate numbers, and the best of those."""

    points_mm: list[tuple[int, int, int]]
    columns: Ints
    best: Ints


def priced_by_halves(asked: Asked, deadline: float) -> Half:
    """Of both halves together, numbers sorted; of one candidate at least.

    asked: of its prices nothing is needed. deadline as time.monotonic().
    """
    with ThreadPoolExecutor(asked.incumbent.clock.workers) as pool:
        found = list(pool.map(lambda which: _priced(asked, which, deadline), _halves(asked)))
    return Half(
        list(dict.fromkeys(point for half in found for point in half.points_mm)),
        np.sort(np.concatenate([half.columns for half in found])),
        np.sort(np.concatenate([half.best for half in found])),
    )


def _priced(asked: Asked, which: Ints, deadline: float) -> Half:
    half = asked.candidates.take(which)
    grid = PointGrid(half, asked.kinds)
    search = PriceSearch(half, grid, asked.rules)
    prices = search.run(nearest([], half), deadline, asked.incumbent.clock.stopped, ENOUGH)
    dear = prices.reduced_cost[prices.columns] > -NEARLY * asked.incumbent.grain - SLACK
    return Half(prices.points_mm(grid), which[prices.columns], which[prices.columns[dear]])


def layout_of(asked: Asked, halves: Half) -> None:
    """A first layout, of the best in either half."""
    known = asked.grid.points_at(halves.points_mm)
    prices = replace(
        asked.prices,
        rows=tuple(point for family, point in known if family == NO_FAMILY),
        family_rows=tuple((family, point) for family, point in known if family != NO_FAMILY),
    )
    replace(asked, prices=prices).answer(halves.best, FIRST_EFFORT)


def _halves(asked: Asked) -> list[Ints]:
    """Half of the candidates each, by where their middles lie along the roof; facets lie side by side."""
    grid, kind = asked.grid, asked.candidates.kind
    pitches = np.array([(k.pitch_x_mm, k.pitch_y_mm) for k in asked.kinds], dtype=np.int64)[kind]
    x, y = 2 * grid.x_mm + pitches[:, 0], 2 * grid.y_mm + pitches[:, 1]  # twice their middles
    along, across = (x, y) if np.ptp(x) >= np.ptp(y) else (y, x)
    order = np.lexsort((across, along))
    cut = len(order) // 2
    return [np.sort(half) for half in (order[:cut], order[cut:]) if len(half)]
