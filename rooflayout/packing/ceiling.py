"""A bound that holds for every layout of a roof, not only for those made of the places tried.

A roof of few panels is priced as a whole on a coarse raster (relaxed.py), with every rule. A larger one is
priced facet by facet: on the mesh of its own lines (mesh.py) where these are not too many, else on lattices
(lattice.py), each finer than the one before; stock, mass, money and wiring are not minded there. Where rules
bind a roof of middling size, both are done.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from rooflayout.packing.active import ActiveWalk, some_steps
from rooflayout.packing.clearance import Field, free_area_mm2
from rooflayout.packing.descent import WARM, Descended, descend, moved, start_at
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import whole
from rooflayout.packing.kinds import Kind, smaller
from rooflayout.packing.lattice import Lattice, rooms_mm
from rooflayout.packing.mesh import cells_in, mesh_above
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rasters import Axes, axes_for, estimate
from rooflayout.packing.relaxed import panels_by_area, places_on, raster_for
from rooflayout.packing.rules import Rules
from rooflayout.packing.stock import nearest

CELLS = 100_000  # of the raster, over all kinds, for a roof that is priced as a whole in little time
MANY_CELLS = 1_600_000  # with time for it: some seconds, for a bound 3 to 10 % lower
FEW_PANELS = 60  # with no more a roof is priced as a whole only
WHOLE_PANELS = 120  # with no more it is priced as a whole where rules bind it
WHOLE_SHARE = 0.5  # of the time, at most, for that
ENOUGH = 0.002  # share of the bound to be unsure of
FIRST_WORK = 600_000  # of a step on a facet's first lattice, in units of _work
MOST_WORK = 4_800_000  # on the last one
MUCH = 0.99  # of the estimate: what twice as many points must promise to be taken at once
TRIED = 8  # lattices at first; half as many where they have twice as many points
MANY_MODELS = 4  # from so many on few places matter (active.py), and coarse lattices lose much
WORK_PER_S = 165_000  # of a step on the first lattice then, for each second that is left
POINTS_PER_PANEL = 2100  # of it, at most, for each panel of the middling size
RACE_ROUNDS = 3  # of steps on each before the best one goes on


def ceiling(
    fields: Sequence[Field],
    rules: Rules,
    deadline: float,
    stopped: Callable[[], bool] = lambda: False,
    reached: Callable[[], int] = lambda: 0,
    most_cells: int = CELLS,
) -> float:
    """Watts (tenths), kept panels included, that no layout can exceed; deadline: time.monotonic().

    Endless where panels are too narrow for a raster with few enough cells. reached: watts of a layout that is
    known; no lower bound is looked for. most_cells: where the roof is priced as a whole.
    """
    if not rules.kinds:
        return float(rules.kept_watts())
    panels = panels_by_area(fields, rules.kinds)
    found = math.inf
    if panels <= FEW_PANELS or (panels <= WHOLE_PANELS and rules.bound()):
        share = 1.0 if panels <= FEW_PANELS else WHOLE_SHARE
        now = time.monotonic()
        found = _as_a_whole(fields, rules, now + share * (deadline - now), stopped, most_cells)
    if panels > FEW_PANELS:
        found = min(found, _on_lattices(fields, rules, deadline, stopped, reached))
    return found


def _as_a_whole(
    fields: Sequence[Field], rules: Rules, deadline: float, stopped: Callable[[], bool], most_cells: int
) -> float:
    """The relaxation on a coarse raster with every rule."""
    raster = raster_for(fields, rules.kinds, most_cells)
    if raster is None:
        return math.inf
    places, down = places_on(fields, rules.kinds, raster), smaller(rules.kinds, raster)
    search = PriceSearch(places, PointGrid(places, down), replace(rules, kinds=down))
    beside = 0 if rules.wired else rules.kept_watts()  # wired ones are in the relaxation
    return search.run(nearest([], places), deadline, stopped, ENOUGH).bound + beside


class _Facet:
    """What is known of one facet: a bound, and the best prices on its last lattice."""

    def __init__(self, field: Field, kinds: tuple[Kind, ...], most_cells: int, left_s: float) -> None:
        """most_cells: places of the mesh to look at, at most. left_s: seconds for this facet."""
        self._field, self._kinds, self._most_cells = field, kinds, most_cells
        self._priced: tuple[Lattice, Descended] | None = None
        self._work = 3 + len(kinds)  # of a step for each point: prefix sums take as much as three kinds
        fitting = [k for k in kinds if min(rooms_mm(field, k)) >= 0]
        self._many = len({k.model for k in fitting}) >= MANY_MODELS
        ample = POINTS_PER_PANEL * panels_by_area([field], kinds)
        doubled = max(0, math.floor(math.log2(max(1.0, WORK_PER_S * left_s / FIRST_WORK))))
        self._most_points = int(min(ample, FIRST_WORK * 2**doubled / self._work))
        self._choices = self._first_axes(fitting)
        self.bound = math.inf if fitting else 0.0
        if self._choices:
            lattice = Lattice(field, kinds, *self._choices[0])
            self.bound = start_at(lattice).bound

    def _first_axes(self, fitting: Sequence[Kind]) -> list[Axes]:
        """Many kinds lose much on coarse lattices: finer ones while they promise much more, but fewer.

        With more than a few models one lattice, as fine as time allows.
        """
        if self._many and (axes := axes_for(self._field, fitting, self._most_points, 1)):
            return axes
        self._many = False
        work, choices = FIRST_WORK, axes_for(self._field, fitting, FIRST_WORK // self._work, TRIED)
        while choices and 2 * work <= MOST_WORK:
            finer = axes_for(self._field, fitting, 2 * work // self._work, TRIED)
            if estimate(self._field, fitting, finer[0]) > MUCH * estimate(self._field, fitting, choices[0]):
                break
            work, choices = 2 * work, finer
        return choices[: max(1, TRIED * FIRST_WORK // work)]

    def lower(self, ended: Callable[[float], bool]) -> None:
        """On the mesh; else some steps on each lattice to choose from, then on to the end on the best one.

        ended: told the bound, whether there is no time or no need to go on.
        """

        def over(bound: float) -> bool:
            self.bound = min(self.bound, bound)
            return ended(self.bound)

        if not self._choices:
            return
        if self._priced is None and (mesh := mesh_above(self._field, self._kinds, self._most_cells)):
            over(descend(mesh, start_at(mesh), over, warm=True).bound)
            return
        if self._many:
            self._priced = self._among_few(over)
            over(self._priced[1].bound)
            return
        raced = []
        for axes in self._choices:
            lattice = Lattice(self._field, self._kinds, *axes)
            start = start_at(lattice) if self._priced is None else moved(*self._priced, lattice)
            warm = self._priced is not None
            raced.append((lattice, descend(lattice, start, over, warm, RACE_ROUNDS), warm))
            if over(raced[-1][1].bound):
                return
        lattice, found, warm = min(raced, key=lambda race: race[1].bound)
        found = descend(lattice, found, over, warm)
        over(found.bound)
        self._priced = lattice, found

    def _among_few(self, over: Callable[[float], bool]) -> tuple[Lattice, Descended]:
        """As lower on its only lattice, with steps of the places that matter."""
        lattice = Lattice(self._field, self._kinds, *self._choices[0])
        if self._priced is None:
            start = some_steps(lattice, start_at(lattice), over)
        else:
            start = moved(*self._priced, lattice)
        return lattice, descend(lattice, start, over, walk=ActiveWalk(lattice, start, WARM))

    def finer(self) -> bool:
        """On to lines between the old ones, with which old prices still hold; False when too many."""
        if self._priced is None:
            return False
        old = self._priced[0]
        x, y = (axis.halved() for axis in old.axes)
        self._choices = [(x, y)]
        return 4 * math.prod(old.shape) * self._work <= MOST_WORK


def _on_lattices(
    fields: Sequence[Field],
    rules: Rules,
    deadline: float,
    stopped: Callable[[], bool],
    reached: Callable[[], int],
) -> float:
    """The facets' bounds, one after the other, then all on finer lattices, until time is up."""
    kinds = [tuple(k for k in rules.kinds if k.facet == number) for number in range(len(fields))]
    left_s = deadline - time.monotonic()
    facets = [
        _Facet(field, own, cells_in(left_s), left_s / len(fields))
        for field, own in zip(fields, kinds, strict=True)
    ]
    waiting = facets
    while waiting:
        for facet in waiting:
            rest = rules.kept_watts() + sum(f.bound for f in facets if f is not facet)

            def ended(bound: float, rest: float = rest) -> bool:
                late = time.monotonic() > deadline or stopped()
                return late or (
                    math.isfinite(rest + bound) and whole(rest + bound, rules.grain()) <= reached()
                )

            facet.lower(ended)
            if ended(facet.bound):
                break
        else:
            waiting = [facet for facet in waiting if facet.finer()]
            continue
        break
    return rules.kept_watts() + sum(f.bound for f in facets)


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
