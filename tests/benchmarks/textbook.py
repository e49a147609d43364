"""The textbook model: optional rectangles with free coordinates and `add_no_overlap_2d`.

Every copy of every model is a rectangle that may be there or not, each way round, with its corner
anywhere in the box; obstacles are fixed rectangles. What a good textbook adds is added: copies of one
model are numbered (a copy is there only if the one before it is), and the areas may not exceed the
free area, which is the only bound that such a model has before it searches.
"""

from __future__ import annotations

from dataclasses import dataclass

from found import Found
from ortools.sat.python import cp_model
from space import Rectangle, Space, placed, spaces_of, ways_round, whole_sides

from rooflayout.job import Job, PanelModel
from rooflayout.plan import PlacedPanel

TENTHS = 10  # the solver counts tenths of a watt


@dataclass(frozen=True, slots=True)
class Copy:
    """One panel that may lie on one facet; which way round is chosen by one literal each."""

    model: PanelModel
    facet: str
    there: cp_model.IntVar
    x: cp_model.IntVar
    y: cp_model.IntVar
    turned: tuple[tuple[bool, cp_model.IntVar], ...]


def solve_textbook(job: Job, limit_s: float, workers: int = 2) -> Found:
    """The best layout within the limit. Raises CannotModelError."""
    spaces = spaces_of(job)
    model = cp_model.CpModel()
    copies = [copy for space in spaces for copy in _facet(model, job, space)]
    for panel in job.panels.models:
        if panel.stock is not None:
            model.add(sum(c.there for c in copies if c.model is panel) <= panel.stock)
    model.maximize(sum(int(c.model.power_w * TENTHS + 1e-6) * c.there for c in copies))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    bound_w = solver.best_objective_bound / TENTHS
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found((), bound_w)
    panels = tuple(_read(solver, copy) for copy in copies if solver.value(copy.there))
    return Found(panels, bound_w, status == cp_model.OPTIMAL)


def _read(solver: cp_model.CpSolver, copy: Copy) -> PlacedPanel:
    turned = next(turned for turned, literal in copy.turned if solver.value(literal))
    return placed(copy.facet, copy.model, turned, solver.value(copy.x), solver.value(copy.y))


def _facet(model: cp_model.CpModel, job: Job, space: Space) -> list[Copy]:
    box, obstacles = space.grown()
    free_mm2 = _area(box) - sum(_area(_cut(r, box)) for r in obstacles)
    along_x = [model.new_fixed_size_interval_var(r.x0_mm, r.x1_mm - r.x0_mm, "") for r in obstacles]
    along_y = [model.new_fixed_size_interval_var(r.y0_mm, r.y1_mm - r.y0_mm, "") for r in obstacles]
    copies: list[Copy] = []
    areas: list[cp_model.LinearExprT] = []
    for panel in job.panels.models:
        area_mm2 = _pitch_area(panel, space.gap_mm)
        most = free_mm2 // area_mm2
        if panel.stock is not None:
            most = min(most, panel.stock)
        before: cp_model.IntVar | None = None
        for _ in range(most):
            copy = _copy(model, panel, space, box, along_x, along_y)
            if copy is None:
                break
            if before is not None:
                model.add_implication(copy.there, before)
            before = copy.there
            copies.append(copy)
            areas.append(area_mm2 * copy.there)
    model.add_no_overlap_2d(along_x, along_y)
    model.add(sum(areas) <= free_mm2)
    return copies


def _copy(
    model: cp_model.CpModel,
    panel: PanelModel,
    space: Space,
    box: Rectangle,
    along_x: list[cp_model.IntervalVar],
    along_y: list[cp_model.IntervalVar],
) -> Copy | None:
    """One more copy, its intervals added to both lists; None when it fits no way round."""
    gap = space.gap_mm
    ways = [(turned, *(side + gap for side in whole_sides(panel, turned))) for turned in ways_round(panel)]
    ways = [way for way in ways if way[1] <= box.x1_mm - box.x0_mm and way[2] <= box.y1_mm - box.y0_mm]
    if not ways:
        return None
    there = model.new_bool_var("")
    x = model.new_int_var(box.x0_mm, box.x1_mm - min(w for _, w, _ in ways), "")
    y = model.new_int_var(box.y0_mm, box.y1_mm - min(h for _, _, h in ways), "")
    literals = []
    for turned, w, h in ways:
        literal = model.new_bool_var("")
        literals.append((turned, literal))
        model.add(x <= box.x1_mm - w).only_enforce_if(literal)
        model.add(y <= box.y1_mm - h).only_enforce_if(literal)
        along_x.append(model.new_optional_fixed_size_interval_var(x, w, literal, ""))
        along_y.append(model.new_optional_fixed_size_interval_var(y, h, literal, ""))
    model.add(sum(literal for _, literal in literals) == there)
    return Copy(panel, space.facet, there, x, y, tuple(literals))


def _pitch_area(panel: PanelModel, gap_mm: int) -> int:
    w, h = whole_sides(panel, False)
    return (w + gap_mm) * (h + gap_mm)


def _area(r: Rectangle) -> int:
    return (r.x1_mm - r.x0_mm) * (r.y1_mm - r.y0_mm)


def _cut(r: Rectangle, box: Rectangle) -> Rectangle:
    return Rectangle(
        max(r.x0_mm, box.x0_mm), max(r.y0_mm, box.y0_mm), min(r.x1_mm, box.x1_mm), min(r.y1_mm, box.y1_mm)
    )
