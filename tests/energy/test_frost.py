"""Months with frost: their words, and mornings below 0 °C at stations whose hours pvlib carries."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from rooflayout.energy.climate import coldest_design_c
from rooflayout.energy.frost import (
    OFTEN_PCT,
    colder_place,
    frosty_months,
    morning_frost_pct,
    snowy_months,
    unreckoned_by_month,
)
from rooflayout.energy.sunshine import MonthClimate, of_weather_file
from rooflayout.job import Battery, Job, PanelRules, Site
from rooflayout.needs import Climate, WeatherHour
from rooflayout.survey.weather_file import read_weather_file

LITHIUM = Battery(12.0, 14.4, 100.0, chemistry="lithium")
SUN = (1.3, 2.0, 3.3, 4.4, 5.4, 5.8, 5.7, 5.1, 3.8, 2.5, 1.5, 1.0)
AIR = (-3.0, -1.0, 3.0, 7.0, 11.0, 15.0, 17.0, 17.0, 13.0, 8.0, 2.0, -2.0)
MONTHS = tuple(MonthClimate(sun, (), air) for sun, air in zip(SUN, AIR, strict=True))


def a_job(battery: Battery | None = LITHIUM, climate: Climate | None = None) -> Job:
    return Job("", (), PanelRules(()), site=Site(46.6, 8.9), battery=battery, climate=climate or Climate())


def test_cold_months_freeze_in_the_morning_and_warm_ones_do_not() -> None:
    assert frosty_months(a_job(), MONTHS) == [0, 1, 2, 3, 9, 10, 11]
    assert frosty_months(a_job(), [MonthClimate(5.0, (), 27.0)] * 12) == []
    assert frosty_months(a_job(), [MonthClimate(1.0, (), -20.0)] * 12) == list(range(12))
    assert snowy_months(a_job(), MONTHS) == [0, 1, 11]  # a mean of 2 °C is not below it


def test_clear_months_have_colder_mornings() -> None:
    """10.6 kWh/m² arrive outside in May: half of that makes 4 K of half range, a tenth next to none."""
    dull, clear = (morning_frost_pct(a_job(), [MonthClimate(sun, (), 5.0)] * 12)[4] for sun in (1.0, 5.4))
    assert dull == pytest.approx(11.0, abs=2.0)  # 5 K below the mean at 4 K of scatter: 10.6 %
    assert clear > 3.0 * dull


def test_a_place_colder_than_its_grid_has_more_months_of_frost_and_snow() -> None:
    """The rule from the coldest month's mean to the coldest, 1.19 Tcm - 13, turned round: 11.9 K under its
    estimate are months 10 K colder."""
    plain = a_job()
    estimate_c = coldest_design_c(46.6, 8.9)

    def given(under_k: float, climate: Climate | None = None) -> Job:
        site = Site(46.6, 8.9, coldest_c=estimate_c - under_k)
        return replace(plain, site=site, climate=climate or Climate())

    high = given(11.9)
    place = colder_place(high)
    assert place is not None
    assert place.colder_k == pytest.approx(10.0)
    shifted = [replace(m, air_c=m.air_c - 10.0) for m in MONTHS]
    assert morning_frost_pct(high, MONTHS) == pytest.approx(morning_frost_pct(plain, shifted))
    assert frosty_months(high, MONTHS) == frosty_months(plain, shifted)
    assert snowy_months(high, MONTHS) == [0, 1, 2, 3, 4, 9, 10, 11]  # below 12 °C instead of 2
    assert unreckoned_by_month(high, MONTHS)[4] != unreckoned_by_month(plain, MONTHS)[4]
    own_air = Climate(sun_kwh_m2_day=SUN, air_c=AIR)
    for as_before in (plain, given(5.5), given(-9.0), given(11.9, own_air)):
        assert colder_place(as_before) is None
        assert snowy_months(as_before, MONTHS) == [0, 1, 11]


def test_what_the_figures_leave_out_by_month() -> None:
    """Snow for every battery, frost that stops charging for lithium alone."""
    lead = unreckoned_by_month(a_job(Battery(12.0, 14.4, 100.0, chemistry="agm")), MONTHS)
    assert lead[0] == "snow is not reckoned with"
    assert lead[2:11] == ("",) * 9
    own = unreckoned_by_month(a_job(), MONTHS)
    assert own[0] == "neither snow nor frost is reckoned with"
    assert own[2] == "frost is not reckoned with"
    assert own[6] == ""
    assert unreckoned_by_month(a_job(None), MONTHS)[0] == lead[0]


def test_a_weather_files_own_mornings_count() -> None:
    """Three days of January at -1 °C in one hour, the others at 5 °C: 3 of 31 mornings."""
    hours = tuple(
        WeatherHour(day, hour + 0.5, 0.0, 0.0, 0.0, -1.0 if day in (3, 9, 20) and hour == 6 else 5.0)
        for day in range(1, 366)
        for hour in range(24)
    )
    found = morning_frost_pct(a_job(climate=Climate(weather=hours)), MONTHS)
    assert found == pytest.approx((300.0 / 31.0,) + (0.0,) * 11)


@lru_cache(maxsize=2)
def station(name: str) -> tuple[Site, tuple[WeatherHour, ...]]:
    """A typical year that pvlib carries: public data of the United States' national laboratories."""
    pvlib = pytest.importorskip("pvlib")
    weather = read_weather_file(Path(pvlib.__file__).parent / "data" / name)
    return Site(weather.latitude_deg, weather.longitude_deg), weather.hours


@pytest.mark.parametrize("name", ["703165TY.csv", "723170TYA.CSV"])  # Sand Point, Greensboro
def test_months_with_frost_are_those_of_two_stations(name: str) -> None:
    """From monthly means alone, nothing fitted: shares of frosty mornings 11 points apart on the mean, 25
    at most; one month at most is named that the hours do not name, or not named that they do."""
    site, hours = station(name)
    months = of_weather_file(hours, name).months
    job = Job("", (), PanelRules(()), site=site, battery=LITHIUM)
    estimated = np.array(morning_frost_pct(job, months))
    real = np.array(morning_frost_pct(Job("", (), PanelRules(()), climate=Climate(weather=hours)), months))
    assert np.abs(estimated - real).mean() < 11.0
    assert np.abs(estimated - real).max() < 25.0
    assert len(set(frosty_months(job, months)) ^ set(np.flatnonzero(real >= OFTEN_PCT))) <= 1
