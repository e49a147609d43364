"""The shade map of each facet that has shade, with its panels and what shade takes from each."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from ..job import Facet, Job
from ..plan import Plan
from ..yields import ShadeMap
from .arrange import strip_box, upper_box
from .blocks import HEADING, draw_heading
from .box import Box
from .header import draw_header
from .key import draw_scale_bar
from .leaf import Leaf
from .lettering import NORMAL, SMALL, em_mm, line_mm, number, shorten, wrap
from .palette import SHADE_STEPS, ShadeStep
from .paper import A4, Paper
from .roof import draw_callout, draw_obstacle
from .shade_view import Known, PlacedShade, ShadeView, largest_view, loss_words
from .shapes import obstacle_polygon
from .stack import draw_stack

_SIDE = 62.0  # the key beside the map
_UNDER = 46.0  # the key under it
_BETWEEN = 8.0
_SWATCH = 9.0
_ROW = 5.2
CAUTION = (
    "Only what stands on the roof itself casts these shadows: trees, houses and masts beside it come on top."
    " Check on site."
)
MEANING = (
    "Shading: beam light that is lost here over the year, in % of a bare roof's; light from the sky is not"
    " lessened. In a panel: what shade takes from its year's light, beam and sky together, by its bypass"
    " sections."
)


def shade_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """A sheet a facet that is ever shaded; none without maps."""
    if plan.energy is None:
        return []
    facets = {f.name: f for f in job.facets}
    found = [_leaf(job, plan, facets[m.facet], m) for m in plan.energy.maps if m.facet in facets]
    return [leaf for leaf in found if leaf is not None]


def step_of(loss_pct: float) -> ShadeStep:
    """The step that a cell's loss lies in."""
    return [step for step in SHADE_STEPS if loss_pct >= step.from_pct][-1]


def step_words() -> tuple[str, ...]:
    """What each step says, the lightest first."""
    ends = [number(step.from_pct) for step in SHADE_STEPS]
    between = [f"{a} to {b} %" for a, b in pairwise(ends)]
    return (f"under {ends[1]} %", *between[1:], f"over {ends[-1]} %")


def runs_of(map_: ShadeMap) -> dict[ShadeStep, list[tuple[float, float, float, float]]]:
    """The cells [mm of roof] of every step, those side by side joined; the lightest are left blank."""
    found: dict[ShadeStep, list[tuple[float, float, float, float]]] = {s: [] for s in SHADE_STEPS[1:]}
    for row, values in enumerate(map_.rows):
        y = map_.y_mm + row * map_.step_mm
        steps = [None if v is None else step_of(v) for v in values]
        start = 0
        for column in range(1, len(steps) + 1):
            if column < len(steps) and steps[column] == steps[start]:
                continue
            step = steps[start]
            if step is not None and step in found:
                x0, x1 = (map_.x_mm + k * map_.step_mm for k in (start, column))
                found[step].append((x0, y, x1, y + map_.step_mm))
            start = column
    return found


def _leaf(job: Job, plan: Plan, facet: Facet, map_: ShadeMap) -> Leaf | None:
    """Map and key, side by side or one under the other, whichever shows more."""
    whole = upper_box(A4)
    beside = Box(whole.x0, whole.y0, whole.x1 - _SIDE - _BETWEEN, whole.y1)
    above = Box(whole.x0, whole.y0 + _UNDER + _BETWEEN, whole.x1, whole.y1)
    known: Known = {}
    ways = [(largest_view(job, plan, facet, room, known), room) for room in (beside, above)]
    fitting = [(view, room) for view, room in ways if view is not None]
    if not fitting:
        return None
    view, room = min(fitting, key=lambda way: way[0].denominator)
    if room is beside:
        key = Box(whole.x1 - _SIDE, whole.y0, whole.x1, whole.y1)
    else:
        key = Box(whole.x0, whole.y0, whole.x1, whole.y0 + _UNDER)
    draw = _drawing(plan, view, map_, room, key)
    return Leaf("Shade map", draw, f"1:{view.denominator}")


def _drawing(plan: Plan, view: ShadeView, map_: ShadeMap, room: Box, key: Box) -> Callable[[Paper], None]:
    def draw(paper: Paper) -> None:
        wide = view.bounds.width / view.denominator + view.names.beside_mm
        spare = (room.height - view.height_mm) / 2
        left, top = room.x0 + max(0.0, (room.width - wide) / 2), room.y1 - spare
        placed = PlacedShade(view, left, top - view.height_mm + 1.0)
        draw_header(paper, view.header, left, top)
        _draw_map(paper, placed, map_)
        _draw_names(paper, placed)
        _draw_key(paper, plan, view, key)
        strip = strip_box(paper.size)
        y = strip.y1
        for line in wrap(CAUTION, NORMAL, strip.width):
            paper.text(strip.x0, y - 0.8 * em_mm(NORMAL), line, NORMAL)
            y -= line_mm(NORMAL)
        draw_scale_bar(paper, strip.x0, strip.y0, view.denominator, strip.width)

    return draw


def _draw_map(paper: Paper, placed: PlacedShade, map_: ShadeMap) -> None:
    outline = [placed.paper(p) for p in placed.view.facet.outline_mm]
    for step, cells in runs_of(map_).items():
        if cells:
            paper.boxes([placed.paper_box(*cell) for cell in cells], step.fill, outline)
    for panel in placed.view.panels:
        paper.box(placed.panel_box(panel), None, 0.35)


def _draw_names(paper: Paper, placed: PlacedShade) -> None:
    view = placed.view
    for panel in view.panels:
        stack = view.labels.get(panel.panel)
        if stack is not None:
            centre = placed.panel_box(panel).centre
            paper.box(stack.box_at(*centre).grown(0.4), "white", 0)
            draw_stack(paper, stack, *centre)
    for obstacle in view.obstacles:
        draw_obstacle(paper, [placed.paper(p) for p in obstacle_polygon(obstacle)], placed.roof_box)
    paper.polygon([placed.paper(p) for p in view.facet.outline_mm], None, 0.7)
    for name in view.names.obstacles:
        centre = placed.shift(name.centre)
        paper.box(name.stack.box_at(*centre).grown(0.3), "white", 0)
        draw_stack(paper, name.stack, *centre)
    for callout in view.names.callouts:
        draw_callout(paper, callout, placed.shift)


def _draw_key(paper: Paper, plan: Plan, view: ShadeView, box: Box) -> None:
    """The steps, what they mean, and the panels that have no room for their loss."""
    beside = box.width <= _SIDE
    draw_heading(paper, "Shade through the year", box.x0, box.y1, box.width)
    x, y = box.x0, box.y1 - HEADING - 1.0
    for step, words in zip(SHADE_STEPS, step_words(), strict=True):
        paper.box(Box(x, y - 4.0, x + _SWATCH, y - 0.4), step.fill, 0.25)
        paper.text(x + _SWATCH + 2.0, y - 3.4, words, NORMAL)
        y -= _ROW
    texts = [MEANING]
    losses = {s.panel: s.loss_pct for s in plan.energy.shade} if plan.energy else {}
    if view.untold:
        listed = ", ".join(f"{p} {loss_words(losses[p])}" if p in losses else p for p in view.untold)
        texts.append(f"Panels too small here for their loss (all are in plan.json): {listed}.")
    left, top = (box.x0, y - 3.0) if beside else (box.x0 + 42.0, box.y1 - HEADING - 1.0)
    _draw_texts(paper, texts, Box(left, box.y0, box.x1, top))


def _draw_texts(paper: Paper, texts: list[str], box: Box) -> None:
    """Texts one below the other, small where they are long; what is too long even so ends in dots."""
    for text in texts:
        for height in (NORMAL, SMALL):
            lines, most = wrap(text, height, box.width), int(box.height // line_mm(height))
            if len(lines) <= most:
                break
        top = box.y1
        for line in shorten(lines, most, height, box.width):
            paper.text(box.x0, top - 0.8 * em_mm(height), line, height)
            top -= line_mm(height)
        box = Box(box.x0, box.y0, box.x1, top - 1.5)
