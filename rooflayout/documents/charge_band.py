"""The state of charge through the year as a band, and the owner's sentences month by month."""

from __future__ import annotations

from dataclasses import dataclass

from ..energy.margin import year_is_ample
from ..energy.sentences import year_sentence
from ..months import SHORT_MONTHS
from ..yields import Energy
from .blocks import HEADING, Block, draw_heading
from .box import Box
from .chart import (
    MONTH_ROW,
    draw_base,
    draw_levels,
    draw_month_names,
    height_of,
    month_edges,
)
from .lettering import NORMAL, clean, line_mm, wrap
from .palette import CHARGE_BAND, CHARGE_LINE
from .paper import FAINT, INK, Paper

KEY_WIDTH = 57.0  # before the band: key and figures
_OVER = 7.0
_LEVELS = (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)


@dataclass(frozen=True, slots=True)
class ChargeBand:
    """Low, middle and high of every day [% of the usable capacity] over the months."""

    band_pct: tuple[tuple[float, float, float], ...]
    height_mm: float

    @property
    def least_width(self) -> float:
        return 4 * KEY_WIDTH

    def height(self, width: float) -> float:
        return self.height_mm

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        return None

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        draw_heading(paper, "The battery at sunrise through the year", x, top, width)
        box = Box(x + KEY_WIDTH, top - self.height_mm + MONTH_ROW, x + width, top - HEADING - _OVER)
        edges = month_edges(box)
        places = [box.x0 + box.width * (k + 0.5) / len(self.band_pct) for k in range(len(self.band_pct))]
        low, middle, high = (
            [(x, height_of(box, day[k], 100.0)) for x, day in zip(places, self.band_pct, strict=True)]
            for k in range(3)
        )
        paper.polygon([*low, *reversed(high)], CHARGE_BAND, 0.18, CHARGE_LINE)
        draw_levels(paper, box, _LEVELS, "% of usable")
        for edge in edges:
            paper.line([(edge, box.y0), (edge, box.y1)], 0.13, FAINT)
        paper.line(middle, 0.7, CHARGE_LINE)
        draw_base(paper, box)
        draw_month_names(paper, edges, box.y0)
        _draw_key(paper, x, box.y1 - 3.0)


def _draw_key(paper: Paper, x: float, y: float) -> None:
    words = ("every other day lies", "above the line"), ("eight days in ten lie", "within the band")
    for (first, second), line in zip(words, (True, False), strict=True):
        if line:
            paper.line([(x + 0.5, y + 1.2), (x + 7.5, y + 1.2)], 0.7, CHARGE_LINE)
        else:
            paper.box(Box(x + 0.5, y - 0.4, x + 7.5, y + 2.8), CHARGE_BAND, 0.18, CHARGE_LINE)
        paper.text(x + 9.0, y, first, NORMAL)
        paper.text(x + 9.0, y - line_mm(NORMAL), second, NORMAL)
        y -= 2.6 * line_mm(NORMAL)


@dataclass(frozen=True, slots=True)
class MonthSentences:
    """A sentence a month, down two columns."""

    title: str
    sentences: tuple[str, ...]

    @property
    def least_width(self) -> float:
        return 200.0

    def _rows(self, width: float) -> list[int]:
        """Lines of each row of two."""
        half = len(self.sentences) // 2
        lines = [len(wrap(s, NORMAL, self._room(width))) for s in self.sentences]
        return [max(lines[k], lines[k + half]) for k in range(half)]

    def _room(self, width: float) -> float:
        return width / 2 - 15.0

    def height(self, width: float) -> float:
        return HEADING + sum(n * line_mm(NORMAL) + 1.6 for n in self._rows(width))

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        return None

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        draw_heading(paper, self.title, x, top, width)
        y = top - HEADING - 0.8
        half = len(self.sentences) // 2
        for row, lines in enumerate(self._rows(width)):
            for column in range(2):
                index, left = row + column * half, x + column * (width / 2 + 2.5)
                paper.text(left, y - line_mm(NORMAL) + 1.2, SHORT_MONTHS[index], NORMAL, bold=True)
                words = wrap(self.sentences[index], NORMAL, self._room(width))
                for k, line in enumerate(words):
                    paper.text(left + 10.5, y - (k + 1) * line_mm(NORMAL) + 1.2, line, NORMAL, colour=INK)
            y -= lines * line_mm(NORMAL) + 1.6


def band_blocks(energy: Energy, height_mm: float) -> list[Block]:
    """The band; nothing without a battery whose days are known."""
    return [ChargeBand(energy.soc_band_pct, height_mm)] if energy.soc_band_pct else []


def sentences_blocks(energy: Energy) -> list[Block]:
    """The year in a sentence as the heading where the battery is known, a sentence a month below."""
    empty = [m.empty_pct for m in energy.months if m.empty_pct is not None]
    known = len(empty) == len(energy.months)
    title = year_sentence(empty, year_is_ample(energy)) if known else "Month by month"
    return [MonthSentences(title, tuple(_bare(m.sentence) for m in energy.months))] if energy.months else []


def _bare(sentence: str) -> str:
    """The sentence without "In January", which stands before it already."""
    words = clean(sentence).split(" ", 2)
    bare = words[2] if len(words) == 3 and words[0] == "In" else clean(sentence)
    return bare[:1].upper() + bare[1:]
