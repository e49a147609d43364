"""Near misses: how many millimetres more would carry how many watts more.

Panels that are a little too small, their pitches rounded down to a raster of 10 or 30 mm, may fill a facet
with more watts than real ones do. At their real size, in the same order from left to right and from front to
back, they overflow somewhere by some millimetres: by so much is the facet too short. The same is asked of the
finished layout with one panel more, or one in place of another, that overlaps its neighbours a little. Worth
telling when it is little, and along one axis only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from rooflayout.packing.clearance import Bools, Field, Floats, Ints
from rooflayout.packing.contacts import free_at
from rooflayout.packing.incumbent import Clock, Place, watts_of
from rooflayout.packing.kinds import Kind, smaller
from rooflayout.packing.search import Search

MOST_MM = 60  # more is no near miss
MOST = 3  # that are told
TRIED = 150  # of the promising ones, the best first
# the rasters of panels that are a little too small, and along which axes they are
SMALL = ((10, "xy"), (30, "xy"), (10, "x"), (10, "y"))
SMALL_ENOUGH = 0.05  # share of their bound to be unsure of
SMALL_PLACES = 1500  # among which they are looked for
SMALL_EFFORT = 0.2  # deterministic seconds, where a way straight down finds none
EDGE = "the edge"
FAR = 1e9
Axis = Literal["x", "y"]
AXES: tuple[Axis, ...] = ("x", "y")


@dataclass(frozen=True, slots=True)
class Thing:
    """What stands on a facet, as the box that panels keep out of, clearance included."""

    name: str
    box_mm: tuple[float, float, float, float]  # x0, y0, x1, y1


@dataclass(frozen=True, slots=True)
class Miss:
    """So many millimetres more along an axis of a facet, between two things: so many watts (tenths) more."""

    facet: int
    axis: Axis
    short_mm: int
    watts: int
    between: tuple[str, str]
    places: tuple[Place, ...]  # of the facet's panels then, as far as order goes


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
    for facet, own, gain in _promising(fields, things, kinds, places, small):
        lack = _lack(fields[facet], things[facet], kinds, own)
        if lack is None:
            continue
        miss = Miss(facet, *lack[:2], gain, lack[2], tuple(own))
        key = (facet, miss.axis, miss.between)
        better = key not in told or (miss.watts, -miss.short_mm) > (told[key].watts, -told[key].short_mm)
        beside = [k for k, _, _ in places if kinds[k].facet != facet]
        if better and allowed([*beside, *(k for k, _, _ in own)], gain):
            told[key] = miss
    order = sorted(told.values(), key=lambda m: (-m.watts, m.short_mm, m.facet, m.axis, m.between))
    return tuple(order[:MOST])


def small_layout(
    fields: tuple[Field, ...], real: Search, watts: int, clock: Clock, raster: int, axes: str
) -> tuple[Place, ...]:
    """A layout of more than so many watts (tenths) of panels whose pitches are rounded down to a raster.

    By at least a millimetre. real: the search with the panels as they are. axes: "x", "y" or both.
    """
    kinds = smaller(real.rules.kinds, raster, 1, along_x="x" in axes, along_y="y" in axes)
    if clock.over() or min((min(k.w_mm, k.h_mm) for k in kinds), default=0) <= 0:
        return ()
    search = Search(fields, replace(real.rules, kinds=kinds), clock, watts + real.rules.grain())
    search.begin_from(real)
    return search.roughly(SMALL_PLACES, SMALL_EFFORT, SMALL_ENOUGH)


def _promising(
    fields: Sequence[Field],
    things: Sequence[Sequence[Thing]],
    kinds: Sequence[Kind],
    places: Sequence[Place],
    small: Sequence[Sequence[Place]],
) -> Iterator[tuple[int, list[Place], int]]:
    """Panels for one facet that overlap a little, and how many watts more they have than those there."""
    there = [[p for p in places if kinds[p[0]].facet == facet] for facet in range(len(fields))]
    for facet, own in enumerate(there):
        for layout in small:
            others = [p for p in layout if kinds[p[0]].facet == facet]
            gain = watts_of(kinds, others) - watts_of(kinds, own)
            if gain > 0:
                yield facet, others, gain
    tries = [
        (found.gain, found.depth, facet, found.kind, found.x, found.y, found.off)
        for facet, own in enumerate(there)
        for found in _tries(fields[facet], things[facet], facet, kinds, own)
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


def _tries(
    field: Field, things: Sequence[Thing], facet: int, kinds: Sequence[Kind], own: Sequence[Place]
) -> Iterator[_Try]:
    """Panels that overlap what is there, and the box, by a little only, with one of those there taken off."""
    taken = [_pitch_box(kinds, place) for place in own]
    boxes = np.array([*taken, *(t.box_mm for t in things)], dtype=np.float64).reshape(-1, 4)
    for number, kind in enumerate(kinds):
        if kind.facet != facet:
            continue
        xs, ys = (_lines(field, boxes, kind, axis) for axis in (0, 1))
        x, y = (v.ravel() for v in np.meshgrid(xs, ys, indexing="ij"))
        depth = _depths(kind, x, y, boxes, len(taken))  # (things, positions)
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


def _lack(
    field: Field, things: Sequence[Thing], kinds: Sequence[Kind], places: Sequence[Place]
) -> tuple[Axis, int, tuple[str, str]] | None:
    """Axis, millimetres, and between what; None if nothing is missing, too much, or along both axes."""
    own = [kinds[k] for k, _, _ in places]
    pitch = np.array([(k.pitch_x_mm, k.pitch_y_mm) for k in own], dtype=np.float64)
    side = np.array([(k.w_mm, k.h_mm) for k in own], dtype=np.float64)
    corner = np.array([(x, y) for _, x, y in places], dtype=np.float64)
    low = np.tile([field.x_min, field.y_min], (len(own), 1))
    high = np.tile([field.x_max, field.y_max], (len(own), 1)) - side
    lows, highs = np.full(low.shape, -1), np.full(low.shape, -1)
    for n, thing in enumerate(things):
        box = np.array(thing.box_mm)
        beyond, before = corner - box[2:], box[:2] - corner - side  # how far past it, how far short of it
        past = beyond.max(axis=1) >= before.max(axis=1)
        axis = np.where(past, beyond.argmax(axis=1), before.argmax(axis=1))
        far = np.maximum(beyond.max(axis=1), before.max(axis=1))
        for i in np.nonzero(far >= -MOST_MM)[0].tolist():  # others stand beside a slant, checked at the end
            a = int(axis[i])
            if past[i] and box[2 + a] > low[i, a]:
                low[i, a], lows[i, a] = box[2 + a], n
            elif not past[i] and box[a] - side[i, a] < high[i, a]:
                high[i, a], highs[i, a] = box[a] - side[i, a], n
    after = _orders(corner, pitch)
    over, found = [0, 0], None
    at = np.zeros_like(corner)
    for a in (0, 1):
        pushed = _pushed(low[:, a], pitch[:, a], after[a])
        if pushed is None:
            return None
        at[:, a], first = pushed
        excess = at[:, a] - high[:, a]
        worst = int(excess.argmax())
        over[a] = int(np.ceil(max(0.0, float(excess[worst])) - 1e-6))
        if over[a]:
            walls = {
                (int(lows[first[i], a]), int(highs[i, a])) for i in np.nonzero(excess > 1e-6)[0].tolist()
            }
            if len(walls) > 1:  # millimetres are missing in several places
                return None
            names = next(iter(walls))
            between = tuple(EDGE if n < 0 else things[n].name for n in names)
            found = (AXES[a], over[a], (between[0], between[1]))
    if found is None or all(over) or max(over) > MOST_MM or not _clear_of_slants(field, own, at):
        return None
    return found


def _orders(corner: Floats, pitch: Floats) -> tuple[Bools, Bools]:
    """For each axis which panel comes after which ([i, j]: j after i); each pair along one axis."""
    gap = corner[None, :, :] - (corner + pitch)[:, None, :]  # [i, j, axis]: from i's end to j's start
    either = np.maximum(gap, gap.transpose(1, 0, 2))
    along_x = either[:, :, 0] >= either[:, :, 1]
    later = gap >= gap.transpose(1, 0, 2)
    apart = ~np.eye(len(corner), dtype=bool)
    return later[:, :, 0] & along_x & apart, later[:, :, 1] & ~along_x & apart


def _pushed(low: Floats, pitch: Floats, after: Bools) -> tuple[Floats, Ints] | None:
    """Each panel as near to its wall and to those before it as it goes; and on whose wall it leans.

    None when the order goes round in a circle.
    """
    at, first = low.copy(), np.arange(len(low))
    for _ in range(len(low) + 1):
        ends = np.where(after, (at + pitch)[:, None], -FAR)
        by = ends.argmax(axis=0)
        pushed = ends[by, np.arange(len(low))]
        moved = pushed > at + 1e-9
        if not moved.any():
            return at, first
        at, first = np.where(moved, pushed, at), np.where(moved, first[by], first)
    return None


def _clear_of_slants(field: Field, own: Sequence[Kind], at: Floats) -> bool:
    """Whether panels pushed so are clear of what is round or slanted, on a roof as long as need be."""
    slants = field.of_slants()
    if not slants.blocks:
        return True
    corners = np.ceil(at - 1e-6).astype(np.int64)
    return all(bool(free_at(slants, k, xy[:1], xy[1:])[0]) for k, xy in zip(own, corners, strict=True))
