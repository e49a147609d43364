"""Better layouts on large roofs: the panels inside a window are taken off and it is filled anew.

A large roof has too many places to price at once; a window of a dozen panels has a few hundred, made for
it alone, to the millimetre. Windows go over the roof in reading order, overlapping by half, and grow when
a whole round has found nothing.
"""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from rooflayout.packing.clearance import Block, Box, Field, box_block
from rooflayout.packing.closure import Candidates, free_standing
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.improve import fill_anew
from rooflayout.packing.incumbent import SLACK, Incumbent, Place, watts_of
from rooflayout.packing.kinds import Kind, coarser
from rooflayout.packing.positions import candidates_of, cells_of
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rules import Rules, geometry_only
from rooflayout.packing.stock import nearest

PANELS = (9, 16, 25, 36, 49, 64, 100)  # of the mean size that a window holds, in one round after another
RASTERS_MM = (1, 5, 20, 50)  # the first that leaves few enough candidates
MOST = 4000  # candidates in a window
CLOSE = 0.001  # share of a window's watts that its prices may be unsure of
MOST_CELLS = 200_000  # places of a window to look at
APART = 0.5  # of a side, from one window to the next
EFFORT = 1.0  # deterministic seconds for each window


@dataclass(frozen=True, slots=True)
class Window:
    """A part of one facet, and the panels that lie in it and beside it."""

    field: Field
    numbers: tuple[int, ...]  # of the facet's kinds
    inside: tuple[Place, ...]
    outside: tuple[Place, ...]


def patch(fields: Sequence[Field], rules: Rules, incumbent: Incumbent, deadline: float) -> None:
    """Over all windows until every size has been tried in vain, or until time.monotonic() is the deadline."""
    for panels in PANELS:
        tried: set[tuple[float, ...]] = set()  # windows that were of no use, with what lay in them
        better = True
        while better:
            better = False
            for number, at in boxes_for(fields, rules.kinds, incumbent.places or (), panels):
                if incumbent.settled() or incumbent.clock.over() or time.monotonic() > deadline:
                    return
                window = window_at(fields, rules.kinds, incumbent.places or (), number, at)
                key = (number, *at, *(v for place in window.inside for v in place))
                if key in tried:
                    continue
                tried.add(key)
                better |= refilled(rules, incumbent, window)


def boxes_for(
    fields: Sequence[Field], kinds: Sequence[Kind], places: Sequence[Place], panels: int, apart: float = APART
) -> list[tuple[int, Box]]:
    """Windows (facet and box) for about so many panels, such a share of a side apart, in reading order."""
    if not places:
        return []
    area = float(np.mean([kinds[k].pitch_x_mm * kinds[k].pitch_y_mm for k, _, _ in places]))
    side = math.ceil(math.sqrt(panels * area))
    found: list[tuple[int, Box]] = []
    for number, field in enumerate(fields):
        for y in _starts(field.y_min, field.y_max, side, apart):
            for x in _starts(field.x_min, field.x_max, side, apart):
                found.append((number, (x, y, min(x + side, field.x_max), min(y + side, field.y_max))))
    return found


def _starts(low: float, high: float, side: int, apart: float) -> list[float]:
    """Where windows begin along one axis; the last ends at the end."""
    steps = max(0, math.ceil((high - low - side) / (side * apart)))
    return [low + round((high - low - side) * i / steps) for i in range(steps + 1)] if steps else [low]


def window_at(
    fields: Sequence[Field], kinds: Sequence[Kind], places: Sequence[Place], number: int, at: Box
) -> Window:
    """The box with what stands in it and the panels that reach into it."""
    field, (x0, y0, x1, y1) = fields[number], at
    blocks = [b for b in field.blocks if _meets(b, at)]
    ordered = sorted(places)
    kind, x, y = np.array(ordered, dtype=np.int64).reshape(-1, 3).T
    facet, wide, deep, gaps = (
        np.array([v[i] for v in ((k.facet, k.w_mm, k.h_mm, k.pitch_x_mm - k.w_mm) for k in kinds)])[kind]
        for i in range(4)
    )
    within = (facet == number) & (x >= x0) & (y >= y0) & (x + wide <= x1) & (y + deep <= y1)
    near = (facet == number) & ~within & (x - gaps < x1) & (x + wide + gaps > x0)
    near &= (y - gaps < y1) & (y + deep + gaps > y0)
    for i in np.nonzero(near)[0].tolist():
        number_of, at_x, at_y = ordered[i]
        own = kinds[number_of]
        gap = float(own.pitch_x_mm - own.w_mm)
        blocks.append(box_block(at_x, at_y, at_x + own.w_mm, at_y + own.h_mm, gap))
    inside = [place for place, here in zip(ordered, within.tolist(), strict=True) if here]
    outside = [place for place, here in zip(ordered, within.tolist(), strict=True) if not here]
    cut = replace(field, x_min=x0, y_min=y0, x_max=x1, y_max=y1, blocks=tuple(blocks))
    numbers = tuple(i for i, k in enumerate(kinds) if k.facet == number)
    return Window(cut, numbers, tuple(inside), tuple(outside))


def _meets(block: Block, at: Box) -> bool:
    """Whether a block forbids some of a box."""
    x0, y0, x1, y1 = block.bounds_mm()
    return x0 < at[2] and x1 > at[0] and y0 < at[3] and y1 > at[1]


def refilled(rules: Rules, incumbent: Incumbent, window: Window) -> bool:
    """Whether another filling of the window has more watts; the incumbent then has it."""
    found = _candidates(rules, window)
    kept = rules.kept_watts() if rules.wired else incumbent.kept
    need = incumbent.least() - kept - watts_of(rules.kinds, window.outside)
    if not len(found) or need <= 0:
        return False
    grid = PointGrid(found, rules.kinds)
    clock = incumbent.clock
    prices = PriceSearch(found, grid, geometry_only(rules)).run(
        nearest([], found), clock.deadline, clock.stopped, CLOSE
    )
    good = np.nonzero(prices.bound + prices.reduced_cost + SLACK >= need)[0]
    if not len(good):
        return False
    fixed, beside = (window.outside, ()) if rules.bound() else ((), window.outside)
    return fill_anew(
        rules,
        rules.kinds,
        incumbent,
        found.take(good),
        window.inside,
        fixed,
        lambda whole: prices.at(grid, whole),
        EFFORT,
        beside,
    )


def _candidates(rules: Rules, window: Window) -> Candidates:
    """Places in a window on the finest raster on which there are few enough."""
    found = free_standing(*(np.zeros(0, dtype=np.int64) for _ in range(3)))
    for raster in RASTERS_MM:
        kinds = rules.kinds if raster == 1 else coarser(rules.kinds, raster)
        if cells_of(window.field, kinds, list(window.numbers)) > MOST_CELLS and raster != RASTERS_MM[-1]:
            continue
        found = candidates_of(window.field, kinds, list(window.numbers))
        if len(found) <= MOST:
            break
    return found
