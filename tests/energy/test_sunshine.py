"""Which figures of sun and air a job gets, from where, and what is said where there are none."""

from __future__ import annotations

import numpy as np
import pytest

from rooflayout.energy.city_sunshine import place_sun
from rooflayout.energy.climate import monthly_mean_c
from rooflayout.energy.outside import outside_by_month
from rooflayout.energy.sun_grid import grid_sun, usual_spread
from rooflayout.energy.sunshine import NoClimate, monthly_climate, of_weather_file
from rooflayout.energy.uncertainty import (
    FAR_CELL_PCT,
    FILE_PCT,
    GRID_PCT,
    MOUNTAIN_PCT,
    NEAR_CITY_PCT,
    OWN_PCT,
    TROPIC_MOUNTAIN_PCT,
    TROPIC_PCT,
)
from rooflayout.job import Facet, Job, PanelModel, PanelRules, Site
from rooflayout.needs import Climate, WeatherHour

DELTA = (40.72, 0.72)
SUN = (2.1, 2.9, 4.3, 5.4, 6.4, 7.1, 7.2, 6.1, 4.8, 3.4, 2.3, 1.9)
AIR = (9.0, 10.0, 12.5, 14.5, 18.0, 22.0, 25.0, 25.0, 22.0, 18.0, 13.0, 10.0)


def job(place: tuple[float, float] | None = DELTA, climate: Climate | None = None) -> Job:
    site = None if place is None else Site(*place)
    facet = Facet("main", ((0, 0), (4000, 0), (4000, 2000), (0, 2000)))
    rules = PanelRules((PanelModel("Heron 100", 1000, 500, 100.0),))
    return Job("trailer", (facet,), rules, site=site, climate=climate or Climate())


def weather(ghi_w_m2: float = 500.0) -> tuple[WeatherHour, ...]:
    """A year of two lit hours a day, brighter by the day of the month, at a place 8 hours behind UTC."""
    starts = (0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365)
    hours = []
    for month in range(12):
        for day in range(starts[month], starts[month + 1]):
            light = ghi_w_m2 + 10.0 * (day - starts[month])
            for hour in range(24):
                lit = hour in (11, 12)
                air = float(month) + (1.0 if lit else 0.0)
                hours.append(WeatherHour(day + 1, hour + 8.5, light if lit else 0.0, 0.0, 0.0, air))
    return tuple(hours)


def sums(found: tuple) -> list[float]:
    return [month.sun_kwh_m2_day for month in found]


def test_the_grids_figures_with_their_source() -> None:
    """The Ebro delta lies within reach of Barcelona, and near enough for the narrower figure."""
    found, place = monthly_climate(job()), place_sun(*DELTA)
    assert place is not None
    assert sums(found.months) == list(place.sun.mean_kwh_m2_day)
    assert tuple(m.quantiles_kwh_m2_day for m in found.months) == place.sun.quantiles_kwh_m2_day
    assert tuple(m.air_c for m in found.months) == monthly_mean_c(*DELTA)
    assert found.uncertainty_pct == NEAR_CITY_PCT < GRID_PCT
    assert "MERRA-2" in found.source
    assert "hours of sunshine, those round Barcelona above all)" in found.source
    assert "ERA5" in found.source


@pytest.mark.parametrize(
    ("place", "off_pct"),
    [
        ((27.97, -82.53), GRID_PCT),  # Tampa: flat, no city within reach
        ((31.09, 77.18), MOUNTAIN_PCT),  # Shimla: Amritsar, 227 km off, has a small say
        ((39.74, -105.18), MOUNTAIN_PCT),  # Denver: a city, under the Rocky Mountains
        ((-10.19, -48.33), TROPIC_PCT),  # Palmas, far from any city of the table
        ((1.37, 103.98), NEAR_CITY_PCT),  # Singapore: in the tropics, but in a city
        ((4.7, -74.13), TROPIC_MOUNTAIN_PCT),  # Bogotá, in a city and in the Andes
    ],
)
def test_far_from_cities_in_mountains_and_in_the_tropics_it_is_less_certain(
    place: tuple[float, float], off_pct: float
) -> None:
    found = monthly_climate(job(place))
    assert found.uncertainty_pct == off_pct
    assert ("round Amritsar" in found.source) == (place[0] == 31.09)


def test_own_air_beside_the_grids_sun() -> None:
    found = monthly_climate(job(climate=Climate(air_c=AIR)))
    assert tuple(m.air_c for m in found.months) == AIR
    assert "MERRA-2" in found.source
    assert "your monthly values of the air" in found.source


def test_own_sun_comes_before_the_grid_and_keeps_its_spread() -> None:
    found, grid = monthly_climate(job(climate=Climate(sun_kwh_m2_day=SUN))), grid_sun(*DELTA)
    assert grid is not None
    assert sums(found.months) == list(SUN)
    for month, mean, quantiles in zip(
        found.months, grid.mean_kwh_m2_day, grid.quantiles_kwh_m2_day, strict=True
    ):
        expected = [q * month.sun_kwh_m2_day / mean for q in quantiles]
        assert list(month.quantiles_kwh_m2_day) == pytest.approx(expected)
    assert found.uncertainty_pct == OWN_PCT < GRID_PCT
    assert "your monthly values of the sun, their days spread as in the packaged figures" in found.source


def test_own_sun_at_sea_has_the_usual_spread() -> None:
    honolulu = (21.3, -157.9)
    found = monthly_climate(job(honolulu, Climate(sun_kwh_m2_day=SUN)))
    july = found.months[6]
    spread = usual_spread(SUN[6] / outside_by_month(honolulu[0])[6])
    assert list(july.quantiles_kwh_m2_day) == pytest.approx([SUN[6] * q for q in spread])
    assert "spread as is usual" in found.source
    assert "ERA5" in found.source


def test_own_sun_and_air_need_no_place() -> None:
    found = monthly_climate(job(None, Climate(sun_kwh_m2_day=SUN, air_c=AIR)))
    assert sums(found.months) == list(SUN)
    assert tuple(m.air_c for m in found.months) == AIR
    assert list(found.months[0].quantiles_kwh_m2_day) == pytest.approx(
        [SUN[0] * q for q in usual_spread(None)]
    )


def test_a_polar_month_of_own_sun_where_the_grid_is_dark() -> None:
    """Finnmark in January: nothing in the grid, 0.05 kWh/m² from the user, and days that add up to it."""
    sun = (0.05, 0.4, 1.4, 3.0, 4.2, 4.7, 4.3, 3.1, 1.7, 0.6, 0.1, 0.0)
    january = monthly_climate(job((69.6, 25.0), Climate(sun_kwh_m2_day=sun))).months[0]
    assert sum(january.quantiles_kwh_m2_day) / 5 == pytest.approx(0.05)


def test_a_weather_file_comes_before_all() -> None:
    hours = weather()
    own = Climate(sun_kwh_m2_day=SUN, air_c=AIR, weather=hours, weather_name="delta.epw")
    found = monthly_climate(job(climate=own))
    assert found == of_weather_file(hours, "delta.epw")
    assert found.uncertainty_pct == FILE_PCT < GRID_PCT
    assert "delta.epw" in found.source


def test_the_days_of_a_weather_file_by_hand() -> None:
    """April has 30 days of 1.00, 1.02 ... 1.58 kWh/m²; the file's days are the place's own, not UTC's."""
    april = of_weather_file(weather(), "delta.epw").months[3]
    assert april.sun_kwh_m2_day == pytest.approx(1.29)
    days = [1.0 + 0.02 * n for n in range(30)]
    assert list(april.quantiles_kwh_m2_day) == pytest.approx(list(np.percentile(days, [10, 30, 50, 70, 90])))
    assert april.air_c == pytest.approx(3.0 + 2 / 24)


def test_a_weather_file_without_a_month_is_refused() -> None:
    without_june = tuple(h for h in weather() if not 151 < h.day_of_year <= 181)
    with pytest.raises(NoClimate, match="no hours of June"):
        of_weather_file(without_june, "delta.epw")


def test_the_nearest_land_is_named_and_less_certain() -> None:
    found = monthly_climate(job((14.92, -23.51)))
    assert found.uncertainty_pct == FAR_CELL_PCT > GRID_PCT
    assert "592 km away" in found.source


@pytest.mark.parametrize(
    "place", [(0.0, -150.0), (90.0, 0.0), (-75.0, 100.0)], ids=["ocean", "pole", "Antarctica"]
)
def test_where_there_is_no_sun_it_is_asked_for(place: tuple[float, float]) -> None:
    with pytest.raises(NoClimate, match=r"no sun for latitude .* Give \[climate\] sun"):
        monthly_climate(job(place))


def test_without_a_place_it_is_asked_for() -> None:
    with pytest.raises(NoClimate, match=r"Without \[site\] latitude and longitude"):
        monthly_climate(job(None))


def test_own_sun_without_a_place_asks_for_the_air() -> None:
    with pytest.raises(NoClimate, match=r"Give \[climate\] air"):
        monthly_climate(job(None, Climate(sun_kwh_m2_day=SUN)))


def test_more_sun_than_outside_the_air_is_refused() -> None:
    """A list of the north's months for a place in the far south: 7.1 in June, where 1.3 arrive."""
    with pytest.raises(NoClimate, match=r"7\.1 kWh/m² a day in June.* only 1\.3 arrive"):
        monthly_climate(job((-54.8, -68.3), Climate(sun_kwh_m2_day=SUN)))


def test_no_climate_is_a_value_error() -> None:
    assert issubclass(NoClimate, ValueError)
