"""Rows of the single best model: what one plans on squared paper, with some patience.

Every model is tried both ways round, in rows along x and in rows along y, with the first row at every
STEP_MM between its edge and the last place that does not cost a row. In a row each panel lies as near
to the one before it as obstacles let it. The best of all these is kept for each facet.
"""

from __future__ import annotations

from found import Found
from space import Rectangle, Space, placed, spaces_of, ways_round, whole_sides

from rooflayout.job import Job, PanelModel
from rooflayout.plan import PlacedPanel

STEP_MM = 5


def solve_rows(job: Job) -> Found:
    """The best layout in rows, one model over all facets. Raises CannotModelError."""
    spaces = spaces_of(job)
    best: tuple[PlacedPanel, ...] = ()
    for model in job.panels.models:
        panels: list[PlacedPanel] = []
        for space in spaces:
            panels += _best_rows(space, model)
        if model.stock is not None:
            panels = panels[: model.stock]
        if sum(p.watts for p in panels) > sum(p.watts for p in best):
            best = tuple(panels)
    return Found(best)


def _best_rows(space: Space, model: PanelModel) -> list[PlacedPanel]:
    best: list[PlacedPanel] = []
    for turned in ways_round(model):
        w, h = whole_sides(model, turned)
        for rows_along_x in (True, False):
            side, low, high = (
                (h, space.box.y0_mm, space.box.y1_mm)
                if rows_along_x
                else (w, space.box.x0_mm, space.box.x1_mm)
            )
            pitch = side + space.gap_mm
            count = (high - low + space.gap_mm) // pitch
            if count < 1:
                continue
            slack = high - low + space.gap_mm - count * pitch
            for start in {*range(0, slack, STEP_MM), slack}:
                lines = [low + start + row * pitch for row in range(count)]
                found = [p for at in lines for p in _row(space, model, turned, w, h, at, rows_along_x)]
                if len(found) > len(best):
                    best = found
    return best


def _row(
    space: Space, model: PanelModel, turned: bool, w: int, h: int, at: int, along_x: bool
) -> list[PlacedPanel]:
    """One row, filled from its low end."""
    found: list[PlacedPanel] = []
    position, last = (
        (space.box.x0_mm, space.box.x1_mm - w) if along_x else (space.box.y0_mm, space.box.y1_mm - h)
    )
    while position <= last:
        x, y = (position, at) if along_x else (at, position)
        panel = Rectangle(x, y, x + w, y + h)
        in_the_way = [thing for thing in space.kept_clear if thing.meets(panel)]
        if in_the_way:
            position = max(position + 1, *(thing.end_past(panel, along_x) for thing in in_the_way))
        else:
            found.append(placed(space.facet, model, turned, x, y))
            position += (w if along_x else h) + space.gap_mm
    return found
