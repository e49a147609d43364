"""Weather files: what is read beside pvlib's own reading, the hours' middle and day, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from rooflayout.survey.text import UnreadableError
from rooflayout.survey.weather_file import WeatherFaults, read_weather_file

LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
# Typical-year weather files that pvlib carries: public data of the United States' national laboratories.
SAND_POINT, GREENSBORO = "703165TY.csv", "723170TYA.CSV"
# Greensboro's months in kWh/m² a day, as in tests/energy/typical_years.csv (READ).
GREENSBORO_SUN = (2.414, 3.063, 4.251, 5.41, 5.636, 6.251, 6.083, 5.615, 4.427, 3.589, 2.435, 2.243)


def shipped(name: str) -> Path:
    pvlib = pytest.importorskip("pvlib")
    return Path(pvlib.__file__).parent / "data" / name


def row(month: int, day: int, hour: int, ghi: object, air: object = 9.5, year: int = 2023) -> str:
    """One hour of an EPW file, 35 cells: the hour ends at `hour`."""
    head = f"{year},{month},{day},{hour},60,?9,{air},5.0,70,101300,0,0,300,{ghi},0,{ghi}"
    return head + ",0" * 19


def epw(path: Path, light: Callable[[int], object] = lambda hour: 100 * hour, leap: bool = False) -> Path:
    """An invented year at 10 hours ahead of UTC, light only in hours 10 to 14."""
    head = ["LOCATION,Reed Bank,-,XXX,Invented,0,-33.9,151.2,10.0,5.0", *(f"LINE {n}" for n in range(2, 9))]
    year = 2024 if leap else 2023
    rows = [
        row(month, day, hour, light(hour) if 10 <= hour <= 14 else 0, year=year)
        for month in range(1, 13)
        for day in range(1, LENGTHS[month - 1] + (2 if leap and month == 2 else 1))
        for hour in range(1, 25)
    ]
    path.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")
    return path


def faults(path: Path) -> list[UnreadableError]:
    with pytest.raises(WeatherFaults) as caught:
        read_weather_file(path)
    return list(caught.value.faults)


@pytest.mark.parametrize("name", [SAND_POINT, GREENSBORO])
def test_tmy3_as_pvlib_reads_it(name: str) -> None:
    from pvlib.iotools import read_tmy3

    frame, about = read_tmy3(shipped(name))
    found = read_weather_file(shipped(name))
    assert (found.latitude_deg, found.longitude_deg) == (about["latitude"], about["longitude"])
    assert [h.ghi_w_m2 for h in found.hours] == list(frame["ghi"])
    assert [h.dni_w_m2 for h in found.hours] == list(frame["dni"])
    assert [h.dhi_w_m2 for h in found.hours] == list(frame["dhi"])
    assert [h.air_c for h in found.hours] == list(frame["temp_air"])
    assert [h.day_of_year for h in found.hours] == [day for day in range(1, 366) for _ in range(24)]


def test_the_months_of_greensboro() -> None:
    found = read_weather_file(shipped(GREENSBORO))
    days = np.array([h.ghi_w_m2 for h in found.hours]).reshape(365, 24).sum(axis=1) / 1000.0
    ends = np.cumsum(LENGTHS)
    months = [part.mean() for part in np.split(days, ends[:-1])]
    assert months == pytest.approx(GREENSBORO_SUN, abs=0.001)


def test_light_of_tmy3_agrees_with_where_the_sun_stands() -> None:
    """The file's own light outside the air beside the sun's altitude at our hours: half an hour off shows."""
    import pandas as pd
    from pvlib.iotools import read_tmy3
    from pvlib.solarposition import get_solarposition

    frame, about = read_tmy3(shipped(GREENSBORO))
    found = read_weather_file(shipped(GREENSBORO)).hours
    start = pd.Timestamp("2023-01-01", tz="UTC")
    times = pd.DatetimeIndex([start + pd.Timedelta(days=h.day_of_year - 1, hours=h.utc_hour) for h in found])
    sun = get_solarposition(times, about["latitude"], about["longitude"])
    outside = 1367.0 * np.sin(np.radians(sun["elevation"].to_numpy().clip(0.0)))
    own = frame["ghi_extra"].to_numpy()
    lit = own > 300.0
    assert np.abs(outside[lit] / own[lit] - 1.0).mean() < 0.04
    shifted = 1367.0 * np.sin(np.radians(np.roll(sun["elevation"].to_numpy(), 1).clip(0.0)))
    assert np.abs(shifted[lit] / own[lit] - 1.0).mean() > 0.1


def test_epw_has_the_middle_of_each_hour_and_the_places_own_day(tmp_path: Path) -> None:
    found = read_weather_file(epw(tmp_path / "reed.epw"))
    assert (found.latitude_deg, found.longitude_deg) == (-33.9, 151.2)
    assert len(found.hours) == 8760
    noon = found.hours[11]  # from 11 to 12 by the clock, 10 hours ahead of UTC
    assert (noon.day_of_year, noon.utc_hour, noon.ghi_w_m2, noon.air_c) == (1, 1.5, 1200.0, 9.5)
    first, last = found.hours[0], found.hours[-1]
    assert (first.day_of_year, first.utc_hour) == (1, -9.5)
    assert (last.day_of_year, last.utc_hour) == (365, 13.5)


def test_epw_as_pvlib_reads_it(tmp_path: Path) -> None:
    from pvlib.iotools import read_epw

    path = epw(tmp_path / "reed.epw")
    frame, _ = read_epw(path)
    found = read_weather_file(path).hours
    assert [h.ghi_w_m2 for h in found] == list(frame["ghi"])
    assert [h.dhi_w_m2 for h in found] == list(frame["dhi"])


def test_the_29th_of_february_is_left_out(tmp_path: Path) -> None:
    found = read_weather_file(epw(tmp_path / "leap.epw", leap=True)).hours
    assert len(found) == 8760
    assert found == read_weather_file(epw(tmp_path / "reed.epw")).hours


def test_names_in_an_older_coding_do_not_matter(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    path.write_bytes(path.read_bytes().replace(b"Reed Bank", b"Ca\xf1averal"))
    assert read_weather_file(path).latitude_deg == -33.9


def test_a_byte_order_mark_does_not_matter(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert len(read_weather_file(path).hours) == 8760


def test_light_a_little_below_nothing_is_nothing(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    text = path.read_text(encoding="utf-8").replace(row(1, 1, 2, 0), row(1, 1, 2, -0.5))
    path.write_text(text, encoding="utf-8")
    assert read_weather_file(path).hours[1].ghi_w_m2 == 0.0


@pytest.mark.parametrize(
    ("scale", "fragment"),
    [(0.001, "on the mean of the year"), (3.6, "as light on the level")],
    ids=["kW", "kJ"],
)
def test_light_in_another_unit(tmp_path: Path, scale: float, fragment: str) -> None:
    found = faults(epw(tmp_path / "reed.epw", lambda hour: 100 * hour * scale))
    assert fragment in found[0].found
    assert "W/m²" in found[0].hint


def test_air_in_another_unit(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    path.write_text(path.read_text(encoding="utf-8").replace(",9.5,", ",282.6,"), encoding="utf-8")
    (found,) = faults(path)
    assert found.found == "282.6 as temperature of the air (and 8759 more such hours)"
    assert found.line == 9


def test_missing_values_of_all_columns_are_said_at_once(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    text = path.read_text(encoding="utf-8").replace(row(1, 1, 12, 1200), row(1, 1, 12, 9999, "x"))
    path.write_text(text, encoding="utf-8")
    assert [(f.line, f.found.split(" as ")[0]) for f in faults(path)] == [
        (20, "9999"),
        (20, "9999"),
        (20, "x"),
    ]


def test_a_year_with_one_month_twice_and_another_not(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    path.write_text(path.read_text(encoding="utf-8").replace("\n2023,8,", "\n2023,7,"), encoding="utf-8")
    (found,) = faults(path)
    assert found.found == f"{8760 - 744} different hours of the year"


def test_a_place_off_the_earth(tmp_path: Path) -> None:
    path = epw(tmp_path / "reed.epw")
    path.write_text(path.read_text(encoding="utf-8").replace("-33.9,", "-339,"), encoding="utf-8")
    (found,) = faults(path)
    assert (found.line, found.found) == (1, "latitude -339, longitude 151.2, 10 h from UTC")


@pytest.mark.parametrize(
    "text",
    [
        "LOCATION,\n",
        "LOCATION,a,b,c,d,e,one,two,three,four\n",
        "LOCATION,a,b,c,d,e,1,2,3,4\n" + "x\n" * 7,
        "LOCATION,a,b,c,d,e,1,2,3,4\n" + "x\n" * 7 + "2023,13,45,99,0\n",
        "LOCATION,a,b,c,d,e,nan,2,3,4\n" + "x\n" * 7 + row(1, 1, 1, 0) + "\n",
        '1,"a, b",c,-5,36,-79,270\nDate (MM/DD/YYYY),Time (HH:MM)\n',
        "1,a,c,-5,36,-79,270\nDate (MM/DD/YYYY),Time (HH:MM)\n01/01/1990,01:00\n",
        "\x00\x01\x02",
        "latitude,longitude\n",
        "{}",
    ],
)
def test_broken_files_end_in_faults_never_in_a_traceback(tmp_path: Path, text: str) -> None:
    path = tmp_path / "broken.epw"
    path.write_text(text, encoding="utf-8")
    for fault in faults(path):
        assert fault.found
        assert fault.expected
        assert "\n" not in fault.found


@pytest.mark.parametrize("make", ["folder", "nothing", "empty"])
def test_what_is_no_file_with_text(tmp_path: Path, make: str) -> None:
    path = tmp_path / "weather.epw"
    if make == "folder":
        path.mkdir()
    elif make == "empty":
        path.write_text(" \n", encoding="utf-8")
    with pytest.raises(UnreadableError):
        read_weather_file(path)
