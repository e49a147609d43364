"""Better layouts from a good one: some neighbouring panels are taken off and the gap is filled anew.

Each gap is a small problem in which all the fine candidates that fit can be tried; CP-SAT finds its best
filling in a fraction of a second. Gaps go round the roof from panel to panel, and grow when a whole round
has found nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.clearance import Bools
from rooflayout.packing.closure import APART, Candidates, free_standing, joined
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import Incumbent, Place, places_of, watts_of
from rooflayout.packing.kinds import Kind
from rooflayout.packing.model import PackingModel
from rooflayout.packing.prices import Prices
from rooflayout.packing.rules import Rules

FIRST_GAP, LAST_GAP = 4, 8  # panels taken off together
GAP_EFFORT = 0.15  # deterministic seconds for each gap
GAP_MOST = 1500  # candidates to fill a gap with


def improve(asked: Asked, gaps: int, near: float) -> None:
    """Try so many gaps at most; until each has been tried in vain, or the bound is near (a share of it)."""
    incumbent = asked.incumbent
    gap, tried = min(FIRST_GAP, len(incumbent.places or ())), 0
    while incumbent.places and gaps > 0 and not incumbent.settled() and not incumbent.clock.over():
        if incumbent.near(near):
            return
        places = sorted(incumbent.places)
        if tried >= len(places):
            gap, tried = gap + 1, 0
        if gap > min(LAST_GAP, len(places)):
            return
        gaps -= 1
        better = _refill(asked, places, places[tried], gap)
        tried = 0 if better else tried + 1


def _refill(asked: Asked, places: list[Place], centre: Place, gap: int) -> bool:
    """The panels nearest to one are taken off; whether a better layout was found."""
    kinds, candidates, incumbent = asked.kinds, asked.candidates, asked.incumbent
    near = sorted(places, key=lambda p: (_distance(kinds, centre, p), p))
    fixed = near[gap:]
    fits = np.nonzero((asked.most_with() >= incumbent.least()) & _clear_of(asked, fixed))[0]
    promising = fits[np.argsort(-asked.prices.reduced_cost[fits], kind="stable")][:GAP_MOST]
    new = candidates.take(np.sort(promising))
    return fill_anew(
        asked.rules,
        kinds,
        incumbent,
        new,
        near[:gap],
        fixed,
        lambda grid: asked.prices.at(asked.grid, grid),
        GAP_EFFORT,
    )


def fill_anew(
    rules: Rules,
    kinds: Sequence[Kind],
    incumbent: Incumbent,
    new: Candidates,
    off: Sequence[Place],
    fixed: Sequence[Place],
    prices_on: Callable[[PointGrid], Prices],
    effort: float,
    beside: Sequence[Place] = (),
) -> bool:
    """Whether new places in place of those taken off make a better layout; the incumbent then has it.

    off may be put back, fixed stays; beside stays too, and no rule need look at it. prices_on: the points
    that matter, on a grid of all of them.
    """
    old = np.array([*off, *fixed], dtype=np.int64).reshape(-1, 3).T
    everyone = joined([new, free_standing(*old)])
    grid = PointGrid(everyone, kinds)
    keep = np.arange(len(everyone), dtype=np.int64)
    model = PackingModel(everyone, grid, rules, keep, prices_on(grid))
    model.fix(keep[len(new) + len(off) :])
    base = watts_of(kinds, beside)  # the model counts kept panels itself
    model.model.add(model.watts >= incumbent.least() - base)
    model.model.add(model.watts <= incumbent.bound - base)
    clock = incumbent.clock
    answer = model.solve(model.watts, clock.deadline, clock.stopped, most=True, effort=effort)
    if answer.status not in ("OPTIMAL", "FEASIBLE"):
        return False
    incumbent.better(answer.value + base, [*places_of(everyone, answer.chosen), *beside])
    return True


def _distance(kinds: Sequence[Kind], a: Place, b: Place) -> int:
    """Between centres, the larger of along x and along y, doubled; other facets are far away."""
    one, two = kinds[a[0]], kinds[b[0]]
    along_x = abs(2 * a[1] + one.w_mm - 2 * b[1] - two.w_mm)
    along_y = abs(2 * a[2] + one.h_mm - 2 * b[2] - two.h_mm)
    return int(max(along_x, along_y)) + (0 if one.facet == two.facet else APART)


def _clear_of(asked: Asked, fixed: list[Place]) -> Bools:
    """Which fine candidates overlap none of these places."""
    kinds, candidates = asked.kinds, asked.candidates
    facet, wide, deep = (
        np.array([getattr(k, name) for k in kinds], dtype=np.int64)
        for name in ("facet", "pitch_x_mm", "pitch_y_mm")
    )
    k, x, y = candidates.kind, candidates.x_mm, candidates.y_mm
    clear = np.ones(len(candidates), dtype=bool)
    for kind, at_x, at_y in fixed:
        beside = (x >= at_x + wide[kind]) | (at_x >= x + wide[k])
        beside |= (y >= at_y + deep[kind]) | (at_y >= y + deep[k])
        clear &= beside | (facet[k] != facet[kind])
    return clear
