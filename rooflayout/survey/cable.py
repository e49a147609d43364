"""The [cable] table: lengths of the runs, where the gland is, and what the cables must stand."""

from __future__ import annotations

from rooflayout.job import Cable, Point
from rooflayout.survey.facets import Facets, read_facet_name
from rooflayout.survey.hints import place_hint
from rooflayout.survey.shapes import distance_mm
from rooflayout.survey.spans import COUNT, LARGEST_MM, Span, as_number
from rooflayout.survey.table import NOT_TRUE, WITHOUT_QUOTES, Table, table
from rooflayout.survey.whereabouts import named_at
from rooflayout.survey.wiring_rules import per_cent_or
from rooflayout.survey.words import number_text, show

SHORTEST_MM = 50.0  # a shorter run was measured in metres
RUN = Span(
    f"a length of {SHORTEST_MM:g} mm or more",
    SHORTEST_MM,
    LARGEST_MM,
    too_high="a length of at most 200 m",
    hint="Lengths are millimetres: 3.5 m is 3500.",
)
AMBIENT = Span("°C from -40 to 100", -40.0, 100.0, hint="°F typed for °C?")
DROP = Span("a percentage above 0, at most 20", 0.0, 20.0, above=True)
LEAST_ROOF = Span(
    "a conductor size in mm² from 0.5 to 35", 0.5, 35.0, hint="An AWG number? 10 AWG is 5.3 mm²."
)
INSULATIONS_C = (60, 70, 75, 80, 85, 90, 105, 110, 120, 125)
INSULATION = 90.0
INSULATION_HINT = f"It is printed on the cable; left out, {INSULATION:g} is taken."
BESIDE_FACET_MM = 500.0  # a gland may be in the wall beside the roof
NEAR_ORIGIN_MM = 20.0  # no gland fits nearer to the corner of a roof


def read_cable(top: Table, facets: Facets) -> Cable:
    """Reads and checks [cable]; lengths that are left out stay None, to be estimated."""
    cable = table(top, "cable")
    if cable is None:
        return Cable()
    cable.check_keys("cable")
    facet_name, gland = _gland(cable, facets)
    insulation = _insulation(cable)
    ambient = cable.number("ambient", AMBIENT)
    if ambient is not None and ambient >= insulation:
        expected = f"less than the {number_text(insulation)} °C that the insulation stands"
        cable.problem(("ambient",), "ambient", f"{number_text(ambient)} °C", expected)
    return Cable(
        roof_run_mm=cable.number("roof_run", RUN),
        gland_facet=facet_name,
        gland_mm=gland,
        gland_to_controller_mm=cable.number("gland_to_controller", RUN),
        controller_to_battery_mm=cable.number("controller_to_battery", RUN),
        bar_to_battery_mm=cable.number("bar_to_battery", RUN),
        ambient_c=ambient,
        insulation_c=insulation,
        bundled=int(cable.number_or("bundled", COUNT, 2.0)),
        most_drop_pct=per_cent_or(cable, "most_drop_pct", DROP, 3.0),
        least_roof_mm2=cable.number("least_roof_mm2", LEAST_ROOF),
    )


def _gland(cable: Table, facets: Facets) -> tuple[str | None, Point | None]:
    """The gland's facet, where there is a gland, and its place; both None when neither is written."""
    if not cable.has("gland") and not cable.has("gland_facet"):
        return None, None
    name = read_facet_name(cable, facets, "gland_facet")
    gland = cable.pair("gland", "[x, y] in mm")
    facet = facets.find(name)
    if gland is None or facet is None:
        return name, gland
    x, y = gland
    away_mm = distance_mm(gland, facet)
    if away_mm > BESIDE_FACET_MM:
        found = f"{show(list(gland))}, {away_mm:.0f} mm outside the outline"
        expected = f"a place on facet {show(facet.name)}, or within {BESIDE_FACET_MM:g} mm of it"
        hint = place_hint(facet, facets, lambda to, at: distance_mm(at(x, y), to) <= 0)
        cable.problem(("gland",), "gland", found, expected, hint)
    elif max(x, y) < NEAR_ORIGIN_MM and (x % 1 > 0 or y % 1 > 0) and min(x, y) > 0:
        text = f"{named_at(cable, 'gland')}, gland: {show(list(gland))} is nearly on the corner; "
        text += "metres typed for millimetres?"
        cable.findings.note("warning", "length-in-metres", text)
    return name, gland


def _insulation(cable: Table) -> float:
    """One of the classes that ampacity tables know."""
    value = cable.values.get("insulation")
    if value is None:
        return INSULATION
    number = as_number(value)
    if number in INSULATIONS_C:
        return float(number)
    expected = f"one of {', '.join(str(c) for c in INSULATIONS_C)} (°C)"
    hint = WITHOUT_QUOTES if isinstance(value, str) else INSULATION_HINT
    if isinstance(value, bool):
        hint = NOT_TRUE
    cable.problem(("insulation",), "insulation", show(value), expected, hint)
    return INSULATION
