"""Roofs for which the panels are counted one by one: many models, a few copies of each, straight edges.

Where stock binds, the relaxation over places uses a little of every model and is far too hopeful. There the
question is which copies go on, and sets.py asks that first. Sizes are in units of the greatest common
divisor of all lengths along an axis, pitches instead of sides, so that gaps are part of the panels.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rooflayout.packing.clearance import TOLERANCE_MM, Field, RoundBlock, free_area_mm2
from rooflayout.packing.kinds import Kind
from rooflayout.packing.rules import Rules

MOST_COPIES = 120  # of all models together
SCARCE = 0.5  # of the models, at least, have less stock than the roof has room for

Box = tuple[int, int, int, int]  # x0, y0, x1, y1


@dataclass(frozen=True, slots=True)
class Sheet:
    """A facet in units: wide by deep, with boxes that are taken, none of which overlap."""

    x_mm: int  # of its corner
    y_mm: int
    unit_x_mm: int
    unit_y_mm: int
    wide: int
    deep: int
    taken: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """A kind (one model, one way round, on one facet) as a piece of its sheet, in units."""

    kind: int
    sheet: int
    wide: int
    deep: int


@dataclass(frozen=True, slots=True)
class Sort:
    """A model: how many copies there can be, and the ways (numbers) in which one can lie."""

    model: int
    copies: int
    ways: tuple[int, ...]
    watts: int  # tenths


@dataclass(frozen=True, slots=True)
class Pieces:
    sheets: tuple[Sheet, ...]
    ways: tuple[Way, ...]
    sorts: tuple[Sort, ...]

    def covers(self, larger: int, smaller: int) -> bool:
        """Whether wherever a panel of one sort lies, one of the other could lie instead."""
        return all(
            any(self._within(self.ways[b], self.ways[a]) for b in self.sorts[smaller].ways)
            for a in self.sorts[larger].ways
        )

    def place(self, way: int, x: int, y: int) -> tuple[int, int, int]:
        """Kind and corner in millimetres of a piece at (x, y) of its sheet."""
        own = self.ways[way]
        sheet = self.sheets[own.sheet]
        return own.kind, sheet.x_mm + x * sheet.unit_x_mm, sheet.y_mm + y * sheet.unit_y_mm

    @staticmethod
    def _within(inner: Way, outer: Way) -> bool:
        return inner.sheet == outer.sheet and inner.wide <= outer.wide and inner.deep <= outer.deep


def pieces_of(fields: Sequence[Field], rules: Rules) -> Pieces | None:
    """The roof in pieces; None where it is slanted, where stock does not bind, or where wiring does."""
    if rules.wired or not rules.kinds or any(field.slanted() for field in fields):
        return None
    sheets = [_sheet(field, [k for k in rules.kinds if k.facet == f]) for f, field in enumerate(fields)]
    if any(sheet is None for sheet in sheets):
        return None
    whole = tuple(sheet for sheet in sheets if sheet is not None)
    ways = tuple(
        Way(n, k.facet, k.pitch_x_mm // whole[k.facet].unit_x_mm, k.pitch_y_mm // whole[k.facet].unit_y_mm)
        for n, k in enumerate(rules.kinds)
    )
    ways = tuple(w for w in ways if w.wide <= whole[w.sheet].wide and w.deep <= whole[w.sheet].deep)
    room_mm2 = sum(free_area_mm2(field) for field in fields)
    sorts, scarce = [], 0
    for model in sorted({rules.kinds[w.kind].model for w in ways}):
        own = tuple(n for n, w in enumerate(ways) if rules.kinds[w.kind].model == model)
        kind = rules.kinds[ways[own[0]].kind]
        room = int(room_mm2 / (kind.w_mm * kind.h_mm) + 1e-6)
        stock = rules.models[model].stock
        scarce += stock is not None and stock < room
        copies = room if stock is None else min(room, stock)
        if copies > 0:
            sorts.append(Sort(model, copies, own, kind.watts))
    if not sorts or scarce < SCARCE * len(sorts) or sum(s.copies for s in sorts) > MOST_COPIES:
        return None
    return Pieces(whole, ways, tuple(sorts))


def _sheet(field: Field, kinds: Sequence[Kind]) -> Sheet | None:
    """None where something taken is thinner than the gap between panels: it is then no box of its own."""
    gap_x = kinds[0].pitch_x_mm - kinds[0].w_mm if kinds else 0
    gap_y = kinds[0].pitch_y_mm - kinds[0].h_mm if kinds else 0
    x, y = _up(field.x_min), _up(field.y_min)
    wide, deep = _down(field.x_max) - x + gap_x, _down(field.y_max) - y + gap_y
    boxes = []
    for block in field.blocks:
        assert not isinstance(block, RoundBlock)
        x0, y0, x1, y1 = block.bounds_mm()
        # a pitch includes the gap behind the panel: what is taken begins a gap later
        box = (_down(x0) - x + gap_x, _down(y0) - y + gap_y, _up(x1) - x, _up(y1) - y)
        if box[0] >= box[2] or box[1] >= box[3]:
            return None
        clipped = (max(0, box[0]), max(0, box[1]), min(wide, box[2]), min(deep, box[3]))
        if clipped[0] < clipped[2] and clipped[1] < clipped[3]:
            boxes.append(clipped)
    # pushed towards the origin, every corner is a sum of pitches from a line: a multiple of the unit
    unit_x = math.gcd(*(k.pitch_x_mm for k in kinds), *(v for b in boxes for v in (b[0], b[2]))) or 1
    unit_y = math.gcd(*(k.pitch_y_mm for k in kinds), *(v for b in boxes for v in (b[1], b[3]))) or 1
    taken = tuple(
        (a // unit_x, b // unit_y, -(-c // unit_x), -(-d // unit_y)) for a, b, c, d in _apart(boxes)
    )
    return Sheet(x, y, unit_x, unit_y, max(0, wide // unit_x), max(0, deep // unit_y), taken)


def _apart(boxes: Sequence[Box]) -> list[Box]:
    """The same ground in boxes that do not overlap: upright strips, joined where neighbours are alike."""
    if not boxes:
        return []
    xs = sorted({v for b in boxes for v in (b[0], b[2])})
    done: list[Box] = []
    open_: dict[tuple[int, int], int] = {}  # by low and high, where the strip began
    for left, right in pairwise(xs):
        spans = _merged([(b[1], b[3]) for b in boxes if b[0] <= left and right <= b[2]])
        for span in [s for s in open_ if s not in spans]:
            done.append((open_.pop(span), span[0], left, span[1]))
        for span in spans:
            open_.setdefault(span, left)
    done += [(begun, low, xs[-1], high) for (low, high), begun in open_.items()]
    return sorted(done)


def _merged(spans: list[tuple[int, int]]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _up(length_mm: float) -> int:
    return math.ceil(length_mm - TOLERANCE_MM)


def _down(length_mm: float) -> int:
    return math.floor(length_mm + TOLERANCE_MM)
