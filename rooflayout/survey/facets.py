"""The [[facet]] tables."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

from rooflayout.job import Direction, Facet, Point
from rooflayout.survey.directions import AXES, SIDES, direction
from rooflayout.survey.outline import outline_fault
from rooflayout.survey.spans import BEARING, LARGEST_MM, SLOPE, SMALLEST_SIDE_MM, as_number, likely_metres
from rooflayout.survey.table import Table, tables
from rooflayout.survey.whereabouts import named_at
from rooflayout.survey.words import guess, number_text, show

ONLY_FACET = "main"

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Facets:
    """The sound facets, and the names and fronts of all that are written, faulty ones too."""

    sound: tuple[Facet, ...]
    names: tuple[str, ...]
    fronts: dict[str, Direction]

    def find(self, name: str | None) -> Facet | None:
        """The sound facet of that name, or None."""
        return next((facet for facet in self.sound if facet.name == name), None)


def read_facets(top: Table) -> Facets:
    """Reads and checks all facets; a job needs at least one."""
    written = tables(top, "facet", "facet")
    if top.values.get("facet") in (None, []):
        top.missing("facet", "at least one [[facet]] with an outline")
    sound: list[Facet] = []
    lines: dict[str, int | None] = {}
    fronts: dict[str, Direction] = {}
    for i, table in enumerate(written):
        table.check_keys("facet")
        name = _name(table, alone=len(written) == 1)
        if name is not None and name in lines:
            table.problem(
                ("name",), "name", show(name), "another name", f"Line {lines[name]} has it already."
            )
        front = cast(Direction, table.choice("front", AXES) or "+x")
        facet = _facet(table, name or "", front, _place(table, first=i == 0))
        if name is not None and name not in lines:
            lines[name] = table.source.lines.line((*table.place, "name"))
            fronts[name] = front
            if facet is not None:
                sound.append(facet)
    return Facets(tuple(sound), tuple(lines), fronts)


def read_facet_name(table: Table, facets: Facets, key: str = "facet") -> str | None:
    """The facet that a thing lies on; it may be left out where there is only one."""
    if table.values.get(key) is None and len(facets.names) == 1:
        return facets.names[0]
    if not facets.names:
        return None
    return table.reference(key, facets.names, "a facet", needed=True)


def read_corners(table: Table, needed: bool = False) -> tuple[Point, ...] | None:
    """The key outline, as a simple polygon that runs counter-clockwise."""
    corners = table.points("outline", needed)
    if corners is None:
        return None
    fault = outline_fault(corners)
    if fault is None:
        return corners
    at = ("outline",) if fault.corner is None else ("outline", fault.corner - 1)
    table.problem(at, "outline", fault.found, fault.expected, fault.hint)
    return None


def _name(table: Table, alone: bool) -> str | None:
    if alone and not table.has("name"):
        return ONLY_FACET
    return table.text("name", 'a name such as "front slope"', needed=True)


def _place(table: Table, first: bool) -> Place | None:
    """Where the origin lies, by the first facet's axes; notes one that is likely to be in metres."""
    place = table.triple("place", "[x, y, height] in mm")
    if place is None:
        return None
    if first and place[:2] != (0.0, 0.0):
        hint = "Places count from the first facet's own origin; only its height is free."
        table.problem(("place",), "place", show(list(place)), "[0, 0, height] on the first facet", hint)
        return None
    if likely_metres(place):
        text = f"{named_at(table, 'place')}, place: {show(list(place))} is very near; "
        text += "metres typed for millimetres?"
        table.findings.note("warning", "length-in-metres", text)
    return place


def _facet(table: Table, name: str, front: Direction, place: Place | None) -> Facet | None:
    corners = read_corners(table, needed=True)
    slope = table.number_or("slope", SLOPE, 0.0)
    downhill = _downhill(table, front)
    if slope > 0 and not table.has("downhill"):
        text = f"{table.name} slopes by {slope:g}°, but downhill does not say to which side."
        table.findings.note("caution", "downhill-unknown", text)
    if corners is None or not _size_is_meant(table, corners):
        return None
    return Facet(name, corners, slope, downhill, front, place)


def _downhill(table: Table, front: Direction) -> Direction | float | None:
    value = table.values.get("downhill")
    if value is None:
        return None
    if isinstance(value, str):
        if value in SIDES:
            return direction(value, front)
        likely = guess(value, SIDES)
        hint = f'Did you mean "{likely}"?' if likely is not None else ""
    else:
        number = as_number(value)
        if number is not None and BEARING.holds(number):
            return number % 360
        hint = "" if number is None else BEARING.hint_for(number)
        hint = "Write the side or the bearing." if isinstance(value, bool) else hint
    expected = f"one of {', '.join(SIDES)}, or a bearing from 0 to 360"
    table.problem(("downhill",), "downhill", show(value), expected, hint)
    return None


def _size_is_meant(table: Table, corners: tuple[Point, ...]) -> bool:
    xs, ys = zip(*corners, strict=True)
    along_x, along_y = max(xs) - min(xs), max(ys) - min(ys)
    found = f"{number_text(along_x)} x {number_text(along_y)} mm"
    if min(along_x, along_y) < SMALLEST_SIDE_MM:
        expected = f"sides of {SMALLEST_SIDE_MM:g} mm or more"
        table.problem(("outline",), "outline", found, expected, "Metres typed for millimetres?")
        return False
    if max(along_x, along_y) > LARGEST_MM:
        table.problem(("outline",), "outline", found, "a facet of at most 200 m")
        return False
    return True
