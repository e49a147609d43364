"""What comes in and what is drawn by month: a chart, and under each bar its figures in a table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..months import SHORT_MONTHS
from ..needs import EVERY_MONTH, Load
from ..rounding import pct_figure, wh_figure
from ..yields import Energy, LoadHours, MonthYield
from .blocks import HEADING, Block, draw_heading
from .box import Box
from .chart import (
    MONTH_ROW,
    draw_base,
    draw_levels,
    draw_month_names,
    height_of,
    levels,
)
from .lettering import NORMAL, clean, fixed, line_mm, number
from .palette import DRIVING, PORTABLE_PANELS, ROOF_PANELS, StringMark
from .paper import INK, Paper
from .table import Column, Row, TableBlock, draw_swatch

MONTH_WIDTH = 16.6
_OVER = 7.0  # room over the highest level, for the unit
_BAR = 0.62  # of a month's width
_KILO_FROM = 10_000.0  # Wh a day, from which a chart counts kWh


@dataclass(frozen=True, slots=True)
class Source:
    """Something that charges the battery: its name, its look, its Wh a day of a month."""

    name: str
    mark: StringMark
    wh_day: Callable[[MonthYield], float]


SOURCES = (
    Source("roof panels", ROOF_PANELS, lambda m: m.harvest_wh_day),
    Source("portable panels", PORTABLE_PANELS, lambda m: m.portable_wh_day),
    Source("driving", DRIVING, lambda m: m.driving_wh_day),
)


def sources_of(energy: Energy) -> tuple[Source, ...]:
    """Those that give anything in any month, the lowest in the bars first."""
    return tuple(s for s in SOURCES if any(s.wh_day(m) > 0.0 for m in energy.months))


def draws_anything(energy: Energy) -> bool:
    """Whether any load draws in any month."""
    return any(m.demand_wh_day > 0.0 for m in energy.months)


@dataclass(frozen=True, slots=True)
class MonthChart:
    """Stacked bars of what comes in over the line of what is drawn; they stand over a table's columns."""

    energy: Energy
    edges_of: Callable[[float], Sequence[float]]  # thirteen edges of the months in a width, from its left
    height_mm: float

    @property
    def least_width(self) -> float:
        return 12 * MONTH_WIDTH + 45.0

    def height(self, width: float) -> float:
        return self.height_mm

    def split(self, width: float, room: float) -> tuple[Block, Block] | None:
        return None

    def draw(self, paper: Paper, x: float, top: float, width: float) -> None:
        draw_heading(paper, self._title(), x, top, width)
        edges = [x + e for e in self.edges_of(width)]
        box = Box(edges[0], top - self.height_mm + MONTH_ROW, edges[-1], top - HEADING - _OVER)
        most = max(max(self._comes_in(m), m.demand_wh_day) for m in self.energy.months)
        kilo = 1000.0 if most >= _KILO_FROM else 1.0
        marks = levels(most / kilo)
        draw_levels(paper, box, marks, "kWh a day" if kilo > 1.0 else "Wh a day")
        for month, left, right in zip(self.energy.months, edges, edges[1:], strict=False):
            self._draw_bar(paper, box, month, (left + right) / 2, right - left, marks[-1] * kilo)
        if draws_anything(self.energy):
            self._draw_demand(paper, box, edges, marks[-1] * kilo)
        draw_base(paper, box)
        draw_month_names(paper, edges, box.y0)
        self._draw_key(paper, x, box)

    def _title(self) -> str:
        return "What comes in and what is drawn" if draws_anything(self.energy) else "What comes in"

    def _comes_in(self, month: MonthYield) -> float:
        return sum(s.wh_day(month) for s in SOURCES)

    def _draw_bar(
        self, paper: Paper, box: Box, month: MonthYield, middle: float, wide: float, most: float
    ) -> None:
        half, below = wide * _BAR / 2, 0.0
        for source in sources_of(self.energy):
            over = below + source.wh_day(month)
            if over > below:
                part = Box(
                    middle - half, height_of(box, below, most), middle + half, height_of(box, over, most)
                )
                paper.box(part, source.mark.fill, 0)
                for angle in source.mark.angles_deg:
                    paper.hatch(part.corners, source.mark.pitch_mm, 0.18, source.mark.hatch, angle)
                paper.box(part, None, 0.25, source.mark.edge)
            below = over

    def _draw_demand(self, paper: Paper, box: Box, edges: Sequence[float], most: float) -> None:
        points = []
        for month, left, right in zip(self.energy.months, edges, edges[1:], strict=False):
            y = height_of(box, month.demand_wh_day, most)
            points += [(left, y), (right, y)]
        paper.line(points, 1.2, "white")
        paper.line(points, 0.7, INK)

    def _draw_key(self, paper: Paper, x: float, box: Box) -> None:
        y = box.y1 - 3.0
        if draws_anything(self.energy):
            paper.line([(x + 0.5, y + 1.2), (x + 7.5, y + 1.2)], 0.7, INK)
            paper.text(x + 9.0, y, "loads", NORMAL)
            y -= 1.6 * line_mm(NORMAL)
        for source in reversed(sources_of(self.energy)):
            draw_swatch(paper, source.mark, x + 0.5, y - 0.4, 7.0, 3.2)
            paper.text(x + 9.0, y, source.name, NORMAL)
            y -= 1.6 * line_mm(NORMAL)


def month_blocks(energy: Energy, chart_mm: float) -> list[Block]:
    """The chart and the table under it; nothing where nothing comes in and nothing is drawn."""
    if not sources_of(energy) and not draws_anything(energy):
        return []
    table = months_table(energy)
    return [MonthChart(energy, edges_under(table), chart_mm), table]


def edges_under(table: TableBlock) -> Callable[[float], Sequence[float]]:
    """The edges of a table's twelve last columns, from its left."""

    def edges(width: float) -> Sequence[float]:
        widths = table.widths(width)
        return [sum(widths[: k + 1]) for k in range(13)]

    return edges


def months_table(energy: Energy) -> TableBlock:
    """A row a figure, a column a month."""
    rows = [_row("sun, kWh/m² a day", [fixed(m.sun_kwh_m2_day, 1) for m in energy.months])]
    for source in sources_of(energy):
        rows.append(_row(f"{source.name}, Wh a day", [wh_figure(source.wh_day(m)) for m in energy.months]))
    notes = ["Sun: on the level. Roof panels: what they could give the battery behind the controllers."]
    if draws_anything(energy):
        rows.append(_row("loads, Wh a day", [wh_figure(m.demand_wh_day) for m in energy.months]))
        notes[0] += " Loads: with the inverter's losses."
    if any(m.empty_pct is not None for m in energy.months):
        rows.append(_row("battery runs empty, % of days", [_pct(m.empty_pct) for m in energy.months]))
    if any(m.empty_less_sun_pct is not None for m in energy.months):
        off = energy.month_uncertainty_pct
        by = "" if off is None else f"{number(off)} % "
        rows += [
            _row(f"with {by}less sun, % of days", [_pct(m.empty_less_sun_pct) for m in energy.months]),
            _row(f"with {by}more sun, % of days", [_pct(m.empty_more_sun_pct) for m in energy.months]),
        ]
        notes.append("Less and more sun: if the month has so much less or more than estimated.")
        if off is not None:
            notes[-1] += f" A single month lies within {number(off)} % at nine places in ten."
    if any(m.spilled_pct is not None for m in energy.months):
        rows.append(_row("finds the battery full, %", [_pct(m.spilled_pct) for m in energy.months]))
        notes.append(f"Finds the battery full: of what {_gives(energy)} could give.")
    if any(m.soc_middle_pct is not None for m in energy.months):
        rows += [
            _row("charge at sunrise, low, %", [_pct(m.soc_low_pct) for m in energy.months]),
            _row("charge at sunrise, middle, %", [_pct(m.soc_middle_pct) for m in energy.months]),
            _row("charge at sunrise, high, %", [_pct(m.soc_high_pct) for m in energy.months]),
        ]
        notes.append(
            "Charge: state of charge in % of the usable capacity; one day in ten stays below low, every other"
            " day below middle, nine in ten below high."
        )
    return TableBlock("By month", month_columns(""), tuple(rows), tuple(notes), NORMAL)


def _gives(energy: Energy) -> str:
    return "sun and driving" if any(m.driving_wh_day > 0.0 for m in energy.months) else "the sun"


def load_hours_table(hours: Sequence[LoadHours], loads: Sequence[Load] = ()) -> TableBlock | None:
    """A row a load: how long the sun alone carries it in the months in which it runs; None without any.

    A load that is not among `loads` runs all year.
    """
    if not hours:
        return None
    run = {load.name: load.months for load in loads}
    rows, part = [], False
    for own in hours:
        months = run.get(own.load, EVERY_MONTH)
        part = part or len(months) < 12
        told = (fixed(h, 1) if month in months else "–" for month, h in enumerate(own.hours_day, start=1))
        rows.append(_row(clean(own.load), list(told)))
    notes = [
        "Each load by itself, on a mean day of the month, straight from the panels without the battery."
        + (" –: a month in which it does not run." if part else "")
    ]
    return TableBlock(
        "Hours a day that the sun alone carries a load",
        month_columns("load"),
        tuple(rows),
        tuple(notes),
        NORMAL,
    )


def month_columns(first: str) -> tuple[Column, ...]:
    """A column for words, and one a month."""
    months = (Column((name,), "center", least_mm=MONTH_WIDTH) for name in SHORT_MONTHS)
    return (Column((first,), "left", flexible=True), *months)


def _row(name: str, cells: Sequence[str]) -> Row:
    return Row((name, *cells))


def _pct(value: float | None) -> str:
    """A share [%], told from 0 where it is only near."""
    return "–" if value is None else pct_figure(value)
