"""Chooses paper and scale and says where views, tables and texts stand on which sheet."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations, pairwise

from ..job import Job
from ..plan import Plan
from .blocks import Block, lettered
from .box import Box, bounding_box
from .columns import GUTTER, Placement, columns_of, fill_sheet, flow
from .lettering import NORMAL
from .paper import A3, A4, PaperSize
from .sheet import frame_box, title_box
from .view import PlacedView, View, plan_view

# Reductions of ISO 5455: 1, 2 and 5 times powers of ten.
DENOMINATORS = tuple(step * 10**power for power in range(6) for step in (1, 2, 5))[1:]
# ISO 5455 leaps from 1:20 to 1:50; these lie between (common practice, no source).
BETWEEN_DENOMINATORS = (25, 30, 40)
ROOF_DENOMINATORS = tuple(sorted((*DENOMINATORS, *BETWEEN_DENOMINATORS)))
# A drawing smaller than this is worth another sheet for some of the facets.
SMALL_ENOUGH = 50
# No reader gains from a drawing larger than this; smaller paper and fewer sheets do help.
LARGE_ENOUGH = 20
# What a drawing must gain in size to be worth one more sheet: as from A4 to A3.
_WORTH_A_SHEET = math.sqrt(2)

_PAD = 3.0
_BETWEEN_VIEWS = 7.0
RESULT_WIDTH = 84.0
_MOST_SHIFT = 30.0


@dataclass(frozen=True, slots=True)
class SheetLayout:
    views: tuple[PlacedView, ...]
    placements: tuple[Placement, ...]


@dataclass(frozen=True, slots=True)
class Arrangement:
    """The whole set of sheets, all of one size and scale."""

    size: PaperSize
    denominator: int
    sheets: tuple[SheetLayout, ...]


def upper_box(size: PaperSize) -> Box:
    """The space above the title block."""
    frame, title = frame_box(size), title_box(size)
    return Box(frame.x0 + _PAD, title.y1 + _PAD, frame.x1 - _PAD, frame.y1 - _PAD)


def strip_box(size: PaperSize) -> Box:
    """The space left of the title block."""
    frame, title = frame_box(size), title_box(size)
    return Box(frame.x0 + _PAD, frame.y0 + _PAD, title.x0 - _PAD - 1.0, title.y1)


def _rows_of(count: int) -> list[list[list[int]]]:
    """Every way to cut the facets, in their order, into rows; many facets only into equal rows."""
    if count > 8:
        return [[list(range(k, min(k + n, count))) for k in range(0, count, n)] for n in range(1, count + 1)]
    ways = []
    for cuts in range(count):
        for where in combinations(range(1, count), cuts):
            ends = [0, *where, count]
            ways.append([list(range(a, b)) for a, b in pairwise(ends)])
    return ways


def _row_size(row: Sequence[View]) -> tuple[float, float]:
    """Width and height of views side by side, their roofs' lower edges in line."""
    wide = sum(view.width_mm for view in row) + _BETWEEN_VIEWS * (len(row) - 1)
    return wide, _row_base(row) + max(view.above_mm for view in row)


def _row_base(row: Sequence[View]) -> float:
    return max(view.dimensions.bottom_mm for view in row)


def _rows_size(views: Sequence[View], rows: list[list[int]]) -> tuple[float, float]:
    sizes = [_row_size([views[i] for i in row]) for row in rows]
    return max(w for w, _ in sizes), sum(h for _, h in sizes) + _BETWEEN_VIEWS * (len(rows) - 1)


def _best_rows(views: Sequence[View], area: Box) -> list[list[int]] | None:
    """The lowest way to stand the views in a space, or None when they do not fit."""
    best: tuple[float, float, list[list[int]]] | None = None
    for rows in _rows_of(len(views)):
        wide, high = _rows_size(views, rows)
        if wide <= area.width and high <= area.height and (best is None or (high, wide) < best[:2]):
            best = high, wide, rows
    return best[2] if best else None


def _place_views(views: Sequence[View], rows: list[list[int]], area: Box) -> tuple[PlacedView, ...]:
    """The views in their rows, the whole centred in the space."""
    _, high = _rows_size(views, rows)
    top = area.y1 - (area.height - high) / 2
    placed: list[PlacedView] = []
    for row in rows:
        standing = [views[i] for i in row]
        wide, tall = _row_size(standing)
        base = top - tall + _row_base(standing)
        x = area.x0 + (area.width - wide) / 2
        for view in standing:
            placed.append(PlacedView(view, x, base - view.dimensions.bottom_mm))
            x += view.width_mm + _BETWEEN_VIEWS
        top -= tall + _BETWEEN_VIEWS
    return tuple(placed)


def _strip_rest(size: PaperSize) -> list[Box]:
    """What is left of the strip beside the title block once the result has its place there."""
    strip = strip_box(size)
    x0 = strip.x0 + RESULT_WIDTH + GUTTER
    return [Box(x0, strip.y0, strip.x1, strip.y1)] if strip.x1 - x0 >= 80 else []


def further_sheets(blocks: Sequence[Block], size: PaperSize) -> list[SheetLayout]:
    """Sheets of tables and texts only, in larger letters where that takes no more sheets."""
    larger = [lettered(block, NORMAL) for block in blocks]
    small, large = _sheets_of(blocks, size), _sheets_of(larger, size)
    return large if len(large) <= len(small) else small


def _sheets_of(blocks: Sequence[Block], size: PaperSize) -> list[SheetLayout]:
    """What is longer than a column is parted; the last sheet's columns are filled evenly."""
    sheets: list[SheetLayout] = []
    waiting = list(blocks)
    while waiting:
        upper = upper_box(size)
        columns = columns_of(upper)
        if waiting[0].least_width > columns[0].width:
            columns = [upper]
        evenly, beyond = flow(waiting, columns)
        placed, waiting = fill_sheet(waiting, columns) if beyond else (evenly, [])
        if not placed:  # too large even for an empty sheet: better cramped than lost
            placed, waiting = [Placement(waiting[0], upper.x0, upper.y1, upper.width)], waiting[1:]
        sheets.append(SheetLayout((), tuple(placed)))
    return sheets


def _first_sheets(
    views: Sequence[View], blocks: Sequence[Block], size: PaperSize
) -> list[tuple[SheetLayout, list[Block]]]:
    """Ways to lay out the first sheet: columns right of the views, under them, or both."""
    upper = upper_box(size)
    columns = columns_of(upper)
    ways: list[tuple[SheetLayout, list[Block]]] = []
    for taken in range(len(columns)):
        right = columns[len(columns) - taken :]
        area = Box(upper.x0, upper.y0, right[0].x0 - GUTTER if right else upper.x1, upper.y1)
        rows = _best_rows(views, area)
        if rows is None:
            continue
        _, high = _rows_size(views, rows)
        under = columns_of(Box(area.x0, area.y0, area.x1, area.y1 - high - GUTTER))
        boxes = [*right, *under, *_strip_rest(size)]
        placed, left_over = flow(blocks, boxes)
        if any(block is blocks[0] for block in left_over):  # what is mounted from stays, in parts if need be
            placed, left_over = fill_sheet(blocks, boxes)
        lowest = area.y1 - high - GUTTER
        bottoms = [_bottom(p) for p in placed if _stands_in(p, under)]
        shift = min(min(bottoms) - area.y0, _MOST_SHIFT) if bottoms else 0.0
        moved = [replace(p, top=p.top - shift) if _stands_in(p, under) else p for p in placed]
        room = Box(area.x0, lowest - shift, area.x1, area.y1) if bottoms else area
        ways.append((SheetLayout(_place_views(views, rows, room), tuple(moved)), left_over))
    return ways


def _bottom(placement: Placement) -> float:
    return placement.top - placement.block.height(placement.width)


def _stands_in(placement: Placement, columns: Sequence[Box]) -> bool:
    return any(placement.x == box.x0 and box.y0 <= placement.top <= box.y1 for box in columns)


def _outlines_too_large(job: Job, size: PaperSize, denominator: int) -> bool:
    """True when some facet's bare outline is larger than the paper, so that nothing else need be tried."""
    upper = upper_box(size)
    for facet in job.facets:
        whole = bounding_box([*facet.outline_mm, (0.0, 0.0)])
        if whole.width / denominator > upper.width or whole.height / denominator > upper.height:
            return True
    return False


def arrange(job: Job, plan: Plan, blocks: Sequence[Block]) -> Arrangement:
    """Paper, scale and places: as large as the paper allows on few sheets, then small paper.

    Raises ValueError when the roof fits no sheet at any scale.
    """

    @cache
    def views_at(denominator: int) -> tuple[View, ...]:
        return tuple(plan_view(job, plan, facet, denominator) for facet in job.facets)

    best: Arrangement | None = None
    for count in range(1, len(job.facets) + 1):
        found = _arrange_groups(job, views_at, blocks, count)
        if found is not None and (best is None or found.denominator < best.denominator):
            best = found
        if best is not None and best.denominator <= SMALL_ENOUGH:
            break
    if best is None:
        raise ValueError("the roof is too large to be drawn on A3 at any scale")
    return best


def _arrange_groups(
    job: Job, views_at: Callable[[int], tuple[View, ...]], blocks: Sequence[Block], count: int
) -> Arrangement | None:
    """The facets on so many sheets, in their order."""
    best: tuple[tuple[float, int, int], Arrangement] | None = None
    for denominator in ROOF_DENOMINATORS:
        coarseness = max(denominator, LARGE_ENOUGH)
        if best is not None and coarseness > best[0][0]:
            break
        for rank, size in enumerate((A4, A3)):
            if _outlines_too_large(job, size, denominator):
                continue
            first, *others = _groups(views_at(denominator), count)
            more = [_views_only(group, size) for group in others]
            views_sheets = [sheet for sheet in more if sheet is not None]
            if len(views_sheets) < len(more):
                continue
            for sheet, left_over in _first_sheets(first, blocks, size):
                sheets = (sheet, *views_sheets, *further_sheets(left_over, size))
                key = coarseness * _WORTH_A_SHEET ** (len(sheets) - 1), rank, denominator
                if best is None or key < best[0]:
                    best = key, Arrangement(size, denominator, sheets)
    return best[1] if best else None


def _groups(views: Sequence[View], count: int) -> list[Sequence[View]]:
    """The views cut into so many runs of about equal number."""
    cuts = [round(k * len(views) / count) for k in range(count + 1)]
    return [views[a:b] for a, b in pairwise(cuts)]


def _views_only(views: Sequence[View], size: PaperSize) -> SheetLayout | None:
    """A sheet with views and nothing else, or None when they do not fit."""
    upper = upper_box(size)
    rows = _best_rows(views, upper)
    return None if rows is None else SheetLayout(_place_views(views, rows, upper), ())
