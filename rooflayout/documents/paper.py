"""A sheet of paper that can be drawn on in millimetres, over a matplotlib figure.

Line widths follow ISO 128-2 (groups 0.25/0.5 and 0.35/0.7 mm). The origin is the lower left corner.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon

from .box import Box, PaperPoint
from .lettering import FAMILY, POINTS_PER_MM, Align, font_points, text_box

INK = "#1b1b1b"
GREY = "#6d6d6d"
FAINT = "#b9b9b9"

Dashes = Literal["solid", "dashed", "dashdot"]

# Lengths of dash and gap in multiples of the line width.
_DASHES: dict[Dashes, tuple[float, tuple[float, ...]] | Literal["solid"]] = {
    "solid": "solid",
    "dashed": (0.0, (7.0, 4.0)),
    "dashdot": (0.0, (14.0, 3.0, 1.0, 3.0)),
}


@dataclass(frozen=True, slots=True)
class PaperSize:
    """A trimmed sheet of ISO 216, landscape."""

    name: str
    width_mm: float
    height_mm: float


A4 = PaperSize("A4", 297.0, 210.0)
A3 = PaperSize("A3", 420.0, 297.0)


class Paper:
    """Draws in millimetres, later things over earlier ones, and remembers where lettering is."""

    def __init__(self, size: PaperSize) -> None:
        self.size = size
        self.figure = Figure(figsize=(size.width_mm / 25.4, size.height_mm / 25.4), facecolor="white")
        FigureCanvasAgg(self.figure)
        self._axes = self.figure.add_axes((0, 0, 1, 1))
        self._axes.set_xlim(0, size.width_mm)
        self._axes.set_ylim(0, size.height_mm)
        self._axes.set_axis_off()
        self.text_boxes: list[Box] = []
        self._layers = 0

    def line(
        self,
        points: Sequence[PaperPoint],
        width_mm: float = 0.25,
        colour: str = INK,
        dashes: Dashes = "solid",
    ) -> None:
        """A line through some points."""
        self._add(
            Line2D(
                [p[0] for p in points],
                [p[1] for p in points],
                linewidth=width_mm * POINTS_PER_MM,
                color=colour,
                linestyle=_DASHES[dashes],
                solid_capstyle="butt",
                solid_joinstyle="miter",
                dash_capstyle="butt",
            )
        )

    def polygon(
        self,
        points: Sequence[PaperPoint],
        fill: str | None = None,
        width_mm: float = 0.25,
        colour: str = INK,
        dashes: Dashes = "solid",
        clip: Sequence[PaperPoint] | None = None,
    ) -> None:
        """A closed shape; a width of 0 draws no outline; clip cuts off what lies outside a polygon."""
        patch = Polygon(
            np.array(points),
            closed=True,
            facecolor=fill or "none",
            edgecolor=colour if width_mm > 0 else "none",
            linewidth=width_mm * POINTS_PER_MM,
            linestyle=_DASHES[dashes],
            joinstyle="miter",
        )
        self._add(patch)
        if clip is not None:
            patch.set_clip_path(self._clip_patch(clip))

    def box(self, box: Box, fill: str | None = None, width_mm: float = 0.25, colour: str = INK) -> None:
        """A rectangle."""
        self.polygon(box.corners, fill, width_mm, colour)

    def boxes(self, boxes: Sequence[Box], fill: str, clip: Sequence[PaperPoint] | None = None) -> None:
        """Many rectangles of one colour without outlines, as one thing; clip as in polygon."""
        hair = 0.05 * POINTS_PER_MM  # a rim of the fill, so that neighbours meet without a light seam
        patches = PolyCollection(
            [np.array(box.corners) for box in boxes], facecolors=fill, edgecolors=fill, linewidths=hair
        )
        self._add(patches)
        if clip is not None:
            patches.set_clip_path(self._clip_patch(clip))

    def circle(
        self,
        centre: PaperPoint,
        radius_mm: float,
        fill: str | None = None,
        width_mm: float = 0.25,
        colour: str = INK,
        dashes: Dashes = "solid",
        clip: Sequence[PaperPoint] | None = None,
    ) -> None:
        """A circle; a width of 0 draws no outline."""
        patch = Circle(
            centre,
            radius_mm,
            facecolor=fill or "none",
            edgecolor=colour if width_mm > 0 else "none",
            linewidth=width_mm * POINTS_PER_MM,
            linestyle=_DASHES[dashes],
        )
        self._add(patch)
        if clip is not None:
            patch.set_clip_path(self._clip_patch(clip))

    def hatch(
        self,
        points: Sequence[PaperPoint],
        pitch_mm: float = 1.6,
        width_mm: float = 0.13,
        colour: str = GREY,
        angle_deg: float = 45.0,
    ) -> None:
        """Parallel lines inside a polygon, the pitch being the distance between them on paper."""
        angle = math.radians(angle_deg)
        along, across = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))
        offsets = [p[0] * across[0] + p[1] * across[1] for p in points]
        runs = [p[0] * along[0] + p[1] * along[1] for p in points]
        first, last = math.ceil(min(offsets) / pitch_mm), math.floor(max(offsets) / pitch_mm)
        segments = [
            [(along[0] * r + across[0] * k * pitch_mm, along[1] * r + across[1] * k * pitch_mm) for r in ends]
            for ends in ((min(runs), max(runs)),)
            for k in range(first, last + 1)
        ]
        lines = LineCollection(segments, linewidths=width_mm * POINTS_PER_MM, colors=colour)
        self._add(lines)
        lines.set_clip_path(self._clip_patch(points))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        height_mm: float = 2.5,
        align: Align = "left",
        vertical: bool = False,
        bold: bool = False,
        colour: str = INK,
    ) -> Box:
        """One line of lettering whose baseline starts, centres or ends at (x, y); returns its box."""
        box = text_box(x, y, text, height_mm, align, vertical, bold)
        if not text:
            return box
        self._axes.text(
            x,
            y,
            text,
            fontsize=font_points(height_mm),
            family=FAMILY,
            weight="bold" if bold else "normal",
            horizontalalignment=align,
            verticalalignment="baseline",
            rotation=90 if vertical else 0,
            rotation_mode="anchor",
            color=colour,
            parse_math=False,
            zorder=self._next_layer(),
        )
        self.text_boxes.append(box)
        return box

    def arrow(self, tail: PaperPoint, tip: PaperPoint, width_mm: float = 0.25, head_mm: float = 2.5) -> None:
        """A line with a filled head that shows a direction."""
        angle = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
        neck = tip[0] - 0.8 * head_mm * math.cos(angle), tip[1] - 0.8 * head_mm * math.sin(angle)
        self.line([tail, neck], width_mm)
        half = math.radians(22)
        wings = [
            (tip[0] - head_mm * math.cos(angle + turn), tip[1] - head_mm * math.sin(angle + turn))
            for turn in (half, -half)
        ]
        self.polygon([tip, *wings], fill=INK, width_mm=0)

    def _add(self, artist: Artist) -> None:
        artist.set_zorder(self._next_layer())
        self._axes.add_artist(artist)

    def _next_layer(self) -> int:
        self._layers += 1
        return self._layers

    def _clip_patch(self, points: Sequence[PaperPoint]) -> Polygon:
        return Polygon(np.array(points), closed=True, transform=self._axes.transData)
