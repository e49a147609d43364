"""Rectangles and polygons in fractions, without any geometry library: what inspection is held against."""

from __future__ import annotations

from fractions import Fraction

Ring = tuple[tuple[int, int], ...]
Number = int | Fraction
Rectangle = tuple[Number, Number, Number, Number]


def rectangle_is_within(rect: Rectangle, ring: Ring) -> bool:
    """No edge enters the open rectangle and its middle lies inside the polygon."""
    return not _an_edge_enters(rect, ring) and _middle_is_inside(rect, ring)


def polygon_is_clear_of(rect: Rectangle, ring: Ring) -> bool:
    """No edge enters the open rectangle and its middle lies outside the polygon."""
    return not _an_edge_enters(rect, ring) and not _middle_is_inside(rect, ring)


def _an_edge_enters(rect: Rectangle, ring: Ring) -> bool:
    return any(_enters(rect, p, q) for p, q in zip(ring, ring[1:] + ring[:1], strict=True))


def _enters(rect: Rectangle, p: tuple[int, int], q: tuple[int, int]) -> bool:
    """True when part of the segment has x_min < x < x_max and y_min < y < y_max."""
    first, last = Fraction(0), Fraction(1)
    for axis in (0, 1):
        start, step = p[axis], q[axis] - p[axis]
        low, high = rect[axis], rect[axis + 2]
        if step == 0:
            if not low < start < high:
                return False
            continue
        ends = sorted((Fraction(low - start) / step, Fraction(high - start) / step))
        first, last = max(first, ends[0]), min(last, ends[1])
    return first < last


def _middle_is_inside(rect: Rectangle, ring: Ring) -> bool:
    """Even-odd rule for a ray to the right of the rectangle's middle."""
    x, y = Fraction(rect[0] + rect[2]) / 2, Fraction(rect[1] + rect[3]) / 2
    inside = False
    for (px, py), (qx, qy) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (py > y) != (qy > y) and x < px + (y - py) * Fraction(qx - px, qy - py):
            inside = not inside
    return inside
