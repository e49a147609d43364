"""Candidate positions: the few hundred or thousand places that some best layout can do with.

Support. Push every panel of a layout whose left edge is at or below a threshold to the left, the
others to the right, and the same along y, until nothing moves (Cote and Iori 2018, "The meet-in-the-
middle principle for cutting and packing problems"). Each panel then touches, on the side it was
pushed to, the outline, a keep-out, or a panel pushed the same way. So its coordinate is a sum of
pitches from such a line, and the sums run only to the threshold.

Closure (closure.py) then drops what nothing can hold.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from rooflayout.packing.clearance import TOLERANCE_MM, Block, Bools, ConvexBlock, Field, Ints, RoundBlock
from rooflayout.packing.closure import KEY, Candidates, closed, free_standing, joined
from rooflayout.packing.contacts import contact_places, free_at
from rooflayout.packing.kinds import Kind

THRESHOLDS = ((0.50, 0.50), (0.42, 0.40), (0.35, 0.35))  # shares of the width and height to try
FEW = 1000  # candidates: no other threshold is tried
MANY_CELLS = 50_000  # places to look at: thresholds are tried at once
ROUND_STEPS = 4  # touching positions tried on each quarter of a circle


def candidates_of(field: Field, kinds: tuple[Kind, ...], numbers: list[int], workers: int = 1) -> Candidates:
    """The candidates on one facet for the kinds of these numbers, with the threshold that leaves fewest.

    workers: thresholds to try at once, where there is much to look at; the candidates are the same.
    """
    shares = THRESHOLDS if not field.slanted() else THRESHOLDS[1:2]

    def tried(share: tuple[float, float]) -> Candidates:
        return _closed(field, kinds, numbers, _axes(field, kinds, numbers, *share))

    if workers == 1 or len(shares) == 1 or cells_of(field, kinds, numbers) < MANY_CELLS:
        return _fewest(map(tried, shares))
    with ThreadPoolExecutor(max_workers=workers) as pool:
        return _fewest(pool.map(tried, shares))


def _fewest(all_found: Iterable[Candidates]) -> Candidates:
    """The first that are few enough, or the fewest."""
    best: Candidates | None = None
    for found in all_found:
        if best is None or len(found) < len(best):
            best = found
        if len(found) < FEW:
            break
    assert best is not None
    return best


def pushed_to(
    field: Field, kinds: tuple[Kind, ...], numbers: list[int], right: bool, up: bool, most: int
) -> Candidates | None:
    """The candidates of layouts pushed all one way along x and along y, not to meet in the middle.

    None where more than so many places would have to be looked at.
    """
    axes = _axes(field, kinds, numbers, 0.0 if right else 1.0, 0.0 if up else 1.0)
    return None if _cells(axes, kinds, numbers) > most else _closed(field, kinds, numbers, axes)


def cells_of(field: Field, kinds: tuple[Kind, ...], numbers: list[int]) -> int:
    """How many places would have to be looked at, before any is dropped."""
    return _cells(_axes(field, kinds, numbers, *THRESHOLDS[1]), kinds, numbers)


def _cells(axes: tuple[_Axis, _Axis], kinds: tuple[Kind, ...], numbers: list[int]) -> int:
    axis_x, axis_y = axes
    return sum(len(axis_x.places(kinds[n].w_mm)) * len(axis_y.places(kinds[n].h_mm)) for n in numbers)


def allowed(field: Field, kind: Kind, xs: Ints, ys: Ints) -> Bools:
    """Where the kind's corner may lie on the grid xs by ys: bool of shape (len(xs), len(ys))."""
    return _Keepouts(field).allowed(kind, xs, ys)


class _Keepouts:
    """What forbids places on a field: rectangles all at once, the rest line by line."""

    def __init__(self, field: Field) -> None:
        self._field = field
        straight = [isinstance(b, ConvexBlock) and b.axis_parallel() for b in field.blocks]
        boxes = [b.bounds_mm() for b, box in zip(field.blocks, straight, strict=True) if box]
        self._boxes = np.array(boxes, dtype=np.float64).reshape(-1, 4)
        self._others = [b for b, box in zip(field.blocks, straight, strict=True) if not box]

    def allowed(self, kind: Kind, xs: Ints, ys: Ints) -> Bools:
        """As the function of that name."""
        field, x0, y0, x1, y1 = self._field, *self._boxes.T[:, :, None]
        wide = (xs > x0 - kind.w_mm + TOLERANCE_MM) & (xs < x1 - TOLERANCE_MM)
        deep = (ys > y0 - kind.h_mm + TOLERANCE_MM) & (ys < y1 - TOLERANCE_MM)
        free: Bools = wide.T.astype(np.float32) @ deep.astype(np.float32) == 0
        if self._others:
            free &= ~self._forbidden(kind, xs, ys)
        free &= ((xs >= field.x_min - TOLERANCE_MM) & (xs + kind.w_mm <= field.x_max + TOLERANCE_MM))[:, None]
        free &= ((ys >= field.y_min - TOLERANCE_MM) & (ys + kind.h_mm <= field.y_max + TOLERANCE_MM))[None, :]
        return free

    def _forbidden(self, kind: Kind, xs: Ints, ys: Ints) -> Bools:
        """What round and slanted things forbid."""
        blocked = np.zeros((len(xs) + 1, len(ys)), dtype=np.int32)
        columns = np.arange(len(ys))
        heights = ys.astype(np.float64)
        for block in self._others:
            low, high = block.forbidden_x(kind.w_mm, kind.h_mm, heights)
            first = np.searchsorted(xs, low, side="right")
            last = np.searchsorted(xs, high, side="left")
            hit = last > first
            np.add.at(blocked, (first[hit], columns[hit]), 1)
            np.add.at(blocked, (last[hit], columns[hit]), -1)
        return np.asarray(np.cumsum(blocked, axis=0)[:-1] != 0)


def _closed(
    field: Field, kinds: tuple[Kind, ...], numbers: list[int], axes: tuple[_Axis, _Axis]
) -> Candidates:
    axis_x, axis_y = axes
    parts, keepouts = [], _Keepouts(field)
    for n in numbers:
        kind = kinds[n]
        xs, ys = axis_x.places(kind.w_mm), axis_y.places(kind.h_mm)
        if len(xs) and len(ys):
            parts.append(_on_grid(field, keepouts, kind, n, xs, ys, axis_x.turn, axis_y.turn))
    if not parts:
        nothing = np.zeros(0, dtype=np.int64)
        return free_standing(nothing, nothing, nothing)
    places = joined(parts)
    return places.take(closed(places, kinds, np.arange(len(places), dtype=np.int64)))


def _on_grid(
    field: Field, keepouts: _Keepouts, kind: Kind, number: int, xs: Ints, ys: Ints, turn_x: int, turn_y: int
) -> Candidates:
    """The free places of one kind, and whether the roof itself holds each along x and along y."""
    i, j = np.nonzero(keepouts.allowed(kind, xs, ys))
    x, y = xs[i], ys[j]
    low_x, low_y = x <= turn_x, y <= turn_y
    left, right = (keepouts.allowed(kind, xs + step, ys)[i, j] for step in (-1, 1))
    below, above = (keepouts.allowed(kind, xs, ys + step)[i, j] for step in (-1, 1))
    held_x, held_y = np.where(low_x, ~left, ~right), np.where(low_y, ~below, ~above)
    if field.slanted():
        near_x, near_y = _next_to_slants(field, kind, xs, ys)
        held_x |= near_x[np.where(low_x, 0, 1), i, j]
        held_y |= near_y[np.where(low_y, 0, 1), i, j]
        x, y, held_x, held_y = _with_contacts(field, kind, (xs, ys), (turn_x, turn_y), (x, y, held_x, held_y))
    return Candidates(np.full(len(x), number, dtype=np.int64), x, y, x <= turn_x, y <= turn_y, held_x, held_y)


def _next_to_slants(field: Field, kind: Kind, xs: Ints, ys: Ints) -> tuple[Bools, Bools]:
    """Where the next place of the grid, no further than a slant step, is taken by a slanted or round block.

    Bools of shape (2, len(xs), len(ys)): looking down and up, along x; and the same along y.
    """
    free = allowed(field.of_slants(), kind, xs, ys)
    near_x, near_y = (np.zeros((2, *free.shape), dtype=bool) for _ in range(2))
    close_x, close_y = np.diff(xs) <= field.slant_step_mm, np.diff(ys) <= field.slant_step_mm
    near_x[0, 1:] = ~free[:-1] & close_x[:, None]
    near_x[1, :-1] = ~free[1:] & close_x[:, None]
    near_y[0, :, 1:] = ~free[:, :-1] & close_y
    near_y[1, :, :-1] = ~free[:, 1:] & close_y
    return near_x, near_y


def _with_contacts(
    field: Field,
    kind: Kind,
    grid: tuple[Ints, Ints],
    turns: tuple[int, int],
    found: tuple[Ints, Ints, Bools, Bools],
) -> tuple[Ints, Ints, Bools, Bools]:
    """The places found, and those that touch a round or slanted line exactly."""
    x, y = contact_places(field, kind, *grid, *turns)
    low_x, low_y = x <= turns[0], y <= turns[1]
    slants, step = field.of_slants(), field.slant_step_mm
    held_x, held_y = (
        ~free_at(field, kind, np.where(low_x, x - dx, x + dx), np.where(low_y, y - dy, y + dy))
        | ~free_at(
            slants,
            kind,
            np.where(low_x, x - step * dx, x + step * dx),
            np.where(low_y, y - step * dy, y + step * dy),
        )
        for dx, dy in ((1, 0), (0, 1))
    )
    new = ~np.isin(x * KEY + y, found[0] * KEY + found[1])
    extra = (x[new], y[new], held_x[new], held_y[new])
    return (
        np.concatenate([found[0], extra[0]]),
        np.concatenate([found[1], extra[1]]),
        np.concatenate([found[2], extra[2]]),
        np.concatenate([found[3], extra[3]]),
    )


def _axes(
    field: Field, kinds: tuple[Kind, ...], numbers: list[int], share_x: float, share_y: float
) -> tuple[_Axis, _Axis]:
    turn_x = math.floor(field.x_min + (field.x_max - field.x_min) * share_x)
    turn_y = math.floor(field.y_min + (field.y_max - field.y_min) * share_y)
    axis_x = _Axis(*_lines(field, 0), {kinds[n].pitch_x_mm for n in numbers}, turn_x)
    axis_y = _Axis(*_lines(field, 1), {kinds[n].pitch_y_mm for n in numbers}, turn_y)
    return axis_x, axis_y


class _Axis:
    """The coordinates along one axis: sums of pitches up from one side, down from the other."""

    def __init__(self, rises: set[int], falls: set[int], pitches: set[int], turn: int) -> None:
        self.turn = turn
        self._up = sums_of(rises, pitches, turn)
        self._top = max(falls, default=0)
        reach = self._top - turn
        self._down = sums_of({self._top - fall for fall in falls}, pitches, reach)

    def places(self, side: int) -> Ints:
        """Where a panel of this side may start: rising sums to the threshold, falling far edges above it."""
        falling = self._top - self._down - side
        return np.unique(np.concatenate([self._up, falling[falling > self.turn]]))


def _lines(field: Field, axis: int) -> tuple[set[int], set[int]]:
    """Where the roof itself can hold a panel: lines it rises from, lines it comes down to."""
    low, high = (field.x_min, field.x_max) if axis == 0 else (field.y_min, field.y_max)
    rises, falls = {math.ceil(low - TOLERANCE_MM)}, {math.floor(high + TOLERANCE_MM)}
    for block in field.blocks:
        above, under = _touching(block, axis, field.slant_step_mm)
        rises.update(math.ceil(v - TOLERANCE_MM) for v in above)
        falls.update(math.floor(v + TOLERANCE_MM) for v in under)
    return rises, falls


def _touching(block: Block, axis: int, step_mm: int) -> tuple[set[float], set[float]]:
    """Where a block can be touched from beyond and from before; along slants and rounds, at some points."""
    if isinstance(block, RoundBlock):
        centre, radius = block.centre_mm[axis], block.radius_mm
        reaches = {radius * math.cos(math.pi / 2 * i / ROUND_STEPS) for i in range(ROUND_STEPS)}
        return {centre + r for r in reaches}, {centre - r for r in reaches}
    corners, margin = block.corners_mm, block.margin_mm
    ends = [corner[axis] for corner in corners]
    above, under = {max(ends) + margin}, {min(ends) - margin}
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        if a[0] != b[0] and a[1] != b[1]:
            steps = math.ceil(abs(b[axis] - a[axis]) / step_mm)
            points = {a[axis] + (b[axis] - a[axis]) * i / steps for i in range(steps + 1)}
            above |= {p + margin for p in points}
            under |= {p - margin for p in points}
    return above, under


def sums_of(starts: set[int], pitches: set[int], most: int) -> Ints:
    """Every start plus any pitches, up to most."""
    starts = {start for start in starts if start <= most}
    first = min(starts, default=most)
    size = most - first + 1
    reached = sum(1 << (start - first) for start in starts)  # a bit a millimetre
    for pitch in (p for p in pitches if p < size):
        step = pitch
        while step < size:  # twice as many panels each time
            reached |= reached << step
            step *= 2
        reached &= (1 << size) - 1
    bits = np.frombuffer(reached.to_bytes(size // 8 + 1, "little"), dtype=np.uint8)
    return np.nonzero(np.unpackbits(bits, bitorder="little"))[0].astype(np.int64) + first
