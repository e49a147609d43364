"""The warning triangle, and the short caution that stands beside the title block of every wiring sheet."""

from __future__ import annotations

from .arrange import strip_box
from .lettering import NORMAL, em_mm, line_mm, wrap
from .paper import INK, Paper

SHORT_CAUTION = (
    "Panels are live in daylight: cover them or work at dusk. Fuses and isolators first. Battery side on"
    " first, panels off first. Work at height: use fall protection. Local codes and licensed practice rule."
)
_YELLOW = "#f7c600"


def draw_warning_triangle(paper: Paper, x: float, y: float, side_mm: float) -> None:
    """Electricity warning after ISO 7010 W012 (from memory): a flash in a triangle, lower left at (x, y)."""
    high = side_mm * 0.866
    paper.polygon([(x, y), (x + side_mm, y), (x + side_mm / 2, y + high)], _YELLOW, 0.7, INK)
    flash = [(0.54, 0.72), (0.38, 0.36), (0.49, 0.40), (0.43, 0.14), (0.62, 0.47), (0.51, 0.43), (0.60, 0.72)]
    paper.polygon([(x + u * side_mm, y + v * high) for u, v in flash], INK, 0)


def draw_short_caution(paper: Paper) -> None:
    """The caution left of the title block."""
    strip = strip_box(paper.size)
    draw_warning_triangle(paper, strip.x0, strip.y1 - 12.0, 11.0)
    left, y = strip.x0 + 14.0, strip.y1
    wide = min(strip.x1 - left, 90.0)
    for line in wrap(SHORT_CAUTION, NORMAL, wide):
        paper.text(left, y - 0.8 * em_mm(NORMAL), line, NORMAL)
        y -= line_mm(NORMAL)
