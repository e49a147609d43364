"""What coupling, axles, vehicle and roof bear, worked out anew, and whether a plan states what its job asks.

Nothing is shared with vehicle/. A job asks for a figure where it gives a limit, or what there was before.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rooflayout.inspection.added import Weight, added_kg, all_weighed, roof_kg, weights
from rooflayout.inspection.balances import across_middle_mm
from rooflayout.inspection.breach import Breach, figures
from rooflayout.inspection.lookup import model_of
from rooflayout.job import Job
from rooflayout.needs import Vehicle
from rooflayout.plan import Plan

KG = 0.06  # figures are written to a hundredth or a tenth
_SHARE = 0.01
LOADS = ("coupling", "front axle", "axle", "vehicle", "roof")


def changes_kg(job: Job, plan: Plan) -> dict[str, float]:
    """By what is borne, how much the work adds; what cannot be told is not in it."""
    vehicle, own = job.vehicle, weights(job, plan)
    if not any(w.kg is None or w.kg > 0.0 for w in own):
        return {}
    found = {"roof": roof_kg(job, plan)[1]} if plan.layout.panels else {}
    if vehicle is None:
        return found
    found["vehicle"] = added_kg(own)
    ends = {"trailer": ("coupling", vehicle.coupling_x_mm), "motor": ("front axle", vehicle.front_axle_x_mm)}
    what, front_mm = ends.get(vehicle.kind, ("", None))
    rear_mm, placed = vehicle.axle_x_mm, _placed(own)
    if front_mm is None or rear_mm is None or front_mm == rear_mm or not placed:
        return found
    which = 0 if job.facets[0].front in ("+x", "-x") else 1
    moment = sum((w.kg or 0.0) * ((w.at_mm or (0.0, 0.0))[which] - rear_mm) for w in placed)
    found[what] = moment / (front_mm - rear_mm)
    found["axle"] = sum(w.kg or 0.0 for w in placed) - found[what]
    return found


def before_kg(vehicle: Vehicle, what: str) -> float | None:
    """As the job has it; a boat without a mass weighs its displacement."""
    whole = vehicle.mass_kg
    if whole is None and vehicle.kind == "boat":
        whole = vehicle.displacement_kg
    return {
        "coupling": vehicle.coupling_kg,
        "front axle": vehicle.front_axle_kg,
        "axle": vehicle.axle_kg,
        "vehicle": whole,
    }.get(what)


def most_kg(vehicle: Vehicle, what: str) -> float | None:
    return {
        "coupling": vehicle.most_coupling_kg,
        "front axle": vehicle.most_front_axle_kg,
        "axle": vehicle.most_axle_kg,
        "vehicle": vehicle.most_mass_kg,
        "roof": vehicle.most_roof_kg,
    }.get(what)


def lopsided_kg_m(job: Job, plan: Plan) -> float | None:
    """Mass times distance to the left of the centre line; None where it cannot be told."""
    middle, placed = across_middle_mm(job), _placed(weights(job, plan))
    if middle is None or not placed:
        return None
    front = job.facets[0].front
    which = 1 if front in ("+x", "-x") else 0
    turned = 1.0 if front in ("+x", "-y") else -1.0
    return turned * sum((w.kg or 0.0) * ((w.at_mm or (0.0, 0.0))[which] - middle) for w in placed) / 1000.0


def heel_deg(job: Job, plan: Plan) -> float | None:
    """Of a boat, to the left: tan = moment over displacement with what is added and metacentric height."""
    vehicle, moment = job.vehicle, lopsided_kg_m(job, plan)
    if vehicle is None or vehicle.kind != "boat" or moment is None:
        return None
    if not vehicle.displacement_kg or not vehicle.metacentric_height_mm:
        return None
    floats_kg = vehicle.displacement_kg + added_kg(weights(job, plan))
    return math.degrees(math.atan2(moment, floats_kg * vehicle.metacentric_height_mm / 1000.0))


def under_panels_kg_m2(job: Job, plan: Plan) -> dict[str, float]:
    """By panel of known mass: its mass and its mounts' over the roof that it covers."""
    found = {}
    for panel in plan.layout.panels:
        model = model_of(job, panel)
        if model is not None and model.mass_kg is not None:
            kg = model.mass_kg + job.mounts.kg_per_panel
            found[panel.panel] = kg / (model.length_mm * model.width_mm / 1e6)
    return found


def figures_asked_for_are_stated(job: Job, plan: Plan) -> Iterator[Breach]:
    """A limit is kept by a figure that is there: none may be left out where it can be worked out."""
    vehicle, changes = job.vehicle, changes_kg(job, plan)
    if vehicle is None or not changes:
        return
    balance = plan.balance
    stated = {b.what for b in (() if balance is None else balance.bearings) if not math.isnan(b.change_kg)}
    lacking = [
        what
        for what in LOADS
        if what in changes
        and (most_kg(vehicle, what), before_kg(vehicle, what)) != (None, None)
        and what not in stated
    ]
    lone = (
        ("payload_left_kg", None not in (before_kg(vehicle, "vehicle"), vehicle.most_mass_kg)),
        ("lopsided_kg_m", vehicle.most_lopsided_kg_m is not None and lopsided_kg_m(job, plan) is not None),
        ("heel_deg", heel_deg(job, plan) is not None),
    )
    for what, asked in lone:
        figure = None if balance is None else getattr(balance, what)
        if asked and (figure is None or math.isnan(figure)):
            lacking.append(what)
    if vehicle.most_roof_kg_m2 is not None:
        there = {n for n, kg in (() if balance is None else balance.roof_kg_m2) if not math.isnan(kg)}
        lacking += [f"roof_kg_m2 of {name}" for name in under_panels_kg_m2(job, plan) if name not in there]
    for what in lacking:
        text = f"{what} is not stated; [vehicle] asks for it, and it can be worked out"
        yield Breach("mass-missing", what, text)


def all_that_is_added_is_counted(job: Job, plan: Plan) -> Iterator[Breach]:
    """The added mass is that of panels, mounts, cables and controllers; no less where some is not known."""
    own = weights(job, plan)
    if plan.balance is not None and own:
        right, whole = added_kg(own), all_weighed(job, plan, own)
        yield from _wrong("mass-sum", "added_kg", plan.balance.added_kg, right, whole)


def roof_bears_what_lies_on_it(job: Job, plan: Plan) -> Iterator[Breach]:
    """Before: kept panels and their mounts. The change: new panels, mounts, and the cables from them."""
    own = weights(job, plan)
    whole = all_weighed(job, plan, own)
    kept = [model_of(job, p) for p in plan.layout.panels if p.kept]
    kept_whole = all(m is not None and m.mass_kg is not None for m in kept)
    before, change = roof_kg(job, plan)
    for bearing in plan.balance.bearings if plan.balance is not None else ():
        if bearing.what == "roof":
            yield from _wrong("mass-balance", "roof", bearing.change_kg, change, whole, " added on the roof")
            if bearing.before_kg is not None or before > KG:
                stated = 0.0 if bearing.before_kg is None else bearing.before_kg
                yield from _wrong(
                    "mass-balance", "roof", stated, before, kept_whole, " on the roof before the work"
                )


def _wrong(
    code: str, where: str, stated: float, right: float, whole: bool, what: str = " added"
) -> Iterator[Breach]:
    off = stated - right
    if math.isnan(off) or abs(off) <= KG + _SHARE * right or (off > 0.0 and not whole):
        return
    a, b = figures(stated, right)
    least = "" if whole else " at least"
    yield Breach(code, where, f"{a} kg are stated as{what}; by panels and cables it is {b} kg{least}")


def _placed(own: Sequence[Weight]) -> list[Weight]:
    """What has a known place; nothing where inspection cannot tell the place of something that the house may
    know."""
    if not all(w.known for w in own):
        return []
    return [w for w in own if w.kg and w.at_mm is not None]
