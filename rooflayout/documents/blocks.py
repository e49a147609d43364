"""Blocks of lettering on the sheet: a heading over paragraphs or symbols, laid in a column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Protocol

from .lettering import NORMAL, SMALL, em_mm, line_mm, width_mm, wrap
from .paper import Paper

HEADING = line_mm(NORMAL) + 2.4
_AFTER = 0.45  # after a paragraph
_SYMBOL_WIDTH = 11.0
_SYMBOL_HEIGHT = 3.6


class Block(Protocol):
    """Something that fills a column from its top down; widths and heights in millimetres of paper."""

    @property
    def least_width(self) -> float: ...

    def height(self, width: float) -> float: ...

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None: ...

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        """The part that fits the room and the rest, or None when it cannot be parted so."""
        ...


def draw_heading(paper: Paper, text: str, x: float, top: float, width: float) -> None:
    """A block's heading, underlined."""
    paper.text(x, top - NORMAL - 0.9, text, NORMAL, bold=True)
    y = top - HEADING + 1.0
    paper.line([(x, y), (x + width, y)], 0.35)


def continued(title: str) -> str:
    """The heading of a block's second part."""
    return title if title.endswith("(continued)") else f"{title} (continued)"


@dataclass(frozen=True, slots=True)
class TextBlock:
    """Paragraphs under a heading, each with a mark (a number, a severity) before it or none."""

    title: str
    paragraphs: tuple[tuple[str, str], ...]
    lettering_mm: float = SMALL

    @property
    def least_width(self) -> float:
        return 80.0

    def _indent(self) -> float:
        widest = max((width_mm(mark, self.lettering_mm, True) for mark, _ in self.paragraphs), default=0.0)
        return widest + 1.5 if widest else 0.0

    def _lines(self, text: str, width: float) -> tuple[str, ...]:
        return wrap(text, self.lettering_mm, width - self._indent())

    def height(self, width: float) -> float:
        lines = sum(len(self._lines(text, width)) for _, text in self.paragraphs)
        return HEADING + lines * line_mm(self.lettering_mm) + len(self.paragraphs) * _AFTER

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        draw_heading(paper, self.title, x, top, width)
        y = top - HEADING
        for mark, text in self.paragraphs:
            paper.text(x, y - 0.8 * em_mm(self.lettering_mm), mark, self.lettering_mm, bold=True)
            for line in self._lines(text, width):
                paper.text(x + self._indent(), y - 0.8 * em_mm(self.lettering_mm), line, self.lettering_mm)
                y -= line_mm(self.lettering_mm)
            y -= _AFTER

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        for count in range(len(self.paragraphs) - 1, 0, -1):
            first = replace(self, paragraphs=self.paragraphs[:count])
            if first.height(width) <= room:
                return first, replace(self, title=continued(self.title), paragraphs=self.paragraphs[count:])
        return None


def lettered(block: Block, least_mm: float) -> Block:
    """The block in letters of that height at least, where it is of text."""
    if not isinstance(block, TextBlock) or block.lettering_mm >= least_mm:
        return block
    return replace(block, lettering_mm=least_mm)


Symbol = Callable[[Paper, float, float, float, float], None]  # paper, x, y, width, height


@dataclass(frozen=True, slots=True)
class KeyBlock:
    """Symbols of the drawing, each with what it means, in two columns."""

    title: str
    entries: tuple[tuple[Symbol, str], ...]

    @property
    def least_width(self) -> float:
        return 112.0

    def _words_width(self, width: float) -> float:
        return width / 2 - _SYMBOL_WIDTH - 4.0

    def _rows(self, width: float) -> list[tuple[int, float]]:
        """For each row the place of its first entry, and its height."""
        rows = []
        for first in range(0, len(self.entries), 2):
            lines = [
                len(wrap(text, SMALL, self._words_width(width)))
                for _, text in self.entries[first : first + 2]
            ]
            rows.append((first, max(_SYMBOL_HEIGHT, max(lines) * line_mm(SMALL)) + 1.0))
        return rows

    def height(self, width: float) -> float:
        return HEADING + sum(high for _, high in self._rows(width))

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        draw_heading(paper, self.title, x, top, width)
        y = top - HEADING
        for first, high in self._rows(width):
            for column, entry in enumerate(self.entries[first : first + 2]):
                self._draw_entry(paper, entry, x + column * width / 2, y - (high - 1.0) / 2, width)
            y -= high

    def _draw_entry(
        self, paper: Paper, entry: tuple[Symbol, str], x: float, middle: float, width: float
    ) -> None:
        symbol, text = entry
        symbol(paper, x, middle - _SYMBOL_HEIGHT / 2, _SYMBOL_WIDTH, _SYMBOL_HEIGHT)
        lines = wrap(text, SMALL, self._words_width(width))
        for index, line in enumerate(lines):
            centre = middle + (len(lines) / 2 - index - 0.5) * line_mm(SMALL)
            paper.text(x + _SYMBOL_WIDTH + 2.0, centre - SMALL / 2, line, SMALL)

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        return None
