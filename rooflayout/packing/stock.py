"""Candidates on a raster of any fineness, each set made once and used again."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np

from rooflayout.packing.clearance import Field, Ints
from rooflayout.packing.closure import Candidates, joined
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.kinds import Kind, coarser
from rooflayout.packing.positions import candidates_of, cells_of

FINE_RASTERS_MM = (1, 2, 5, 10, 20, 50, 100, 200)
SLANT_STEPS_MM = (10, 20, 40, 80, 160, 320, 640)  # likewise, where a roof has slanted edges
ROUGH_STEP_MM = 80  # along slanted edges, for a layout that need not be the best
MOST_CELLS = 8_000_000  # places to look at, and candidates among them: what memory and a minute allow
MOST_CANDIDATES = 600_000
CELLS_PER_S = 200_000  # looked at, on a slow machine: a raster that would take longer is not begun
MANY_CELLS = 100_000
SLANT_CANDIDATES = 120_000  # with so many at most, rather more places along slanted edges
TOO_MANY_CANDIDATES = 160_000  # beyond so many, rather fewer,
MUCH_FEWER = 0.5  # where that leaves no more than so large a part
NEARLY = 1.25  # so many times as many are worth trying: how many there are is told roughly
FIRST_COLUMNS = 200

Pool = dict[tuple[object, ...], Candidates]  # candidates by facet and panel sizes


class Stock:
    """All candidates of some kinds on some fields."""

    def __init__(self, fields: tuple[Field, ...], kinds: tuple[Kind, ...], pool: Pool, clock: Clock) -> None:
        self.fields, self._kinds, self._pool, self._clock = fields, kinds, pool, clock
        fixed = next((field.slant_step_mm for field in fields if field.slant_step_fixed), None)
        self._steps_mm: tuple[int, ...] = SLANT_STEPS_MM if fixed is None else (fixed,)  # to try

    def takes_time(self) -> bool:
        """Whether making the finest candidates takes so long that a layout should come first."""
        return self._cells(self._kinds) > MANY_CELLS

    def finest(self) -> tuple[Candidates, tuple[Kind, ...], int]:
        """The finest candidates that memory and time allow, their kinds, and their raster: 1 mm as a rule."""
        for raster in FINE_RASTERS_MM:
            kinds, last = coarser(self._kinds, raster), raster == FINE_RASTERS_MM[-1]
            found = self._along_slants(kinds, last)
            if found is not None and (last or self._clock.over() or len(found) <= MOST_CANDIDATES):
                break
        assert found is not None
        return found, kinds, raster

    def _along_slants(self, kinds: tuple[Kind, ...], any_: bool) -> Candidates | None:
        """The candidates with as fine steps along slanted edges as are not too many; any_: however many.

        From ROUGH_STEP_MM on, for how many there are at another step can be told from how many are looked
        at. None when even at the coarsest step those are too many.
        """
        slanted = any(field.slanted_edges() for field in self.fields)
        steps = self._steps_mm if slanted else SLANT_STEPS_MM[:1]
        most = min(MOST_CELLS, CELLS_PER_S * self._clock.left())
        cells = {step: self._at(step)._cells(kinds) for step in steps}
        if not any_ and (self._clock.over() or cells[steps[-1]] > most):
            return None
        fits = [step for step in steps if cells[step] <= most] or list(steps[-1:])
        if cells[fits[0]] <= SLANT_CANDIDATES:
            self.fields = self._at(fits[0]).fields
            return self.on(kinds)
        begun = next((step for step in fits if step >= ROUGH_STEP_MM), fits[-1])
        best = self._at(begun).on(kinds)
        at = fits.index(begun)
        if len(best) > TOO_MANY_CANDIDATES:
            step, best = self._coarser(kinds, cells, fits[at:], best)
        else:
            step, best = self._finer(kinds, cells, fits[: at + 1], best)
        self.fields = self._at(step).fields
        return best

    def _coarser(
        self, kinds: tuple[Kind, ...], cells: dict[int, int], steps: list[int], best: Candidates
    ) -> tuple[int, Candidates]:
        """The first of these steps with which they are not too many, or the last; best: of the first.

        The first of all where that saves little.
        """
        known, first = steps[0], best
        for step in steps[1:]:
            likely = len(best) * cells[step] / max(1, cells[known])
            if self._clock.over():
                break
            if likely > NEARLY * TOO_MANY_CANDIDATES and step != steps[-1]:
                continue
            known, best = step, self._at(step).on(kinds)
            if len(best) <= TOO_MANY_CANDIDATES:
                break
        return (known, best) if len(best) <= MUCH_FEWER * len(first) else (steps[0], first)

    def _finer(
        self, kinds: tuple[Kind, ...], cells: dict[int, int], steps: list[int], best: Candidates
    ) -> tuple[int, Candidates]:
        """The first of these steps with which they are not too many; best: of the last step."""
        known = steps[-1]
        for step in reversed(steps[:-1]):
            likely = len(best) * cells[step] / max(1, cells[known])
            if likely > NEARLY * SLANT_CANDIDATES or self._clock.over():
                break
            found = self._at(step).on(kinds)
            if len(found) > SLANT_CANDIDATES:
                break
            known, best = step, found
        return known, best

    def _at(self, step_mm: int) -> Stock:
        """The same with touching positions so far apart along slanted edges."""
        fields = tuple(replace(field, slant_step_mm=step_mm) for field in self.fields)
        return Stock(fields, self._kinds, self._pool, self._clock)

    def on(self, kinds: tuple[Kind, ...]) -> Candidates:
        """The candidates of these kinds on all facets."""
        with ThreadPoolExecutor(max_workers=self._clock.workers) as pool:
            return joined(
                list(pool.map(lambda number: self._on_facet(kinds, number), range(len(self.fields))))
            )

    def _cells(self, kinds: tuple[Kind, ...]) -> int:
        numbers = [[i for i, k in enumerate(kinds) if k.facet == f] for f in range(len(self.fields))]
        return sum(cells_of(field, kinds, n) for field, n in zip(self.fields, numbers, strict=True))

    def _on_facet(self, kinds: tuple[Kind, ...], number: int) -> Candidates:
        mine = [i for i, k in enumerate(kinds) if k.facet == number]
        sizes = (
            number,
            self.fields[number].slant_step_mm,
            *((kinds[i].w_mm, kinds[i].h_mm, kinds[i].pitch_x_mm) for i in mine),
        )
        if sizes not in self._pool:
            own = tuple(kinds[i] for i in mine)
            self._pool[sizes] = candidates_of(
                self.fields[number], own, list(range(len(own))), self._clock.workers
            )
        found = self._pool[sizes]
        return replace(found, kind=np.array(mine, dtype=np.int64)[found.kind])


def nearest(places: list[Place], candidates: Candidates) -> Ints:
    """Of each place's kind the nearest candidate; spread evenly over all candidates if there are none."""
    if not len(candidates):
        return np.zeros(0, dtype=np.int64)
    if not places:
        step = max(1, len(candidates) // FIRST_COLUMNS)
        return np.arange(0, len(candidates), step, dtype=np.int64)
    chosen = []
    for kind in sorted({k for k, _, _ in places}):
        own = np.nonzero(candidates.kind == kind)[0]
        if not len(own):
            continue
        for _, x, y in (p for p in places if p[0] == kind):
            far = np.abs(candidates.x_mm[own] - x) + np.abs(candidates.y_mm[own] - y)
            chosen.append(int(own[np.argmin(far)]))
    return np.unique(np.array(chosen, dtype=np.int64))
