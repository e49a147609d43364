"""Running dimensions from the datum (ISO 129-1: superimposed running dimensioning), and overall ones.

One dimension line, a small circle at the origin, a stroke at every distinct value; the figures stand
apart far enough to read and are joined to their strokes by a bent line where they had to move.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from .box import Box, PaperPoint
from .lettering import NORMAL, SMALL, Align, line_mm, millimetres, text_box, width_mm
from .paper import INK, Paper

Side = Literal["bottom", "left", "top", "right"]

LINE_OFF = 6.0  # from the edge to the dimension line
BEND = 4.5  # from the dimension line to the figures
_STROKE = 1.0
OVERALL_OFF = 5.0  # from the edge to the line of an overall length


@dataclass(frozen=True, slots=True)
class Running:
    """Values [mm on the roof], where they lie and where their figures stand [mm of paper from 0]."""

    values: tuple[float, ...]
    places: tuple[float, ...]
    figures: tuple[float, ...]
    height_mm: float

    @property
    def depth_mm(self) -> float:
        """How far line and figures reach out from the edge."""
        widest = max((width_mm(millimetres(v), self.height_mm) for v in self.values), default=0.0)
        return LINE_OFF + BEND + widest + 0.5

    def figure_boxes(self, side: Side, origin: PaperPoint, edge: float) -> list[Box]:
        """The boxes of the figures along an edge [mm of paper]."""
        return [
            text_box(
                *_figure_spot(side, origin, edge, f, self.height_mm),
                millimetres(v),
                self.height_mm,
                _ALIGN[side],
                side in ("bottom", "top"),
            )
            for v, f in zip(self.values, self.figures, strict=True)
        ]


_ALIGN: dict[Side, Align] = {"bottom": "right", "left": "right", "top": "left", "right": "left"}


def _figure_spot(side: Side, origin: PaperPoint, edge: float, figure: float, height: float) -> PaperPoint:
    """Where a figure's baseline starts or ends; its capitals are centred on the figure's place."""
    off = LINE_OFF + BEND
    if side in ("bottom", "top"):
        return origin[0] + figure + height / 2, edge + (off if side == "top" else -off)
    return edge + (off if side == "right" else -off), origin[1] + figure - height / 2


def distinct(values: Iterable[float], tolerance: float = 0.05) -> tuple[float, ...]:
    """The values in order, those that would read alike only once."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > tolerance:
            kept.append(value)
    return tuple(kept)


def spread(places: Sequence[float], pitch: float, low: float, high: float) -> tuple[float, ...] | None:
    """Places moved as little as may be so that neighbours are a pitch apart, within low and high.

    Least squares by pooling neighbours that would collide. None when they cannot all stand there.
    """
    count = len(places)
    if count and pitch * (count - 1) > high - low:
        return None
    groups: list[tuple[float, int]] = []  # mean of the first figure's wish, how many figures
    for index, place in enumerate(places):
        mean, size = place - index * pitch, 1
        while groups and groups[-1][0] > mean:
            other, others = groups.pop()
            mean = (mean * size + other * others) / (size + others)
            size += others
        groups.append((mean, size))
    starts = [mean for mean, size in groups for _ in range(size)]
    room = high - pitch * (count - 1)
    return tuple(min(max(start, low), room) + index * pitch for index, start in enumerate(starts))


def plan_running(values: Iterable[float], denominator: int, low: float, high: float) -> Running | None:
    """Running dimensions at a scale, the figures between low and high [mm of paper].

    None when the figures cannot be told apart there.
    """
    listed = distinct([0.0, *values])
    places = tuple(v / denominator for v in listed)
    for height in (NORMAL, SMALL):
        figures = spread(places, line_mm(height) * 0.96, low, high)
        if figures is not None:
            return Running(listed, places, figures, height)
    return None


def draw_extensions(
    paper: Paper, running: Running, side: Side, origin: PaperPoint, edge: float, starts: Sequence[float]
) -> None:
    """Thin lines across the roof from each feature (its other coordinate in starts) to the edge."""
    for place, start in zip(running.places, starts, strict=True):
        if side in ("bottom", "top"):
            paper.line([(origin[0] + place, start), (origin[0] + place, edge)], 0.13)
        else:
            paper.line([(start, origin[1] + place), (edge, origin[1] + place)], 0.13)


def draw_running(paper: Paper, running: Running, side: Side, origin: PaperPoint, edge: float) -> None:
    """The dimension line, its strokes and figures, outside the edge [mm of paper, x or y]."""
    across = side in ("bottom", "top")
    out = -1.0 if side in ("bottom", "left") else 1.0

    def at(along: float, off: float) -> PaperPoint:
        if across:
            return origin[0] + along, edge + out * off
        return edge + out * off, origin[1] + along

    first, last = min(running.places), max(running.places)
    if side in ("bottom", "left"):
        last = max(last, *running.figures) + 4.0
        _draw_axis_letter(paper, at(last, LINE_OFF), across)
    paper.line([at(first, LINE_OFF), at(last, LINE_OFF)], 0.18)
    for value, place, figure in zip(running.values, running.places, running.figures, strict=True):
        paper.line([at(place, 0.8), at(place, LINE_OFF + 1.0)], 0.13)
        paper.line(
            [at(place, LINE_OFF + 1.0), at(figure, LINE_OFF + BEND - 1.0), at(figure, LINE_OFF + BEND - 0.4)],
            0.13,
        )
        if abs(value) < 0.05:
            paper.circle(at(place, LINE_OFF), 0.8, fill="white", width_mm=0.25)
        else:
            (x, y), s = at(place, LINE_OFF), _STROKE
            paper.line([(x - s, y - s), (x + s, y + s)], 0.35)
        x, y = _figure_spot(side, origin, edge, figure, running.height_mm)
        paper.text(x, y, millimetres(value), running.height_mm, _ALIGN[side], vertical=across)


def _draw_axis_letter(paper: Paper, end: PaperPoint, across: bool) -> None:
    x, y = end
    if across:
        paper.polygon([(x, y), (x - 2.2, y + 0.5), (x - 2.2, y - 0.5)], fill=INK, width_mm=0)
        paper.text(x + 0.8, y - 0.9, "x", NORMAL, bold=True)
    else:
        paper.polygon([(x, y), (x - 0.5, y - 2.2), (x + 0.5, y - 2.2)], fill=INK, width_mm=0)
        paper.text(x, y + 1.3, "y", NORMAL, "center", bold=True)


def overall_boxes(box: Box, along_x_mm: float, along_y_mm: float) -> tuple[Box, Box]:
    """The boxes of the overall lengths' figures above and right of a box."""
    x, y = box.centre
    above = text_box(x, box.y1 + OVERALL_OFF + 0.9, millimetres(along_x_mm), NORMAL, "center")
    beside = text_box(box.x1 + OVERALL_OFF + 0.1, y, millimetres(along_y_mm), NORMAL, "center", vertical=True)
    return above, beside


def draw_overall(paper: Paper, box: Box, along_x_mm: float, along_y_mm: float) -> None:
    """Overall lengths above and right of a box; the lengths in millimetres of roof."""
    y = box.y1 + OVERALL_OFF
    for x in (box.x0, box.x1):
        paper.line([(x, box.y1 + 0.8), (x, y + 1.2)], 0.13)
    paper.line([(box.x0, y), (box.x1, y)], 0.18)
    _heads(paper, (box.x0, y), (box.x1, y))
    paper.text((box.x0 + box.x1) / 2, y + 0.9, millimetres(along_x_mm), NORMAL, "center")
    x = box.x1 + OVERALL_OFF + 1.0
    for y in (box.y0, box.y1):
        paper.line([(box.x1 + 0.8, y), (x + 1.2, y)], 0.13)
    paper.line([(x, box.y0), (x, box.y1)], 0.18)
    _heads(paper, (x, box.y0), (x, box.y1))
    paper.text(x - 0.9, (box.y0 + box.y1) / 2, millimetres(along_y_mm), NORMAL, "center", vertical=True)


def _heads(paper: Paper, a: PaperPoint, b: PaperPoint) -> None:
    long = min(2.5, 0.4 * (abs(b[0] - a[0]) + abs(b[1] - a[1])))
    half = long * 0.21
    for (x, y), inward in ((a, 1.0), (b, -1.0)):
        if a[1] == b[1]:
            wings = [(x + inward * long, y + half), (x + inward * long, y - half)]
        else:
            wings = [(x + half, y + inward * long), (x - half, y + inward * long)]
        paper.polygon([(x, y), *wings], fill=INK, width_mm=0)
