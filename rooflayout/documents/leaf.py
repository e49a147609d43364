"""Sheets of a workshop set: tables over the whole width one below the other, texts in columns under them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from .arrange import upper_box
from .blocks import Block
from .box import Box
from .columns import GUTTER, Placement, columns_of, fill_sheet, flow
from .paper import A4, Paper, PaperSize

BETWEEN = 5.0
_WORTH_PARTING = 55.0  # less room than this is left empty before a table is parted


@dataclass(frozen=True, slots=True)
class Leaf:
    """One sheet: what its title block says it is, and what draws the space above that block."""

    document_type: str
    draw: Callable[[Paper], None]
    scale: str = "–"
    size: PaperSize = A4


def stacked_leaves(
    document_type: str,
    tables: Sequence[Block],
    texts: Sequence[Block] = (),
    last: Sequence[Block] = (),
    size: PaperSize = A4,
) -> list[Leaf]:
    """Tables over the whole width, parted where a sheet ends; texts in columns under them.

    What comes last runs over the whole width again.
    """
    box = upper_box(size)
    sheets: list[list[Placement]] = [[]]
    top = _stack(tables, box, box.y1, sheets)
    placed, waiting = flow(texts, _columns(Box(box.x0, box.y0, box.x1, top)))
    sheets[-1].extend(placed)
    while waiting:
        placed, later = fill_sheet(waiting, _columns(box))
        if not placed:
            placed, later = [Placement(waiting[0], box.x0, box.y1, box.width)], list(waiting[1:])
        sheets.append(placed)
        waiting = later
    if placed:
        top = min(p.top - p.block.height(p.width) for p in placed) - BETWEEN
    _stack(last, box, top, sheets)
    return [Leaf(document_type, _drawing(sheet), size=size) for sheet in sheets if sheet]


def _stack(tables: Sequence[Block], box: Box, top: float, sheets: list[list[Placement]]) -> float:
    """Blocks over the whole width from a height down and on new sheets; returns where the last one ends."""
    for table in tables:
        rest: Block | None = table
        while rest is not None:
            room = top - box.y0
            if rest.height(box.width) <= room:
                sheets[-1].append(Placement(rest, box.x0, top, box.width))
                top -= rest.height(box.width) + BETWEEN
                rest = None
                continue
            longer_than_a_sheet = rest.height(box.width) > box.height
            parts = rest.split(box.width, room) if longer_than_a_sheet and room >= _WORTH_PARTING else None
            if parts is not None:
                sheets[-1].append(Placement(parts[0], box.x0, top, box.width))
                rest = parts[1]
            elif not sheets[-1]:  # a row higher than a sheet: better over the edge than lost
                sheets[-1].append(Placement(rest, box.x0, top, box.width))
                rest = None
            sheets.append([])
            top = box.y1
    return top


def _columns(box: Box) -> list[Box]:
    return columns_of(box) if box.height > GUTTER else []


def _drawing(placements: Sequence[Placement]) -> Callable[[Paper], None]:
    def draw(paper: Paper) -> None:
        for placed in placements:
            placed.block.draw(paper, placed.x, placed.top, placed.width)

    return draw
