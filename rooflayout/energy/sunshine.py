"""The sun and the air of a job's place, month by month: the user's own figures, else the packaged ones.

A weather file comes before monthly values, those before the grids. Where from, and how far the yearly sun may
be off, goes with the figures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.energy.city_sunshine import NEAR_KM, PlaceSun, place_sun
from rooflayout.energy.climate import monthly_mean_c
from rooflayout.energy.outside import outside_by_month
from rooflayout.energy.place import land_the_other_way
from rooflayout.energy.relief import in_mountains
from rooflayout.energy.sun_grid import grid_sun, usual_spread
from rooflayout.energy.uncertainty import FILE_PCT, OWN_PCT, packaged_sun_off_pct
from rooflayout.job import Job
from rooflayout.months import DAYS_BEFORE, MONTHS
from rooflayout.needs import Climate, WeatherHour

QUANTILES = (10, 30, 50, 70, 90)
POLAR_END = 0.3  # kWh/m² a day that a month may have although its middle is dark
GIVE = "Give [climate] sun: twelve values in kWh/m² a day on the level, January first."
GIVE_AIR = "Give [climate] air: twelve mean temperatures in °C, January first."


class NoClimate(ValueError):  # noqa: N818 (its public name)
    """No figures for the place; the message says what the user can give."""


@dataclass(frozen=True, slots=True)
class MonthClimate:
    """Daily sums on the level: the mean, and what 10, 30, 50, 70 and 90 % of the days stay below."""

    sun_kwh_m2_day: float
    quantiles_kwh_m2_day: tuple[float, ...]
    air_c: float  # mean of day and night


@dataclass(frozen=True, slots=True)
class MonthlyClimate:
    """Twelve months, January first; nine places in ten lie within uncertainty_pct of the yearly sun."""

    months: tuple[MonthClimate, ...]
    uncertainty_pct: float
    source: str


def monthly_climate(job: Job) -> MonthlyClimate:
    """The climate of the job's place. Raises NoClimate where neither the user nor the grids have figures."""
    if job.climate.weather:
        return of_weather_file(job.climate.weather, job.climate.weather_name)
    place = _place(job)
    if job.climate.sun_kwh_m2_day is not None:
        return _of_own_sun(job.climate, job.climate.sun_kwh_m2_day, place)
    if place is None:
        raise NoClimate(f"Without [site] latitude and longitude there are no figures for the sun. {GIVE}")
    found = place_sun(*place)
    if found is None:
        hint = land_the_other_way(*place)
        raise NoClimate(
            f"The packaged figures have no sun for {_where(place)}. {f'{hint} ' if hint else ''}{GIVE}"
        )
    air_c, air_source = _air(job.climate, place)
    sun = found.sun
    months = zip(sun.mean_kwh_m2_day, sun.quantiles_kwh_m2_day, air_c, strict=True)
    source = f"{_of_place(found)}; {air_source}"
    return MonthlyClimate(tuple(MonthClimate(*m) for m in months), _off_pct(found, place), source)


def of_weather_file(hours: Sequence[WeatherHour], name: str) -> MonthlyClimate:
    """Means and quantiles of a weather file's days by month. Raises NoClimate for a month without hours."""
    import numpy as np

    day = np.array([hour.day_of_year for hour in hours])
    ghi = np.array([hour.ghi_w_m2 for hour in hours])
    air = np.array([hour.air_c for hour in hours])
    month = np.searchsorted(DAYS_BEFORE, day, side="left") - 1
    months = []
    for index in range(12):
        here = month == index
        if not here.any():
            raise NoClimate(f"The weather file {name} has no hours of {MONTHS[index]}. {GIVE}")
        days = np.bincount(day[here] - day[here].min(), ghi[here])[np.unique(day[here]) - day[here].min()]
        quantiles = np.percentile(days / 1000.0, QUANTILES)
        sun, air_c = float(days.mean() / 1000.0), float(air[here].mean())
        months.append(MonthClimate(sun, tuple(float(q) for q in quantiles), air_c))
    return MonthlyClimate(tuple(months), FILE_PCT, f"sun and air of the weather file {name}")


def _of_own_sun(
    climate: Climate, sun_kwh_m2_day: Sequence[float], place: tuple[float, float] | None
) -> MonthlyClimate:
    """The user's monthly means; the days keep the grid's spread where there is one, else a usual one."""
    air_c, air_source = _air(climate, place)
    grid = None if place is None else grid_sun(*place)
    outside = None if place is None else outside_by_month(place[0])
    if place is not None:
        _check_possible(sun_kwh_m2_day, place)
    months, borrowed = [], True
    for index, (sun, air) in enumerate(zip(sun_kwh_m2_day, air_c, strict=True)):
        if grid is not None and grid.mean_kwh_m2_day[index] > 0.0:
            spread = [q / grid.mean_kwh_m2_day[index] for q in grid.quantiles_kwh_m2_day[index]]
        else:
            beyond = 0.0 if outside is None else outside[index]
            spread = list(usual_spread(sun / beyond if beyond > 0.0 else None))
            borrowed = borrowed and sun == 0.0
        months.append(MonthClimate(sun, tuple(sun * q for q in spread), air))
    days = "their days spread as in the packaged figures" if borrowed else "their days spread as is usual"
    source = f"your monthly values of the sun, {days}; {air_source}"
    return MonthlyClimate(tuple(months), OWN_PCT, source)


def _check_possible(sun_kwh_m2_day: Sequence[float], place: tuple[float, float]) -> None:
    """Raises NoClimate for more sun than arrives outside the air: months or hemispheres mixed up."""
    outside = outside_by_month(place[0])
    over = [sun - max(beyond, POLAR_END) for sun, beyond in zip(sun_kwh_m2_day, outside, strict=True)]
    worst = over.index(max(over))
    if over[worst] > 0.0:
        raise NoClimate(
            f"[climate] sun has {sun_kwh_m2_day[worst]:g} kWh/m² a day in {MONTHS[worst]}, and at "
            f"{_where(place)} only {outside[worst]:.1f} arrive outside the air. Is January first, and the "
            "latitude's sign right?"
        )


def _air(climate: Climate, place: tuple[float, float] | None) -> tuple[Sequence[float], str]:
    """Twelve mean air temperatures in °C and their source. Raises NoClimate without either."""
    if climate.air_c is not None:
        return climate.air_c, "your monthly values of the air"
    if place is None:
        raise NoClimate(
            f"Without [site] latitude and longitude the air's temperature is not known. {GIVE_AIR}"
        )
    return monthly_mean_c(*place), "mean air temperatures of 2000 to 2025 (ERA5)"


def _off_pct(found: PlaceSun, place: tuple[float, float]) -> float:
    """Within how many % of the packaged year nine places in ten lie."""
    return packaged_sun_off_pct(
        place[0],
        near_city=found.city_km <= NEAR_KM,
        mountains=in_mountains(*place),
        away=found.sun.away_km is not None,
    )


def _of_place(found: PlaceSun) -> str:
    by = f", those round {found.city} above all" if found.city else ""
    text = f"mean sun of 2011 to 2015 (MERRA-2, corrected by cities' hours of sunshine{by})"
    away_km = found.sun.away_km
    return text if away_km is None else f"{text} {away_km:.0f} km away, the nearest there is"


def _place(job: Job) -> tuple[float, float] | None:
    """(latitude, longitude) in degrees when both are given."""
    if job.site is None or job.site.latitude_deg is None or job.site.longitude_deg is None:
        return None
    return job.site.latitude_deg, job.site.longitude_deg


def _where(place: tuple[float, float]) -> str:
    return f"latitude {place[0]:g}, longitude {place[1]:g}"
