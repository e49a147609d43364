"""The packaged sun beside typical-year weather files and published means: how far off it is.

The yearly error is meant to be under 10 % at nine places in ten. 15 of 16 files have it, nine of ten others,
33 of the first 37 places; 35 are within 15 %. No number is fitted to any of them: the grid's correction is a
line through the hours of sunshine of the cities, by the handbook's relation. But that it goes by the coldest
month was chosen among six such measures with the first 27 places and four of the ten in view (it is also
what tells most at the cities); so are half way and 300 km, how cities near by are heard. Six of the ten
(Toronto, Beijing, Boston, Philadelphia, Northway, Mount Shasta) were looked at when all was chosen: five are
within it.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from rooflayout.energy import city_sunshine, sun_grid
from rooflayout.energy.city_sunshine import NEAR_KM, place_sun
from rooflayout.energy.climate import monthly_mean_c
from rooflayout.energy.earth import away_km
from rooflayout.energy.relief import in_mountains
from rooflayout.energy.sun_grid import grid_sun
from rooflayout.energy.sunshine import of_weather_file
from rooflayout.energy.uncertainty import MONTH_TIMES, TROPICS_DEG, packaged_sun_off_pct
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

# The same, looked at when all of the above was settled (openbes 0.3.3: TMYx and TMY3, READ).
LATER = {
    "Sevilla airport": (37.4167, -5.8792, 5.134),
    "Madrid": (40.467, -3.556, 4.777),
    "Heathrow": (51.4792, -0.4506, 2.996),
    "Benson": (51.6203, -1.0986, 2.935),
    "Denver International": (39.83, -104.65, 4.575),
}


def year(months: tuple[float, ...] | list[float]) -> float:
    return float(np.average(months, weights=DAYS))


def rows(table: str) -> list[dict[str, str]]:
    text = (Path(__file__).parent / table).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def stations(table: str = "typical_years.csv") -> dict[str, tuple[float, float, list[float]]]:
    """Latitude, longitude and twelve values by the file's name."""
    return {
        row["file"]: (float(row["lat"]), float(row["lon"]), [float(row[f"m{m:02d}"]) for m in range(1, 13)])
        for row in rows(table)
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
    """Latitude, longitude and the year's mean of all 37: 16 files, eleven means, ten files unseen."""
    first, unseen = (
        {name: (a, b, year(months)) for name, (a, b, months) in stations(table).items()}
        for table in ("typical_years.csv", "unseen_years.csv")
    )
    return first | YEARS | unseen


def errors_pct(of: Callable[[float, float], tuple[float, ...]]) -> np.ndarray:
    """Of the year, in the order of places(): too much is positive."""
    return np.array([100 * (year(of(a, b)) / mean - 1) for a, b, mean in places().values()])


def city_km() -> np.ndarray:
    """How far the nearest city with hours of sunshine is, in the order of places()."""
    found = [place_sun(a, b) for a, b, _ in places().values()]
    return np.array([each.city_km for each in found if each is not None])


@pytest.mark.parametrize(("table", "count"), [("typical_years.csv", 16), ("unseen_years.csv", 10)])
def test_the_stations_are_whole(table: str, count: int) -> None:
    """Their yearly column is the mean of their months, within what rounding and 28 days of February make."""
    assert len(rows(table)) == count
    for row in rows(table):
        months = [float(row[f"m{m:02d}"]) for m in range(1, 13)]
        assert year(months) == pytest.approx(float(row["annual"]), abs=0.01)


def test_nine_files_in_ten_are_within_a_tenth() -> None:
    """15 of 16 and nine of ten unseen; Shimla and Mount Shasta, both in mountains, are not."""
    off = np.abs(errors_pct(sun))
    assert np.mean(off[:16] < 10.0) >= 0.9
    assert np.mean(off[27:] < 10.0) >= 0.9
    assert [name for name, pct in zip(places(), off, strict=True) if pct >= 10.0] == [
        "Current_Shimla-hour.epw",
        "Amsterdam",
        "Antananarivo",
        "USA_CA_Mount.Shasta.725957_TMYx.epw",
    ]


def stated_pct(latitude_deg: float, longitude_deg: float, city_km: float) -> float:
    return packaged_sun_off_pct(
        latitude_deg,
        near_city=city_km <= NEAR_KM,
        mountains=in_mountains(latitude_deg, longitude_deg),
        away=False,
    )


def by_class(stated: list[float], off_pct: list[float]) -> dict[float, tuple[int, float]]:
    """How many places are stated to be so well known, and what share of them is."""
    within = {pct: [o < pct for s, o in zip(stated, off_pct, strict=True) if s == pct] for pct in set(stated)}
    return {pct: (len(held), float(np.mean(held))) for pct, held in within.items()}


def test_nine_places_in_ten_are_within_what_is_stated() -> None:
    """In each class all of the 42 are: the largest error is four fifths of what is stated in mountains (20 %)
    and nine tenths of it near cities (12 %), so another place does not break it."""
    off_pct = [*np.abs(errors_pct(sun))]
    stated = [stated_pct(a, b, km) for (a, b, _), km in zip(places().values(), city_km(), strict=True)]
    for a, b, mean in LATER.values():
        found = place_sun(a, b)
        assert found is not None
        stated.append(stated_pct(a, b, found.city_km))
        off_pct.append(abs(100.0 * (year(found.sun.mean_kwh_m2_day) / mean - 1.0)))
    found_by_class = by_class(stated, off_pct)
    assert {pct: count for pct, (count, _) in found_by_class.items()} == {12: 25, 15: 9, 20: 7, 25: 1}
    assert all(share >= 0.9 for _, share in found_by_class.values())


def test_five_places_more_are_within_a_tenth() -> None:
    off = [abs(year(sun(a, b)) / mean - 1.0) for a, b, mean in LATER.values()]
    assert max(off) < 0.10


def cities_by_the_others(monkeypatch: pytest.MonkeyPatch) -> list[tuple[float, float, float, float]]:
    """Of each city its place, how far the next one is, and by how many % its sunshine and what is worked
    out there without it differ."""
    cities, says = city_sunshine._cities(), city_sunshine._log_ratio
    found = []
    for own in range(len(cities.city)):
        itself = says(own)
        if itself is None:
            continue
        with monkeypatch.context() as patch:
            patch.setattr(city_sunshine, "_log_ratio", lambda i, own=own: None if i == own else says(i))
            at = float(cities.latitude_deg[own]), float(cities.longitude_deg[own])
            here = place_sun(*at)
        assert here is not None
        found.append((*at, here.city_km, 100.0 * abs(here.factor / math.exp(itself) - 1.0)))
    return found


def test_nine_cities_in_ten_are_within_what_is_stated(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each by grid and all other cities. What their sunshine itself is off by is in it. From here is that the
    tropics are known less: beyond 150 km from a city 90 % are within 15 % there, 97 % elsewhere."""
    cities = cities_by_the_others(monkeypatch)
    stated = [stated_pct(a, b, km) for a, b, km, _ in cities]
    found = by_class(stated, [off for *_, off in cities])
    assert sum(count for count, _ in found.values()) == 268
    assert all(count >= 10 and share >= 0.9 for count, share in found.values())
    alone = [
        (abs(a) < TROPICS_DEG, off) for a, b, km, off in cities if km > NEAR_KM and not in_mountains(a, b)
    ]
    tropics, elsewhere = ([off for tropic, off in alone if tropic is here] for here in (True, False))
    assert np.mean(np.square(tropics)) > 2.0 * np.mean(np.square(elsewhere))


def test_nine_months_in_ten_are_within_what_is_stated_of_a_month() -> None:
    """97 % of the files' months are, and 81 % within what is stated of the year."""
    files = {**stations(), **stations("unseen_years.csv")}
    of_month, of_year = [], []
    for a, b, months in files.values():
        found = place_sun(a, b)
        assert found is not None
        pct = stated_pct(a, b, found.city_km)
        off = 100.0 * np.abs(np.array(found.sun.mean_kwh_m2_day) / months - 1.0)
        of_month += [*(off < MONTH_TIMES * pct)]
        of_year += [*(off < pct)]
    assert np.mean(of_month) >= 0.9
    assert np.mean(of_year) < 0.9


def test_near_a_city_nine_places_in_ten_are_within_a_tenth() -> None:
    """23 of 24; Amsterdam is 11 % too sunny. The grid alone has 20 of them."""
    near = city_km() <= NEAR_KM
    assert np.mean(np.abs(errors_pct(sun)[near]) < 10.0) >= 0.9
    assert np.mean(np.abs(errors_pct(grid_alone)[near]) < 10.0) < 0.85


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


def raw_at_cities() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Of each city: log of its clearness by the grid's as it stands, coldest month above 0 °C, where."""
    cities = city_sunshine._cities()
    where = np.column_stack([cities.latitude_deg, cities.longitude_deg])
    coldest = np.array([max(min(monthly_mean_c(*place)), 0.0) for place in where])
    said = [city_sunshine._log_ratio.__wrapped__(index) for index in range(len(where))]
    known = np.array([ratio is not None for ratio in said])
    corrected = sun_grid.LOG_TAKEN + sun_grid.LOG_PER_K * coldest[known]
    return np.array([ratio for ratio in said if ratio is not None]) + corrected, coldest[known], where[known]


def test_the_correction_is_what_the_cities_say() -> None:
    """A straight line through 268 cities; no station has a say in it."""
    log_ratio, coldest, _ = raw_at_cities()
    slope, level = np.polyfit(coldest, log_ratio, 1)
    assert len(log_ratio) == 268
    assert slope == pytest.approx(sun_grid.LOG_PER_K, abs=5e-5)
    assert level == pytest.approx(sun_grid.LOG_TAKEN, abs=5e-4)


def test_the_coldest_month_tells_the_grids_error_at_cities_far_away() -> None:
    """Each city by those more than 1000 km off: 8.3 % are left (rms) of 10.4 % with one factor for all."""
    log_ratio, coldest, where = raw_at_cities()
    left: list[list[float]] = [[], []]
    for place, said, cold in zip(where, log_ratio, coldest, strict=True):
        far = away_km(place[0], place[1], where[:, 0], where[:, 1]) > 1000.0
        left[0].append(said - log_ratio[far].mean())
        left[1].append(said - np.polyval(np.polyfit(coldest[far], log_ratio[far], 1), cold))
    one_factor, by_winter = (float(np.sqrt(np.mean(np.square(each)))) for each in left)
    assert one_factor == pytest.approx(0.104, abs=0.002)
    assert by_winter == pytest.approx(0.083, abs=0.002)


def test_the_stations_themselves_rise_with_the_coldest_month(monkeypatch: pytest.MonkeyPatch) -> None:
    """The grid as it stands beside the 37 places: 0.004 a degree, where the cities say 0.0067."""
    monkeypatch.setattr(sun_grid, "LOG_TAKEN", 0.0)
    monkeypatch.setattr(sun_grid, "LOG_PER_K", 0.0)
    coldest = [max(min(monthly_mean_c(a, b)), 0.0) for a, b, _ in places().values()]
    slope, _ = np.polyfit(coldest, -np.log1p(errors_pct(grid_alone) / 100.0), 1)
    assert 0.0033 < slope < 0.0067


def test_months_are_within_a_tenth_on_the_mean() -> None:
    off = [np.abs(np.array(sun(a, b)) / v - 1).mean() for a, b, v in stations().values()]
    assert np.median(off) < 0.10
    assert max(off) < 0.25


def test_the_correction_takes_off_what_the_grid_has_too_much(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it stands the grid gives 12 % too much (climatology.json); so the correction is not for nothing."""
    monkeypatch.setattr(sun_grid, "LOG_TAKEN", 0.0)
    monkeypatch.setattr(sun_grid, "LOG_PER_K", 0.0)
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
    """A 38th place, 6 % too dark."""
    pvlib = pytest.importorskip("pvlib")
    weather = read_weather_file(Path(pvlib.__file__).parent / "data" / "703165TY.csv")
    measured = year([m.sun_kwh_m2_day for m in of_weather_file(weather.hours, "").months])
    assert year(sun(weather.latitude_deg, weather.longitude_deg)) == pytest.approx(measured, rel=0.10)
