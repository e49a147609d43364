"""Rectangles and line segments in millimetres of paper: what overlaps or crosses what."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

PaperPoint = tuple[float, float]
Segment = tuple[PaperPoint, PaperPoint]


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle; x to the right, y up, both in millimetres of paper."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        return self.y1 - self.y0

    @property
    def centre(self) -> PaperPoint:
        return (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2

    @property
    def corners(self) -> tuple[PaperPoint, PaperPoint, PaperPoint, PaperPoint]:
        """Counter-clockwise from the lower left."""
        return (self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1)

    def grown(self, margin: float) -> Box:
        """The box with a margin added on all four sides (taken off when negative)."""
        return Box(self.x0 - margin, self.y0 - margin, self.x1 + margin, self.y1 + margin)

    def overlaps(self, other: Box) -> bool:
        """True when the insides share a point; touching edges do not overlap."""
        return self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1

    def meet(self, other: Box) -> Box | None:
        """What both boxes share, or None."""
        if not self.overlaps(other):
            return None
        x0, y0 = max(self.x0, other.x0), max(self.y0, other.y0)
        return Box(x0, y0, min(self.x1, other.x1), min(self.y1, other.y1))

    def contains(self, other: Box, slack: float = 1e-6) -> bool:
        """True when the other box lies inside this one, edges included."""
        return (
            other.x0 >= self.x0 - slack
            and other.y0 >= self.y0 - slack
            and other.x1 <= self.x1 + slack
            and other.y1 <= self.y1 + slack
        )


def bounding_box(points: Iterable[PaperPoint]) -> Box:
    """The smallest box around some points. Raises ValueError when there are none."""
    listed = list(points)
    xs = [p[0] for p in listed]
    ys = [p[1] for p in listed]
    return Box(min(xs), min(ys), max(xs), max(ys))


def point_in_polygon(point: PaperPoint, polygon: Iterable[PaperPoint]) -> bool:
    """True inside a simple polygon (crossing number); points on the edge may go either way."""
    x, y = point
    corners = list(polygon)
    inside = False
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            inside = not inside
    return inside
