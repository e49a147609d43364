"""The [site] and [spacing] tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.job import Facet, Site, Spacing
from rooflayout.survey.spans import BEARING, Span, as_number
from rooflayout.survey.table import Table, table
from rooflayout.survey.words import guess, number_text, show

LATITUDE = Span("a latitude from -90 to 90 degrees", -90, 90)
LONGITUDE = Span("a longitude from -180 to 180 degrees", -180, 180)
COLDEST = Span("°C from -60 to 40", -60, 40, celsius=True)
HOTTEST = Span("°C from 0 to 60", 0, 60, celsius=True)


def read_site(top: Table) -> Site | None:
    """Reads and checks [site]; None when there is none."""
    site = table(top, "site")
    if site is None:
        return None
    site.check_keys("site")
    latitude, longitude = site.number("latitude", _latitude(site)), site.number("longitude", LONGITUDE)
    if site.has("latitude") and not site.has("longitude"):
        site.missing("longitude", f"{LONGITUDE.says}, beside the latitude")
    if site.has("longitude") and not site.has("latitude"):
        site.missing("latitude", f"{LATITUDE.says}, beside the longitude")
    coldest, hottest = site.number("coldest", COLDEST), site.number("hottest", HOTTEST)
    if coldest is not None and hottest is not None and coldest > hottest:
        found = f"{number_text(coldest)} °C, above hottest"
        site.problem(("coldest",), "coldest", found, f"at most {number_text(hottest)} °C")
    return Site(latitude, longitude, _heading(site), coldest, hottest)


def note_bearings(top: Table, site: Site | None, facets: Sequence[Facet]) -> None:
    """Notes slopes with a bearing on a roof of which nobody says which way it stands.

    Such a roof stands still, its front to the north (energy/on_facet.py): odd where heading is "any", and a
    guess where other slopes are given by their sides.
    """
    sloping = [f for f in facets if f.slope_deg and f.downhill is not None]
    fixed = [f.name for f in sloping if not isinstance(f.downhill, str)]
    if not fixed or (site is not None and site.heading_deg is not None):
        return
    table_of_site = top.values.get("site")
    says_any = isinstance(table_of_site, dict) and table_of_site.get("heading") == "any"
    if not says_any and len(fixed) == len(sloping):
        return
    why = '[site] heading is "any"' if says_any else "[site] heading is not given"
    text = f"{why}, but downhill of {', '.join(fixed)} is a bearing: sun and shade are worked out for a roof "
    text += "that stands still, its front to the north. Give the bearing of the front as heading, or "
    text += "a side of the vehicle (front, rear, left, right) as downhill."
    top.findings.note("caution", "heading-and-bearing", text)


def names_a_place(top: Table) -> bool:
    """True where [site] has a latitude or longitude, though misspelt or wrong, or a weather file is named."""
    climate = top.values.get("climate")
    if isinstance(climate, dict) and "weather_file" in climate:
        return True
    site = top.values.get("site")
    if not isinstance(site, dict):
        return top.has("site")
    return any(guess(key, ("latitude", "longitude")) is not None for key in site)


def read_spacing(top: Table) -> Spacing:
    """Reads and checks [spacing]; without it panels may touch, which is noted."""
    spacing = table(top, "spacing")
    if spacing is None:
        if not top.has("spacing"):
            text = "Without [spacing], panels may touch each other and the edge of the roof."
            top.findings.note("caution", "no-spacing", text)
        return Spacing()
    spacing.check_keys("spacing")
    return Spacing(spacing.length_or("between_panels", 0.0), spacing.length_or("from_edge", 0.0))


def _latitude(site: Table) -> Span:
    """With a hint where latitude and longitude would both fit the other way round."""
    latitude, longitude = (as_number(site.values.get(key)) for key in ("latitude", "longitude"))
    if (
        latitude is not None
        and longitude is not None
        and LONGITUDE.holds(latitude)
        and LATITUDE.holds(longitude)
    ):
        return replace(LATITUDE, hint="Are latitude and longitude the wrong way round?")
    return LATITUDE


def _heading(site: Table) -> float | None:
    value = site.values.get("heading")
    if value is None or value == "any":
        return None
    number = as_number(value)
    if number is not None and BEARING.holds(number):
        return number % 360
    likely = guess(value, ["any"]) if isinstance(value, str) else None
    hint = f'Did you mean "{likely}"?' if likely is not None else ""
    if number is not None:
        hint = BEARING.hint_for(number)
    if isinstance(value, bool):
        hint = "Write the bearing in degrees; true and false are no numbers."
    site.problem(("heading",), "heading", show(value), f'"any" or {BEARING.says}', hint)
    return None
