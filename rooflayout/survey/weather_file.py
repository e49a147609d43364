"""A typical year's weather file, EPW or TMY3, into hours: pvlib reads it, what cannot be is refused here."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rooflayout.months import DAYS_BEFORE
from rooflayout.needs import WeatherHour
from rooflayout.survey.spans import Span
from rooflayout.survey.text import UnreadableError, read_any_text
from rooflayout.survey.words import show

if TYPE_CHECKING:
    import pandas as pd

EXAMPLE = Path("weather.epw")
KINDS = "an EPW file (its first line begins with LOCATION) or a TMY3 file (its second with Date)"
HOURS = 8760
NOT_WATTS = "Light stands in W/m², the mean of the hour; 9999 and -9900 mean that a value is missing."
LEVEL = Span("W/m² from 0 to 1500", -1.0, 1500.0, hint=NOT_WATTS)  # instruments show a little less than 0
NOT_CELSIUS = "Temperatures stand in °C; 99.9 and -9900 mean that a value is missing."
AIR = Span("°C from -90 to 60", -90.0, 60.0, hint=NOT_CELSIUS)
COLUMNS = {
    "ghi": ("light on the level", LEVEL),
    "dni": ("light towards the sun", LEVEL),
    "dhi": ("light from the sky", LEVEL),
    "temp_air": ("temperature of the air", AIR),
}
LEAST_MEAN_W_M2, MOST_MEAN_W_M2 = 40.0, 350.0  # of a whole year's light on the level anywhere on earth


@dataclass(frozen=True, slots=True)
class Weather:
    """A year's hours, and the place that the file says they are from."""

    hours: tuple[WeatherHour, ...]
    latitude_deg: float
    longitude_deg: float


class WeatherFaults(Exception):  # noqa: N818 (as ProblemsFound)
    """What is wrong inside a weather file, all of it; and the place (degrees) where that could be read."""

    def __init__(self, *faults: UnreadableError, place: tuple[float, float] | None = None) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults
        self.place = place


@dataclass(frozen=True, slots=True)
class _Layout:
    """How a kind of file is laid out: lines above the hours, and how far their middle is from the index."""

    name: str
    above: int
    middle_h: float


EPW = _Layout("EPW", 8, 0.5)  # pvlib gives the beginning of the hour
TMY3 = _Layout("TMY3", 2, -0.5)  # and here its end


def read_weather_file(path: Path) -> Weather:
    """The hours of an EPW or TMY3 file, told apart by its content.

    Raises UnreadableError for a file that cannot be opened, WeatherFaults for what is wrong inside one.
    """
    text = read_any_text(path, EXAMPLE)
    layout = _layout(text)
    frame, about = _parse(text, layout)
    latitude, longitude, zone_h = _place(about)
    faults = [*_length_faults(len(frame), layout), *_value_faults(frame, layout)]
    if faults:
        raise WeatherFaults(*faults, place=(latitude, longitude))
    return Weather(_hours(frame, layout, zone_h), latitude, longitude)


def _layout(text: str) -> _Layout:
    """EPW or TMY3, by the first lines. Raises WeatherFaults for anything else."""
    first, _, rest = text.partition("\n")
    if first.lstrip().upper().startswith("LOCATION,"):
        return EPW
    if rest.lstrip().startswith("Date (MM/DD/YYYY),"):
        return TMY3
    hint = "Monthly values go into [climate] sun and air."
    raise WeatherFaults(UnreadableError(f"a file that begins with {show(first.strip())}", KINDS, hint, 1))


def _parse(text: str, layout: _Layout) -> tuple[pd.DataFrame, dict[str, Any]]:
    """What pvlib makes of it. Raises WeatherFaults where it can make nothing of it."""
    from pvlib import iotools  # not at the top: a job without a weather file goes without

    read = iotools.read_epw if layout is EPW else iotools.read_tmy3
    try:
        frame, about = read(io.StringIO(text))
    except Exception as error:  # pvlib and pandas raise whatever comes on the way
        raise WeatherFaults(_unparsed(text, layout, error)) from error
    absent = [name for name in COLUMNS if name not in frame.columns]
    if absent:
        named = " and ".join(COLUMNS[name][0] for name in absent)
        raise WeatherFaults(UnreadableError(f"no column for {named}", f"the columns of a {layout.name} file"))
    return frame, about


def _unparsed(text: str, layout: _Layout, error: Exception) -> UnreadableError:
    """Why pvlib could not read it: a row of too few or too many cells, or else its own words."""
    hint = "Was it cut short, or saved again by a spreadsheet? Fetch it once more."
    rows = text.splitlines()[layout.above :]
    for number, row in enumerate(rows, layout.above + 1):
        if row.strip() and row.count(",") != rows[0].count(","):
            found, expected = f"{row.count(',') + 1} cells", f"{rows[0].count(',') + 1} as in the first row"
            return UnreadableError(found, expected, hint, number)
    words = " ".join(str(error).split())
    found = f"what cannot be read ({show(words)})" if words else "what cannot be read"
    return UnreadableError(found, f"a whole {layout.name} file", hint)


def _place(about: dict[str, Any]) -> tuple[float, float, float]:
    """Latitude, longitude and hours ahead of UTC from the first line. Raises WeatherFaults."""
    latitude, longitude, zone_h = (float(about[key]) for key in ("latitude", "longitude", "TZ"))
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180 and -12 <= zone_h <= 14):
        found = f"latitude {latitude:g}, longitude {longitude:g}, {zone_h:g} h from UTC"
        raise WeatherFaults(UnreadableError(found, "a place on earth and its time zone", "", 1))
    return latitude, longitude, zone_h


def _length_faults(rows: int, layout: _Layout) -> list[UnreadableError]:
    """A fault unless there is one row for each hour of a year."""
    if rows in (HOURS, HOURS + 24):
        return []
    hint = "Was the file cut short?" if rows < HOURS else "Several rows an hour? Take the hourly file."
    return [UnreadableError(f"{rows} hours", f"the {HOURS} hours of a year", hint, layout.above + rows)]


def _value_faults(frame: pd.DataFrame, layout: _Layout) -> list[UnreadableError]:
    """A fault for each column with values that cannot be, by the first line that has one."""
    import pandas as pd

    faults = []
    for name, (label, span) in COLUMNS.items():
        numbers = pd.to_numeric(frame[name], errors="coerce")
        bad = ~numbers.between(span.low, span.high)
        if bad.any():
            row = int(bad.to_numpy().argmax())
            value = frame[name].iloc[row]
            shown = "nothing" if pd.isna(value) else str(value)
            more = f" (and {int(bad.sum()) - 1} more such hours)" if bad.sum() > 1 else ""
            line = layout.above + row + 1
            faults.append(UnreadableError(f"{shown} as {label}{more}", span.says, span.hint, line))
        frame[name] = numbers
    mean = float(frame["ghi"].mean())
    if not faults and not LEAST_MEAN_W_M2 <= mean <= MOST_MEAN_W_M2:
        found = f"light on the level of {mean:.3g} W/m² on the mean of the year, nights included"
        hint = "In kW/m² or kJ/m²? It must stand in W/m²."
        faults.append(UnreadableError(found, f"{LEAST_MEAN_W_M2:g} to {MOST_MEAN_W_M2:g} W/m²", hint))
    return faults


def _hours(frame: pd.DataFrame, layout: _Layout, zone_h: float) -> tuple[WeatherHour, ...]:
    """The hours in order, each by its own (local) day; 29 February is left out.

    Raises WeatherFaults unless every hour of the year is there once.
    """
    import pandas as pd

    middle = frame.index + pd.Timedelta(hours=layout.middle_h)
    columns = [frame[name].to_numpy() for name in COLUMNS]
    hours, found = [], set()
    for row, at in enumerate(middle):
        leap = at.month == 2 and at.day == 29
        if leap and layout is EPW:
            continue
        day = DAYS_BEFORE[at.month - 1] + at.day - leap  # pvlib moves TMY3's 28 February 24:00 of leap years
        ghi, dni, dhi, air = (float(column[row]) for column in columns)
        light = (max(ghi, 0.0), max(dni, 0.0), max(dhi, 0.0))
        hours.append(WeatherHour(day, at.hour + at.minute / 60.0 - zone_h, *light, air))
        found.add((day, at.hour))
    if len(hours) != HOURS or len(found) != HOURS:
        expected, hint = f"each of the {HOURS} hours once", "Does it hold twelve whole months?"
        raise WeatherFaults(UnreadableError(f"{len(found)} different hours of the year", expected, hint))
    return tuple(hours)
