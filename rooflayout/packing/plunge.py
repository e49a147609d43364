"""A layout of a large roof straight down from its relaxation, all by steps: as dive.py, with no solver.

After some steps over the whole roof's mesh the place that is used most (the first few on
larger roofs) is taken for good, what overlaps it is closed, and after some more steps the next one is taken.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from rooflayout.packing.clearance import Bools, Field, Ints
from rooflayout.packing.descent import WARM, Descended, Walk, start_at
from rooflayout.packing.incumbent import Place, places_of
from rooflayout.packing.kinds import Kind
from rooflayout.packing.mesh import Mesh, cells_in, mesh_of
from rooflayout.packing.relaxed import panels_by_area

STEPS = (500, 500, 1000, 2000)  # over the whole roof, before one layout after the other
BETWEEN = 30  # and between two places
MOST_CELLS = 400_000  # places to look at, of a facet
MOST_WORK = 2_000_000_000  # points times kinds times steps of one layout: with more it takes too long
MOST_AT_ONCE = 3  # places taken between steps, where one at a time would take too long
SURE = 0.9  # a place that is used so much is taken with the most used one
USED = 1e-4
LOOK = 10  # steps between two looks at the clock


def plunges(
    fields: Sequence[Field], kinds: Sequence[Kind], left_s: float, ended: Callable[[], bool]
) -> Iterator[list[Place]]:
    """Layouts, one after the other, each after more steps; none where a facet has too many places.

    left_s: seconds until time is up. ended: whether it is.
    """
    most_cells = min(MOST_CELLS, cells_in(left_s))
    walks: list[tuple[Mesh, Walk]] = []
    for number, field in enumerate(fields):
        mesh = mesh_of(field, kinds, [n for n, kind in enumerate(kinds) if kind.facet == number], most_cells)
        if mesh is None:
            return
        if mesh.watts:
            walks.append((mesh, Walk(mesh, start_at(mesh), WARM)))
    at_once = _at_once(fields, kinds, [mesh for mesh, _ in walks])
    if at_once > MOST_AT_ONCE:
        return
    for steps in STEPS:
        layout: list[Place] = []
        for mesh, walk in walks:
            if not _walked(walk, steps, ended):
                return
            chosen = _down(mesh, walk.here(), at_once, ended)
            if chosen is None:
                return
            layout += places_of(mesh.candidates, chosen)
        yield layout


def _at_once(fields: Sequence[Field], kinds: Sequence[Kind], meshes: Sequence[Mesh]) -> int:
    """How many places are taken between steps, so that a layout takes not too much work."""
    a_step = sum(math.prod(mesh.shape) * len(mesh.watts) for mesh in meshes)
    left = MOST_WORK / max(1, a_step) - STEPS[0]
    if left <= 0:
        return MOST_AT_ONCE + 1
    return max(1, math.ceil(BETWEEN * panels_by_area(fields, kinds) / left))


def _walked(walk: Walk, steps: int, ended: Callable[[], bool]) -> bool:
    """So many steps on; False where time is up."""
    for step in range(steps):
        if step % LOOK == 0 and ended():
            return False
        walk.step()
    return True


def _down(mesh: Mesh, start: Descended, at_once: int, ended: Callable[[], bool]) -> Ints | None:
    """The candidates (numbers) taken until nothing is left; None where time is up."""
    taken: list[int] = []
    walk, barred = Walk(mesh, start, WARM), np.zeros(len(mesh.candidates), dtype=bool)
    while True:
        new = _most_used(mesh, walk, barred, at_once)
        taken += new
        if not new or barred.all():
            return np.sort(np.array(taken, dtype=np.int64))
        walk.close([open_ & barred[number] for open_, number in zip(mesh.open, mesh.numbers, strict=True)])
        if not _walked(walk, BETWEEN, ended):
            return None


def _most_used(mesh: Mesh, walk: Walk, barred: Bools, at_once: int) -> list[int]:
    """The candidates used most and all that are nearly sure; they and what overlaps them are barred."""
    values = mesh.by_candidate(walk.uses)
    values[barred] = 0.0
    found: list[int] = []
    while True:
        best = int(values.argmax())
        if values[best] <= USED or (len(found) >= at_once and values[best] < SURE):
            return found
        found.append(best)
        over = mesh.grid.over(best)
        values[over] = 0.0
        barred |= over
