"""The [[obstacle]] tables."""

from __future__ import annotations

from rooflayout.job import Direction, Obstacle, Point
from rooflayout.survey.directions import SIDES, direction
from rooflayout.survey.facets import Facets, read_corners, read_facet_name
from rooflayout.survey.hints import place_hint
from rooflayout.survey.shapes import lies_outside, moved, sticks_out
from rooflayout.survey.spans import LENGTH, SIZE, likely_metres
from rooflayout.survey.table import NOTHING, Table, tables
from rooflayout.survey.whereabouts import named_at
from rooflayout.survey.words import number_text, show

KINDS = ("hatch", "vent", "skylight", "air-conditioner", "aerial", "rail", "walkway", "chimney", "other")
FORMS = "at with size, or centre with diameter, or outline"

Shape = tuple[tuple[Point, ...] | None, Point | None, float | None]  # outline, centre, diameter


def read_obstacles(top: Table, facets: Facets) -> tuple[Obstacle, ...]:
    """Reads and checks all obstacles; only sound ones are returned."""
    sound: list[Obstacle] = []
    lines: dict[tuple[str, str], int | None] = {}
    for table in tables(top, "obstacle", "obstacle"):
        table.check_keys("obstacle")
        facet_name = read_facet_name(table, facets)
        name = table.text("name", 'a name such as "bed hatch"', needed=True)
        if name is not None and facet_name is not None:
            if (facet_name, name) in lines:
                first = f"Line {lines[facet_name, name]} has it already on this facet."
                table.problem(("name",), "name", show(name), "another name", first)
            else:
                lines[facet_name, name] = table.source.lines.line((*table.place, "name"))
        obstacle = _obstacle(table, name, facet_name, facets)
        if obstacle is not None and _lies_on_its_facet(table, obstacle, facets):
            sound.append(obstacle)
    return tuple(sound)


def _obstacle(table: Table, name: str | None, facet_name: str | None, facets: Facets) -> Obstacle | None:
    kind = table.choice("kind", KINDS) or "other"
    clearance = table.length_or("clearance", 0.0)
    height = table.number("height", LENGTH)
    front = facets.fronts.get(facet_name or "", "+x")
    opens, reach = _swing(table, front)
    shape = _shape(table)
    if shape is None or name is None or facet_name is None:
        return None
    outline, centre, diameter = shape
    obstacle = Obstacle(
        name=name,
        facet=facet_name,
        kind=kind,
        outline_mm=outline,
        centre_mm=centre,
        diameter_mm=diameter,
        clearance_mm=clearance,
        height_mm=height,
        opens=opens,
        reach_mm=reach,
    )
    return obstacle if _size_is_meant(table, obstacle) else None


def _swing(table: Table, front: Direction) -> tuple[Direction | None, float]:
    """The side to which a lid opens and how far it reaches: both or neither."""
    side = table.choice("opens", SIDES)
    reach = table.length_or("reach", 0.0, SIZE)
    if table.has("opens") and not table.has("reach"):
        table.missing("reach", f"{SIZE.says}, as it opens to the {side or 'side'}")
    if table.has("reach") and not table.has("opens"):
        table.missing("opens", f"one of {', '.join(SIDES)}, as it has a reach")
    return (direction(side, front) if side is not None else None), reach


def _shape(table: Table) -> Shape | None:
    forms = {
        "at with size": table.has("at") or table.has("size"),
        "centre with diameter": table.has("centre") or table.has("diameter"),
        "outline": table.has("outline"),
    }
    given = [form for form, used in forms.items() if used]
    if not given:
        table.problem((), "size", NOTHING, FORMS)
        return None
    if len(given) > 1:
        table.problem((), "size", " and ".join(given), f"one of them: {FORMS}")
        return None
    if given == ["outline"]:
        corners = read_corners(table)
        return None if corners is None else (corners, None, None)
    if given == ["at with size"]:
        at = table.pair("at", "[x, y] in mm", needed=True)
        size = table.pair("size", "[along x, along y] in mm", SIZE, needed=True)
        return None if at is None or size is None else (_rectangle(at, size), None, None)
    centre = table.pair("centre", "[x, y] in mm", needed=True)
    diameter = table.number("diameter", SIZE, needed=True)
    return None if centre is None or diameter is None else (None, centre, diameter)


def _rectangle(at: Point, size: Point) -> tuple[Point, ...]:
    (x, y), (along_x, along_y) = at, size
    return (x, y), (x + along_x, y), (x + along_x, y + along_y), (x, y + along_y)


def _size_is_meant(table: Table, obstacle: Obstacle) -> bool:
    """Nothing on a roof is thinner than 1 mm or shorter than 5 mm; under 10 mm is only noted."""
    x0, y0, x1, y1 = obstacle.bounds_mm()
    shorter, longer = sorted((x1 - x0, y1 - y0))
    found = f"{number_text(x1 - x0)} x {number_text(y1 - y0)} mm"
    if shorter < 1 or longer < 5:
        table.problem(
            (_written(table, "size", "diameter", "outline"),),
            "size",
            found,
            "a thing of some millimetres",
            "Metres typed for millimetres?",
        )
        return False
    if longer < 10:
        text = f"{named_at(table)} is only {found}; metres typed for millimetres?"
        table.findings.note("warning", "obstacle-very-small", text)
    return True


def _lies_on_its_facet(table: Table, obstacle: Obstacle, facets: Facets) -> bool:
    facet = facets.find(obstacle.facet)
    if facet is None:
        return True
    if lies_outside(obstacle, facet):
        x0, y0, x1, y1 = (number_text(value) for value in obstacle.bounds_mm())
        found = f"it at x {x0} to {x1}, y {y0} to {y1}, outside the outline"
        table.problem(
            (_written(table, "at", "centre", "outline"),),
            "place",
            found,
            f"a place on facet {show(facet.name)}",
            place_hint(facet, facets, lambda to, turn: not sticks_out(moved(obstacle, turn), to)),
        )
        return False
    if sticks_out(obstacle, facet):
        at = named_at(table, _written(table, "at", "centre", "outline"))
        text = f"{at} reaches past the outline of facet {show(facet.name)}."
        if likely_metres(obstacle.centre_mm or obstacle.bounds_mm()[:2]):
            text += " Its place in metres for millimetres?"
        table.findings.note("warning", "obstacle-past-outline", text)
    return True


def _written(table: Table, *keys: str) -> str:
    """The first of the keys that the table has, to point at its line."""
    return next((key for key in keys if key in table.values), keys[0])
