"""Whether centre, payload, heel and load of the roof follow from the masses that a plan states.

A figure that is not stated (None or NaN) is passed over; so is one that rests on a centre line or a bearing
which the job leaves open.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, differ, figures
from rooflayout.inspection.lookup import has_place, model_of
from rooflayout.job import Facet, Job
from rooflayout.plan import Plan
from rooflayout.yields import AddedMass, Balance

_KG = 0.06
_MM = 1.5  # places are written to a mm
_SECOND_DECIMAL = 0.005 + 1e-9
_STRAIGHT_DEG = 0.01  # a slope within this of the vehicle's length leaves the centre line where it is drawn


def centre_is_the_items(job: Job, plan: Plan) -> Iterator[Breach]:
    """The common centre is that of the items whose place is known."""
    balance = plan.balance
    placed = [] if balance is None else _placed(balance)
    kg = sum(i.kg for i in placed)
    if balance is None or not kg > 0.0:
        return
    for what, stated, right in (
        ("centre_x_mm", balance.centre_x_mm, sum(i.kg * (i.x_mm or 0.0) for i in placed) / kg),
        ("centre_y_mm", balance.centre_y_mm, sum(i.kg * (i.y_mm or 0.0) for i in placed) / kg),
    ):
        yield from _wrong(what, stated, right, _MM, "mm")


def lopsided_is_the_items(job: Job, plan: Plan) -> Iterator[Breach]:
    """Mass times distance to the left of the centre line is that of the items whose place is known."""
    if plan.balance is None:
        return
    right = _lopsided_kg_m(job, plan.balance)
    slack = _SECOND_DECIMAL + 0.001 * sum(i.kg for i in _placed(plan.balance))
    yield from _wrong("lopsided_kg_m", plan.balance.lopsided_kg_m, right, slack, "kg m")


def heel_is_the_masses(job: Job, plan: Plan) -> Iterator[Breach]:
    """A boat's heel: tan = moment over displacement with the added mass and metacentric height."""
    vehicle, balance = job.vehicle, plan.balance
    if vehicle is None or balance is None or vehicle.kind != "boat":
        return
    moment = _lopsided_kg_m(job, balance)
    if moment is None or not vehicle.displacement_kg or not vehicle.metacentric_height_mm:
        return
    righting = (vehicle.displacement_kg + balance.added_kg) * vehicle.metacentric_height_mm / 1000.0
    right = math.degrees(math.atan2(moment, righting))
    yield from _wrong("heel_deg", balance.heel_deg, right, 0.01 + 0.005 * abs(right), "degrees")


def payload_is_what_is_left(job: Job, plan: Plan) -> Iterator[Breach]:
    """The vehicle bears all that is added; its limit less its mass and that is what may still be loaded."""
    vehicle, balance = job.vehicle, plan.balance
    if vehicle is None or balance is None:
        return
    for bearing in balance.bearings:
        if bearing.what == "vehicle":
            yield from _wrong("vehicle", bearing.change_kg, balance.added_kg, _KG, "kg")
    before_kg = vehicle.mass_kg
    if before_kg is None and vehicle.kind == "boat":
        before_kg = vehicle.displacement_kg
    if before_kg is not None and vehicle.most_mass_kg is not None:
        right = vehicle.most_mass_kg - before_kg - balance.added_kg
        yield from _wrong("payload_left_kg", balance.payload_left_kg, right, _KG, "kg")


def roof_bears_its_panels(job: Job, plan: Plan) -> Iterator[Breach]:
    """Under each panel lies its mass and its mounts', over the roof that it covers."""
    panels = {p.panel: p for p in plan.layout.panels if has_place(p)}
    for name, stated in plan.balance.roof_kg_m2 if plan.balance is not None else ():
        panel = panels.get(name)
        model = None if panel is None else model_of(job, panel)
        if panel is None or model is None or model.mass_kg is None:
            continue
        area_m2 = model.length_mm * model.width_mm / 1e6
        right = (model.mass_kg + job.mounts.kg_per_panel) / area_m2
        yield from _wrong(f"roof_kg_m2 of {name}", stated, right, 0.05 + 0.01 * right, "kg/m²")


def _wrong(what: str, stated: float | None, right: float | None, slack: float, unit: str) -> Iterator[Breach]:
    if stated is not None and right is not None and differ(stated, right, slack):
        a, b = figures(stated, right)
        yield Breach("mass-balance", what, f"{a} {unit} are stated as {what}; it is {b} {unit}")


def _placed(balance: Balance) -> list[AddedMass]:
    return [i for i in balance.items if i.x_mm is not None and i.y_mm is not None]


def _lopsided_kg_m(job: Job, balance: Balance) -> float | None:
    """None without items of known place, and where the centre line is not known."""
    middle, placed = across_middle_mm(job), _placed(balance)
    if middle is None or not placed:
        return None
    front = job.facets[0].front
    across = [(i.kg, (i.y_mm if front[1] == "x" else i.x_mm) or 0.0) for i in placed]
    to_left = 1.0 if front in ("+x", "-y") else -1.0
    return to_left * sum(kg * (at_mm - middle) for kg, at_mm in across) / 1000.0


def across_middle_mm(job: Job) -> float | None:
    """The centre line along the first facet's axis that lies across the vehicle: as given, or its middle."""
    if job.vehicle is not None and job.vehicle.middle_y_mm is not None:
        return job.vehicle.middle_y_mm
    first = job.facets[0]
    if first.slope_deg and not _slopes_along(job, first):
        return None
    which = 1 if first.front[1] == "x" else 0
    across = [point[which] for point in first.outline_mm]
    return (min(across) + max(across)) / 2.0


def _slopes_along(job: Job, facet: Facet) -> bool:
    """Whether a facet slopes to the vehicle's front or rear."""
    if facet.downhill is None:
        return False
    if isinstance(facet.downhill, str):
        return facet.downhill[1] == facet.front[1]
    turned = (facet.downhill - ((job.site.heading_deg if job.site else None) or 0.0)) % 180.0
    return min(turned, 180.0 - turned) <= _STRAIGHT_DEG
