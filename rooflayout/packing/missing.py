"""Near misses: how many millimetres more would carry how many watts more.

Panels that are a little too small, their pitches rounded down to a raster of 10 mm, may fill a facet with
more watts than real ones do; so may real ones on a facet that is a little too long. At their real size, in
the same order from left to right and from front to back, they overflow somewhere by some millimetres: by so
much is the facet too short. The same is asked of the finished layout with one panel more, or one in place
of another, that overlaps its neighbours a little. Worth telling when it is little, and along one axis only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from rooflayout.packing.clearance import Field, Floats, Ints
from rooflayout.packing.ground import Axis, Ground, Thing
from rooflayout.packing.incumbent import Clock, Place, watts_of
from rooflayout.packing.kinds import Kind, smaller
from rooflayout.packing.lacking import MOST_MM, lacks
from rooflayout.packing.rules import Rules
from rooflayout.packing.search import Search
from rooflayout.packing.stock import ROUGH_STEP_MM

MOST = 3  # that are told
TRIED = 150  # of the promising ones, the best first
SMALL_MM = 10  # the raster of panels that are a little too small
# how much too long facets are, along which axis
Grown = tuple[tuple[int, Axis], ...]
GROWN: Grown = ((20, "x"), (20, "y"), (60, "x"), (60, "y"))
MANY = 40_000  # candidates of the real search: so many take a second and more each time, so fewer times
GROWN_MANY: Grown = ((40, "x"), (40, "y"))
SMALL_ENOUGH = 0.08  # share of their bound to be unsure of
SMALL_PLACES = 1500  # among which they are looked for
SMALL_EFFORT = 0.2  # deterministic seconds, where a way straight down finds none


@dataclass(frozen=True, slots=True)
class Miss:
    """So many millimetres more along an axis of a facet, between two things: so many watts (tenths) more."""

    facet: int
    axis: Axis
    short_mm: int
    watts: int
    between: tuple[str, str]
    places: tuple[Place, ...]  # of the facet's panels then


def near_misses(
    fields: Sequence[Field],
    things: Sequence[Sequence[Thing]],
    kinds: Sequence[Kind],
    places: Sequence[Place],
    small: Sequence[Sequence[Place]],
    allowed: Callable[[Sequence[int], int], bool],
) -> tuple[Miss, ...]:
    """The best few: most watts, then fewest millimetres; at most one for each axis, facet and pair of things.

    things: by facet. small: layouts of panels a little too small. allowed: whether panels of these kinds
    are within every rule but geometry, with so many watts more than the places have.
    """
    told: dict[tuple[int, Axis, tuple[str, str]], Miss] = {}
    known: dict[tuple[int, ...], bool] = {}
    grounds = [Ground(*of) for of in zip(fields, things, strict=True)]
    for facet, own, gain in _promising(grounds, kinds, places, small):
        for lack in lacks(grounds[facet], kinds, own):
            miss = Miss(facet, lack.axis, lack.short_mm, gain, lack.between, lack.places)
            key = (facet, miss.axis, miss.between)
            better = key not in told or (miss.watts, -miss.short_mm) > (told[key].watts, -told[key].short_mm)
            if better:
                beside = [k for k, _, _ in places if kinds[k].facet != facet]
                panels = tuple(sorted([*beside, *(k for k, _, _ in own)]))
                if panels not in known:  # many differ in their places only
                    known[panels] = allowed(panels, gain)
                if known[panels]:
                    told[key] = miss
    order = sorted(told.values(), key=lambda m: (-m.watts, m.short_mm, m.facet, m.axis, m.between))
    return tuple(order[:MOST])


def small_layout(fields: tuple[Field, ...], real: Search, watts: int, clock: Clock) -> tuple[Place, ...]:
    """A layout of more than so many watts (tenths) of panels whose pitches are rounded down to a raster.

    By at least a millimetre. real: the search with the panels as they are.
    """
    kinds = smaller(real.rules.kinds, SMALL_MM, 1)
    if min((min(k.w_mm, k.h_mm) for k in kinds), default=0) <= 0:
        return ()
    return _roughly(fields, replace(real.rules, kinds=kinds), real, watts, clock)


def grown_for(real: Search) -> Grown:
    """How much longer, along which axis, facets are made to see what fits then."""
    many = real.fine is not None and len(real.fine.candidates) > MANY
    return GROWN_MANY if many else GROWN


def grown_layout(
    fields: tuple[Field, ...], real: Search, watts: int, clock: Clock, more_mm: int, axis: Axis
) -> tuple[Place, ...]:
    """A layout of more than so many watts (tenths) of real panels, were each facet longer by more_mm."""
    longer = tuple(
        replace(f, x_max=f.x_max + more_mm) if axis == "x" else replace(f, y_max=f.y_max + more_mm)
        for f in fields
    )
    return _roughly(longer, real.rules, real, watts, clock)


def _roughly(
    fields: tuple[Field, ...], rules: Rules, real: Search, watts: int, clock: Clock
) -> tuple[Place, ...]:
    """A layout of more than so many watts, begun from the real search."""
    if clock.over():
        return ()
    search = Search(_coarsely(fields, real), rules, clock, watts + rules.grain())
    search.begin_from(real)
    return search.roughly(SMALL_PLACES, SMALL_EFFORT, SMALL_ENOUGH)


def _coarsely(fields: tuple[Field, ...], real: Search) -> tuple[Field, ...]:
    """Fields whose positions along slanted edges are no finer than need be, nor than the real search's."""
    step = max([ROUGH_STEP_MM, *(field.slant_step_mm for field in real.fields_as_tried())])
    return tuple(replace(field, slant_step_mm=step, slant_step_fixed=True) for field in fields)


def _promising(
    grounds: Sequence[Ground],
    kinds: Sequence[Kind],
    places: Sequence[Place],
    small: Sequence[Sequence[Place]],
) -> Iterator[tuple[int, list[Place], int]]:
    """Panels for one facet that overlap a little, and how many watts more they have than those there."""
    there = [[p for p in places if kinds[p[0]].facet == facet] for facet in range(len(grounds))]
    for facet, own in enumerate(there):
        for layout in small:
            others = [p for p in layout if kinds[p[0]].facet == facet]
            gain = watts_of(kinds, others) - watts_of(kinds, own)
            if gain > 0:
                yield facet, others, gain
    tries = [
        (found.gain, found.depth, facet, found.kind, found.x, found.y, found.off)
        for facet, own in enumerate(there)
        for found in _tries(grounds[facet], facet, kinds, own)
    ]
    tries.sort(key=lambda t: (-t[0], *t[1:]))
    for gain, _, facet, kind, x, y, off in tries[:TRIED]:
        yield facet, [*(p for i, p in enumerate(there[facet]) if i != off), (kind, x, y)], gain


@dataclass(frozen=True, slots=True)
class _Try:
    """One panel more at (x, y), in place of one of those there or of none (-1)."""

    kind: int
    x: int
    y: int
    off: int
    gain: int
    depth: int  # how far it overlaps what is there


def _tries(ground: Ground, facet: int, kinds: Sequence[Kind], own: Sequence[Place]) -> Iterator[_Try]:
    """Panels that overlap what is there, and the box, by a little only, with one of those there taken off."""
    taken = [_pitch_box(kinds, place) for place in own]
    boxes = np.vstack([np.array(taken, dtype=np.float64).reshape(-1, 4), ground.boxes])
    touched = np.delete(boxes, [len(taken) + n for n in ground.slanted_edges()], axis=0)
    for number, kind in enumerate(kinds):
        if kind.facet != facet:
            continue
        xs, ys = (_lines(ground.field, touched, kind, axis) for axis in (0, 1))
        x, y = (v.ravel() for v in np.meshgrid(xs, ys, indexing="ij"))
        depth = _depths(kind, x, y, boxes, len(taken))  # (things, positions)
        for n in ground.slanted():
            depth[len(taken) + n] = ground.depths(n, kind.w_mm, kind.h_mm, xs, ys)
        deep = depth > MOST_MM
        for at in np.nonzero(deep.sum(axis=0) <= 1)[0].tolist():
            hit = int(deep[:, at].argmax()) if deep[:, at].any() else -1
            if hit >= len(taken):
                continue
            gain = kind.watts - (kinds[own[hit][0]].watts if hit >= 0 else 0)
            if gain > 0:
                left = np.delete(depth[:, at], hit) if hit >= 0 else depth[:, at]
                yield _Try(number, int(x[at]), int(y[at]), hit, gain, int(left.max(initial=0.0)))


def _lines(field: Field, boxes: Floats, kind: Kind, axis: int) -> Ints:
    """Where a panel touches something along an axis, or the end of the box; a little outside is allowed."""
    low, high = (field.x_min, field.x_max) if axis == 0 else (field.y_min, field.y_max)
    side, pitch = (kind.w_mm, kind.pitch_x_mm) if axis == 0 else (kind.h_mm, kind.pitch_y_mm)
    lines = np.concatenate(
        [[low, high - side], boxes[:, 2 + axis], boxes[:, axis] - pitch, boxes[:, axis] - side]
    )
    lines = np.unique(np.round(lines).astype(np.int64))
    return lines[(lines >= low - 1) & (lines + side <= high + MOST_MM)]


def _depths(kind: Kind, x: Ints, y: Ints, boxes: Floats, panels: int) -> Floats:
    """How far a panel at each position overlaps each box, along the axis where that is less."""
    gap = np.where(np.arange(len(boxes)) < panels, 1.0, 0.0)[:, None]
    wide, deep = (
        kind.w_mm + gap * (kind.pitch_x_mm - kind.w_mm),
        kind.h_mm + gap * (kind.pitch_y_mm - kind.h_mm),
    )
    x0, y0, x1, y1 = boxes.T[:, :, None]
    along_x = np.minimum(x + wide - x0, x1 - x)
    along_y = np.minimum(y + deep - y0, y1 - y)
    return np.asarray(np.maximum(0.0, np.minimum(along_x, along_y)))


def _pitch_box(kinds: Sequence[Kind], place: Place) -> tuple[float, float, float, float]:
    k, x, y = place
    return x, y, x + kinds[k].pitch_x_mm, y + kinds[k].pitch_y_mm
