"""What a charge limit passes: from five kinds of day a month, beside every hour of typical years.

The hours themselves hide clouds within them. What they would cost at most: the beam is there as in the clear
hours of that month and hour of day (the value that one in ten exceeds), or not at all.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from real_days import LATITUDE_DEG

from rooflayout.energy.charging import Feed
from rooflayout.energy.facet_light import facet_light, watts_per_watt
from rooflayout.energy.shade import shade_table
from rooflayout.energy.sky import SkyHours, of_months, of_weather, sunny_part
from rooflayout.energy.sun import mean_days
from rooflayout.energy.sunshine import of_weather_file
from rooflayout.job import Facet, Job, PanelModel, PanelRules, Site
from rooflayout.needs import WeatherHour
from rooflayout.survey.weather_file import read_weather_file

ROOF = Facet("roof", ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0)))
PANEL = PanelModel("Fern 100", 1000, 600, 100.0, power_pct_per_k=-0.35)
LIMITS = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)  # W that pass for each W of panels


@lru_cache(maxsize=3)
def hours_of(station: str) -> tuple[tuple[WeatherHour, ...], float, float]:
    """Hours, latitude and longitude of a typical year that pvlib carries (public data)."""
    pvlib = pytest.importorskip("pvlib")
    path = Path(pvlib.__file__).parent / "data" / station
    if not station.endswith(".tm2"):
        weather = read_weather_file(path)
        return weather.hours, weather.latitude_deg, weather.longitude_deg
    data, place = pvlib.iotools.read_tmy2(path)
    columns = np.array([data[c] for c in ("GHI", "DNI", "DHI", "DryBulb")], dtype=float)[:, :8760]
    hours = tuple(
        WeatherHour(k // 24 + 1, k % 24 + 0.5 - place["TZ"], ghi, dni, dhi, air / 10.0)
        for k, (ghi, dni, dhi, air) in enumerate(columns.T.tolist())
    )
    return hours, place["latitude"], place["longitude"]


def passed_pct(sky: SkyHours, job: Job, sunny: np.ndarray) -> np.ndarray:
    """[2, limits] of a level panel's year: most, hours being even; and least, the beam coming and going."""
    light = facet_light(job, ROOF, sky, shade_table(job))
    watts = watts_per_watt(light, -0.35)[0]
    dark = watts - light.beam[0] / np.maximum(light.beam[0] + light.diffuse[0], 1e-12) * watts
    feeds = [Feed(watts, 1.0, limit) for limit in LIMITS]
    passed = [[f.passed_w() for f in feeds], [f.least_passed_w(dark, sunny) for f in feeds]]
    return 100.0 * (np.array(passed) * sky.weight_days).sum(axis=-1) / (watts * sky.weight_days).sum()


def clear_part(sky: SkyHours) -> np.ndarray:
    """The hour's beam over that of clear hours of the same month and hour of day, 1 at most."""
    hour = np.arange(len(sky.month)) % 24
    clear = np.ones(len(hour))
    for month in range(1, 13):
        for h in range(24):
            own = (sky.month == month) & (hour == h)
            clear[own] = max(float(np.percentile(sky.dni_w_m2[own], 90.0)), 1.0)
    return np.asarray(np.minimum(sky.dni_w_m2 / clear, 1.0))


@pytest.mark.parametrize("station", sorted(LATITUDE_DEG))
def test_what_passes_lies_between_what_is_told_as_least_and_most(station: str) -> None:
    """Hour by hour it is 0.1 to 3.5 points less than the most from kinds of day, and with clouds within the
    hours no less than the least; where nine tenths of the panels' watts pass, all agree within 2 points."""
    hours, latitude, longitude = hours_of(station)
    months = of_weather_file(hours, station).months
    job = Job("", (ROOF,), PanelRules((PANEL,)), site=Site(latitude, longitude, 0.0))
    kinds = of_months(
        [m.sun_kwh_m2_day for m in months],
        [m.quantiles_kwh_m2_day for m in months],
        [m.air_c for m in months],
        mean_days(latitude, longitude),
    )
    year = of_weather(hours, latitude, longitude)
    most, least = passed_pct(kinds, job, sunny_part(kinds))
    even, broken = passed_pct(year, job, clear_part(year))
    assert (even <= most + 0.1).all()
    assert (even >= most - 3.5).all()
    assert (broken <= even + 1e-9).all()
    assert (least <= broken + 0.3).all()
    assert most[-1] - least[-1] < 2.0
    assert most[0] - least[0] > 5.0  # the doubt is told where there is some
