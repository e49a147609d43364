"""The [vehicle] and [mounts] tables: what carries the roof, and what holds the panels."""

from __future__ import annotations

from typing import cast, get_args

from rooflayout.needs import USUAL_MOUNTS, Mounts, Vehicle, VehicleKind
from rooflayout.survey.directions import AXES
from rooflayout.survey.masses import check_masses
from rooflayout.survey.spans import COORDINATE, Span, likely_metres
from rooflayout.survey.table import Table, table
from rooflayout.survey.words import number_text, show

KINDS = get_args(VehicleKind)
NEAREST_MM = 10.0  # a place nearer to the datum was measured in metres
SHORTEST_MM = 500.0  # from coupling to axle, and from axle to axle; less was measured in metres
OWN_KEYS: dict[str, tuple[str, ...]] = {
    "trailer": ("coupling_x", "axle_x", "coupling", "most_coupling", "axle", "most_axle"),
    "motor": ("front_axle_x", "axle_x", "front_axle", "most_front_axle", "axle", "most_axle"),
    "boat": ("displacement", "metacentric_height"),
}
# What must stand together: where loads go to, or what rights a boat; the first lies ahead.
PAIRS = {
    "trailer": ("coupling_x", "axle_x"),
    "motor": ("front_axle_x", "axle_x"),
    "boat": ("displacement", "metacentric_height"),
}
COMES_TO = {
    "trailer": "how coupling and axle loads change",
    "motor": "how the axle loads change",
    "boat": "how far she heels",
}
IN_WORDS = {"trailer": "a trailer", "motor": "a motor vehicle", "boat": "a boat"}

_TONNES = "In kg: 1.3 t is 1300."
WHOLE = Span("a mass of 50 kg or more", 50.0, 1e6, hint=_TONNES)
PART = Span("kg of 0 or more", 0.0, 1e6)
LIMIT = Span("kg above 0", 0.0, 1e6, above=True)
ROOF_LIMIT = Span("kg above 0, at most 20000", 0.0, 20_000.0, above=True, hint="In kg: 80000 g are 80.")
AXLE_LIMIT = Span("a limit of 50 kg or more", 50.0, 1e6, hint=_TONNES)
PER_M2 = Span("kg/m² above 0, at most 1000", 0.0, 1000.0, above=True)
LOPSIDED = Span("kg m above 0, at most 10000", 0.0, 10_000.0, above=True)
METACENTRIC = Span(
    "a height from 10 to 20000 mm", 10.0, 20_000.0, hint="Lengths are millimetres: 0.4 m is 400."
)
OF_A_PANEL = Span("kg a panel from 0 to 50", 0.0, 50.0, hint="In kg: 800 g are 0.8.")


def read_mounts(top: Table) -> Mounts:
    """Reads and checks [mounts]; without it a usual mass is taken for each panel."""
    mounts = table(top, "mounts")
    if mounts is None:
        return USUAL_MOUNTS
    mounts.check_keys("mounts")
    return Mounts(mounts.number_or("kg_per_panel", OF_A_PANEL, USUAL_MOUNTS.kg_per_panel))


def read_vehicle(top: Table) -> Vehicle | None:
    """Reads and checks [vehicle]; None when there is none or its kind is missing or wrong."""
    vehicle = table(top, "vehicle")
    if vehicle is None:
        return None
    vehicle.check_keys("vehicle")
    kind = vehicle.choice("kind", KINDS, needed=True)
    coupling_x, axle_x, front_axle_x, middle_y = (
        _figure_mm(vehicle, key) for key in ("coupling_x", "axle_x", "front_axle_x", "middle_y")
    )
    read = Vehicle(
        kind=cast(VehicleKind, kind or KINDS[0]),
        axle_x_mm=axle_x,
        coupling_x_mm=coupling_x,
        front_axle_x_mm=front_axle_x,
        middle_y_mm=middle_y,
        mass_kg=vehicle.number("mass", WHOLE),
        most_mass_kg=vehicle.number("most_mass", WHOLE),
        coupling_kg=vehicle.number("coupling", PART),
        most_coupling_kg=vehicle.number("most_coupling", LIMIT),
        axle_kg=vehicle.number("axle", PART),
        most_axle_kg=vehicle.number("most_axle", AXLE_LIMIT),
        front_axle_kg=vehicle.number("front_axle", PART),
        most_front_axle_kg=vehicle.number("most_front_axle", AXLE_LIMIT),
        displacement_kg=vehicle.number("displacement", WHOLE),
        metacentric_height_mm=vehicle.number("metacentric_height", METACENTRIC),
        most_roof_kg=vehicle.number("most_roof", ROOF_LIMIT),
        most_roof_kg_m2=vehicle.number("most_roof_per_m2", PER_M2),
        most_lopsided_kg_m=vehicle.number("most_lopsided", LOPSIDED),
        controllers_at_mm=_pair_mm(vehicle, "controllers_at"),
    )
    if kind is None:
        return None
    if _keys_are_of(vehicle, kind):
        _check_pair(vehicle, kind)
        _check_axles(vehicle, read, _front(top))
        check_masses(vehicle, read)
    return read


def _figure_mm(vehicle: Table, key: str) -> float | None:
    """A place along or across the vehicle; one that was typed in metres is reported."""
    figure = vehicle.number(key, COORDINATE)
    return None if figure is None or _in_metres(vehicle, key, (figure,)) else figure


def _pair_mm(vehicle: Table, key: str) -> tuple[float, float] | None:
    pair = vehicle.pair(key, "[x, y] in mm")
    return None if pair is None or _in_metres(vehicle, key, pair) else pair


def _in_metres(vehicle: Table, key: str, place: tuple[float, ...]) -> bool:
    """Reports a place within NEAREST_MM of the datum, but not on it, or with parts of a millimetre."""
    farthest = max(map(abs, place))
    if farthest == 0.0 or not (farthest < NEAREST_MM or likely_metres(place)):
        return False
    likely = [number_text(round(1000.0 * number)) for number in place]
    meant = likely[0] if len(likely) == 1 else f"[{', '.join(likely)}]"
    found = show(vehicle.values[key])
    expected = f"a place {number_text(NEAREST_MM)} mm or more from the datum, or 0"
    vehicle.problem((key,), key, found, expected, f"Lengths are millimetres: {found} m is {meant}.")
    return True


def _front(top: Table) -> str | None:
    """Where the first facet's front lies, or None where that cannot be read."""
    facets = top.values.get("facet")
    first = facets[0] if isinstance(facets, list) and facets else None
    front = first.get("front", "+x") if isinstance(first, dict) else None
    return front if front in AXES else None


def _keys_are_of(vehicle: Table, kind: str) -> bool:
    """Reports keys that belong to another kind of vehicle."""
    foreign = {key for keys in OWN_KEYS.values() for key in keys} - set(OWN_KEYS[kind])
    sound = True
    for key in vehicle.values:
        if key in foreign:
            homes = [IN_WORDS[other] for other in KINDS if key in OWN_KEYS[other]]
            hint = f"It belongs to {' or '.join(homes)}."
            vehicle.problem((key,), "", f'"{key}"', f"a key of {IN_WORDS[kind]}", hint)
            sound = False
    return sound


def _check_pair(vehicle: Table, kind: str) -> None:
    """Two figures that are of use together: one alone is a fault, neither is noted if it is missed."""
    first, second = PAIRS[kind]
    for there, lacking in ((first, second), (second, first)):
        if vehicle.has(there) and not vehicle.has(lacking):
            span = {"displacement": WHOLE, "metacentric_height": METACENTRIC}.get(lacking, COORDINATE)
            vehicle.missing(lacking, f"{span.says}, beside {there}")
    asked = [key for key in OWN_KEYS[kind] if key not in PAIRS[kind] and vehicle.has(key)]
    if asked and not vehicle.has(first) and not vehicle.has(second):
        text = f"Without [vehicle] {first} and {second} it cannot be told {COMES_TO[kind]}."
        vehicle.findings.note("caution", "vehicle-places-unknown", text)


def _check_axles(vehicle: Table, read: Vehicle, front: str | None) -> None:
    """Coupling or front axle lie well ahead of the axle."""
    ahead_key = PAIRS[read.kind][0]
    ahead = {"trailer": read.coupling_x_mm, "motor": read.front_axle_x_mm}.get(read.kind)
    axle = read.axle_x_mm
    if ahead is None or axle is None or front is None:
        return
    from_axle_mm = (axle - ahead) if front.startswith("-") else (ahead - axle)
    found = f"{number_text(ahead)}, {number_text(abs(from_axle_mm))} mm"
    expected = f"a place {number_text(SHORTEST_MM)} mm or more ahead of axle_x, {number_text(axle)}"
    if abs(from_axle_mm) < SHORTEST_MM:
        found = f"{found} from axle_x" if from_axle_mm else f"{number_text(ahead)}, where the axle is"
        vehicle.problem((ahead_key,), ahead_key, found, expected)
    elif from_axle_mm < 0:
        hint = f"Are the two swapped? The front lies to {front} of the first facet."
        vehicle.problem((ahead_key,), ahead_key, f"{found} behind axle_x", expected, hint)
