"""The place of a weather file beside that of the site: taken, doubted or refused."""

from __future__ import annotations

import math
from dataclasses import replace

from rooflayout.job import Site
from rooflayout.survey.problems import Problem
from rooflayout.survey.table import Table

FAR_KM = 150.0  # from here on asked about
TOO_FAR_KM = 200.0  # and from here on refused: sun and hours would be of another place than the sun's path
EARTH_KM = 6371.0
SWAPPED = "Are latitude and longitude the wrong way round?"
ANOTHER = "Take the file of a nearer place, or leave both out of [site]: the file's own place is then taken."

Place = tuple[float, float]  # latitude and longitude in degrees


def place_of_weather(climate: Table, place: Place, name: str, site: Site | None) -> Site:
    """The site with a place: its own, or where it has none the file's, which is noted.

    Reports a site more than 200 km from the weather file, and asks about one more than 150 km from it.
    """
    if site is None or site.latitude_deg is None or site.longitude_deg is None:
        text = f"[site] has no latitude and longitude: those of the weather file {name} are taken, "
        climate.findings.note("info", "place-of-weather-file", f"{text}{_words(place)}.")
        return replace(site or Site(), latitude_deg=place[0], longitude_deg=place[1])
    own = site.latitude_deg, site.longitude_deg
    km = apart_km(own, place)
    if km > TOO_FAR_KM:
        _report(climate, own, place, name)
    elif km > FAR_KM:
        text = f"The weather file {name} is of {_words(place)}, {km:.0f} km from the [site]. "
        climate.findings.note("warning", "weather-far-away", f"{text}Is it the right one?")
    return site


def _report(climate: Table, own: Place, place: Place, name: str) -> None:
    """The problem stands at the site's latitude where swapping would mend it, else at the file's name."""
    source, km = climate.source, apart_km(own, place)
    swapped = abs(own[1]) <= 90.0 and apart_km((own[1], own[0]), place) <= TOO_FAR_KM
    at, label = (("site", "latitude"), "site, latitude") if swapped else _of_file(climate)
    found = f"{_words(own)} as the [site], {km:.0f} km from {_words(place)} of the weather file {name}"
    expected = f"both within {TOO_FAR_KM:g} km of each other"
    hint = SWAPPED if swapped else ANOTHER
    line = source.lines.line(at)
    climate.findings.problems.append(Problem(source.file, line, label, found, expected, hint))


def _of_file(climate: Table) -> tuple[tuple[str | int, ...], str]:
    return (*climate.place, "weather_file"), "climate, weather_file"


def apart_km(one: Place, other: Place) -> float:
    """Along the earth, between two places given as latitude and longitude in degrees."""
    (a, x), (b, y) = (map(math.radians, place) for place in (one, other))
    cosine = math.sin(a) * math.sin(b) + math.cos(a) * math.cos(b) * math.cos(x - y)
    return EARTH_KM * math.acos(min(1.0, max(-1.0, cosine)))


def _words(place: Place) -> str:
    return f"latitude {place[0]:g}, longitude {place[1]:g}"
