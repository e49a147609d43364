"""The example jobs with their layouts and wirings as they lie in outputs/, read and not planned anew; sun and
masses worked out anew, so that they are those of today."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from rooflayout.energy.energy import energy_of as year_of
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.read import read_job
from rooflayout.vehicle.balance import balance_of as masses_of
from rooflayout.yields import Balance, Energy

ROOT = Path(__file__).parent.parent.parent
TESTED = {"energy-harvest", "energy-sun", "energy-uncertainty", "energy-empty", "mass-place"}
EXAMPLES = ("ringing-trailer", "mountain-hut", "canal-boat")


@cache
def planned(name: str) -> tuple[Job, Plan]:
    """A job and its plan."""
    job, _ = read_job(ROOT / "roofs" / f"{name}.toml")
    plan = read_plan(ROOT / "outputs" / name / "plan.json", job)
    energy = year_of(job, plan.layout.panels, plan.wiring)
    return job, replace(plan, energy=energy, balance=masses_of(job, plan.layout.panels, plan.wiring))


def energy_of(plan: Plan) -> Energy:
    assert plan.energy is not None
    return plan.energy


def balance_of(plan: Plan) -> Balance:
    assert plan.balance is not None
    return plan.balance


def codes(name: str, plan: Plan) -> set[str]:
    """Of every breach of the rules that are tested with these plans; a change may break others too."""
    return {b.code for b in inspect_plan(planned(name)[0], plan)} & TESTED


def with_energy(name: str, **changes: Any) -> Plan:
    plan = planned(name)[1]
    return replace(plan, energy=replace(energy_of(plan), **changes))


def with_months(name: str, **changes: Any) -> Plan:
    """The same change in every month; a function makes it of the month's own figure."""
    months = tuple(
        replace(m, **{k: v(getattr(m, k)) if callable(v) else v for k, v in changes.items()})
        for m in energy_of(planned(name)[1]).months
    )
    return with_energy(name, months=months)


def with_balance(name: str, **changes: Any) -> Plan:
    plan = planned(name)[1]
    return replace(plan, balance=replace(balance_of(plan), **changes))
