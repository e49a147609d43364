"""Prices of the roof's two ends, each by itself: what mattered there is what the whole begins with.

The time of a relaxation grows much faster than its places do, and both ends are priced at once. An end is
more than half of the candidates, those whose middles lie towards it: what juts out finds room beyond, and
what that gets wrong is put right where the whole is priced. In the middle, where either end is wrong, the
other knows better. Facets lie one after the other along x.
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
BEYOND = 5  # an end is half of the candidates, and the BEYOND-th part of all beyond that
NEARLY = 2  # grains: candidates with which a layout of an end comes so near its bound make a first one


@dataclass(frozen=True, slots=True)
class Mattered:
    """Points as PriceSearch.lay_out takes them, candidate numbers, and the best of those."""

    points_mm: list[tuple[int, int, int]]
    columns: Ints
    best: Ints


def priced_by_ends(asked: Asked, deadline: float) -> Mattered:
    """Of both ends together, numbers sorted; of one candidate at least.

    asked: of its prices nothing is needed. deadline as time.monotonic().
    """
    with ThreadPoolExecutor(asked.incumbent.clock.workers) as pool:
        found = list(pool.map(lambda which: _priced(asked, which, deadline), _ends(asked)))
    return Mattered(
        list(dict.fromkeys(point for end in found for point in end.points_mm)),
        np.unique(np.concatenate([end.columns for end in found])),
        np.unique(np.concatenate([end.best for end in found])),
    )


def _priced(asked: Asked, which: Ints, deadline: float) -> Mattered:
    end = asked.candidates.take(which)
    grid = PointGrid(end, asked.kinds)
    search = PriceSearch(end, grid, asked.rules)
    prices = search.run(nearest([], end), deadline, asked.incumbent.clock.stopped, ENOUGH)
    dear = prices.reduced_cost[prices.columns] > -NEARLY * asked.incumbent.grain - SLACK
    return Mattered(prices.points_mm(grid), which[prices.columns], which[prices.columns[dear]])


def layout_of(asked: Asked, ends: Mattered) -> None:
    """A first layout, of the best at either end."""
    known = asked.grid.points_at(ends.points_mm)
    prices = replace(
        asked.prices,
        rows=tuple(point for family, point in known if family == NO_FAMILY),
        family_rows=tuple((family, point) for family, point in known if family != NO_FAMILY),
    )
    replace(asked, prices=prices).answer(ends.best, FIRST_EFFORT)


def _ends(asked: Asked) -> list[Ints]:
    """Seven tenths of the candidates each, by where their middles lie along the roof."""
    grid, kind = asked.grid, asked.candidates.kind
    pitches = np.array([(k.pitch_x_mm, k.pitch_y_mm) for k in asked.kinds], dtype=np.int64)[kind]
    x, y = 2 * grid.x_mm + pitches[:, 0], 2 * grid.y_mm + pitches[:, 1]  # twice their middles
    along, across = (x, y) if np.ptp(x) >= np.ptp(y) else (y, x)
    order = np.lexsort((across, along))
    cut, more = len(order) // 2, len(order) // BEYOND
    return [np.sort(order[: cut + more]), np.sort(order[cut - more :])]
