"""Better layouts on large roofs: windows that are filled anew and pushed to one corner, in sweeps.

Few windows can hold more watts as they are: what room is left lies in slivers all over the roof. So a
window that gains nothing is filled with the same watts, pushed as far to one corner as it goes, and the
windows follow one another away from that corner: the slivers gather before them, until a panel goes in.
Sweeps go to all four corners in turn.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from rooflayout.packing.clearance import Box, Field, Ints
from rooflayout.packing.closure import Candidates, free_standing, joined
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import Incumbent, Place, places_of, watts_of
from rooflayout.packing.kinds import Kind, coarser, densest_models
from rooflayout.packing.patches import Window, boxes_for, refilled, window_at
from rooflayout.packing.plunge import plunges
from rooflayout.packing.positions import pushed_to
from rooflayout.packing.pushing import Pushing
from rooflayout.packing.rules import Rules

# panels of the mean size that windows hold, in one round; the next round's where that gained nothing
ONE_MODEL = ((20, 25, 30), (16, 36), (20, 25, 30), (25, 49))
MORE_MODELS = ((9, 16), (12, 20), (9, 16), (25, 36))  # fewer: each has more places
FEW = 3  # models, the densest: with more of them windows have too many places to be filled to the millimetre
AGAIN = 3  # times that all rounds may gain nothing, one after the other, before it ends
APART = 0.35  # of a window's side, from one to the next: slivers are handed on
RASTERS_MM = (1, 5, 20, 50)  # the first that leaves few enough candidates
MOST_CELLS = 60_000  # places of a window to look at
ANY = 1 << 60
MOST = 4000  # candidates in a window

Corner = tuple[bool, bool]  # right, up: where panels are pushed
CORNERS: tuple[Corner, ...] = ((False, False), (True, True), (False, True), (True, False))


def sweep(fields: Sequence[Field], rules: Rules, incumbent: Incumbent, deadline: float) -> None:
    """Until all rounds gained nothing AGAIN times, or time.monotonic() is the deadline.

    Where the whole roof is not too large for it, and no rule binds the panels, layouts straight down from its
    relaxation (plunge.py) are swept likewise between the first round and the others. Of many models a window
    has the few densest and one of the others, each in turn; by_few.py comes before.
    """
    rounds = ONE_MODEL if len({k.model for k in rules.kinds}) == 1 else MORE_MODELS

    def ended() -> bool:
        return incumbent.settled() or incumbent.clock.over() or time.monotonic() > deadline

    models = densest_models(rules.kinds)
    few, others = models[:FEW], models[FEW:]
    turns = [] if rules.bound() else [[*few, other] for other in others]
    if not rules.bound() and not others:
        _in_rounds(fields, rules, incumbent, rounds[:1], 1, ended, most=1)
        left_s = min(incumbent.clock.deadline, deadline) - time.monotonic()
        for layout in plunges(fields, rules.kinds, left_s, ended):
            other = _beside(incumbent, rules, layout)
            _in_rounds(fields, rules, other, rounds[:1], 1, ended)
    _in_rounds(fields, rules, incumbent, rounds, AGAIN * len(rounds), ended, turns=turns)


def _beside(incumbent: Incumbent, rules: Rules, layout: Sequence[Place]) -> Incumbent:
    """Another layout to be made better beside the incumbent, which takes it wherever it has more watts."""

    def tell(watts: int, bound: int) -> None:
        if watts > incumbent.watts:
            incumbent.better(watts, other.places or ())

    clock = replace(incumbent.clock, tell=tell)
    other = replace(incumbent, clock=clock, watts=0, places=None)
    other.better(watts_of(rules.kinds, layout) + incumbent.kept, layout)
    return other


def _in_rounds(
    fields: Sequence[Field],
    rules: Rules,
    incumbent: Incumbent,
    rounds: Sequence[Sequence[int]],
    most_vain: int,
    ended: Callable[[], bool],
    most: int | None = None,
    turns: Sequence[Sequence[int]] = (),
) -> None:
    """Rounds, one after the other, until so many in a row gained nothing, or so many in all are done.

    turns: the models that go into a window, in one after the other; none: all.
    """
    vain, done, turn = 0, 0, 0
    while vain < most_vain and done != most:
        before = incumbent.watts
        for panels, corner in product(rounds[vain % len(rounds)], CORNERS):
            for number, at in _away_from(corner, fields, rules, incumbent, panels):
                if ended():
                    return
                window = window_at(fields, rules.kinds, incumbent.places or (), number, at)
                if len(window.inside) < 2:
                    continue
                if turns:
                    window = _of_models(window, rules.kinds, turns[turn % len(turns)])
                    turn += 1
                if not rules.bound() or not refilled(rules, incumbent, window):
                    _pushed(rules, incumbent, window, corner)
        vain, done = (vain + 1 if incumbent.watts == before else 0), done + 1


def _of_models(window: Window, kinds: Sequence[Kind], models: Sequence[int]) -> Window:
    """The window with places for these models alone; what stands in it may be of others."""
    return replace(window, numbers=tuple(n for n in window.numbers if kinds[n].model in models))


def _away_from(
    corner: Corner, fields: Sequence[Field], rules: Rules, incumbent: Incumbent, panels: int
) -> list[tuple[int, Box]]:
    """The windows of one size, the nearest to the corner first."""
    windows = boxes_for(fields, rules.kinds, incumbent.places or (), panels, APART)
    right, up = corner
    return sorted(
        windows,
        key=lambda w: (w[0], (-w[1][2] if right else w[1][0]) + (-w[1][3] if up else w[1][1])),
    )


def _pushed(rules: Rules, incumbent: Incumbent, window: Window, corner: Corner) -> None:
    """The window filled with as many watts or more, then pushed to the corner; the incumbent then has it.

    Where rules bind the panels, with as many of each group.
    """
    found = _candidates(rules, window, corner)
    if not len(found):
        return
    kinds, grain, clock = rules.kinds, incumbent.grain, incumbent.clock
    have = watts_of(kinds, window.inside)
    everyone = joined([found, free_standing(*np.array(window.inside, dtype=np.int64).T)])
    standing = np.arange(len(found), len(everyone), dtype=np.int64)
    worth = np.array([k.watts for k in kinds], dtype=np.int64)[everyone.kind] // grain
    far = _far_from(corner, kinds, everyone, window.field)
    most_far = int(far.max()) * (have // grain // max(1, int(worth.min())) + 2) + 1
    worth = worth * most_far - far
    pushing = Pushing(PointGrid(everyone, kinds), everyone.kind, worth / most_far, standing)
    if rules.bound():
        pushing.as_many_of_each(rules.group_of_kind[everyone.kind], len(rules.groups))
    chosen = pushing.run(clock.deadline, clock.stopped)
    if chosen is None or int(worth[chosen].sum()) <= int(worth[standing].sum()):
        return
    places = places_of(everyone, chosen)
    gain = watts_of(kinds, places) - have
    if gain > 0:
        incumbent.better(incumbent.watts + gain, [*places, *window.outside])
    else:
        incumbent.moved([*places, *window.outside])


def _far_from(corner: Corner, kinds: Sequence[Kind], some: Candidates, field: Field) -> Ints:
    """How far each place is from the corner, along x and y, times its area: cm times square metres."""
    right, up = corner
    x, y = (
        (field.x_max - some.x_mm if right else some.x_mm - field.x_min),
        (field.y_max - some.y_mm if up else some.y_mm - field.y_min),
    )
    area = np.array([k.pitch_x_mm * k.pitch_y_mm for k in kinds], dtype=np.float64)[some.kind]
    return np.rint((x + y) / 10 * area / 1e6).astype(np.int64)


def _candidates(rules: Rules, window: Window, corner: Corner) -> Candidates:
    """Places in a window, pushed to the corner, on the finest raster on which there are few enough."""
    numbers = list(window.numbers)
    for raster in RASTERS_MM:
        last = raster == RASTERS_MM[-1]
        kinds = rules.kinds if raster == 1 else coarser(rules.kinds, raster)
        found = pushed_to(window.field, kinds, numbers, *corner, ANY if last else MOST_CELLS)
        if found is not None and (last or len(found) <= MOST):
            break
    assert found is not None
    return found
