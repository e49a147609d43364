"""Layouts in rows before anything else: the best of them that the rules allow, in the incumbent."""

from __future__ import annotations

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.bands import row_layouts
from rooflayout.packing.clearance import Field
from rooflayout.packing.closing import FIRST_EFFORT
from rooflayout.packing.closure import free_standing
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import Incumbent, Place, watts_of
from rooflayout.packing.prices import no_prices
from rooflayout.packing.rules import Rules
from rooflayout.packing.scarce_rows import scarce_row_layouts


def rows_first(fields: tuple[Field, ...], rules: Rules, incumbent: Incumbent) -> None:
    """Those that keep to all rules as they are come first, for CP-SAT takes time to load."""
    scarce = scarce_row_layouts(fields, rules) if rules.caps else []
    forbidden: list[tuple[int, list[Place]]] = []
    for layout in (*scarce, *row_layouts(fields, rules.kinds)):
        watts = watts_of(rules.kinds, layout) + incumbent.kept
        if layout and not rules.plainly_kept([kind for kind, _, _ in layout]):
            forbidden.append((watts, layout))
        elif layout and watts >= incumbent.least():
            incumbent.better(watts, layout)
    for watts, layout in forbidden:
        if rules.wired or watts >= incumbent.least():
            _best_part(layout, rules, incumbent)


def _best_part(layout: list[Place], rules: Rules, incumbent: Incumbent) -> None:
    kind, x, y = (np.array(v, dtype=np.int64) for v in zip(*layout, strict=True))
    places = free_standing(kind, x, y)
    grid = PointGrid(places, rules.kinds)
    asked = Asked(places, rules.kinds, grid, rules, no_prices(len(places)), incumbent)
    asked.answer(np.arange(len(places), dtype=np.int64), FIRST_EFFORT)
