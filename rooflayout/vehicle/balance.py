"""What the added mass comes to: its centre, coupling and axle loads, payload, heel, load of the roof."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.job import Job
from rooflayout.needs import Vehicle
from rooflayout.plan import PlacedPanel, Wiring
from rooflayout.vehicle.axes import ahead_mm, middle_left_mm, on_vehicle_mm
from rooflayout.vehicle.masses import FROM_PANELS, Added, added_masses, centre_mm, panel_kg
from rooflayout.vehicle.statics import heel_deg, on_supports_kg
from rooflayout.yields import AddedMass, Balance, Bearing

MM2 = 1e-6  # of a m²


def balance_of(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring | None) -> Balance | None:
    """The balance of a layout; None where nothing is added, or without [vehicle] no panel's mass is known."""
    added = added_masses(job, panels, wiring)
    if not added.items and not added.unknown:
        return None
    if job.vehicle is None and all(panel_kg(job, p) is None for p in panels):
        return None
    unweighed = [f"kept {p.model}" for p in panels if p.kept and panel_kg(job, p) is None]
    centre = centre_mm(added.items)
    vehicle = job.vehicle
    return Balance(
        items=added.items,
        added_kg=added.kg,
        centre_x_mm=None if centre is None else centre[0],
        centre_y_mm=None if centre is None else centre[1],
        lopsided_kg_m=lopsided_kg_m(job, added.items),
        bearings=(
            *(() if vehicle is None else on_wheels(job, vehicle, added.items)),
            *(() if vehicle is None else whole_vehicle(vehicle, added.kg)),
            *on_roof(job, panels, added),
        ),
        payload_left_kg=None if vehicle is None else payload_left_kg(vehicle, added.kg),
        heel_deg=None if vehicle is None else boat_heel_deg(job, vehicle, added),
        roof_kg_m2=under_panels_kg_m2(job, panels),
        unknown=tuple(dict.fromkeys((*added.unknown, *unweighed))),
    )


def lopsided_kg_m(job: Job, items: Sequence[AddedMass]) -> float | None:
    """Mass times distance to the left of the centre line, of the items whose place is known."""
    middle_mm = middle_left_mm(job)
    placed = _placed(job, items)
    if middle_mm is None or not placed:
        return None
    return sum(kg * (left_mm - middle_mm) for kg, _, left_mm in placed) / 1000.0


def on_wheels(job: Job, vehicle: Vehicle, items: Sequence[AddedMass]) -> tuple[Bearing, ...]:
    """Coupling and axle of a trailer, front and rear axle of a motor vehicle, by the items of known place.

    None for a boat, and where the supports' places or all items' are not known.
    """
    ends = {
        "trailer": ("coupling", vehicle.coupling_x_mm, vehicle.coupling_kg, vehicle.most_coupling_kg),
        "motor": ("front axle", vehicle.front_axle_x_mm, vehicle.front_axle_kg, vehicle.most_front_axle_kg),
    }
    placed = _placed(job, items)
    if vehicle.kind == "boat" or vehicle.axle_x_mm is None or not placed:
        return ()
    what, front_mm, front_kg, most_front_kg = ends[vehicle.kind]
    if front_mm is None or front_mm == vehicle.axle_x_mm:
        return ()
    one_mm, other_mm = ahead_mm(job, front_mm), ahead_mm(job, vehicle.axle_x_mm)
    shares = [on_supports_kg(kg, at_mm, one_mm, other_mm) for kg, at_mm, _ in placed]
    return (
        Bearing(what, sum(front for front, _ in shares), front_kg, most_front_kg),
        Bearing("axle", sum(axle for _, axle in shares), vehicle.axle_kg, vehicle.most_axle_kg),
    )


def whole_vehicle(vehicle: Vehicle, added_kg: float) -> tuple[Bearing, ...]:
    """The vehicle as a whole; a boat without a mass weighs its displacement."""
    return (Bearing("vehicle", added_kg, before_kg(vehicle), vehicle.most_mass_kg),)


def before_kg(vehicle: Vehicle) -> float | None:
    """The vehicle's mass as it stands before the work."""
    if vehicle.mass_kg is None and vehicle.kind == "boat":
        return vehicle.displacement_kg
    return vehicle.mass_kg


def payload_left_kg(vehicle: Vehicle, added_kg: float) -> float | None:
    """What may still be loaded afterwards; negative where it is too heavy already."""
    mass_kg = before_kg(vehicle)
    if mass_kg is None or vehicle.most_mass_kg is None:
        return None
    return vehicle.most_mass_kg - mass_kg - added_kg


def on_roof(job: Job, panels: Sequence[PlacedPanel], added: Added) -> tuple[Bearing, ...]:
    """The roof: new panels, their mounts and the cables from them, beside kept panels with theirs."""
    if not panels:
        return ()
    mount_kg = job.mounts.kg_per_panel
    cables_kg = sum(i.kg for i in added.items if i.item == FROM_PANELS)
    new_kg = sum((panel_kg(job, p) or 0.0) + mount_kg for p in panels if not p.kept)
    kept_kg = sum((panel_kg(job, p) or 0.0) + mount_kg for p in panels if p.kept)
    most_kg = None if job.vehicle is None else job.vehicle.most_roof_kg
    return (Bearing("roof", new_kg + cables_kg, kept_kg, most_kg),)


def under_panels_kg_m2(job: Job, panels: Sequence[PlacedPanel]) -> tuple[tuple[str, float], ...]:
    """Mass of each panel and its mounts over the roof that it covers, kept ones too; those of known mass."""
    found = []
    for panel in panels:
        kg = panel_kg(job, panel)
        if kg is not None:
            area_m2 = panel.along_x_mm * panel.along_y_mm * MM2
            found.append((panel.panel, (kg + job.mounts.kg_per_panel) / area_m2))
    return tuple(found)


def boat_heel_deg(job: Job, vehicle: Vehicle, added: Added) -> float | None:
    """Heel of a boat by what is added, to the left positive; None where it is no boat or not known.

    The metacentric height counts as it was: mass on the roof lowers it, by how much nobody knows without
    the height of the boat's centre of gravity.
    """
    moment_kg_m = lopsided_kg_m(job, added.items)
    displacement_kg, height_mm = vehicle.displacement_kg, vehicle.metacentric_height_mm
    if vehicle.kind != "boat" or moment_kg_m is None or displacement_kg is None or height_mm is None:
        return None
    return heel_deg(moment_kg_m * 1000.0, displacement_kg + added.kg, height_mm)


def _placed(job: Job, items: Sequence[AddedMass]) -> list[tuple[float, float, float]]:
    """(kg, mm ahead, mm to the left) of the items whose place is known."""
    found = []
    for item in items:
        if item.x_mm is not None and item.y_mm is not None:
            found.append((item.kg, *on_vehicle_mm(job, (item.x_mm, item.y_mm))))
    return found
