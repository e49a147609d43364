"""A roof that forbids a little less, with lines along the axes only: what is true of it bounds the real one.

Along a slanted or round line touching positions are a continuum, so a proof holds over the positions
tried. Inside every slanted or round shape lie rectangles that fill most of it; panels that keep clear of
the shape keep clear of them too. With the rectangles in place of the shape, positions are sums of pitches
again, and no layout of the real roof has more watts than the best one of the eased roof.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from rooflayout.job import Point
from rooflayout.packing.clearance import TOLERANCE_MM, Block, ConvexBlock, Field, RoundBlock, box_block

SLABS = 8  # rectangles for a shape at most; each brings lines of its own to touch
SLAB_MM = 20  # and no thinner than this, but where finer ones are asked for
MOST_NESTED = 6  # rectangles inside a circle
LOST_MM = 0.4  # of its radius, where it is widest and highest


def eased(field: Field, finer: int = 1) -> Field:
    """The field with every slanted or round block replaced by rectangles inside it; finer times as many."""
    blocks: list[Block] = []
    for block in field.blocks:
        if isinstance(block, RoundBlock):
            blocks += _in_circle(block, finer)
        elif block.axis_parallel():
            blocks.append(block)
        else:
            blocks += _in_polygon(block, finer)
    return replace(field, blocks=tuple(blocks))


def widened(field: Field) -> Field:
    """An eased field with all its lines moved to the next whole millimetre, so that more is allowed.

    With pitches in whole millimetres, a layout pushed to one corner then stands on whole millimetres:
    what bounds those bounds a layout anywhere.
    """
    blocks = []
    for block in field.blocks:
        x0, y0, x1, y1 = block.bounds_mm()
        left, low, right, high = (_up(x0), _up(y0), -_up(-x1), -_up(-y1))
        if left < right and low < high:
            blocks.append(box_block(left, low, right, high))
    return Field(
        field.facet,
        -_up(-field.x_min),
        -_up(-field.y_min),
        _up(field.x_max),
        _up(field.y_max),
        tuple(blocks),
        field.slant_step_mm,
    )


def _up(at: float) -> float:
    return float(math.ceil(at - TOLERANCE_MM))


def _in_circle(block: RoundBlock, finer: int) -> list[Block]:
    """Rectangles with their corners on the circle, so that together they are nearly as wide and as high."""
    (cx, cy), radius = block.centre_mm, block.radius_mm
    count = max(1, min(MOST_NESTED * finer, math.ceil(2 * radius * finer / SLAB_MM)))
    found: list[Block] = []
    first = min(math.pi / 4, math.acos(1.0 - min(1.0, LOST_MM / radius)))
    for number in range(count):
        angle = first + (math.pi / 2 - 2 * first) * number / max(1, count - 1)
        half_x, half_y = radius * math.cos(angle), radius * math.sin(angle)
        found.append(box_block(cx - half_x, cy - half_y, cx + half_x, cy + half_y))
    return found


def _in_polygon(block: ConvexBlock, finer: int) -> list[Block]:
    """Slabs of a convex polygon, each as wide as the polygon is at both its edges."""
    corners = block.corners_mm
    levels = sorted({y for _, y in corners})
    found: list[Block] = []
    for bottom, top in pairwise(levels):
        heights = _cuts(bottom, top, finer)
        for low, high in pairwise(heights):
            (a, b), (c, d) = _width(corners, low), _width(corners, high)
            left, right = max(a, c), min(b, d)
            if right > left:
                found.append(box_block(left, low, right, high, block.margin_mm))
    return found


def _cuts(low: float, high: float, finer: int) -> list[float]:
    count = max(1, min(SLABS * finer, math.ceil((high - low) * finer / SLAB_MM)))
    return [*(low + (high - low) * i / count for i in range(count)), high]


def _width(corners: tuple[Point, ...], y: float) -> tuple[float, float]:
    """Where a line y = const enters and leaves a convex polygon that it meets."""
    xs = [x for x, at in corners if at == y]
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        if min(y0, y1) < y < max(y0, y1):
            xs.append(x0 + (x1 - x0) * (y - y0) / (y1 - y0))
    return min(xs), max(xs)
