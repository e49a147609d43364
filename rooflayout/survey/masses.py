"""Whether the masses of [vehicle] go together: parts and whole, figures and limits."""

from __future__ import annotations

from rooflayout.job import PanelRules
from rooflayout.needs import Vehicle
from rooflayout.survey.table import Table
from rooflayout.survey.words import number_text

APART_PCT = 5.0  # what weighings of parts and whole may differ by: common practice, no source


def check_masses(vehicle: Table, read: Vehicle) -> None:
    """Reports parts that weigh more than the whole; notes sums that differ and limits passed already."""
    parts = {
        "coupling": read.coupling_kg,
        "axle": read.axle_kg,
        "front_axle": read.front_axle_kg,
    }
    if _parts_are_within(vehicle, parts, read.mass_kg):
        _note_sum(vehicle, parts, read)
    _note_passed(vehicle, "mass", read.mass_kg, read.most_mass_kg)
    if read.mass_kg is None:  # a boat's payload is then counted from what she displaces
        _note_passed(vehicle, "displacement", read.displacement_kg, read.most_mass_kg, "most_mass")
    _note_passed(vehicle, "coupling", read.coupling_kg, read.most_coupling_kg)
    _note_passed(vehicle, "axle", read.axle_kg, read.most_axle_kg)
    _note_passed(vehicle, "front_axle", read.front_axle_kg, read.most_front_axle_kg)


def note_roof_limits(top: Table, rules: PanelRules, vehicle: Vehicle | None) -> None:
    """Notes a layout that may weigh more than the roof may bear: only most_mass limits the layout."""
    most_roof_kg = None if vehicle is None else vehicle.most_roof_kg
    if most_roof_kg is None or rules.most_mass_kg is None or rules.most_mass_kg <= most_roof_kg:
        return
    text = f"[panels] most_mass lets {number_text(rules.most_mass_kg)} kg of panels onto the roof, "
    text += f"[vehicle] most_roof says {number_text(most_roof_kg)} kg."
    top.findings.note("warning", "roof-limits-disagree", text)


def _parts_are_within(vehicle: Table, parts: dict[str, float | None], whole_kg: float | None) -> bool:
    sound = True
    for key, part_kg in parts.items():
        if part_kg is not None and whole_kg is not None and part_kg > whole_kg:
            expected = f"at most the vehicle's mass, {number_text(whole_kg)} kg"
            vehicle.problem((key,), key, f"{number_text(part_kg)} kg", expected)
            sound = False
    return sound


def _note_sum(vehicle: Table, parts: dict[str, float | None], read: Vehicle) -> None:
    """A trailer stands on coupling and axle, a motor vehicle on two axles, a boat displaces its mass."""
    displaced_kg = read.displacement_kg
    if displaced_kg is not None and read.mass_kg is not None and _apart(displaced_kg, read.mass_kg):
        text = f"[vehicle] displacement is {number_text(displaced_kg)} kg, "
        text += f"its mass is {number_text(read.mass_kg)} kg; a boat displaces what it weighs."
        vehicle.findings.note("warning", "masses-disagree", text)
    both = {"trailer": ("coupling", "axle"), "motor": ("front_axle", "axle")}.get(read.kind)
    if both is None or read.mass_kg is None:
        return
    first_kg, second_kg = (parts[key] for key in both)
    if first_kg is None or second_kg is None:
        return
    sum_kg = first_kg + second_kg
    if _apart(sum_kg, read.mass_kg):
        text = f"[vehicle] {both[0]} and {both[1]} come to {number_text(sum_kg)} kg, "
        text += f"its mass is {number_text(read.mass_kg)} kg."
        vehicle.findings.note("warning", "masses-disagree", text)


def _apart(kg: float, whole_kg: float) -> bool:
    return abs(kg - whole_kg) > APART_PCT / 100.0 * whole_kg


def _note_passed(
    vehicle: Table, key: str, kg: float | None, most_kg: float | None, most_key: str = ""
) -> None:
    if kg is not None and most_kg is not None and kg > most_kg:
        text = f"[vehicle] {key} is {number_text(kg)} kg before the work, beyond the "
        text += f"{number_text(most_kg)} kg of {most_key or f'most_{key}'}."
        what = "vehicle" if key in ("mass", "displacement") else key.replace("_", "-")
        vehicle.findings.note("warning", f"{what}-limit-passed", text)
