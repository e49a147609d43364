"""The heading over a facet's view: its name, where the front lies, how it slopes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..facing import AXIS_DEG
from ..job import Facet
from .lettering import LARGE, NORMAL, line_mm, number, shorten, width_mm, wrap
from .paper import Paper

_ARROW = 6.5
_ROW = 7.5
_GAP = 5.0
_MOST_NAME_LINES = 3
_MOST_REMARKS = 5
_AFTER_NAME = 3.0  # more before the first sign behind the name
LEAST_WIDTH = 62.0


@dataclass(frozen=True, slots=True)
class Sign:
    """A few words, with an arrow before them when they point somewhere [degrees on paper]."""

    words: str
    angle_deg: float | None = None

    @property
    def width_mm(self) -> float:
        arrow = 0.0 if self.angle_deg is None else _ARROW + 1.5
        return arrow + width_mm(self.words, NORMAL)


@dataclass(frozen=True, slots=True)
class Header:
    """The name in lines, signs behind its last line where they fit, else in rows below; remarks last."""

    name: tuple[str, ...]
    beside: tuple[Sign, ...]
    rows: tuple[tuple[Sign, ...], ...]
    remarks: tuple[str, ...]

    @property
    def name_height_mm(self) -> float:
        high = len(self.name) * line_mm(LARGE)
        return high + (_ROW - line_mm(LARGE) if self.beside else 0.0)

    @property
    def width_mm(self) -> float:
        """What the widest row of signs needs; names and remarks wrap."""
        rows = [sum(s.width_mm for s in row) + _GAP * (len(row) - 1) for row in self.rows]
        return max(rows, default=0.0)

    @property
    def height_mm(self) -> float:
        remarks = len(self.remarks) * line_mm(NORMAL)
        return self.name_height_mm + len(self.rows) * _ROW + remarks + 1.5


def signs(facet: Facet, heading_deg: float | None) -> list[Sign]:
    """What a facet's heading says beside its name."""
    front = AXIS_DEG[facet.front]
    listed = [Sign("FRONT", front)]
    slope = number(facet.slope_deg, 1)
    if facet.slope_deg == 0:
        listed.append(Sign("flat, slope 0°"))
    elif facet.downhill is None:
        listed.append(Sign(f"slope {slope}°"))
    elif isinstance(facet.downhill, str):
        listed.append(Sign(f"downhill, slope {slope}°", AXIS_DEG[facet.downhill]))
    else:
        words = f"downhill to bearing {number(facet.downhill)}°, slope {slope}°"
        angle = None if heading_deg is None else front - (facet.downhill - heading_deg)
        listed.append(Sign(words, angle))
    if heading_deg is not None:
        listed.append(Sign("NORTH", front + heading_deg))
    return listed


def plan_header(
    facet: Facet, heading_deg: float | None, room_mm: float, remarks: Sequence[str] = ()
) -> Header:
    """The heading in a room so wide [mm of paper], with further remarks on the view."""
    listed = signs(facet, heading_deg)
    lines = tuple(line for remark in remarks for line in wrap(remark, NORMAL, room_mm))
    lines = shorten(lines, _MOST_REMARKS, NORMAL, room_mm)
    lines_of_name = wrap(facet.name, LARGE, room_mm, bold=True)
    name = shorten(lines_of_name, _MOST_NAME_LINES, LARGE, room_mm, bold=True)
    beside_width = sum(_GAP + sign.width_mm for sign in listed)
    if width_mm(name[-1], LARGE, True) + _AFTER_NAME + beside_width <= room_mm:
        return Header(name, tuple(listed), (), lines)
    rows: list[list[Sign]] = []
    used = math.inf
    for sign in listed:
        if used + _GAP + sign.width_mm > room_mm:
            rows.append([])
            used = -_GAP
        rows[-1].append(sign)
        used += _GAP + sign.width_mm
    return Header(name, (), tuple(tuple(row) for row in rows), lines)


def draw_header(paper: Paper, header: Header, x: float, top: float) -> None:
    """Draw the heading with its upper left corner at (x, top)."""
    base = top - header.name_height_mm + (_ROW - LARGE if header.beside else line_mm(LARGE) - LARGE) / 2
    for index, line in enumerate(reversed(header.name)):
        paper.text(x, base + index * line_mm(LARGE), line, LARGE, bold=True)
    beside_x = x + width_mm(header.name[-1], LARGE, True) + _AFTER_NAME + _GAP
    _draw_signs(paper, header.beside, beside_x, base + LARGE / 2)
    top -= header.name_height_mm
    for row in header.rows:
        _draw_signs(paper, row, x, top - _ROW / 2)
        top -= _ROW
    for remark in header.remarks:
        paper.text(x, top - line_mm(NORMAL) + 1.0, remark, NORMAL)
        top -= line_mm(NORMAL)


def _draw_signs(paper: Paper, row: Sequence[Sign], left: float, middle: float) -> None:
    for sign in row:
        words_at = left
        if sign.angle_deg is not None:
            _draw_arrow(paper, left + _ARROW / 2, middle, sign.angle_deg)
            words_at += _ARROW + 1.5
        paper.text(words_at, middle - NORMAL / 2, sign.words, NORMAL)
        left += sign.width_mm + _GAP


def _draw_arrow(paper: Paper, x: float, y: float, angle_deg: float) -> None:
    dx = math.cos(math.radians(angle_deg)) * _ARROW / 2
    dy = math.sin(math.radians(angle_deg)) * _ARROW / 2
    paper.arrow((x - dx, y - dy), (x + dx, y + dy), width_mm=0.5, head_mm=3.2)
