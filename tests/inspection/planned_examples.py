"""The finished plans of the example jobs, as they lie in outputs/: read, not planned anew."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.survey.plan_file import read_plan
from rooflayout.survey.read import read_job
from rooflayout.yields import Balance, Energy

ROOT = Path(__file__).parent.parent.parent
EXAMPLES = ("ringing-trailer", "mountain-hut", "canal-boat")


@cache
def planned(name: str) -> tuple[Job, Plan]:
    """A job and its finished plan."""
    job, _ = read_job(ROOT / "roofs" / f"{name}.toml")
    return job, read_plan(ROOT / "outputs" / name / "plan.json", job)


def energy_of(plan: Plan) -> Energy:
    assert plan.energy is not None
    return plan.energy


def balance_of(plan: Plan) -> Balance:
    assert plan.balance is not None
    return plan.balance


def codes(name: str, plan: Plan) -> set[str]:
    """Of every breach that inspection finds."""
    return {b.code for b in inspect_plan(planned(name)[0], plan)}


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
