"""Finds what a plan's names stand for in its job; None where a name stands for nothing.

Names that stand for nothing are reported by one rule each; every other rule passes over them.
"""

from __future__ import annotations

import math
import re

from rooflayout.job import ControllerModel, Facet, Job, PanelModel
from rooflayout.plan import PanelString, PlacedPanel, Plan

TOLERANCE_MM = 1e-6
TOLERANCE = 1e-6  # of limits in V, A, kg and money: only what floating point adds


def facet_of(job: Job, panel: PlacedPanel) -> Facet | None:
    """The facet that the panel names."""
    return next((f for f in job.facets if f.name == panel.facet), None)


def model_of(job: Job, panel: PlacedPanel) -> PanelModel | None:
    """The panel's model: of the models in use, else of those on the roof already."""
    in_use = [m for m in job.panels.models if m.model == panel.model]
    on_roof = [k.model for k in job.kept if k.model.model == panel.model]
    found = on_roof + in_use if panel.kept else in_use + on_roof
    return found[0] if found else None


def has_place(panel: PlacedPanel) -> bool:
    """True when the panel's corner is a finite point and its sides are finite and positive."""
    values = (panel.x_mm, panel.y_mm, panel.along_x_mm, panel.along_y_mm)
    return all(math.isfinite(v) for v in values) and panel.along_x_mm > 0 and panel.along_y_mm > 0


def strings_of(plan: Plan) -> tuple[PanelString, ...]:
    """The plan's strings; none where it has no wiring."""
    return plan.wiring.strings if plan.wiring else ()


def panels_of(plan: Plan, string: PanelString) -> list[PlacedPanel]:
    """The placed panels that a string names, in its order."""
    by_name = {p.panel: p for p in reversed(plan.layout.panels)}
    return [by_name[name] for name in string.panels if name in by_name]


def models_of(job: Job, plan: Plan, string: PanelString) -> list[PanelModel]:
    """The model of each panel of a string, in its order."""
    found = (model_of(job, panel) for panel in panels_of(plan, string))
    return [model for model in found if model is not None]


def controller_of(job: Job, plan: Plan, name: str) -> ControllerModel | None:
    """What C1, C2 ... stands for: the fitted controllers in order, or, when they are chosen,
    the catalogue's controller of the model that the plan states."""
    if job.controllers is None or plan.wiring is None:
        return None
    if job.controllers.choose:
        stated = next((c.model for c in plan.wiring.controllers if c.controller == name), None)
        return next((m for m in job.controllers.catalogue if m.model == stated), None)
    number = re.fullmatch(r"C([1-9][0-9]{0,5})", name)
    if number is None or int(number[1]) > len(job.controllers.fitted):
        return None
    return job.controllers.fitted[int(number[1]) - 1]


def tracker_strings(plan: Plan) -> dict[tuple[str, int], list[PanelString]]:
    """The strings on each (controller, tracker), in the plan's order."""
    trackers: dict[tuple[str, int], list[PanelString]] = {}
    for string in strings_of(plan):
        trackers.setdefault((string.controller, string.tracker), []).append(string)
    return trackers


def lacks_wiring(job: Job, plan: Plan) -> bool:
    """True when the job asks for wiring, the plan places panels and wires nothing at all."""
    return (
        job.wants_wiring
        and plan.wiring is None
        and bool(plan.layout.panels)
        and plan.layout.status != "nothing fits"
    )
