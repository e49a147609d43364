"""What the job allows as a whole: models in use, stock, number of models, mass, budget, mounting space."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.lookup import TOLERANCE, TOLERANCE_MM, controller_of, model_of
from rooflayout.job import ControllerModel, Job, MountingSpace
from rooflayout.plan import MountedBox, Plan


def model_is_in_use(job: Job, plan: Plan) -> Iterator[Breach]:
    """A new panel's model is one that the job uses."""
    names = {m.model for m in job.panels.models}
    for panel in plan.layout.panels:
        if not panel.kept and panel.model not in names and model_of(job, panel) is not None:
            yield Breach(
                "model-not-in-use",
                panel.panel,
                f"{panel.panel} is a new {panel.model}; the job uses {', '.join(sorted(names)) or 'none'}",
            )


def within_stock(job: Job, plan: Plan) -> Iterator[Breach]:
    """Over all facets, no more new panels of a model than there are in stock."""
    placed = Counter(p.model for p in plan.layout.panels if not p.kept)
    for model in job.panels.models:
        if model.stock is not None and placed[model.model] > model.stock:
            text = f"{placed[model.model]} new {model.model} are placed; {model.stock} are in stock"
            yield Breach("stock", model.model, text)


def within_most_models(job: Job, plan: Plan) -> Iterator[Breach]:
    """At most so many different models on the roof, kept panels included."""
    most = job.panels.most_models
    names = sorted({p.model for p in plan.layout.panels})
    if most is not None and len(names) > most:
        text = f"{len(names)} models are on the roof ({', '.join(names)}); at most {most}"
        yield Breach("most-models", "the roof", text)


def within_most_mass(job: Job, plan: Plan) -> Iterator[Breach]:
    """All panels on the roof together, kept ones included, weigh no more than allowed."""
    most = job.panels.most_mass_kg
    if most is None:
        return
    models = [m for p in plan.layout.panels if (m := model_of(job, p)) is not None]
    for name in sorted({m.model for m in models if m.mass_kg is None}):
        text = f"the mass of {name} is not given; at most {plain(most)} kg cannot be shown to hold"
        yield Breach("mass-unknown", name, text)
    mass = sum(m.mass_kg for m in models if m.mass_kg is not None)
    if mass > most + TOLERANCE:
        a, b = figures(mass, most)
        yield Breach("most-mass", "the roof", f"the panels weigh {a} kg together; at most {b} kg")


def within_budget(job: Job, plan: Plan) -> Iterator[Breach]:
    """The new panels together cost no more than the budget."""
    budget = job.panels.budget
    if budget is None:
        return
    models = [m for p in plan.layout.panels if not p.kept and (m := model_of(job, p)) is not None]
    for name in sorted({m.model for m in models if m.price is None}):
        limit = plain(budget)
        text = f"the price of {name} is not given; a budget of {limit} cannot be shown to hold"
        yield Breach("price-unknown", name, text)
    cost = sum(m.price for m in models if m.price is not None)
    if cost > budget + TOLERANCE:
        a, b = figures(cost, budget)
        yield Breach("budget", "the roof", f"the new panels cost {a} together; the budget is {b}")


def boxes_hang_in_their_space(job: Job, plan: Plan) -> Iterator[Breach]:
    """Each controller hangs once, upright, inside the mounting space with its clearance to edges and others.

    Passed over where the job gives no space or the plan states no places.
    """
    space, wiring = job.mounting_space, plan.wiring
    if space is None or wiring is None or wiring.mounted is None:
        return
    gap, boxes = space.clearance_mm - TOLERANCE_MM, wiring.mounted
    names = [box.controller for box in boxes]
    for name in sorted({load.controller for load in wiring.controllers} ^ set(names)):
        yield Breach("mounting", name, f"{name} is {'not a controller' if name in names else 'hung nowhere'}")
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield Breach("mounting", name, f"{name} hangs in {names.count(name)} places")
    for number, box in enumerate(boxes):
        model = controller_of(job, plan, box.controller)
        right, above = box.x_mm + box.along_x_mm, box.y_mm + box.along_y_mm
        edge = min(box.x_mm, box.y_mm, space.width_mm - right, space.height_mm - above)
        if not edge >= gap:
            text = f"{box.controller} is {plain(edge)} mm from an edge of the mounting space"
            yield Breach("mounting", box.controller, f"{text}; at least {plain(space.clearance_mm)} mm")
        if model is not None:
            yield from _is_its_size(space, box, model)
        for other in boxes[:number]:
            apart = max(
                box.x_mm - other.x_mm - other.along_x_mm,
                other.x_mm - right,
                box.y_mm - other.y_mm - other.along_y_mm,
                other.y_mm - above,
            )
            if not apart >= gap:
                text = f"{other.controller} and {box.controller} hang {plain(apart)} mm apart"
                yield Breach("mounting", box.controller, f"{text}; at least {plain(space.clearance_mm)} mm")


def _is_its_size(space: MountingSpace, box: MountedBox, model: ControllerModel) -> Iterator[Breach]:
    stated = box.along_x_mm, box.along_y_mm
    for given, found in zip((model.length_mm, model.width_mm), stated, strict=True):
        if given is None or not abs(found - given) <= TOLERANCE_MM:
            size = f"{plain(stated[0])} x {plain(stated[1])} mm"
            right = "of no known size" if given is None else f"{plain(given)} mm there"
            yield Breach(
                "mounting", box.controller, f"{box.controller} hangs as {size}; {model.model} is {right}"
            )
    if model.height_mm is not None and model.height_mm > space.depth_mm + TOLERANCE_MM:
        a, b = figures(model.height_mm, space.depth_mm)
        yield Breach("mounting", box.controller, f"{box.controller} is {a} mm deep; the space has {b} mm")
