"""The sun of the months against typical-year stations and handbook tables.

stations.csv: mean daily irradiation on the level, kWh/m2, of 16 typical-year weather files (EPW, TMY2, TMY3)
as their names say. The correction of the grid was fitted to 26 stations, some of these among them.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from rooflayout.energy.sunshine import (
    GRID_PCT,
    MEAN_DAYS,
    MONTH_DAYS,
    OWN_PCT,
    NoClimate,
    extraterrestrial_kwh_m2,
    grid_sun,
    monthly_climate,
)
from rooflayout.job import Facet, Job, PanelRules, Site
from rooflayout.needs import Climate, WeatherHour

STATIONS = list(csv.DictReader((Path(__file__).parent / "stations.csv").open()))
DELTA = Job("x", (Facet("F", ((0, 0), (1, 0), (1, 1))),), PanelRules(()), site=Site(40.72, 0.72))

# Duffie and Beckman, Solar Engineering of Thermal Processes, table 1.10.1, MJ/m2 a day, by latitude; as
# quoted in public unit tests. Within 0.45.
H0_MJ = {
    45: (12.2, 17.4, 25.1, 33.2, 39.2, 41.7, 40.4, 35.3, 27.8, 19.6, 13.3, 10.7),
    30: (21.3, 25.7, 31.5, 36.8, 40.0, 41.1, 40.4, 37.8, 33.2, 27.4, 22.2, 19.9),
    0: (36.2, 37.4, 37.8, 36.7, 34.8, 33.5, 34.0, 35.7, 37.2, 37.3, 36.3, 35.7),
    -45: (42.8, 37.1, 28.6, 19.6, 12.9, 10.0, 11.3, 16.6, 24.9, 34.0, 41.2, 44.5),
    -60: (41.0, 32.4, 21.2, 10.9, 4.5, 2.2, 3.1, 8.0, 17.0, 28.4, 38.7, 43.7),
}


def yearly(months: tuple[float, ...]) -> float:
    return sum(v * n for v, n in zip(months, MONTH_DAYS, strict=True)) / 365.0


@pytest.mark.parametrize("latitude_deg", sorted(H0_MJ))
def test_sun_outside_the_air_is_the_handbooks(latitude_deg: int) -> None:
    for day, expected in zip(MEAN_DAYS, H0_MJ[latitude_deg], strict=True):
        assert 3.6 * extraterrestrial_kwh_m2(latitude_deg, day) == pytest.approx(expected, abs=0.45)


def test_yearly_sun_at_the_stations() -> None:
    """Within GRID_PCT at nine in ten, which is what the yield says of itself. Measured: 9 of 16 within 10 %,
    15 of 16 within 15 % (Shimla, at 2000 m, is 16 % off)."""
    errors_pct = []
    for row in STATIONS:
        sun, _ = grid_sun(float(row["latitude_deg"]), float(row["longitude_deg"]))
        errors_pct.append(100.0 * (yearly(sun) / float(row["annual"]) - 1.0))
    assert sum(abs(e) <= GRID_PCT for e in errors_pct) >= 0.9 * len(STATIONS)
    assert sum(abs(e) <= 10.0 for e in errors_pct) >= 9
    assert abs(sum(errors_pct) / len(errors_pct)) < 3.0


def test_madison() -> None:
    """Duffie and Beckman, example 2.19.1: H by month, MJ/m2; 3.93 kWh/m2 a day over the year."""
    sun, _ = grid_sun(43.0, -89.4)
    assert yearly(sun) == pytest.approx(3.93, rel=0.06)


def test_kinds_of_day_have_the_months_mean_and_rise() -> None:
    sun, kinds = grid_sun(40.72, 0.72)
    for mean, own in zip(sun, kinds, strict=True):
        assert sum(own) / 5 == pytest.approx(mean)
        assert list(own) == sorted(own)


def test_no_sun_in_the_polar_night_and_longitudes_go_round() -> None:
    sun, _ = grid_sun(70.0, 25.0)
    assert sun[11] == pytest.approx(0.0, abs=0.02)
    assert grid_sun(36.1, -79.95) == grid_sun(36.1, 280.05)


@pytest.mark.parametrize("place", [(-40.0, -120.0), (85.0, 0.0), (-80.0, 0.0), (21.3, -157.9)])
def test_open_sea_and_poles_ask_for_own_values(place: tuple[float, float]) -> None:
    with pytest.raises(NoClimate, match="Give your own in \\[climate\\]"):
        monthly_climate(replace(DELTA, site=Site(*place)))


def test_own_figures_come_first_and_a_weather_file_before_them() -> None:
    own = tuple(float(m) for m in range(1, 13))
    job = replace(DELTA, climate=Climate(sun_kwh_m2_day=own, air_c=own))
    found = monthly_climate(job)
    assert [m.sun_kwh_m2_day for m in found.months] == list(own)
    assert [m.air_c for m in found.months] == list(own)
    assert found.uncertainty_pct == OWN_PCT
    at_sea = monthly_climate(replace(job, site=Site(-40.0, -120.0)))
    assert "assumption" in at_sea.source
    assert sum(at_sea.months[3].quantiles_kwh_m2_day) / 5 == pytest.approx(4.0)
    hours = tuple(
        WeatherHour(day, hour + 0.5, 500.0 if 6 <= hour < 18 else 0.0, 0.0, 0.0, 10.0)
        for day in range(1, 366)
        for hour in range(24)
    )
    filed = monthly_climate(replace(job, climate=replace(job.climate, weather=hours, weather_name="a.epw")))
    assert [m.sun_kwh_m2_day for m in filed.months] == pytest.approx([6.0] * 12)
    assert [m.air_c for m in filed.months] == pytest.approx([10.0] * 12)
    assert "a.epw" in filed.source
