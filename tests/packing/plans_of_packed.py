"""A packing as a plan, so that the inspection can be asked about it."""

from __future__ import annotations

from dataclasses import replace

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.packing.pack import Packed
from rooflayout.plan import Layout, Plan, Status


def breaches_of(job: Job, found: Packed) -> list[str]:
    """What the inspection says of a packing; nothing when all holds. For jobs without wiring."""
    new = [p for p in found.panels if not p.kept]
    kept = [p for p in found.panels if p.kept]
    named = [replace(p, panel=f"P{i}") for i, p in enumerate(new, 1)]
    named += [replace(p, panel=f"K{i}") for i, p in enumerate(kept, 1)]
    status: Status = "best found"
    if found.proven:
        status = "proven" if new else "nothing fits"
    layout = Layout(found.watts, found.bound_watts, status, 0.0, tuple(named))
    return [f"{b.where}: {b.text}" for b in inspect_plan(job, Plan(job.title, "", layout))]
