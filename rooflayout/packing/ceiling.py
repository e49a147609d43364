"""A bound that holds for every layout of a roof, not only for those made of the places tried.

A roof of few panels is priced as a whole on a coarse raster (relaxed.py), with every rule. A larger one is
priced facet by facet on lattices (lattice.py), each finer than the one before; stock, mass, money and
wiring are not minded there. Where rules bind a roof of middling size, both are done.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rooflayout.packing.clearance import Field, free_area_mm2
from rooflayout.packing.descent import Descended, descend, moved, start_at
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import whole
from rooflayout.packing.kinds import Kind, smaller
from rooflayout.packing.lattice import Lattice, rooms_mm
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rasters import Axes, axes_for, estimate
from rooflayout.packing.relaxed import panels_by_area, places_on, raster_for
from rooflayout.packing.rules import Rules
from rooflayout.packing.stock import nearest

CELLS = 100_000  # of the raster, over all kinds, for a roof that is priced as a whole
FEW_PANELS = 60  # with no more a roof is priced as a whole only
WHOLE_PANELS = 120  # with no more it is priced as a whole where rules bind it
WHOLE_SHARE = 0.5  # of the time, at most, for that
ENOUGH = 0.002  # share of the bound to be unsure of
FIRST_PLACES = 250_000  # of a facet's first lattice, over all kinds
FINER = 4  # times as many on the next
MOST_PLACES = 1_500_000  # and on the last one
BETTER = 0.002  # of the bound: what other lines must promise to be taken instead of those between the old


def ceiling(
    fields: Sequence[Field],
    rules: Rules,
    deadline: float,
    stopped: Callable[[], bool] = lambda: False,
    reached: Callable[[], int] = lambda: 0,
) -> float:
    """Watts (tenths), kept panels included, that no layout can exceed; deadline: time.monotonic().

    Endless where panels are too narrow for a raster with few enough cells. reached: watts of a layout that is
    known; no lower bound is looked for.
    """
    if not rules.kinds:
        return float(rules.kept_watts())
    panels = panels_by_area(fields, rules.kinds)
    found = math.inf
    if panels <= FEW_PANELS or (panels <= WHOLE_PANELS and rules.bound()):
        share = 1.0 if panels <= FEW_PANELS else WHOLE_SHARE
        now = time.monotonic()
        found = _as_a_whole(fields, rules, now + share * (deadline - now), stopped)
    if panels > FEW_PANELS:
        found = min(found, _on_lattices(fields, rules, deadline, stopped, reached))
    return found


def _as_a_whole(fields: Sequence[Field], rules: Rules, deadline: float, stopped: Callable[[], bool]) -> float:
    """The relaxation on a coarse raster with every rule."""
    raster = raster_for(fields, rules.kinds, CELLS)
    if raster is None:
        return math.inf
    places, down = places_on(fields, rules.kinds, raster), smaller(rules.kinds, raster)
    search = PriceSearch(places, PointGrid(places, down), replace(rules, kinds=down))
    beside = 0 if rules.wired else rules.kept_watts()  # wired ones are in the relaxation
    return search.run(nearest([], places), deadline, stopped, ENOUGH).bound + beside


@dataclass(slots=True)
class _Priced:
    """A facet with the best prices of its last lattice."""

    field: Field
    kinds: tuple[Kind, ...]
    lattice: Lattice
    found: Descended
    old: bool = False  # whether the prices are of an earlier lattice

    def finer(self) -> bool:
        """On to a lattice of more places; False when it would be too large."""
        most = FINER * sum(o.size for o in self.lattice.open)
        if most > MOST_PLACES:
            return False
        lattice = Lattice(self.field, self.kinds, *self._finer_axes(most))
        self.found, self.lattice, self.old = moved(self.found, self.lattice, lattice), lattice, True
        return True

    def _finer_axes(self, most: int) -> Axes:
        """With lines between the old ones, on which old prices hold, unless others promise much more."""
        x, y = (axis.halved() for axis in self.lattice.axes)
        other = axes_for(self.field, self.kinds, most)
        fitting = [k for k in self.kinds if min(rooms_mm(self.field, k)) >= 0]
        old, new = (estimate(self.field, fitting, axes) if axes else math.inf for axes in ((x, y), other))
        return other if other and new < (1 - BETTER) * old else (x, y)


def _on_lattices(
    fields: Sequence[Field],
    rules: Rules,
    deadline: float,
    stopped: Callable[[], bool],
    reached: Callable[[], int],
) -> float:
    """The facets' bounds, one after the other, then all on finer lattices, until time is up."""
    facets = []
    for number, field in enumerate(fields):
        kinds = tuple(k for k in rules.kinds if k.facet == number)
        axes = axes_for(field, kinds, FIRST_PLACES)
        if axes is not None:
            lattice = Lattice(field, kinds, *axes)
            facets.append(_Priced(field, kinds, lattice, start_at(lattice)))
        elif any(min(rooms_mm(field, k)) >= 0 for k in kinds):
            return math.inf
    kept, grain = rules.kept_watts(), rules.grain()

    def total() -> float:
        return kept + sum(f.found.bound for f in facets)

    waiting = facets
    while waiting:
        for facet in waiting:
            rest = total() - facet.found.bound

            def ended(bound: float, rest: float = rest) -> bool:
                late = time.monotonic() > deadline or stopped()
                return late or whole(rest + bound, grain) <= reached()

            if ended(facet.found.bound):
                return total()
            facet.found = descend(facet.lattice, facet.found, ended, facet.old)
        waiting = [facet for facet in waiting if facet.finer()]
    return total()


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
