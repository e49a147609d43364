"""The key to the drawing's symbols, and the scale bar."""

from __future__ import annotations

from collections.abc import Callable

from ..job import Job
from ..plan import Plan
from ..wiring.lengths import gland_facet
from .blocks import KeyBlock, Symbol
from .box import Box
from .lettering import SMALL, millimetres
from .palette import OBSTACLE_FILL, UNWIRED_FILL
from .paper import INK, Paper
from .roof import LID, draw_datum_mark, draw_gland_mark
from .stack import Line, Stack, draw_stack

LONGEST_BAR = 60.0
_BESIDE_BAR = 30.0  # for the words beside a scale bar


def _datum(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    draw_datum_mark(paper, x + width / 2, y + height / 2)


def _obstacle(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    box = Box(x, y, x + width, y + height)
    paper.box(box, OBSTACLE_FILL, 0)
    paper.hatch(box.corners)
    paper.box(box, None, 0.5)


def _clearance(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    paper.polygon(Box(x, y, x + width, y + height).corners, None, 0.25, INK, "dashed")


def _lid(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    paper.polygon(Box(x, y, x + width, y + height).corners, None, 0.25, LID, "dashdot")


def _gland(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    draw_gland_mark(paper, x + width / 2, y + height / 2)


def _badge(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    stack = Stack((Line("", SMALL, True, "S1"),))
    draw_stack(paper, stack, x + width / 2 - 0.7, y + height / 2)


def _plain_panel(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    paper.box(Box(x, y, x + width, y + height), UNWIRED_FILL, 0.5)


def _running(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    middle = y + height / 2
    paper.line([(x + 1, middle), (x + width, middle)], 0.18)
    paper.circle((x + 1, middle), 0.8, fill="white")
    for at in (0.5, 0.85):
        paper.line([(x + width * at - 0.9, middle - 0.9), (x + width * at + 0.9, middle + 0.9)], 0.35)


def key_block(job: Job, plan: Plan) -> KeyBlock:
    """The symbols that this drawing uses."""
    panels = plan.layout.panels
    wired = plan.wiring is not None and bool(plan.wiring.strings)
    strings = {p for s in plan.wiring.strings for p in s.panels} if plan.wiring else set()
    entries: list[tuple[Symbol, str]] = [(_datum, "Datum: x = 0, y = 0")]
    if panels:
        entries.append((_running, "From the datum to panel edges"))
    if wired:
        entries.append((_badge, "Panel's string (own hatch)"))
    if any(p.panel not in strings for p in panels):
        entries.append((_plain_panel, "Panel without a string" if wired else "Panel"))
    if job.obstacles:
        entries.append((_obstacle, "Obstacle"))
    if any(o.clearance_mm > 0 for o in job.obstacles):
        entries.append((_clearance, "Clearance: no panel inside"))
    if any(o.swing_mm() is not None for o in job.obstacles):
        entries.append((_lid, "Lid swings: no panel inside"))
    if job.cable.gland_mm is not None:
        x_mm, y_mm = job.cable.gland_mm
        where = f", {gland_facet(job)}" if len(job.facets) > 1 else ""
        entries.append((_gland, f"Cable gland{where}: x {millimetres(x_mm)}, y {millimetres(y_mm)}"))
    if panels:
        entries.append((_gap, f"Panels at least {millimetres(job.spacing.between_panels_mm)} mm apart"))
        entries.append((_edge, f"At least {millimetres(job.spacing.from_edge_mm)} mm to the edge"))
    return KeyBlock("Key", tuple(entries))


def _gap(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    for left, right in ((x, x + width * 0.42), (x + width * 0.58, x + width)):
        paper.box(Box(left, y, right, y + height), UNWIRED_FILL, 0.35)


def _edge(paper: Paper, x: float, y: float, width: float, height: float) -> None:
    paper.line([(x, y + height), (x, y), (x + width, y)], 0.7)
    paper.line([(x + 2, y + height), (x + 2, y + 1.6), (x + width, y + 1.6)], 0.35)


def scale_bar_length_mm(denominator: int, longest: float = LONGEST_BAR) -> float:
    """The roundest length [mm of roof] whose bar is at most so long on paper."""
    best = 1.0
    step: Callable[[int], tuple[float, ...]] = lambda k: tuple(m * 10.0**k for m in (1, 1.5, 2, 5))  # noqa: E731
    for power in range(0, 7):
        for length in step(power):
            if length / denominator <= longest:
                best = length
    return best


def draw_scale_bar(paper: Paper, x: float, y: float, denominator: int, room_mm: float = 92.0) -> None:
    """A bar of four parts with its lower left corner at (x, y), the figures above it, in a room so wide."""
    length = scale_bar_length_mm(denominator, min(LONGEST_BAR, room_mm - _BESIDE_BAR))
    long, high = length / denominator, 1.6
    for part in range(4):
        left = x + part * long / 4
        box = Box(left, y, left + long / 4, y + high)
        paper.box(box, INK if part % 2 == 0 else "white", 0.25)
    for share, align in ((0.0, "left"), (0.5, "center"), (1.0, "right")):
        words = millimetres(length * share) + (" mm" if share == 1.0 else "")
        paper.text(x + long * share, y + high + 1.0, words, SMALL, align)  # type: ignore[arg-type]
    paper.text(x + long + 2.5, y, f"{millimetres(long)} mm on a true print", SMALL)
