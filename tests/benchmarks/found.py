"""What every contestant hands back, and the one check that all of them pass."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.plan import Layout, PlacedPanel, Plan
from rooflayout.wiring.numbering import number_panels


@dataclass(frozen=True, slots=True)
class Found:
    """A layout; bound_w is what no layout can exceed, None for a method that has no bound."""

    panels: tuple[PlacedPanel, ...]
    bound_w: float | None = None
    proven: bool = False

    @property
    def watts(self) -> float:
        return round(sum(p.watts for p in self.panels), 1)


def breaches(job: Job, found: Found) -> list[str]:
    """What the inspection says against a layout; every method of the comparison is held to it."""
    bound_w = found.watts if found.bound_w is None else max(found.bound_w, found.watts)
    panels = number_panels(job, found.panels)
    status = "proven" if found.proven else "best found"
    plan = Plan(job.title, job.file_name, Layout(found.watts, bound_w, status, 0.0, panels))
    return [f"{b.where}: {b.text}" for b in inspect_plan(job, plan)]
