"""Hours of sunshine of cities set the grid right near them, and leave it alone elsewhere."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rooflayout.energy import city_sunshine
from rooflayout.energy.city_sunshine import REACH_KM, PlaceSun, clearness_by_sunshine, place_sun
from rooflayout.energy.earth import EARTH_KM, away_km
from rooflayout.energy.outside import daylight_by_month, daylight_h, outside_by_month, outside_kwh_m2_day
from rooflayout.energy.sun_grid import grid_sun
from rooflayout.months import DAYS_IN_MONTH

MJ = 3.6  # per kWh


def at(latitude_deg: float, longitude_deg: float) -> PlaceSun:
    found = place_sun(latitude_deg, longitude_deg)
    assert found is not None
    return found


@pytest.fixture
def cities(monkeypatch: pytest.MonkeyPatch) -> dict[tuple[float, float], float]:
    """Cities of the test's own: fill in places and how much more than the grid each of them says."""
    table: dict[tuple[float, float], float] = {}

    def made() -> city_sunshine._Cities:
        names = tuple(f"city {number}" for number in range(len(table)))
        latitudes, longitudes = (np.array([place[axis] for place in table]) for axis in (0, 1))
        return city_sunshine._Cities(names, latitudes, longitudes, np.zeros(len(table)))

    monkeypatch.setattr(city_sunshine, "_cities", made)
    monkeypatch.setattr(city_sunshine, "_log_ratio", lambda index: math.log(list(table.values())[index]))
    return table


def test_rio_de_janeiro_in_may() -> None:
    """FAO 56, example 10 (from memory): 7.1 h of 10.9 h of daylight at 22.9 S, of 25.1 MJ/m² 14.5 arrive."""
    daylight, outside = daylight_h(-22.9, 135), outside_kwh_m2_day(-22.9, 135) * MJ
    assert daylight == pytest.approx(10.9, abs=0.05)
    assert outside == pytest.approx(25.1, abs=0.15)
    assert clearness_by_sunshine(7.1, daylight) * outside == pytest.approx(14.5, abs=0.1)


@pytest.mark.parametrize("hours", [(-1.0, 10.0), (10.1, 10.0), (0.0, 0.0)])
def test_more_sunshine_than_daylight_is_refused(hours: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="do not fit into"):
        clearness_by_sunshine(*hours)


def test_the_table_is_whole() -> None:
    """270 cities as in the package; some as read there; none has more than nine tenths of its daylight."""
    cities = city_sunshine._cities()
    assert len(cities.city) == len(cities.hours) == 270
    as_read = {"Lisbon": (38.72, -9.14, 2799), "Seville": (37.39, -5.99, 2918), "Miami": (None, None, 3143)}
    for name, (latitude_deg, longitude_deg, hours) in as_read.items():
        index = cities.city.index(name)
        assert cities.hours[index] == hours
        if latitude_deg is not None:
            assert (cities.latitude_deg[index], cities.longitude_deg[index]) == (latitude_deg, longitude_deg)
    for latitude_deg, hours in zip(cities.latitude_deg, cities.hours, strict=True):
        assert 0.2 < hours / np.dot(daylight_by_month(latitude_deg), DAYS_IN_MONTH) < 0.9


def test_in_the_city_grid_and_sunshine_meet_half_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """At full word the year's clearness, each month by its daylight, is the relation's in Lisbon."""
    monkeypatch.setattr(city_sunshine, "REACH_KM", 100.0)  # Lisbon alone
    place, daylight = (38.72, -9.14), np.multiply(daylight_by_month(38.72), DAYS_IN_MONTH)
    by_sunshine = 0.25 + 0.5 * 2799 / daylight.sum()
    grid = grid_sun(*place)
    assert grid is not None
    by_grid = np.dot(daylight, np.divide(grid.mean_kwh_m2_day, outside_by_month(38.72))) / daylight.sum()
    found = at(*place)
    got = np.dot(daylight, np.divide(found.sun.mean_kwh_m2_day, outside_by_month(38.72))) / daylight.sum()
    assert (found.city, found.city_km) == ("Lisbon", pytest.approx(0.0, abs=1e-6))
    assert got == pytest.approx(math.sqrt(by_sunshine * by_grid))


def test_months_and_days_are_scaled_alike() -> None:
    found, grid = at(25.8, -80.3), grid_sun(25.8, -80.3)  # Miami
    assert grid is not None
    assert found.factor > 1.05
    assert found.sun.mean_kwh_m2_day == pytest.approx([kwh * found.factor for kwh in grid.mean_kwh_m2_day])
    for days, before in zip(found.sun.quantiles_kwh_m2_day, grid.quantiles_kwh_m2_day, strict=True):
        assert days == pytest.approx([kwh * found.factor for kwh in before])


def test_a_citys_word_falls_to_nothing_at_its_reach(cities: dict[tuple[float, float], float]) -> None:
    """Southwards from a city that says 1.21: 1.1 there, the root of that half way out, nothing beyond."""
    cities[(48.0, 9.0)] = 1.21
    for km, factor in ((0.0, 1.1), (150.0, math.sqrt(1.1)), (299.9, 1.0), (300.1, 1.0), (900.0, 1.0)):
        found = at(48.0 - math.degrees(km / EARTH_KM), 9.0)
        assert found.factor == pytest.approx(factor, abs=1e-4)
        assert (found.city == "city 0") == (km < REACH_KM)
        assert found.city_km == (pytest.approx(km, abs=1e-6) if km < REACH_KM else math.inf)


def test_the_nearer_city_has_the_louder_word(cities: dict[tuple[float, float], float]) -> None:
    """60 and 120 km off: (1/60 - 1/300)² to (1/120 - 1/300)² is 7.11 to 1; the trust is 0.5 x 0.8."""
    cities[(48.0 + math.degrees(60.0 / EARTH_KM), 9.0)] = 1.2
    cities[(48.0 - math.degrees(120.0 / EARTH_KM), 9.0)] = 0.9
    says = (64 / 9 * math.log(1.2) + math.log(0.9)) / (64 / 9 + 1)
    assert at(48.0, 9.0).factor == pytest.approx(math.exp(0.4 * says), rel=1e-6)
    assert at(48.0, 9.0).city == "city 0"


def test_no_steps_between_two_cities(cities: dict[tuple[float, float], float]) -> None:
    cities[(48.0, 9.0)], cities[(48.0, 13.0)] = 1.2, 0.8
    factors = np.array([at(48.1, 4.0 + 0.05 * step).factor for step in range(280)])
    assert np.abs(np.diff(factors)).max() < 0.01
    assert factors.max() > 1.08
    assert factors.min() < 0.92


def test_without_cities_the_grid_stands_alone() -> None:
    palmas = (-10.19, -48.33)  # Salvador is 1115 km away
    assert at(*palmas) == PlaceSun(sun=grid_sun(*palmas))


def test_where_the_grid_has_nothing_cities_do_not_help() -> None:
    assert place_sun(21.3, -157.9) is None  # Honolulu


def test_longitude_wraps() -> None:
    west, east = at(51.5, -0.1), at(51.5, 359.9)
    assert west.city == east.city == "London"
    assert west.sun.mean_kwh_m2_day == pytest.approx(east.sun.mean_kwh_m2_day)


def test_no_day_beats_the_sky() -> None:
    """p90 of a month by what arrives outside the air, at all cities: clear skies give up to about 0.8.

    Days at the bright end of a month have up to 5 % more outside the air than its middle day.
    """
    cities = city_sunshine._cities()
    for place in zip(cities.latitude_deg, cities.longitude_deg, strict=True):
        found = place_sun(*place)
        if found is None:
            continue
        assert 0.79 < found.factor < 1.2  # Lima's fog: 0.797
        for days, outside in zip(found.sun.quantiles_kwh_m2_day, outside_by_month(place[0]), strict=True):
            assert days[4] <= 0.82 * outside


@pytest.mark.parametrize(("latitude_deg", "most_h"), [(0.0, 12.0), (45.0, 15.36), (69.6, 24.0)])
def test_a_year_has_half_its_hours_of_daylight(latitude_deg: float, most_h: float) -> None:
    """45 N, 11 June, by hand: declination 23.09, sunset at acos(-0.426) = 115.2 degrees, 7.5 an hour."""
    months = daylight_by_month(latitude_deg)
    assert np.dot(months, DAYS_IN_MONTH) == pytest.approx(4380.0, rel=0.01)
    assert max(months) == pytest.approx(most_h, abs=0.02)
    assert months[5] == pytest.approx(daylight_by_month(-latitude_deg)[11], abs=0.1)


def test_a_degree_along_the_earth() -> None:
    """111.2 km on the equator and half as much at 60 N; to the antipode half the earth's girth."""
    km = away_km(0.0, 10.0, np.array([0.0, 1.0, 0.0]), np.array([11.0, 10.0, -170.0]))
    assert km == pytest.approx([111.19, 111.19, math.pi * EARTH_KM], abs=0.01)
    assert away_km(60.0, 0.0, np.array([60.0]), np.array([1.0]))[0] == pytest.approx(55.6, abs=0.01)
