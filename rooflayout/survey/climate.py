"""The [climate] table: the user's own sun and air, by month or from a weather file."""

from __future__ import annotations

import math
from pathlib import Path

from rooflayout.job import Site
from rooflayout.listing import listed
from rooflayout.months import SHORT_MONTHS
from rooflayout.needs import OF_THE_PLACE, Climate
from rooflayout.survey.problems import Problem
from rooflayout.survey.spans import Span, as_number
from rooflayout.survey.table import Table, table
from rooflayout.survey.text import UnreadableError
from rooflayout.survey.weather_file import Weather, WeatherFaults, read_weather_file
from rooflayout.survey.weather_place import place_of_weather
from rooflayout.survey.words import number_text, show

# More than outside the air over the poles, 13.4, reaches no place; nowhere gets a mean above 10.
SUN = Span("kWh/m² a day on the level, from 0 to 10", 0.0, 10.0)
AIR = Span("°C from -60 to 50", -60.0, 50.0)
ALBEDO = Span("a share from 0 to 1", 0.0, 1.0)
MOST_MONTHS_NAMED = 5
TWELVE = "twelve numbers in a list, January first"


def read_climate(top: Table, folder: Path, site: Site | None) -> tuple[Climate, Site | None]:
    """Reads and checks [climate]; a site without a place gets that of the weather file, which is noted."""
    climate = table(top, "climate")
    if climate is None:
        return OF_THE_PLACE, site
    climate.check_keys("climate")
    sun, air = _months(climate, "sun", SUN), _months(climate, "air", AIR)
    weather, name, place = _weather(climate, folder)
    albedo = _albedo(climate)
    if place is not None:
        site = place_of_weather(climate, place, name, site)
    if weather is not None:
        for key in ("sun", "air"):
            if climate.has(key):
                text = f"[climate] {key} is not used: the weather file {name} comes before it."
                climate.findings.note("caution", "climate-not-used", text)
    elif sun is not None and (site is None or site.latitude_deg is None):
        text = "[climate] sun says not where the sun stands: give [site] latitude and longitude as well."
        climate.findings.note("caution", "climate-without-place", text)
    hours = () if weather is None else weather.hours
    return Climate(sun, air, hours, name, albedo), site


def _months(climate: Table, key: str, span: Span) -> tuple[float, ...] | None:
    """Twelve numbers within the span; one problem for a unit that all of them are in."""
    value = climate.values.get(key)
    if value is None:
        return None
    if not isinstance(value, list):
        hint = _count_hint(1) if as_number(value) is not None else ""
        climate.problem((key,), key, show(value), TWELVE, hint)
        return None
    numbers = [as_number(item) for item in value]
    sound = [number for number in numbers if number is not None and math.isfinite(number)]
    if len(value) != 12:
        climate.problem((key,), key, f"{len(value)} values", TWELVE, _count_hint(len(value)))
        return None
    for month, item, number in zip(SHORT_MONTHS, value, numbers, strict=True):
        if number is None or not math.isfinite(number):
            hint = "Numbers stand without quotes and without a unit." if isinstance(item, str) else ""
            climate.problem((key,), f"{key}, {month}", show(item), span.says, hint)
    if len(sound) < 12:
        return None
    wrong = [(m, number) for m, number in zip(SHORT_MONTHS, sound, strict=True) if not span.holds(number)]
    if wrong:
        climate.problem((key,), key, _wrong_months(wrong), span.says, _unit_hint(key, sound))
        return None
    if key == "sun" and max(sound) == 0.0:
        climate.problem((key,), key, "no sun in the whole year", span.says)
        return None
    return tuple(sound)


def _wrong_months(wrong: list[tuple[str, float]]) -> str:
    """Each month with its value; of many, as of a year in another unit, the worst and how many more."""
    if len(wrong) > MOST_MONTHS_NAMED:
        month, worst = max(wrong, key=lambda pair: abs(pair[1]))
        return f"{number_text(worst)} in {month} (and {len(wrong) - 1} more months)"
    return listed([f"{number_text(number)} in {month}" for month, number in wrong])


def _count_hint(count: int) -> str:
    if count == 1:
        return "A value for each month: sun and battery differ from month to month."
    if count == 13:
        return "Is the last one the year's? Leave it out."
    return "A value for each month, in one list."


def _unit_hint(key: str, values: list[float]) -> str:
    """The unit that such values are likely to be in."""
    most, mean = max(values), sum(values) / len(values)
    if key == "air":
        if min(values) > 200.0:
            return "In kelvin? °C is 273.15 less."
        return "In °F? °C is (°F - 32) / 1.8." if most <= 125.0 and mean > 20.0 else ""
    if min(values) < 0.0:
        return ""
    if most <= 45.0:
        return "In MJ/m² a day? Divide by 3.6."
    if most <= 330.0:
        return "Sums of whole months, or means in W/m²? Divide sums by the days of the month; W/m² by 41.7."
    return "In Wh/m² a day, or MJ/m² a month? Divide Wh by 1000; MJ by 3.6 and the days of the month."


def _albedo(climate: Table) -> float:
    """The share that the ground reflects, 0.2 where it is not given."""
    usual = OF_THE_PLACE.albedo
    value = as_number(climate.values.get("albedo"))
    if value is not None and 1.0 < value <= 100.0:
        hint = f"As a share: {number_text(value)} % is {number_text(value / 100.0)}."
        climate.problem(("albedo",), "albedo", show(climate.values["albedo"]), ALBEDO.says, hint)
        return usual
    return climate.number_or("albedo", ALBEDO, usual)


def _weather(climate: Table, folder: Path) -> tuple[Weather | None, str, tuple[float, float] | None]:
    """The weather file, its name and its place; faults inside it are reported by its own lines."""
    written = climate.text("weather_file", "a path in quotes, relative to the job file")
    if written is None:
        return None, "", None
    path, name = folder / written, Path(written).name
    place = None
    try:
        weather = read_weather_file(path)
        return weather, name, (weather.latitude_deg, weather.longitude_deg)
    except WeatherFaults as inside:
        place = inside.place
        for fault in inside.faults:
            _report(climate, str(path), fault.line, "weather file", fault.found, fault)
    except UnreadableError as fault:
        line = climate.source.lines.line((*climate.place, "weather_file"))
        found = f"{show(written)}, {fault.found}"
        _report(climate, climate.source.file, line, "climate, weather_file", found, fault)
    return None, name, place


def _report(
    climate: Table, file: str, line: int | None, name: str, found: str, fault: UnreadableError
) -> None:
    climate.findings.problems.append(Problem(file, line, name, found, fault.expected, fault.hint))
