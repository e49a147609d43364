"""Blocks in columns: which block stands in which column, and how long ones are parted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .blocks import Block
from .box import Box

LEAST_COLUMN = 118.0
GUTTER = 5.0
_BETWEEN_BLOCKS = 4.0
_LEAST_HEIGHT = 15.0
_HEAD_AGAIN = 18.0  # what repeating a table's head takes at most


@dataclass(frozen=True, slots=True)
class Placement:
    """A block with its upper left corner at (x, top)."""

    block: Block
    x: float
    top: float
    width: float


def columns_of(box: Box) -> list[Box]:
    """A space parted into as many equal columns as can hold a table."""
    count = int((box.width + GUTTER) // (LEAST_COLUMN + GUTTER))
    if count == 0:
        return []
    wide = (box.width - (count - 1) * GUTTER) / count
    return [
        Box(box.x0 + k * (wide + GUTTER), box.y0, box.x0 + k * (wide + GUTTER) + wide, box.y1)
        for k in range(count)
    ]


@dataclass
class OpenColumn:
    """A column that fills from its top down."""

    box: Box
    top: float

    def room_for(self, block: Block) -> bool:
        return block.least_width <= self.box.width and block.height(self.box.width) <= self.room

    @property
    def room(self) -> float:
        return self.top - self.box.y0

    def take(self, block: Block) -> Placement:
        placement = Placement(block, self.box.x0, self.top, self.box.width)
        self.top -= block.height(self.box.width) + _BETWEEN_BLOCKS
        return placement


def open_columns(boxes: Sequence[Box]) -> list[OpenColumn]:
    return [OpenColumn(box, box.y1) for box in boxes if box.height > _LEAST_HEIGHT]


def flow(blocks: Sequence[Block], boxes: Sequence[Box]) -> tuple[list[Placement], list[Block]]:
    """Blocks into columns; returns what is placed and what is left.

    Spread evenly in reading order where all fit so, else one column after the other, else the tallest
    first, which wastes least.
    """
    if not boxes:
        return [], list(blocks)
    wide = min(box.width for box in boxes)
    tallest = sorted(blocks, key=lambda block: -block.height(max(wide, block.least_width)))
    ways = [_fill(blocks, boxes, True), _fill(blocks, boxes, False), _fill(tallest, boxes, False)]
    return next((way for way in ways if not way[1]), ways[1])


def _fill(blocks: Sequence[Block], boxes: Sequence[Box], evenly: bool) -> tuple[list[Placement], list[Block]]:
    """Each block into the first column with room for it, or the one with the most room."""
    regions = open_columns(boxes)
    placed: list[Placement] = []
    left_over: list[Block] = []
    for block in blocks:
        open_ones = [r for r in regions if r.room_for(block)]
        if not open_ones:
            left_over.append(block)
            continue
        region = max(open_ones, key=lambda r: r.room) if evenly else open_ones[0]
        placed.append(region.take(block))
    return placed, left_over


def fill_sheet(blocks: Sequence[Block], regions: list[OpenColumn]) -> tuple[list[Placement], list[Block]]:
    """As many blocks as columns can take, parted where no column is long enough; and what is left."""
    placed: list[Placement] = []
    later: list[Block] = []
    for block in blocks:
        rest: Block | None = block
        while rest is not None:
            region = next((r for r in regions if r.room_for(rest)), None)
            if region is not None:
                placed.append(region.take(rest))
                rest = None
                continue
            empty = next((r for r in regions if r.top == r.box.y1), None)
            parts = _parted(rest, empty) if empty is not None else None
            if empty is None or parts is None:
                later.append(rest)
                break
            placed.append(empty.take(parts[0]))
            rest = parts[1]
    return placed, later


def _parted(block: Block, region: OpenColumn) -> tuple[Block, Block] | None:
    """A block parted for a column, into parts of about equal length."""
    width = region.box.width
    if block.least_width > width:
        return None
    whole = block.height(width)
    share = whole / math.ceil(whole / region.room) + _HEAD_AGAIN
    return block.split(width, min(region.room, share))
