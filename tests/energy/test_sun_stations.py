"""The packaged sun beside typical-year weather files and published means: how far off it is.

The yearly error is meant to be under 10 % at nine places in ten. The grid alone has 9 of 16 files within
10 %, with the hours of sunshine of cities near by it is 13 of 16; of all 27 places 23 instead of 19. So nine
in ten is reached within 150 km of such a city, and elsewhere 15 % is stated. The relation from sunshine to
irradiation is the handbook's; half way and 300 km are round numbers that have seen these places: reaches of
200 to 600 km count the same, the cities' full word 12 of 16. The grid's own correction was fitted to most of
the files.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from rooflayout.energy import city_sunshine
from rooflayout.energy.city_sunshine import NEAR_KM, place_sun
from rooflayout.energy.sun_grid import grid_sun
from rooflayout.energy.sunshine import GRID_PCT, NEAR_CITY_PCT, of_weather_file
from rooflayout.survey.weather_file import read_weather_file

DAYS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

# Yearly means in kWh/m² a day on the level: latitude, longitude (READ in climatology.json, worked out from
# weather files of which the months are not there), Madison's of Duffie and Beckman's table (READ), and three
# worked out from the hours of EPW files in general packages of building simulation (READ): sinergym 3.5.1,
# accim-samples 0.8.2, besos-examples 0.1.0 ("Victoria Int'l", WYEC2).
YEARS = {
    "Bogota": (4.70, -74.13, 4.43),
    "Granada": (37.18, -3.78, 4.87),
    "Stockholm": (59.65, 17.95, 2.53),
    "Denver": (39.74, -105.18, 4.55),
    "New York": (40.78, -73.97, 3.92),
    "Aberdeen": (57.20, -2.22, 2.34),
    "Amsterdam": (52.30, 4.77, 2.69),
    "Madison": (43.13, -89.33, 3.93),
    "Antananarivo": (-18.80, 47.48, 5.02),
    "Chapeco": (-27.10, -52.62, 5.10),
    "Victoria": (48.65, -123.43, 3.38),
}


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
    found = place_sun(latitude_deg, longitude_deg)
    assert found is not None
    return found.sun.mean_kwh_m2_day


def grid_alone(latitude_deg: float, longitude_deg: float) -> tuple[float, ...]:
    found = grid_sun(latitude_deg, longitude_deg)
    assert found is not None
    return found.mean_kwh_m2_day


def places() -> dict[str, tuple[float, float, float]]:
    """Latitude, longitude and the year's mean of all 27; the 16 files come first."""
    return {name: (a, b, year(months)) for name, (a, b, months) in stations().items()} | YEARS


def errors_pct(of: Callable[[float, float], tuple[float, ...]]) -> np.ndarray:
    """Of the year, in the order of places(): too much is positive."""
    return np.array([100 * (year(of(a, b)) / mean - 1) for a, b, mean in places().values()])


def city_km() -> np.ndarray:
    """How far the nearest city with hours of sunshine is, in the order of places()."""
    found = [place_sun(a, b) for a, b, _ in places().values()]
    return np.array([each.city_km for each in found if each is not None])


def test_the_stations_are_whole() -> None:
    """Their yearly column is the mean of their months, within what rounding and 28 days of February make."""
    text = (Path(__file__).parent / "typical_years.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    assert len(rows) == 16
    for row in rows:
        months = [float(row[f"m{m:02d}"]) for m in range(1, 13)]
        assert year(months) == pytest.approx(float(row["annual"]), abs=0.01)


def test_nine_places_in_ten_are_within_what_is_stated() -> None:
    off, near = np.abs(errors_pct(sun)), city_km() <= NEAR_KM
    assert (len(off), near.sum()) == (27, 18)
    assert np.mean(off[near] < NEAR_CITY_PCT) >= 0.9
    assert np.mean(off[~near] < GRID_PCT) >= 0.85  # eight of nine: Shimla is 16 % too sunny
    assert np.mean(off < GRID_PCT) >= 0.9


def test_near_a_city_nine_places_in_ten_are_within_a_tenth() -> None:
    """17 of 18; Amsterdam is 12 % too sunny. The grid alone has 13 of them."""
    near = city_km() <= NEAR_KM
    assert np.mean(np.abs(errors_pct(sun)[near]) < 10.0) >= 0.9
    assert np.mean(np.abs(errors_pct(grid_alone)[near]) < 10.0) < 0.8


def test_four_more_files_are_within_a_tenth_and_none_is_much_worse() -> None:
    """Before and after: 9 and 13 of the 16 files, 19 and 23 of all 27 places."""
    before, after = np.abs(errors_pct(grid_alone)), np.abs(errors_pct(sun))
    assert ((before[:16] < 10).sum(), (after[:16] < 10).sum()) == (9, 13)
    assert ((before < 10).sum(), (after < 10).sum()) == (19, 23)
    assert (after - before).max() < 4.0
    assert np.sqrt(np.mean(after**2)) < np.sqrt(np.mean(before**2)) - 0.4


def test_the_cities_do_better_than_chance(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the cities say, dealt out among them anew, is hardly ever worth as much."""
    real = np.sqrt(np.mean(errors_pct(sun) ** 2))
    says, rng = city_sunshine._log_ratio, np.random.default_rng(1)
    as_good = 0
    for _ in range(50):
        dealt = rng.permutation(270)
        monkeypatch.setattr(city_sunshine, "_log_ratio", lambda index, dealt=dealt: says(int(dealt[index])))
        as_good += bool(np.sqrt(np.mean(errors_pct(sun) ** 2)) <= real)
    assert as_good <= 2


def test_no_lean() -> None:
    for found in (errors_pct(grid_alone), errors_pct(sun)):
        assert abs(found.mean()) < 2.0
        assert found.std() < 8.0


def test_months_are_within_a_tenth_on_the_mean() -> None:
    off = [np.abs(np.array(sun(a, b)) / v - 1).mean() for a, b, v in stations().values()]
    assert np.median(off) < 0.10
    assert max(off) < 0.25


@pytest.mark.parametrize("name", ["Madison", "Victoria"])
def test_places_that_the_correction_has_not_seen(name: str) -> None:
    latitude_deg, longitude_deg, measured = YEARS[name]
    assert year(sun(latitude_deg, longitude_deg)) == pytest.approx(measured, rel=0.05)


def test_the_correction_takes_off_what_the_grid_has_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it stands the grid gives 12 % too much (climatology.json); so the correction is not for nothing."""
    monkeypatch.setattr("rooflayout.energy.sun_grid.SCALE", 1.0)
    monkeypatch.setattr("rooflayout.energy.sun_grid.OFFSET", 0.0)
    assert errors_pct(grid_alone).mean() == pytest.approx(12.0, abs=3.0)


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
