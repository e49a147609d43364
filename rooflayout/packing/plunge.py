"""A layout of a large roof straight down from its relaxation, all by steps: as dive.py, with no solver.

After some steps over the whole roof's mesh the place that is used most is taken for good, what overlaps it
is closed, and after some more steps the next one is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from rooflayout.packing.clearance import Bools, Field, Ints
from rooflayout.packing.descent import WARM, Descended, Walk, start_at
from rooflayout.packing.incumbent import Place, places_of
from rooflayout.packing.kinds import Kind
from rooflayout.packing.mesh import Mesh, mesh_of

STEPS = (500, 500, 1000, 2000)  # over the whole roof, before one layout after the other
BETWEEN = 30  # and between two places
SURE = 0.9  # a place that is used so much is taken with the most used one
USED = 1e-4
LOOK = 10  # steps between two looks at the clock


def plunges(
    fields: Sequence[Field], kinds: Sequence[Kind], ended: Callable[[], bool]
) -> Iterator[list[Place]]:
    """Layouts, one after the other, each after more steps; none where a facet has too many places.

    ended: whether time is up.
    """
    walks: list[Walk] = []
    meshes: list[Mesh] = []
    for number, field in enumerate(fields):
        mesh = mesh_of(field, kinds, [n for n, kind in enumerate(kinds) if kind.facet == number])
        if mesh is None:
            return
        if mesh.watts:
            meshes.append(mesh)
            walks.append(Walk(mesh, start_at(mesh), WARM))
    for steps in STEPS:
        layout: list[Place] = []
        for mesh, walk in zip(meshes, walks, strict=True):
            if not _walked(walk, steps, ended):
                return
            chosen = _down(mesh, walk.here(), ended)
            if chosen is None:
                return
            layout += places_of(mesh.candidates, chosen)
        yield layout


def _walked(walk: Walk, steps: int, ended: Callable[[], bool]) -> bool:
    """So many steps on; False where time is up."""
    for step in range(steps):
        if step % LOOK == 0 and ended():
            return False
        walk.step()
    return True


def _down(mesh: Mesh, start: Descended, ended: Callable[[], bool]) -> Ints | None:
    """The candidates (numbers) taken until nothing is left; None where time is up."""
    taken: list[int] = []
    walk, barred = Walk(mesh, start, WARM), np.zeros(len(mesh.candidates), dtype=bool)
    while True:
        new = _most_used(mesh, walk, barred)
        taken += new
        if not new or barred.all():
            return np.sort(np.array(taken, dtype=np.int64))
        walk.close([open_ & barred[number] for open_, number in zip(mesh.open, mesh.numbers, strict=True)])
        if not _walked(walk, BETWEEN, ended):
            return None


def _most_used(mesh: Mesh, walk: Walk, barred: Bools) -> list[int]:
    """The candidate used most and all that are nearly sure; they and what overlaps them are barred."""
    values = mesh.by_candidate(walk.uses)
    values[barred] = 0.0
    found: list[int] = []
    while True:
        best = int(values.argmax())
        if values[best] <= USED or (found and values[best] < SURE):
            return found
        found.append(best)
        over = _over(mesh, best)
        values[over] = 0.0
        barred |= over


def _over(mesh: Mesh, place: int) -> Bools:
    """The places that overlap this one, itself too."""
    grid = mesh.grid
    over = (grid.left < grid.right[place]) & (grid.left[place] < grid.right)
    return np.asarray(over & (grid.low < grid.high[place]) & (grid.low[place] < grid.high))
