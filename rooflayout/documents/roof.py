"""Draws one facet: outline, datum, obstacles with their keep-outs, panels, dimensions and names."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from ..job import Obstacle, Point
from ..plan import PlacedPanel
from .box import Box, PaperPoint, bounding_box
from .callouts import Callout
from .header import draw_header
from .lettering import NORMAL, text_box
from .palette import OBSTACLE_FILL, UNWIRED_FILL, StringMark
from .paper import INK, Paper
from .running import OVERALL_OFF, Running, Side, draw_extensions, draw_overall, draw_running
from .shapes import clipped, keep_out_polygon, obstacle_polygon
from .stack import draw_stack
from .view import PlacedView

LID = "#4a4a4a"
_OVERHANG = OVERALL_OFF - 3.0  # how far past the roof's edge an obstacle is drawn


def draw_facet(paper: Paper, placed: PlacedView, marks: dict[str, StringMark]) -> None:
    """Draw a facet's view; marks tell how the panels of each string look."""
    view = placed.view
    outline = [placed.paper(p) for p in view.facet.outline_mm]
    draw_header(paper, view.header, placed.x, placed.y + view.height_mm)
    _draw_extension_lines(paper, placed)
    for obstacle in view.obstacles:
        _draw_keep_out(paper, placed, obstacle, outline)
    for panel in view.panels:
        _draw_panel(paper, placed, panel, marks.get(view.strings.get(panel.panel, "")))
    for obstacle in view.obstacles:
        _draw_obstacle(paper, placed, obstacle)
    paper.polygon(outline, width_mm=0.7)
    _draw_dimensions(paper, placed)
    _draw_datum(paper, placed)
    if view.gland_mm is not None:
        draw_gland_mark(paper, *placed.paper(view.gland_mm))
    _draw_names(paper, placed, marks)


def _draw_panel(paper: Paper, placed: PlacedView, panel: PlacedPanel, mark: StringMark | None) -> None:
    box = placed.panel_box(panel)
    paper.box(box, mark.fill if mark else UNWIRED_FILL, 0)
    if mark is not None:
        for angle in mark.angles_deg:
            paper.hatch(box.corners, mark.pitch_mm, 0.18, mark.hatch, angle)
    paper.box(box, None, 0.35)


def _draw_keep_out(
    paper: Paper, placed: PlacedView, obstacle: Obstacle, outline: Sequence[PaperPoint]
) -> None:
    """The clearance dashed and the lid's strip dash-dotted, both only where there is roof."""
    if obstacle.clearance_mm > 0:
        grown = keep_out_polygon(obstacle)
        if grown is not None:
            paper.polygon([placed.paper(p) for p in grown], None, 0.25, INK, "dashed", outline)
        else:
            x0, y0, x1, y1 = obstacle.bounds_mm()
            radius = ((x1 - x0) / 2 + obstacle.clearance_mm) / placed.view.denominator
            centre = placed.paper(((x0 + x1) / 2, (y0 + y1) / 2))
            paper.circle(centre, radius, None, 0.25, INK, "dashed", outline)
    swing = obstacle.swing_mm()
    if swing is not None:
        paper.polygon(placed.paper_box(*swing).corners, None, 0.25, LID, "dashdot", outline)


def _draw_obstacle(paper: Paper, placed: PlacedView, obstacle: Obstacle) -> None:
    """What overhangs far is broken off short of the dimension lines, the cut side left open."""
    draw_obstacle(paper, [placed.paper(p) for p in obstacle_polygon(obstacle)], placed.roof_box)


def draw_obstacle(paper: Paper, whole: Sequence[PaperPoint], roof: Box) -> None:
    """An obstacle on or over the edge of a roof, all on paper; what overhangs far is broken off."""
    room = roof.grown(_OVERHANG)
    shape = clipped(whole, room)
    if len(shape) < 3:
        return
    paper.polygon(shape, OBSTACLE_FILL, 0)
    paper.hatch(shape)
    paper.polygon(whole, None, 0.5, clip=room.corners)


def _draw_extension_lines(paper: Paper, placed: PlacedView) -> None:
    """From each dimensioned edge or corner across the roof to its dimension line, under the panels."""
    dimensions, roof = placed.view.dimensions, placed.roof_box
    edges: list[Point] = [
        (x, y)
        for p in placed.view.panels
        for x in (p.x_mm, p.x_mm + p.along_x_mm)
        for y in (p.y_mm, p.y_mm + p.along_y_mm)
    ]
    corners = list(placed.view.facet.outline_mm)
    runs: tuple[tuple[Running | None, Side, float, list[Point]], ...] = (
        (dimensions.bottom, "bottom", roof.y0, edges),
        (dimensions.left, "left", roof.x0, edges),
        (dimensions.top, "top", roof.y1, corners),
        (dimensions.right, "right", roof.x1, corners),
    )
    origin = placed.paper((0.0, 0.0))
    for running, side, edge, features in runs:
        if running is not None:
            starts = [_nearest(placed, side, value, features, edge) for value in running.values]
            draw_extensions(paper, running, side, origin, edge, starts)


def _nearest(placed: PlacedView, side: Side, value: float, features: list[Point], edge: float) -> float:
    """How far in from the edge the nearest feature with this x or y lies, on paper; the edge if none."""
    axis = 0 if side in ("bottom", "top") else 1
    others = [placed.paper(f)[1 - axis] for f in features if abs(f[axis] - value) <= 0.05]
    if not others:
        return edge
    return min(others) if side in ("bottom", "left") else max(others)


def _draw_dimensions(paper: Paper, placed: PlacedView) -> None:
    d, roof = placed.view.dimensions, placed.roof_box
    origin = placed.paper((0.0, 0.0))
    runs: tuple[tuple[Running | None, Side, float], ...] = (
        (d.bottom, "bottom", roof.y0),
        (d.left, "left", roof.x0),
        (d.top, "top", roof.y1),
        (d.right, "right", roof.x1),
    )
    for running, side, edge in runs:
        if running is not None:
            draw_running(paper, running, side, origin, edge)
    if d.top is None or d.right is None:
        whole = bounding_box(placed.view.facet.outline_mm)
        box = placed.paper_box(whole.x0, whole.y0, whole.x1, whole.y1)
        draw_overall(paper, box, whole.width, whole.height)


def draw_datum_mark(paper: Paper, x: float, y: float, radius: float = 1.7) -> None:
    """The datum's sign: a circle with two opposite quarters filled."""
    paper.circle((x, y), radius, fill="white", width_mm=0.35)
    for start in (0, 180):
        arc = [math.radians(start + 10 * k) for k in range(10)]
        quarter = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in arc]
        paper.polygon([(x, y), *quarter], fill=INK, width_mm=0)


def draw_gland_mark(paper: Paper, x: float, y: float, radius: float = 1.3) -> None:
    """Where cables go through the roof: a circle with a cross in it."""
    paper.circle((x, y), radius, fill="white", width_mm=0.35)
    reach = radius / math.sqrt(2)
    for up in (reach, -reach):
        paper.line([(x - reach, y - up), (x + reach, y + up)], 0.25)


def _draw_datum(paper: Paper, placed: PlacedView) -> None:
    d, roof = placed.view.dimensions, placed.roof_box
    x, y = placed.paper((0.0, 0.0))
    box = paper.text(roof.x0 - d.left_mm + 0.5, roof.y0 - d.bottom_mm + 0.8, "DATUM", NORMAL, bold=True)
    paper.line([(x, y), (min(box.x1 - 2.0, roof.x0 - 5.0), box.y1 + 0.3)], 0.18)
    draw_datum_mark(paper, x, y)


def _draw_names(paper: Paper, placed: PlacedView, marks: dict[str, StringMark]) -> None:
    names = placed.view.names
    for panel in placed.view.panels:
        stack = names.panels.get(panel.panel)
        if stack is None:
            continue
        centre = placed.panel_box(panel).centre
        mark = marks.get(placed.view.strings.get(panel.panel, ""))
        if mark is not None and mark.angles_deg:
            paper.box(stack.box_at(*centre).grown(0.4), mark.fill, 0)
        draw_stack(paper, stack, *centre, badge_colour=mark.edge if mark else INK)
    for name in names.obstacles:
        centre = placed.shift(name.centre)
        paper.box(name.stack.box_at(*centre).grown(0.3), "white", 0)
        draw_stack(paper, name.stack, *centre)
    for name in names.lids:
        centre = placed.shift(name.centre)
        paper.box(name.stack.box_at(*centre), "white", 0)
        draw_stack(paper, name.stack, *centre, colour=LID)
    for callout in names.callouts:
        _draw_callout(paper, placed, callout)


def _draw_callout(paper: Paper, placed: PlacedView, callout: Callout) -> None:
    draw_callout(paper, callout, placed.shift)


def draw_callout(paper: Paper, callout: Callout, shift: Callable[[PaperPoint], PaperPoint]) -> None:
    """A name on its leader; shift brings the callout's points to where they lie on the paper."""
    anchor, end = shift(callout.anchor), shift(callout.end)
    x, y = shift((callout.x, callout.y))
    paper.box(text_box(x, y, callout.text, callout.height_mm).grown(0.2), "white", 0)
    paper.line([anchor, end], 0.18)
    paper.circle(anchor, 0.55, fill=INK, width_mm=0)
    paper.text(x, y, callout.text, callout.height_mm)
