"""Whether what is added lies where the plan puts it: masses at their panels, controllers where they hang.

Items are known by the names that they state: a panel's model (and its facet, where there are several), a
controller's name. Others are passed over, and so are facets whose place rests on how they join on.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures
from rooflayout.inspection.lookup import has_place, model_of
from rooflayout.job import Facet, Job
from rooflayout.plan import PlacedPanel, Plan
from rooflayout.yields import AddedMass

_MM = 1.5  # places are written to a mm
_STRAIGHT_DEG = 0.01
_AXES = {"+x": 0.0, "+y": 90.0, "-x": 180.0, "-y": 270.0}  # counter-clockwise, seen from above


def panels_weigh_where_they_lie(job: Job, plan: Plan) -> Iterator[Breach]:
    """An item of panels has its centre where their middles have theirs, and their mass."""
    several = len(job.facets) > 1
    for item in plan.balance.items if plan.balance is not None else ():
        for facet in job.facets:
            for model in {p.model for p in plan.layout.panels if not p.kept}:
                if _plain_name(item) != (f"{model} on {facet.name}" if several else model):
                    continue
                own = [p for p in plan.layout.panels if _is_of(p, model, facet)]
                if not own or not all(has_place(p) for p in own):
                    continue
                yield from _weighs(job, item, own)
                yield from _lies(item, _middle_mm(job, facet, own))


def controllers_weigh_where_they_hang(job: Job, plan: Plan) -> Iterator[Breach]:
    """A controller's item has its centre where the job has the controllers hang."""
    at = None if job.vehicle is None else job.vehicle.controllers_at_mm
    if at is None or plan.balance is None or plan.wiring is None:
        return
    names = {f"{load.controller} {load.model}" for load in plan.wiring.controllers}
    for item in plan.balance.items:
        if item.item in names:
            yield from _lies(item, at)


def _weighs(job: Job, item: AddedMass, own: list[PlacedPanel]) -> Iterator[Breach]:
    model = model_of(job, own[0])
    if model is None or model.mass_kg is None or math.isnan(item.kg):
        return
    right = len(own) * model.mass_kg
    if abs(item.kg - right) > 0.01 + 0.001 * right:
        a, b = figures(item.kg, right)
        yield Breach("mass-place", item.item, f"{a} kg are stated; the panels weigh {b} kg")


def _lies(item: AddedMass, right_mm: tuple[float, float] | None) -> Iterator[Breach]:
    if right_mm is None:
        return
    for what, stated, right in (("x", item.x_mm, right_mm[0]), ("y", item.y_mm, right_mm[1])):
        if stated is not None and abs(stated - right) > _MM:
            a, b = figures(stated, right)
            text = f"{a} mm is stated as its {what}; by the places in the plan it is {b} mm"
            yield Breach("mass-place", item.item, text)


def _plain_name(item: AddedMass) -> str:
    """Without the number of things at its head: "6 x Tern 150" is "Tern 150"."""
    head, times, rest = item.item.partition(" x ")
    return rest if times and head.isdigit() else item.item


def _is_of(panel: PlacedPanel, model: str, facet: Facet) -> bool:
    return not panel.kept and panel.model == model and panel.facet == facet.name


def _middle_mm(job: Job, facet: Facet, own: list[PlacedPanel]) -> tuple[float, float] | None:
    """Mean middle of panels of one model, seen from above; None beyond the first facet, and where that one
    slopes aslant or nobody knows whereto."""
    if facet.name != job.facets[0].name:
        return None
    shrunk = _shrunk(job, facet)
    if shrunk is None:
        return None
    x = sum(p.x_mm + p.along_x_mm / 2.0 for p in own) / len(own)
    y = sum(p.y_mm + p.along_y_mm / 2.0 for p in own) / len(own)
    return x * shrunk[0], y * shrunk[1]


def _shrunk(job: Job, facet: Facet) -> tuple[float, float] | None:
    """By what a facet's x and y look shorter from above."""
    if not facet.slope_deg:
        return 1.0, 1.0
    shorter = math.cos(math.radians(facet.slope_deg))
    if facet.downhill is None:
        return None
    if isinstance(facet.downhill, str):
        return (shorter, 1.0) if facet.downhill[1] == "x" else (1.0, shorter)
    heading = (job.site.heading_deg if job.site else None) or 0.0
    from_x = (_AXES[facet.front] - (facet.downhill - heading)) % 180.0
    if min(from_x, 180.0 - from_x) <= _STRAIGHT_DEG:
        return shorter, 1.0
    return (1.0, shorter) if abs(from_x - 90.0) <= _STRAIGHT_DEG else None
