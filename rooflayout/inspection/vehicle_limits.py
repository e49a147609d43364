"""Which limits of vehicle and roof a plan passes. They are the job's, so such a plan may be well made and yet
not to be built: `plan` warns of them, `inspect` lists them.

A limit is passed by what the plan states, or by what is worked out anew (borne.py), whatever it states.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.added import roof_kg
from rooflayout.inspection.borne import (
    KG,
    LOADS,
    before_kg,
    changes_kg,
    heel_deg,
    lopsided_kg_m,
    most_kg,
    under_panels_kg_m2,
)
from rooflayout.inspection.breach import Breach, Rule, figures
from rooflayout.job import Job
from rooflayout.plan import Plan

MOST_HEEL_DEG = 5.0  # by what is fitted, a boat lies over no further: common practice, no source
_HAIR = 1e-6
_SECOND_DECIMAL = 0.006  # a hundredth, rounded, and a mm
_KG_M = 0.1


def loads_are_within_their_limits(job: Job, plan: Plan) -> Iterator[Breach]:
    """Coupling, axles, vehicle and roof bear, with what was there before, no more than they may, and none is
    lifted."""
    vehicle = job.vehicle
    if vehicle is None:
        return
    own_kg = changes_kg(job, plan)
    stated = {b.what: b for b in plan.balance.bearings} if plan.balance is not None else {}
    for what in LOADS:
        most, given, bearing = most_kg(vehicle, what), before_kg(vehicle, what), stated.get(what)
        own_before = roof_kg(job, plan)[0] if what == "roof" else given
        own_after = own_kg[what] + (own_before or 0.0) if what in own_kg else math.nan
        if what not in own_kg and bearing is None and given is not None:
            own_after = given  # passed before the work already
        before = bearing.before_kg if bearing is not None else None
        after = math.nan if bearing is None else (before or 0.0) + bearing.change_kg
        if most is not None and (over := _over(after, own_after, most, KG)) is not None:
            a, b = figures(over, most)
            yield Breach("over-limit", what, f"{a} kg after the work; at most {b} kg")
        lifted = after < -_HAIR and before is not None
        if lifted or (own_after < -KG and own_before is not None):
            a, _ = figures(-(after if lifted else own_after), 0.0)
            yield Breach("over-limit", what, f"lifted with {a} kg after the work")


def roof_is_within_its_limit_under_each_panel(job: Job, plan: Plan) -> Iterator[Breach]:
    """Under no panel lies more on a m² than the roof may bear."""
    most = None if job.vehicle is None else job.vehicle.most_roof_kg_m2
    if most is None:
        return
    stated = dict(plan.balance.roof_kg_m2) if plan.balance is not None else {}
    own = under_panels_kg_m2(job, plan)
    for panel in dict.fromkeys((*stated, *own)):
        over = _over(stated.get(panel, math.nan), own.get(panel, math.nan), most, _SECOND_DECIMAL)
        if over is not None:
            a, b = figures(over, most)
            yield Breach("over-limit", panel, f"{a} kg/m² on the roof under it; at most {b} kg/m²")


def left_against_right_is_within_its_limit(job: Job, plan: Plan) -> Iterator[Breach]:
    """What is added weighs no more on one side of the centre line than the job allows."""
    most = None if job.vehicle is None else job.vehicle.most_lopsided_kg_m
    if most is None:
        return
    stated = None if plan.balance is None else plan.balance.lopsided_kg_m
    over = _over(_size(stated), _size(lopsided_kg_m(job, plan)), most, _KG_M)
    if over is not None:
        a, b = figures(over, most)
        yield Breach("over-limit", "left against right", f"{a} kg m more on one side; at most {b} kg m")


def boat_lies_over_no_further_than_is_usual(job: Job, plan: Plan) -> Iterator[Breach]:
    """What is fitted heels a boat by no more than is usual, whatever limits the job gives."""
    if job.vehicle is None or job.vehicle.kind != "boat":
        return
    stated = None if plan.balance is None else plan.balance.heel_deg
    over = _over(_size(stated), _size(heel_deg(job, plan)), MOST_HEEL_DEG, 2.0 * _SECOND_DECIMAL)
    if over is not None:
        a, b = figures(over, MOST_HEEL_DEG)
        yield Breach("over-limit", "heel", f"the boat lies over by {a}°; at most {b}°")


LIMITS: tuple[Rule, ...] = (
    loads_are_within_their_limits,
    roof_is_within_its_limit_under_each_panel,
    left_against_right_is_within_its_limit,
    boat_lies_over_no_further_than_is_usual,
)


def passed_limits(job: Job, plan: Plan) -> list[Breach]:
    """Every limit of vehicle and roof that the plan passes."""
    return [breach for rule in LIMITS for breach in rule(job, plan)]


def _over(stated: float, own: float, most: float, slack: float) -> float | None:
    """The figure that passes the limit: as stated to the hair, else as worked out anew beyond rounding."""
    if stated > most + _HAIR:
        return stated
    return own if own > most + slack else None


def _size(value: float | None) -> float:
    return math.nan if value is None else abs(value)
