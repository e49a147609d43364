"""Which limits of vehicle and roof a plan passes. They are the job's, so such a plan may be well made and yet
not to be built: `plan` warns of them, `inspect` lists them.

A figure that is not stated is passed over.
"""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, Rule, figures
from rooflayout.job import Job
from rooflayout.needs import Vehicle
from rooflayout.plan import Plan

_HAIR = 1e-6


def loads_are_within_their_limits(job: Job, plan: Plan) -> Iterator[Breach]:
    """Coupling, axles, vehicle and roof bear, with what was there before, no more than they may, and none is
    lifted."""
    vehicle, balance = job.vehicle, plan.balance
    if vehicle is None or balance is None:
        return
    for bearing in balance.bearings:
        most_kg = _most_kg(vehicle, bearing.what)
        before_kg = 0.0 if bearing.before_kg is None else bearing.before_kg
        after_kg = before_kg + bearing.change_kg
        if most_kg is not None and after_kg > most_kg + _HAIR:
            a, b = figures(after_kg, most_kg)
            yield Breach("over-limit", bearing.what, f"{a} kg after the work; at most {b} kg")
        if bearing.before_kg is not None and after_kg < -_HAIR:
            a, _ = figures(-after_kg, 0.0)
            yield Breach("over-limit", bearing.what, f"lifted with {a} kg after the work")


def roof_is_within_its_limit_under_each_panel(job: Job, plan: Plan) -> Iterator[Breach]:
    """Under no panel lies more on a m² than the roof may bear."""
    most = None if job.vehicle is None else job.vehicle.most_roof_kg_m2
    for panel, load in plan.balance.roof_kg_m2 if plan.balance is not None and most is not None else ():
        if most is not None and load > most + _HAIR:
            a, b = figures(load, most)
            yield Breach("over-limit", panel, f"{a} kg/m² on the roof under it; at most {b} kg/m²")


def left_against_right_is_within_its_limit(job: Job, plan: Plan) -> Iterator[Breach]:
    """What is added weighs no more on one side of the centre line than the job allows."""
    most = None if job.vehicle is None else job.vehicle.most_lopsided_kg_m
    stated = None if plan.balance is None else plan.balance.lopsided_kg_m
    if most is not None and stated is not None and abs(stated) > most + _HAIR:
        a, b = figures(abs(stated), most)
        yield Breach("over-limit", "left against right", f"{a} kg m more on one side; at most {b} kg m")


LIMITS: tuple[Rule, ...] = (
    loads_are_within_their_limits,
    roof_is_within_its_limit_under_each_panel,
    left_against_right_is_within_its_limit,
)


def passed_limits(job: Job, plan: Plan) -> list[Breach]:
    """Every limit of vehicle and roof that the plan passes."""
    return [breach for rule in LIMITS for breach in rule(job, plan)]


def _most_kg(vehicle: Vehicle, what: str) -> float | None:
    return {
        "coupling": vehicle.most_coupling_kg,
        "axle": vehicle.most_axle_kg,
        "front axle": vehicle.most_front_axle_kg,
        "vehicle": vehicle.most_mass_kg,
        "roof": vehicle.most_roof_kg,
    }.get(what)
