"""The mounting space seen from the front, its controllers to scale."""

from __future__ import annotations

from collections.abc import Callable

from ..job import Job, MountingSpace
from ..plan import MountedBox, Plan
from .arrange import DENOMINATORS, upper_box
from .blocks import HEADING, draw_heading
from .box import Box
from .contents import controller_model
from .leaf import Leaf
from .lettering import NORMAL, SMALL, clean, millimetres, wrap
from .palette import UNWIRED_FILL
from .paper import A4, Paper
from .stack import Line, Stack, draw_stack
from .table import Column, Row, TableBlock

_TABLE = 118.0
_BESIDE = 10.0
_FIGURES = 9.0  # for the dimensions left of and under the space


def elevation_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """One sheet, or none where no space is given or the boxes do not fit."""
    space = job.mounting_space
    if plan.wiring is None or space is None or not plan.wiring.mounted:
        return []
    scale = _denominator(space)
    return [Leaf("Mounting elevation", _drawing(job, plan, space, scale), f"1:{scale}")]


def _area() -> Box:
    box = upper_box(A4)
    return Box(box.x0 + _FIGURES, box.y0 + _FIGURES, box.x1 - _TABLE - _BESIDE, box.y1 - HEADING - 2.0)


def _denominator(space: MountingSpace) -> int:
    """The largest scale of ISO 5455 at which the space fits the sheet."""
    area = _area()
    denominators: tuple[int, ...] = (1, *DENOMINATORS)
    for denominator in denominators:
        if space.width_mm / denominator <= area.width and space.height_mm / denominator <= area.height:
            return denominator
    raise ValueError(f"a mounting space of {space.width_mm:g} x {space.height_mm:g} mm fits no sheet")


def _drawing(job: Job, plan: Plan, space: MountingSpace, scale: int) -> Callable[[Paper], None]:
    def draw(paper: Paper) -> None:
        assert plan.wiring is not None
        assert plan.wiring.mounted is not None
        whole, area = upper_box(paper.size), _area()
        draw_heading(paper, "Mounting space, seen from the front", whole.x0, whole.y1, area.x1 - whole.x0)
        wide, high = space.width_mm / scale, space.height_mm / scale
        x, y = area.x0 + (area.width - wide) / 2, area.y1 - high
        outline = Box(x, y, x + wide, y + high)
        for mounted in plan.wiring.mounted:
            _draw_clearance(paper, mounted, space, outline, scale)
        for mounted in plan.wiring.mounted:
            _draw_box(paper, mounted, _models(plan).get(mounted.controller, ""), outline, scale)
        paper.box(outline, None, 0.7)
        _dimension(paper, (x, y - 5.0), (x + wide, y - 5.0), millimetres(space.width_mm))
        _dimension(paper, (x - 5.0, y), (x - 5.0, y + high), millimetres(space.height_mm))
        _table(job, plan, space).draw(paper, whole.x1 - _TABLE, whole.y1, _TABLE)

    return draw


def _models(plan: Plan) -> dict[str, str]:
    return {c.controller: clean(c.model) for c in plan.wiring.controllers} if plan.wiring else {}


def _on_paper(mounted: MountedBox, outline: Box, scale: int) -> Box:
    x0, y0 = outline.x0 + mounted.x_mm / scale, outline.y0 + mounted.y_mm / scale
    return Box(x0, y0, x0 + mounted.along_x_mm / scale, y0 + mounted.along_y_mm / scale)


def _draw_clearance(
    paper: Paper, mounted: MountedBox, space: MountingSpace, outline: Box, scale: int
) -> None:
    if space.clearance_mm <= 0:
        return
    grown = _on_paper(mounted, outline, scale).grown(space.clearance_mm / scale).meet(outline)
    if grown is not None:
        paper.polygon(grown.corners, None, 0.18, dashes="dashed")


def _draw_box(paper: Paper, mounted: MountedBox, model: str, outline: Box, scale: int) -> None:
    box = _on_paper(mounted, outline, scale)
    paper.box(box, UNWIRED_FILL, 0.5)
    name = Line(mounted.controller, NORMAL, True)
    for height in (NORMAL, SMALL):
        words = [Line(t, height) for t in wrap(model, height, box.width - 2.0)]
        stack = Stack((name, *words))
        wide, high = stack.size_mm()
        if wide <= box.width - 1.0 and high <= box.height - 1.0:
            break
    else:
        stack = Stack((name,))
    draw_stack(paper, stack, *box.centre)


def _dimension(paper: Paper, start: tuple[float, float], end: tuple[float, float], words: str) -> None:
    """A dimension line with an arrow at both ends, its figure over it."""
    (x0, y0), (x1, y1) = start, end
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    paper.arrow(middle, start, 0.25)
    paper.arrow(middle, end, 0.25)
    upright = x0 == x1
    at = (middle[0] - 1.0, middle[1]) if upright else (middle[0], middle[1] + 1.0)
    paper.text(*at, words, NORMAL, "center", vertical=upright)


def _table(job: Job, plan: Plan, space: MountingSpace) -> TableBlock:
    assert plan.wiring is not None
    models = _models(plan)
    rows = []
    for m in plan.wiring.mounted or ():
        model = controller_model(job, models.get(m.controller, ""))
        deep = None if model is None else model.height_mm
        figures = (millimetres(v) for v in (m.x_mm, m.y_mm, m.along_x_mm, m.along_y_mm))
        deep_words = "–" if deep is None else millimetres(deep)
        rows.append(Row((m.controller, models.get(m.controller, "–"), *figures, deep_words)))
    columns = (
        Column(("box",), "left"),
        Column(("model",), "left", flexible=True),
        Column(("from", "left")),
        Column(("from", "below")),
        Column(("wide",)),
        Column(("high",)),
        Column(("deep",)),
    )
    notes = [
        f"Space {millimetres(space.width_mm)} wide, {millimetres(space.height_mm)} high,"
        f" {millimetres(space.depth_mm)} deep."
    ]
    if space.clearance_mm > 0:
        notes.append(f"Dashed: {millimetres(space.clearance_mm)} mm kept free round each box for cooling.")
    notes.append("From left and from below: to the box's lower left corner. Terminals point down.")
    return TableBlock("Where the controllers hang, mm", columns, tuple(rows), tuple(notes), NORMAL)
