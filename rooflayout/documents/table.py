"""A ruled table in a column of the sheet: cells wrap, long tables are parted with their head repeated.

A form is the same with high rows and upright lines, so that a hand can write in its blank cells.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from .blocks import HEADING, Block, continued, draw_heading
from .lettering import SMALL, Align, em_mm, line_mm, width_mm, wrap
from .palette import StringMark
from .paper import FAINT, INK, Paper

_PAD = 0.8
_SWATCH = 6.0
_LEAST_FLEXIBLE = 24.0


@dataclass(frozen=True, slots=True)
class Column:
    """A head of one or more lines; a flexible column takes what width is left and wraps.

    A column for the hand is at least so wide.
    """

    head: tuple[str, ...]
    align: Align = "right"
    flexible: bool = False
    least_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """Cells in the columns' order; a banner is one bold text across; a mark is drawn in the first cell."""

    cells: tuple[str, ...]
    banner: bool = False
    mark: StringMark | None = None


@dataclass(frozen=True, slots=True)
class TableBlock:
    """A heading, a table and lines of small print under it."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    footnotes: tuple[str, ...] = ()
    lettering_mm: float = SMALL
    least_row_mm: float = 0.0
    upright_lines: bool = False
    marked: bool = field(init=False)  # whether any row has a string's swatch

    def __post_init__(self) -> None:
        object.__setattr__(self, "marked", any(row.mark for row in self.rows))

    @property
    def least_width(self) -> float:
        return sum(
            self._natural(i) if not c.flexible else _LEAST_FLEXIBLE for i, c in enumerate(self.columns)
        )

    def _natural(self, index: int) -> float:
        shift = self._shift(index)
        cells = [width_mm(row.cells[index], self.lettering_mm) for row in self.rows if not row.banner]
        widest = max((cell + shift for cell in cells), default=0.0)
        return max(widest + 2 * self._pad, self._head_width(index), self.columns[index].least_mm)

    def _head_width(self, index: int) -> float:
        head = self.columns[index].head
        return max(width_mm(line, self.lettering_mm, True) for line in head) + 2 * self._pad

    @property
    def _pad(self) -> float:
        return _PAD * self.lettering_mm / SMALL

    def _shift(self, index: int) -> float:
        """Room for a string's swatch before the cells of the first column."""
        return _SWATCH if index == 0 and self.marked else 0.0

    def widths(self, width: float) -> tuple[float, ...]:
        """The columns' widths; flexible ones share what the others leave, by their content."""
        natural = [self._natural(i) for i in range(len(self.columns))]
        flexible = [i for i, c in enumerate(self.columns) if c.flexible]
        left = width - sum(w for i, w in enumerate(natural) if i not in flexible)
        while flexible:
            wish = sum(natural[i] for i in flexible)
            share = {i: left * natural[i] / wish for i in flexible}
            heads = {i: self._head_width(i) for i in flexible}
            tight = [i for i in flexible if share[i] < heads[i]]
            if not tight or sum(heads.values()) > left:
                break
            for i in tight:  # never narrower than its head
                natural[i] = heads[i]
                left -= heads[i]
                flexible.remove(i)
        for i in flexible:
            natural[i] = share[i]
        return tuple(natural)

    def _cell_lines(self, row: Row, widths: tuple[float, ...]) -> list[tuple[str, ...]]:
        if row.banner:
            return [wrap(row.cells[0], self.lettering_mm, sum(widths) - 2 * self._pad, bold=True)]
        return [
            wrap(cell, self.lettering_mm, max(2.0, w - 2 * self._pad - self._shift(i) + 0.01))
            for i, (cell, w) in enumerate(zip(row.cells, widths, strict=True))
        ]

    def _row_height(self, row: Row, widths: tuple[float, ...]) -> float:
        return max(
            max(len(lines) for lines in self._cell_lines(row, widths)) * line_mm(self.lettering_mm) + 0.9,
            0.0 if row.banner else self.least_row_mm,
        )

    def _head_height(self) -> float:
        return max(len(c.head) for c in self.columns) * line_mm(self.lettering_mm) + 1.0

    def _notes(self, width: float) -> list[str]:
        return [line for note in self.footnotes for line in wrap(note, self.lettering_mm, width)]

    def height(self, width: float) -> float:
        widths = self.widths(width)
        rows = sum(self._row_height(row, widths) for row in self.rows)
        notes = self._notes(width)
        return (
            HEADING
            + self._head_height()
            + rows
            + (len(notes) * line_mm(self.lettering_mm) + 1.2 if notes else 0.0)
        )

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        draw_heading(paper, self.title, x, top, width)
        widths = self.widths(width)
        y = top - HEADING
        deepest = max(len(c.head) for c in self.columns)
        left = x
        for column, wide in zip(self.columns, widths, strict=True):
            for index, line in enumerate(column.head):
                line_y = y - (deepest - len(column.head) + index) * line_mm(self.lettering_mm)
                self._write(paper, line, left, line_y, wide, column.align, bold=True)
            left += wide
        y -= self._head_height()
        high = y
        paper.line([(x, y + 0.2), (x + width, y + 0.2)], 0.25)
        for row in self.rows:
            self._draw_row(paper, row, x, y, widths)
            y -= self._row_height(row, widths)
            paper.line([(x, y + 0.2), (x + width, y + 0.2)], 0.13, FAINT)
        if self.upright_lines:
            for k in range(len(widths) + 1):
                left = x + sum(widths[:k])
                paper.line([(left, high + 0.2), (left, y + 0.2)], 0.13, FAINT)
        y -= 1.0
        for note in self._notes(width):
            paper.text(x, y - 0.8 * em_mm(self.lettering_mm), note, self.lettering_mm)
            y -= line_mm(self.lettering_mm)

    def _draw_row(self, paper: Paper, row: Row, x: float, y: float, widths: tuple[float, ...]) -> None:
        cells = self._cell_lines(row, widths)
        if row.banner:
            for index, line in enumerate(cells[0]):
                self._write(
                    paper, line, x, y - index * line_mm(self.lettering_mm), sum(widths), "left", bold=True
                )
            return
        left = x
        for index, (lines, column, wide) in enumerate(zip(cells, self.columns, widths, strict=True)):
            shift = self._shift(index)
            if index == 0 and row.mark:
                draw_swatch(paper, row.mark, left + 0.3, y - 2.9, _SWATCH - 1.2, 2.3)
            lower = max(0.0, (self.least_row_mm - len(lines) * line_mm(self.lettering_mm)) / 2 - 0.3)
            for k, line in enumerate(lines):
                self._write(
                    paper,
                    line,
                    left + shift,
                    y - lower - k * line_mm(self.lettering_mm),
                    wide - shift,
                    column.align,
                )
            left += wide

    def _write(
        self, paper: Paper, text: str, left: float, y: float, wide: float, align: Align, bold: bool = False
    ) -> None:
        at = {"left": left + self._pad, "center": left + wide / 2, "right": left + wide - self._pad}[align]
        paper.text(at, y - 0.95 * em_mm(self.lettering_mm), text, self.lettering_mm, align, bold=bold)

    def _most_rows(self, room: float) -> int:
        """So many rows of one line each, below heading and head, are as high as the room."""
        return int((room - HEADING - self._head_height()) / (line_mm(self.lettering_mm) + 0.9)) + 1

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        """The table with as many rows as there is room for, and the rest; None when not even one has room."""
        for count in range(min(len(self.rows) - 1, self._most_rows(room)), 0, -1):
            if self.rows[count - 1].banner:
                continue
            first = replace(self, rows=self.rows[:count], footnotes=())
            if first.height(width) <= room:
                rest = self.rows[count:]
                if not rest[0].banner:
                    banners = [row for row in self.rows[:count] if row.banner]
                    rest = (*banners[-1:], *rest)
                return first, replace(self, title=continued(self.title), rows=rest)
        return None


def draw_swatch(paper: Paper, mark: StringMark, x: float, y: float, width: float, height: float) -> None:
    """A small sample of a string's fill and hatch."""
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    paper.polygon(corners, mark.fill, 0)
    for angle in mark.angles_deg:
        paper.hatch(corners, min(mark.pitch_mm, 1.6), 0.18, mark.hatch, angle)
    paper.polygon(corners, None, 0.25, INK)
