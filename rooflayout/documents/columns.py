"""Blocks in columns: which block stands in which column, and how long ones are parted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

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
    blocks: list[Block] = field(default_factory=list)

    @property
    def room(self) -> float:
        width = self.box.width
        return self.box.height - sum(block.height(width) + _BETWEEN_BLOCKS for block in self.blocks)

    def room_for(self, block: Block) -> bool:
        return block.least_width <= self.box.width and block.height(self.box.width) <= self.room

    def placements(self, order: Sequence[Block]) -> list[Placement]:
        """Its blocks one below the other, as they come in an order."""
        rank = {id(block): index for index, block in enumerate(order)}
        top = self.box.y1
        placed: list[Placement] = []
        for block in sorted(self.blocks, key=lambda block: rank.get(id(block), len(rank))):
            placed.append(Placement(block, self.box.x0, top, self.box.width))
            top -= block.height(self.box.width) + _BETWEEN_BLOCKS
        return placed


def open_columns(boxes: Sequence[Box]) -> list[OpenColumn]:
    return [OpenColumn(box) for box in boxes if box.height > _LEAST_HEIGHT]


def flow(blocks: Sequence[Block], boxes: Sequence[Box]) -> tuple[list[Placement], list[Block]]:
    """Blocks into columns; returns what is placed and what is left.

    Spread evenly where all fit so, else one column after the other, else the tallest first, which
    wastes least. Within a column they stand in reading order.
    """
    if not boxes:
        return [], list(blocks)
    wide = min(box.width for box in boxes)
    tallest = sorted(blocks, key=lambda block: -block.height(max(wide, block.least_width)))
    ways = [_fill(blocks, boxes, True), _fill(blocks, boxes, False), _fill(tallest, boxes, False)]
    columns, left_over = next((way for way in ways if not way[1]), ways[1])
    return [placement for column in columns for placement in column.placements(blocks)], left_over


def _fill(
    blocks: Sequence[Block], boxes: Sequence[Box], evenly: bool
) -> tuple[list[OpenColumn], list[Block]]:
    """Each block into the first column with room for it, or the one with the most room."""
    columns = open_columns(boxes)
    left_over: list[Block] = []
    for block in blocks:
        open_ones = [c for c in columns if c.room_for(block)]
        if open_ones:
            column = max(open_ones, key=lambda c: c.room) if evenly else open_ones[0]
            column.blocks.append(block)
        else:
            left_over.append(block)
    return columns, left_over


def fill_sheet(blocks: Sequence[Block], boxes: Sequence[Box]) -> tuple[list[Placement], list[Block]]:
    """As many blocks as columns can take, parted where no column is long enough; and what is left.

    The parts of a block stand in columns one after the other, as they are read.
    """
    columns = open_columns(boxes)
    later: list[Block] = []
    for block in blocks:
        rest: Block | None = block
        able = columns
        while rest is not None:
            column = next((c for c in able if c.room_for(rest)), None)
            if column is not None:
                column.blocks.append(rest)
                rest = None
                continue
            at = next((n for n, c in enumerate(able) if not c.blocks), None)
            parts = None if at is None else _parted(rest, able[at])
            if at is None or parts is None:
                later.append(rest)
                break
            able[at].blocks.append(parts[0])
            rest, able = parts[1], able[at + 1 :]
    return [placement for column in columns for placement in column.placements(())], later


def _parted(block: Block, region: OpenColumn) -> tuple[Block, Block] | None:
    """A block parted for a column, into parts of about equal length."""
    width = region.box.width
    if block.least_width > width:
        return None
    whole = block.height(width)
    share = whole / math.ceil(whole / region.room) + _HEAD_AGAIN
    return block.split(width, min(region.room, share))
