"""What is said of facets on which nothing lies, though panels lie on others."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.job import Job
from rooflayout.plan import Note, Plan
from rooflayout.wiring.options import Supply, shortest_strings

NAMED = 4  # models of strings of one length


def bare_facet_notes(job: Job, plan: Plan, supply: Supply | None) -> Iterator[Note]:
    """A note for the facets without a panel; supply: the trackers, None where nothing is wired."""
    if not plan.layout.panels:
        return
    on = {p.facet for p in plan.layout.panels}
    bare = [f.name for f in job.facets if f.name not in on]
    if not bare:
        return
    text = f"Nothing lies on {' and '.join(bare)}."
    if plan.layout.status == "proven" and plan.layout.harvest_wh_year is None:
        text += " No arrangement with panels there has more watts."
    shortest = shortest_strings(supply.options) if supply is not None else {}
    if shortest and min(shortest.values()) > 1:
        text += " A string lies whole on one facet; the shortest that these controllers take: "
        text += f"{_by_length(shortest)}."
    yield Note("info", "facet-bare", text)


def _by_length(shortest: dict[str, int]) -> str:
    """By the number of panels in series, the models: 2 x A; 3 x B, C or D."""
    said = []
    for count in sorted(set(shortest.values())):
        models = [model for model, n in shortest.items() if n == count]
        if len(models) > NAMED + 1:
            models = [*models[:NAMED], f"{len(models) - NAMED} others"]
        *others, last = models
        said.append(f"{count} x {', '.join(others)} or {last}" if others else f"{count} x {last}")
    return "; ".join(said)
