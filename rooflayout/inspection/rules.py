"""What the job allows on the whole roof: models in use, stock, number of models, mass and budget."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.lookup import TOLERANCE, model_of
from rooflayout.job import Job
from rooflayout.plan import Plan


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
