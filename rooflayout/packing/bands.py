"""A first layout for any roof, small or large: rows of one kind each, the best stack of rows.

What a row of a kind holds depends on its place across the roof only through the obstacles it meets. So the
rows are filled once for every such case, and the best stack of rows is found from one edge to the other.
The same with rows along y; on a facet on which nothing stands blocks.py may know better still. It is never
worse than rows of a single model one way round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rooflayout.packing.blocks import blocks_on
from rooflayout.packing.clearance import TOLERANCE_MM, Field, Floats, Ints
from rooflayout.packing.contacts import transposed
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import Kind, densest_models

SLANT_MM = 10  # rows that meet slanted or round lines are tried so far apart
PUSHES = 100  # of a panel along its row, past obstacles that overlap one another
MODELS_ALONE = 6  # the densest models are each tried alone, after all of them mixed


def row_layouts(fields: Sequence[Field], kinds: Sequence[Kind]) -> list[list[Place]]:
    """Several layouts in rows over all facets: of all models, and of each of the densest alone."""
    best = densest_models(kinds)
    found = []
    for chosen in [set(best), *({m} for m in best[:MODELS_ALONE] if len(best) > 1)]:
        layout: list[Place] = []
        for number, field in enumerate(fields):
            own = [i for i, k in enumerate(kinds) if k.facet == number and k.model in chosen]
            layout += banded(field, kinds, own)
        found.append(layout)
    return found


def banded(field: Field, kinds: Sequence[Kind], numbers: Sequence[int]) -> list[Place]:
    """Places on one facet for the kinds of these numbers, without overlap; not yet held to any other rule."""
    own = [kinds[n] for n in numbers]
    if not own or field.x_max <= field.x_min or field.y_max <= field.y_min:
        return []
    along_x = _stacked(field, own)
    along_y = _stacked(turned(field), [turned_kind(k) for k in own])
    found = [[(numbers[k], x, y) for k, x, y in along_x], [(numbers[k], x, y) for k, y, x in along_y]]
    found.append(blocks_on(field, kinds, numbers))
    return max(found, key=lambda places: sum(kinds[k].watts for k, _, _ in places))


def turned(field: Field) -> Field:
    """The field with x and y exchanged."""
    return replace(
        field,
        x_min=field.y_min,
        y_min=field.x_min,
        x_max=field.y_max,
        y_max=field.x_max,
        blocks=tuple(transposed(b) for b in field.blocks),
    )


def turned_kind(kind: Kind) -> Kind:
    return replace(
        kind, w_mm=kind.h_mm, h_mm=kind.w_mm, pitch_x_mm=kind.pitch_y_mm, pitch_y_mm=kind.pitch_x_mm
    )


def _stacked(field: Field, kinds: list[Kind]) -> list[Place]:
    """The stack of rows along x with the most watts: kind (position in kinds), x, y."""
    low, high = span_mm(field)
    size = max(0, high - low) + 1
    rows = [rows_of(field, kind, low, high) for kind in kinds]
    worth = np.zeros((size, len(kinds)), dtype=np.int64)  # of a row that starts so far up
    for k, (starts, until, xs) in enumerate(rows):
        for start, end, row in zip(starts.tolist(), until.tolist(), xs, strict=True):
            watts = len(row) * kinds[k].watts
            cases = slice(start - low, end - low + 1)
            worth[cases, k] = np.maximum(worth[cases, k], watts)
    choice = best_first_rows(worth, np.array([k.pitch_y_mm for k in kinds]))
    found: list[Place] = []
    at = 0
    while at < size:
        k = int(choice[at])
        if k < 0 or not worth[at, k]:
            at += 1
            continue
        y = low + at
        found += [(k, x, y) for x in row_at(rows[k], y)]
        at += kinds[k].pitch_y_mm
    return found


def best_first_rows(worth: Ints, pitch: Ints) -> Ints:
    """For each height the kind of the row that the best stack from there up begins with; -1: not there.

    worth: of a row by height and kind. As many heights are reckoned at once as no row reaches beyond.
    """
    size, nearest = len(worth), int(pitch.min())
    best = np.zeros(size + int(pitch.max()) + 1, dtype=np.int64)  # watts from so far up to the top
    choice = np.full(size, -1)
    for end in range(size, 0, -nearest):
        at = np.arange(max(0, end - nearest), end)
        total = worth[at] + best[at[:, None] + pitch]
        kind = total.argmax(axis=1)
        most = total[np.arange(len(at)), kind]
        best[at] = np.maximum.accumulate(np.append(most, best[end])[::-1])[::-1][:-1]
        choice[at] = np.where(most > best[at + 1], kind, -1)
    return choice


def span_mm(field: Field) -> tuple[int, int]:
    """The first and the last whole millimetre across rows."""
    return math.ceil(field.y_min - TOLERANCE_MM), math.floor(field.y_max + TOLERANCE_MM)


Rows = tuple[Ints, Ints, list[list[int]]]  # first y, last y, and the xs of the row for all y between


def row_at(rows: Rows, y: int) -> list[int]:
    """The fullest row that may start at y; empty where none may."""
    starts, until, xs = rows
    here = np.nonzero((starts <= y) & (y <= until))[0]
    return max((xs[i] for i in here.tolist()), key=len, default=[])


def rows_of(field: Field, kind: Kind, low: int, high: int) -> Rows:
    """All different rows of a kind, each filled from the left: between two events the row stays the same."""
    last = high - kind.h_mm
    if last < low:
        nothing = np.zeros(0, dtype=np.int64)
        return nothing, nothing, []
    slants, events = field.of_slants().blocks, {low, last}
    for block in field.blocks:
        _, bottom, _, top = block.bounds_mm()
        below, above = math.floor(bottom + TOLERANCE_MM) - kind.h_mm, math.ceil(top - TOLERANCE_MM)
        if block in slants:
            events.update(range(below, above + 1, SLANT_MM))
        events.update((below, below + 1, above - 1, above))
    ys = np.array(sorted(y for y in events if low <= y <= last), dtype=np.int64)
    filled = _filled(field, kind, ys.astype(np.float64))
    # between neighbours that are both free of slants the row of the first holds until just before the second
    until = np.append(ys[1:] - 1, last)
    slanted = np.zeros(len(ys), dtype=bool)
    for block in slants:
        _, bottom, _, top = block.bounds_mm()
        slanted |= (ys < top) & (ys + kind.h_mm > bottom)
    return ys, np.where(slanted, ys, until), filled


def _filled(field: Field, kind: Kind, ys: Floats) -> list[list[int]]:
    """For each y the xs of the panels in the row, each as far left as it goes."""
    forbidden = [block.forbidden_x(kind.w_mm, kind.h_mm, ys) for block in field.blocks]
    low = np.array([f[0] for f in forbidden]).reshape(len(forbidden), len(ys))
    high = np.array([f[1] for f in forbidden]).reshape(len(forbidden), len(ys))
    rows: list[list[int]] = [[] for _ in ys]
    x = np.full(len(ys), math.ceil(field.x_min - TOLERANCE_MM), dtype=np.int64)
    last = math.floor(field.x_max + TOLERANCE_MM) - kind.w_mm
    while True:
        for _ in range(PUSHES):
            hit = (low < x) & (x < high)
            if not hit.any():
                break
            past = np.where(hit, np.ceil(high - TOLERANCE_MM), -np.inf).max(axis=0, initial=-np.inf)
            x = np.where(past > x, np.where(np.isfinite(past), past, 0), x).astype(np.int64)
        open_ = np.nonzero((x <= last) & ~((low < x) & (x < high)).any(axis=0))[0]
        if not len(open_):
            return rows
        for i in open_.tolist():
            rows[i].append(int(x[i]))
        x = x + kind.pitch_x_mm
