"""Which limits of the job alone keep every panel off the roof, whatever its shape."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.job import Job, PanelModel
from rooflayout.wiring.options import Supply, shortest_strings

NAMED = 4  # models


def barred_by_limits(job: Job, supply: Supply | None) -> str | None:
    """Why stock, mass or budget allow no panel, or no string; None where they are not what is in the way."""
    strings = shortest_strings(supply.options) if supply is not None else None
    reasons = []
    for model in job.panels.models:
        if strings is not None and model.model not in strings:
            continue  # why it cannot be wired is told elsewhere
        count = 1 if strings is None else strings[model.model]
        reason = next(_in_the_way(job, model, count), None)
        if reason is None:
            return None
        reasons.append(reason)
    if not reasons:
        return None
    more = f"; and so on for {len(reasons) - NAMED} more" if len(reasons) > NAMED else ""
    needs = "" if strings is None or max(strings.values()) == 1 else " (a string needs so many)"
    return f"No panel may be fitted{needs}: {'; '.join(reasons[:NAMED])}{more}."


def _in_the_way(job: Job, model: PanelModel, count: int) -> Iterator[str]:
    """Each limit that so many panels of a model pass by themselves, what is on the roof already counted."""
    rules = job.panels
    if model.stock is not None and model.stock < count:
        there = "none is" if model.stock == 0 else f"{model.stock} {'is' if model.stock == 1 else 'are'}"
        yield f"of {count} x {model.model} {there} in stock"
    if rules.most_mass_kg is not None and model.mass_kg is not None:
        kept_kg = sum(k.model.mass_kg or 0.0 for k in job.kept)
        if count * model.mass_kg + kept_kg > rules.most_mass_kg + 1e-9:
            beside = f" beside {kept_kg:g} kg of kept panels" if kept_kg else ""
            yield (
                f"{count} x {model.model} weigh {count * model.mass_kg:g} kg{beside}, "
                f"most_mass is {rules.most_mass_kg:g} kg"
            )
    if rules.budget is not None and model.price is not None and count * model.price > rules.budget + 1e-9:
        yield f"{count} x {model.model} cost {count * model.price:g}, budget is {rules.budget:g}"
