"""A bound that holds for every layout of a roof, not only for those made of the places tried.

relaxed.py says which places a coarse raster has at least. A small roof's relaxation over them is solved as
a whole. A large roof is cut into tiles: a panel counts in each tile with the share of it that lies there,
so the tiles' bounds, each as if the tile were alone, add up to a bound for the roof.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from rooflayout.packing.clearance import Field, Floats, Ints, free_area_mm2
from rooflayout.packing.closure import Candidates
from rooflayout.packing.grid import PointGrid, heaped
from rooflayout.packing.incumbent import whole
from rooflayout.packing.kinds import Kind, smaller
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.relaxed import panels_by_area, places_on, raster_for
from rooflayout.packing.rules import Rules, geometry_only
from rooflayout.packing.stock import nearest

CELLS = 100_000  # of the raster, over all kinds, for a roof that is solved as a whole
TILE_CELLS = 60_000  # likewise for each tile
MANY_TILES, FEWER_CELLS = 6, 20_000  # and where there are so many tiles
WHOLE_PANELS = 120  # so many fit on a roof that is solved as a whole
TILE_PANELS = 80
MOST_PLACES = 6000  # in a tile; with more it is cut in two
ENOUGH = 0.002  # share of the bound to be unsure of


@dataclass(frozen=True, slots=True)
class Tile:
    facet: int
    x0: float
    y0: float
    x1: float
    y1: float


def ceiling(
    fields: Sequence[Field], rules: Rules, deadline: float, stopped: Callable[[], bool] = lambda: False
) -> float:
    """Watts (tenths), kept panels included, that no layout can exceed; deadline: time.monotonic().

    Endless where panels are too narrow for a raster with few enough cells.
    """
    kinds = rules.kinds
    if not kinds:
        return float(rules.kept_watts())
    panels = panels_by_area(fields, kinds)
    tiles = math.ceil(panels / TILE_PANELS) if panels > WHOLE_PANELS else 1
    each = TILE_CELLS if tiles < MANY_TILES else FEWER_CELLS
    raster = raster_for(fields, kinds, CELLS if tiles == 1 else tiles * each)
    if raster is None:
        return math.inf
    places, down = places_on(fields, kinds, raster), smaller(kinds, raster)
    if tiles == 1:
        smaller_rules = replace(rules, kinds=down)
        search = PriceSearch(places, PointGrid(places, down), smaller_rules)
        beside = 0 if rules.wired else rules.kept_watts()  # wired ones are in the relaxation
        return search.run(nearest([], places), deadline, stopped, ENOUGH).bound + beside
    rest = replace(geometry_only(rules), kinds=down)
    total = float(rules.kept_watts())
    side = math.sqrt(TILE_PANELS * float(np.median([k.pitch_x_mm * k.pitch_y_mm for k in kinds])))
    for tile in _tiles(fields, side, raster):
        total += _of_tile(tile, places, down, rest, deadline, stopped)
    return total


def area_bound(fields: Sequence[Field], rules: Rules) -> int:
    """Watts of the densest panel over the free area, or the box with gaps: crude, but always true."""
    total = float(rules.kept_watts())
    for number, field in enumerate(fields):
        kinds = [k for k in rules.kinds if k.facet == number]
        if kinds:
            gap_x, gap_y = kinds[0].pitch_x_mm - kinds[0].w_mm, kinds[0].pitch_y_mm - kinds[0].h_mm
            width, depth = field.x_max - field.x_min + gap_x, field.y_max - field.y_min + gap_y
            with_gaps = max(0.0, width) * max(0.0, depth)
            total += min(
                with_gaps * max(k.watts / (k.pitch_x_mm * k.pitch_y_mm) for k in kinds),
                free_area_mm2(field) * max(k.watts / (k.w_mm * k.h_mm) for k in kinds),
            )
    return whole(total, rules.grain())


def _tiles(fields: Sequence[Field], side: float, raster: int) -> list[Tile]:
    """The facets in pieces, cut along lines of the raster, the outer ones endless."""
    found = []
    for number, field in enumerate(fields):
        xs, ys = (
            _cuts(low, high, side, raster)
            for low, high in ((field.x_min, field.x_max), (field.y_min, field.y_max))
        )
        found += [Tile(number, x0, y0, x1, y1) for x0, x1 in pairwise(xs) for y0, y1 in pairwise(ys)]
    return found


def _cuts(low: float, high: float, side: float, raster: int) -> list[float]:
    count = max(1, round((high - low) / side))
    inner = [round((low + (high - low) * i / count) / raster) * raster for i in range(1, count)]
    return [-math.inf, *(float(v) for v in inner), math.inf]


def _of_tile(
    tile: Tile,
    places: Candidates,
    kinds: Sequence[Kind],
    rules: Rules,
    deadline: float,
    stopped: Callable[[], bool],
) -> float:
    """A bound on the watts in a tile, each panel counted with its share; crude when time is up."""
    share = _shares(tile, places, kinds)
    some: Ints = np.nonzero(share > 0.0)[0]
    inside, part = places.take(some), share[some]
    if not len(some):
        return 0.0
    watts = np.array([k.watts for k in kinds], dtype=np.float64)[inside.kind] * part
    if len(some) > MOST_PLACES:
        halves = _halves(tile, inside, kinds)
        if halves is not None:
            return sum(_of_tile(half, inside, kinds, rules, deadline, stopped) for half in halves)
    crude = _area_bound(tile, inside, kinds)
    if time.monotonic() > deadline or stopped():
        return crude
    search = PriceSearch(inside, PointGrid(inside, kinds), rules, watts)
    return min(crude, search.run(nearest([], inside), deadline, stopped, ENOUGH).bound)


def _halves(tile: Tile, places: Candidates, kinds: Sequence[Kind]) -> tuple[Tile, Tile] | None:
    """The tile cut across its longer side; None when it is hardly larger than a panel."""
    longest = max(max(k.pitch_x_mm, k.pitch_y_mm) for k in kinds)
    x0, x1 = max(tile.x0, float(places.x_mm.min())), min(tile.x1, float(places.x_mm.max()) + longest)
    y0, y1 = max(tile.y0, float(places.y_mm.min())), min(tile.y1, float(places.y_mm.max()) + longest)
    if max(x1 - x0, y1 - y0) < 2 * longest:
        return None
    if x1 - x0 > y1 - y0:
        middle = float(round((x0 + x1) / 2))
        return replace(tile, x1=middle), replace(tile, x0=middle)
    middle = float(round((y0 + y1) / 2))
    return replace(tile, y1=middle), replace(tile, y0=middle)


def _shares(tile: Tile, places: Candidates, kinds: Sequence[Kind]) -> Floats:
    """Of each place the share that lies in the tile."""
    wide = np.array([k.pitch_x_mm for k in kinds], dtype=np.float64)[places.kind]
    deep = np.array([k.pitch_y_mm for k in kinds], dtype=np.float64)[places.kind]
    facet = np.array([k.facet for k in kinds])[places.kind]
    across = np.minimum(places.x_mm + wide, tile.x1) - np.maximum(places.x_mm, tile.x0)
    along = np.minimum(places.y_mm + deep, tile.y1) - np.maximum(places.y_mm, tile.y0)
    share = np.maximum(across, 0.0) * np.maximum(along, 0.0) / (wide * deep)
    return np.where(facet == tile.facet, share, 0.0)


def _area_bound(tile: Tile, places: Candidates, kinds: Sequence[Kind]) -> float:
    """The densest panel over all that places reach of the tile."""
    wide = np.array([k.pitch_x_mm for k in kinds], dtype=np.int64)[places.kind]
    deep = np.array([k.pitch_y_mm for k in kinds], dtype=np.int64)[places.kind]
    xs = np.unique(np.concatenate([places.x_mm, places.x_mm + wide]))
    ys = np.unique(np.concatenate([places.y_mm, places.y_mm + deep]))
    left, right = np.searchsorted(xs, places.x_mm), np.searchsorted(xs, places.x_mm + wide)
    low, high = np.searchsorted(ys, places.y_mm), np.searchsorted(ys, places.y_mm + deep)
    reached = heaped((len(xs) - 1, len(ys) - 1), left, right, low, high, np.ones(len(places))) > 0
    sizes_x = np.diff(np.clip(xs, tile.x0, tile.x1))
    sizes_y = np.diff(np.clip(ys, tile.y0, tile.y1))
    area = float(sizes_x @ reached @ sizes_y)
    return area * max(k.watts / (k.pitch_x_mm * k.pitch_y_mm) for k in kinds if k.facet == tile.facet)
