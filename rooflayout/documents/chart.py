"""What the charts share: even levels with their figures, months along the lower edge, keys."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..months import DAYS_IN_MONTH, SHORT_MONTHS
from .box import Box
from .lettering import NORMAL, number
from .paper import FAINT, INK, Paper

DAYS = DAYS_IN_MONTH
MONTH_ROW = 6.0  # under a chart, for the months' names
_MOST_LEVELS = 6


def levels(most: float) -> tuple[float, ...]:
    """From 0 in even steps of 1, 2 or 5 times a power of ten, the last one at or over the most."""
    if most <= 0.0:
        return (0.0, 1.0)
    power = 10.0 ** math.floor(math.log10(most / _MOST_LEVELS))
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0, 20.0) if most / (s * power) <= _MOST_LEVELS)
    count = max(1, math.ceil(most / step - 1e-9))
    return tuple(k * step for k in range(count + 1))


def height_of(box: Box, value: float, most: float) -> float:
    """Where a value stands in a chart from 0 to the most [mm of paper]."""
    return box.y0 + box.height * value / most


def draw_levels(paper: Paper, box: Box, values: Sequence[float], unit: str) -> None:
    """A faint line across at each value, its figure before it, the unit over the highest one."""
    digits = 0 if all(abs(v - round(v)) < 1e-9 for v in values) else 1
    for value in values:
        y = height_of(box, value, values[-1])
        if value:
            paper.line([(box.x0, y), (box.x1, y)], 0.13, FAINT)
        paper.text(box.x0 - 1.5, y - NORMAL / 2, number(value, digits), NORMAL, "right")
    paper.text(box.x0 - 1.5, box.y1 + 2.6, unit, NORMAL, "right", bold=True)


def draw_base(paper: Paper, box: Box) -> None:
    """The line at 0."""
    paper.line([(box.x0, box.y0), (box.x1, box.y0)], 0.35, INK)


def draw_month_names(paper: Paper, edges: Sequence[float], y: float) -> None:
    """Their names centred between the edges, under a chart that ends at y."""
    for name, left, right in zip(SHORT_MONTHS, edges, edges[1:], strict=False):
        paper.text((left + right) / 2, y - MONTH_ROW + 1.6, name, NORMAL, "center", bold=True)


def month_edges(box: Box) -> tuple[float, ...]:
    """Thirteen edges of the months along a chart, each as long as its days."""
    ends = [sum(DAYS[:k]) for k in range(13)]
    return tuple(box.x0 + box.width * end / ends[-1] for end in ends)
