"""Places that touch a round or slanted line: there x and y belong together, so no grid of both holds them.

For each row y of the grid the panel is pushed along x until it touches the line, and more panels of its
kind follow in the row; the same for each column x.
"""

from __future__ import annotations

import numpy as np

from rooflayout.packing.clearance import TOLERANCE_MM, Block, Bools, ConvexBlock, Field, Ints, RoundBlock
from rooflayout.packing.kinds import Kind

MOST_IN_A_ROW = 12


def contact_places(
    field: Field, kind: Kind, xs: Ints, ys: Ints, turn_x: int, turn_y: int
) -> tuple[Ints, Ints]:
    """Free places (x, y) of a kind that touch, along x or along y, a block that is not axis-parallel."""
    blocks = [b for b in field.blocks if isinstance(b, RoundBlock) or not b.axis_parallel()]
    x, y = _pushed(blocks, kind.w_mm, kind.h_mm, kind.pitch_x_mm, ys, turn_x)
    turned_blocks = [transposed(b) for b in blocks]
    y2, x2 = _pushed(turned_blocks, kind.h_mm, kind.w_mm, kind.pitch_y_mm, xs, turn_y)
    places = np.unique(np.column_stack([np.concatenate([x, x2]), np.concatenate([y, y2])]), axis=0)
    free = free_at(field, kind, places[:, 0], places[:, 1])
    return places[free, 0], places[free, 1]


def free_at(field: Field, kind: Kind, x: Ints, y: Ints) -> Bools:
    """Whether the kind's corner may lie at each (x, y)."""
    free = (x >= field.x_min - TOLERANCE_MM) & (x + kind.w_mm <= field.x_max + TOLERANCE_MM)
    free &= (y >= field.y_min - TOLERANCE_MM) & (y + kind.h_mm <= field.y_max + TOLERANCE_MM)
    rows, row_of = np.unique(y, return_inverse=True)
    for block in field.blocks:
        low, high = block.forbidden_x(kind.w_mm, kind.h_mm, rows.astype(np.float64))
        free &= ~((x > low[row_of]) & (x < high[row_of]))
    return np.asarray(free)


def transposed(block: Block) -> Block:
    """The block with x and y exchanged."""
    if isinstance(block, RoundBlock):
        return RoundBlock((block.centre_mm[1], block.centre_mm[0]), block.radius_mm)
    return ConvexBlock(tuple((y, x) for x, y in block.corners_mm), block.margin_mm)


def _pushed(blocks: list[Block], w: float, h: float, pitch: int, rows: Ints, turn: int) -> tuple[Ints, Ints]:
    """Along each row, the places that touch a block from beyond (up to turn) and from before (past it)."""
    along, across = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
    for block in blocks:
        low, high = block.forbidden_x(w, h, rows.astype(np.float64))
        hit = high > low
        beyond = np.ceil(high[hit] - TOLERANCE_MM).astype(np.int64)
        before = np.floor(low[hit] + TOLERANCE_MM).astype(np.int64)
        for n in range(MOST_IN_A_ROW):
            for at, use in _row(beyond + n * pitch, before - n * pitch, turn):
                along.append(at[use])
                across.append(rows[hit][use])
    return np.concatenate(along), np.concatenate(across)


def _row(up: Ints, down: Ints, turn: int) -> tuple[tuple[Ints, Bools], tuple[Ints, Bools]]:
    return (up, np.asarray(up <= turn)), (down, np.asarray(down > turn))
