"""The packaged sun beside typical-year weather files and published means: how far off it is.

The yearly error is meant to be under 10 % at nine places in ten. The grid cannot do that, whatever straight
correction it gets: two places in three are within 10 %, nine in ten within 15 %, which is what is stated.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from rooflayout.energy.sun_grid import grid_sun
from rooflayout.energy.sunshine import GRID_PCT, of_weather_file
from rooflayout.survey.weather_file import read_weather_file

DAYS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

# Yearly means in kWh/m² a day on the level: latitude, longitude (READ in climatology.json, worked out from
# weather files of which the months are not there), and Madison's of Duffie and Beckman's table (READ).
YEARS = {
    "Bogota": (4.70, -74.13, 4.43),
    "Granada": (37.18, -3.78, 4.87),
    "Stockholm": (59.65, 17.95, 2.53),
    "Denver": (39.74, -105.18, 4.55),
    "New York": (40.78, -73.97, 3.92),
    "Aberdeen": (57.20, -2.22, 2.34),
    "Amsterdam": (52.30, 4.77, 2.69),
}
MADISON = (43.13, -89.33, 3.93)


def year(months: tuple[float, ...] | list[float]) -> float:
    return float(np.average(months, weights=DAYS))


def stations() -> dict[str, tuple[float, float, list[float]]]:
    """Latitude, longitude and twelve values by the file's name."""
    text = (Path(__file__).parent / "typical_years.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {
        row["file"]: (float(row["lat"]), float(row["lon"]), [float(row[f"m{m:02d}"]) for m in range(1, 13)])
        for row in rows
    }


def sun(latitude_deg: float, longitude_deg: float) -> tuple[float, ...]:
    found = grid_sun(latitude_deg, longitude_deg)
    assert found is not None
    return found.mean_kwh_m2_day


def errors_pct() -> dict[str, float]:
    """Of the year, by place: too much is positive."""
    months = {name: 100 * (year(sun(a, b)) / year(v) - 1) for name, (a, b, v) in stations().items()}
    return months | {name: 100 * (year(sun(a, b)) / v - 1) for name, (a, b, v) in YEARS.items()}


def test_the_stations_are_whole() -> None:
    """Their yearly column is the mean of their months, within what rounding and 28 days of February make."""
    text = (Path(__file__).parent / "typical_years.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    assert len(rows) == 16
    for row in rows:
        months = [float(row[f"m{m:02d}"]) for m in range(1, 13)]
        assert year(months) == pytest.approx(float(row["annual"]), abs=0.01)


def test_nine_places_in_ten_are_within_what_is_stated() -> None:
    off = np.abs(list(errors_pct().values()))
    assert len(off) == 23
    assert np.mean(off < GRID_PCT) >= 0.9


def test_two_places_in_three_are_within_a_tenth_and_none_leans() -> None:
    found = np.array(list(errors_pct().values()))
    assert np.mean(np.abs(found) < 10.0) >= 0.65
    assert abs(found.mean()) < 2.0
    assert found.std() < 8.0


def test_months_are_within_a_tenth_on_the_mean() -> None:
    off = [np.abs(np.array(sun(a, b)) / v - 1).mean() for a, b, v in stations().values()]
    assert np.median(off) < 0.10
    assert max(off) < 0.25


def test_madison_which_the_correction_has_not_seen() -> None:
    latitude_deg, longitude_deg, measured = MADISON
    assert year(sun(latitude_deg, longitude_deg)) == pytest.approx(measured, rel=0.05)


def test_the_correction_takes_off_what_the_grid_has_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it stands the grid gives 12 % too much (climatology.json); so the correction is not for nothing."""
    monkeypatch.setattr("rooflayout.energy.sun_grid.SCALE", 1.0)
    monkeypatch.setattr("rooflayout.energy.sun_grid.OFFSET", 0.0)
    assert np.mean(list(errors_pct().values())) == pytest.approx(12.0, abs=3.0)


@pytest.mark.parametrize("name", ["703165TY.csv", "723170TYA.CSV"])  # Sand Point, Greensboro
def test_days_spread_as_at_two_stations(name: str) -> None:
    """p10 to p90 by the month's mean, from the hours of typical years that pvlib carries (public data)."""
    pvlib = pytest.importorskip("pvlib")
    weather = read_weather_file(Path(pvlib.__file__).parent / "data" / name)
    station = [
        [q / month.sun_kwh_m2_day for q in month.quantiles_kwh_m2_day]
        for month in of_weather_file(weather.hours, name).months
    ]
    found = grid_sun(weather.latitude_deg, weather.longitude_deg)
    assert found is not None
    grid = [
        [q / mean for q in quantiles]
        for mean, quantiles in zip(found.mean_kwh_m2_day, found.quantiles_kwh_m2_day, strict=True)
    ]
    assert np.mean(grid, axis=0) == pytest.approx(np.mean(station, axis=0), abs=0.08)


def test_sand_point_over_the_year() -> None:
    pvlib = pytest.importorskip("pvlib")
    weather = read_weather_file(Path(pvlib.__file__).parent / "data" / "703165TY.csv")
    measured = year([m.sun_kwh_m2_day for m in of_weather_file(weather.hours, "").months])
    assert year(sun(weather.latitude_deg, weather.longitude_deg)) == pytest.approx(measured, rel=0.05)
