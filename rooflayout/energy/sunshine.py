"""The sun of the twelve months anywhere on land, from a packaged grid or from the user's own figures.

The grid: daily irradiation on the level, mean and quantiles by month, MERRA-2 of 2011 to 2015 every three
degrees (see data/ATTRIBUTION.md). It is biased high; its clearness index KT, irradiation over that outside
the air, is corrected to SLOPE KT + OFFSET, fitted to 26 stations with typical years.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from rooflayout.energy.climate import monthly_mean_c
from rooflayout.job import Job
from rooflayout.needs import WeatherHour

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Values = NDArray[np.float64]

GRID_FILE = "ghi_merra2_monthly_3deg.npz"
NO_DATA = 65535
SLOPE, OFFSET = 0.8686, 0.0079
SOLAR_CONSTANT_W_M2 = 1367.0
# The day of each month whose sun outside the air is the month's mean: Klein 1977, Duffie and Beckman.
MEAN_DAYS = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
FARTHEST_KM = 600.0  # to the nearest cell with data
GRID_PCT, OWN_PCT = 15.0, 10.0  # nine places, or years, in ten lie within: stations of the fit; year to year
# Where nothing is known of the kinds of day: dull to bright, their mean is 1; an assumption
USUAL_SHAPE = (0.35, 0.75, 1.05, 1.30, 1.55)
EARTH_KM = 6371.0


class NoClimate(ValueError):  # noqa: N818
    """No figures for this place; the text says what to give instead."""


@dataclass(frozen=True, slots=True)
class MonthClimate:
    """One month. quantiles: what a day's sum stays below on 10, 30, 50, 70 and 90 days in a hundred; each
    stands for a fifth of the days, so that their mean is the month's."""

    sun_kwh_m2_day: float  # on the level
    quantiles_kwh_m2_day: tuple[float, ...]
    air_c: float  # mean of day and night


@dataclass(frozen=True, slots=True)
class MonthlyClimate:
    """Twelve months, January first. uncertainty_pct: of the yearly sun; nine places in ten lie within it."""

    months: tuple[MonthClimate, ...]
    uncertainty_pct: float
    source: str


def monthly_climate(job: Job) -> MonthlyClimate:
    """The weather file's months, else the user's own, else those of the grid. Raises NoClimate."""
    own = job.climate
    if own.weather:
        return of_weather(own.weather, own.weather_name)
    air_c = own.air_c or _air_c(job)
    if own.sun_kwh_m2_day is None:
        sun, kinds, source = _of_grid(job)
        uncertainty_pct = GRID_PCT
    else:
        sun, uncertainty_pct = own.sun_kwh_m2_day, OWN_PCT
        try:
            grid_sun, grid_kinds, _ = _of_grid(job)
            shapes = [
                tuple(q / s for q in own_kinds) if s > 0.0 else USUAL_SHAPE
                for s, own_kinds in zip(grid_sun, grid_kinds, strict=True)
            ]
            source = "the job's own monthly figures, dull and bright days as in the packaged grid"
        except NoClimate:
            shapes = [USUAL_SHAPE] * 12
            source = "the job's own monthly figures, dull and bright days as an assumption"
        kinds = [tuple(s * f for f in shape) for s, shape in zip(sun, shapes, strict=True)]
    months = tuple(MonthClimate(*each) for each in zip(sun, kinds, air_c, strict=True))
    return MonthlyClimate(months, uncertainty_pct, source)


def of_weather(hours: tuple[WeatherHour, ...], name: str) -> MonthlyClimate:
    """The months of a typical year, hour by hour."""
    import numpy as np

    month_of_day = np.repeat(np.arange(12), MONTH_DAYS)
    day = np.array([h.day_of_year for h in hours]) - 1
    sums = np.bincount(day, weights=[h.ghi_w_m2 / 1000.0 for h in hours], minlength=365)[:365]
    counts = np.bincount(day, minlength=365)[:365]
    air = np.bincount(day, weights=[h.air_c for h in hours], minlength=365)[:365] / np.maximum(counts, 1)
    found = []
    for month in range(12):
        own = (month_of_day == month) & (counts > 0)
        mean = float(sums[own].mean())
        kinds = np.percentile(sums[own], (10, 30, 50, 70, 90))
        found.append(MonthClimate(mean, _with_mean(kinds, mean), float(air[own].mean())))
    return MonthlyClimate(tuple(found), OWN_PCT, f"the weather file {name}")


def grid_sun(latitude_deg: float, longitude_deg: float) -> tuple[tuple[float, ...], list[tuple[float, ...]]]:
    """Daily irradiation on the level in kWh/m² by month, corrected: mean, and of five kinds of day.

    Bilinear over the cells that have data; where none of the four has, the nearest one within FARTHEST_KM.
    Raises NoClimate where there is none, ValueError for a latitude beyond 90 degrees.
    """
    import numpy as np

    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude must lie between -90 and 90 degrees, not {latitude_deg:g}")
    raw = _weighted(latitude_deg, longitude_deg)  # [month, mean and quantiles]
    outside = np.array([extraterrestrial_kwh_m2(latitude_deg, day) for day in MEAN_DAYS])[:, None]
    corrected = np.maximum(0.0, np.minimum(raw, SLOPE * raw + OFFSET * outside))
    corrected[outside[:, 0] <= 0.0] = 0.0
    means = tuple(float(v) for v in corrected[:, 0])
    return means, [_with_mean(corrected[m, 1:], means[m]) for m in range(12)]


def extraterrestrial_kwh_m2(latitude_deg: float, day_of_year: int) -> float:
    """Irradiation of a day outside the air on the level, kWh/m².

    Duffie and Beckman, equation 1.10.3, with Cooper's declination (both 1.6.1), as in their table 1.10.1.
    """
    declination = math.radians(23.45 * math.sin(math.radians(360.0 * (284 + day_of_year) / 365.0)))
    latitude = math.radians(latitude_deg)
    cosine = -math.tan(latitude) * math.tan(declination)
    sunset = math.acos(max(-1.0, min(1.0, cosine)))
    distance = 1.0 + 0.033 * math.cos(math.radians(360.0 * day_of_year / 365.0))
    height = math.cos(latitude) * math.cos(declination) * math.sin(sunset) + sunset * math.sin(
        latitude
    ) * math.sin(declination)
    return max(0.0, 24.0 / math.pi * SOLAR_CONSTANT_W_M2 * distance * height / 1000.0)


def _of_grid(job: Job) -> tuple[tuple[float, ...], list[tuple[float, ...]], str]:
    site = job.site
    if site is None or site.latitude_deg is None or site.longitude_deg is None:
        raise NoClimate("The job does not say where it stands: give latitude and longitude in [site].")
    sun, kinds = grid_sun(site.latitude_deg, site.longitude_deg)
    place = f"{abs(site.latitude_deg):.1f}° {'N' if site.latitude_deg >= 0 else 'S'}, "
    place += f"{abs(site.longitude_deg):.1f}° {'E' if site.longitude_deg >= 0 else 'W'}"
    source = f"satellite-based reanalysis of 2011 to 2015 (MERRA-2) for {place}, corrected to ground stations"
    return sun, kinds, source


def _air_c(job: Job) -> tuple[float, ...]:
    site = job.site
    if site is None or site.latitude_deg is None or site.longitude_deg is None:
        raise NoClimate("The job does not say where it stands: give latitude and longitude in [site].")
    return monthly_mean_c(site.latitude_deg, site.longitude_deg)


def _weighted(latitude_deg: float, longitude_deg: float) -> Values:
    """Raw kWh/m² a day: month by (mean, p10, p30, p50, p70, p90)."""
    import numpy as np

    lats, lons, values, there = _grid()
    row = (latitude_deg - lats[0]) / (lats[1] - lats[0])
    column = ((longitude_deg - lons[0]) % 360.0) / (lons[1] - lons[0])
    south, west = math.floor(row), math.floor(column)
    total, weights = np.zeros(values.shape[2:]), 0.0
    for i, part_y in ((south, 1.0 - (row - south)), (south + 1, row - south)):
        for j, part_x in ((west, 1.0 - (column - west)), (west + 1, column - west)):
            j %= len(lons)
            if 0 <= i < len(lats) and there[i, j] and part_y * part_x > 0.0:
                total += part_y * part_x * values[i, j]
                weights += part_y * part_x
    if weights > 0.0:
        return np.asarray(total / weights)
    return _nearest(latitude_deg, longitude_deg)


def _nearest(latitude_deg: float, longitude_deg: float) -> Values:
    import numpy as np

    lats, lons, values, there = _grid()
    a, b = np.radians(latitude_deg), np.radians(lats)[:, None]
    apart = np.radians(lons - longitude_deg)[None, :]
    cosine = np.sin(a) * np.sin(b) + np.cos(a) * np.cos(b) * np.cos(apart)
    km = np.where(there, EARTH_KM * np.arccos(np.clip(cosine, -1.0, 1.0)), np.inf)
    i, j = np.unravel_index(int(km.argmin()), km.shape)
    if km[i, j] > FARTHEST_KM:
        raise NoClimate(
            f"There are no figures on the sun at latitude {latitude_deg:g}, longitude {longitude_deg:g} "
            "(open sea, or near a pole). Give your own in [climate]: sun, the daily mean of each month "
            "on the level in kWh/m2, and air, the mean temperature of each month in °C; or weather_file."
        )
    return np.asarray(values[i, j])


def _with_mean(kinds: Values, mean: float) -> tuple[float, ...]:
    """The kinds of day scaled so that their mean is the month's."""
    total = float(kinds.mean())
    scale = mean / total if total > 0.0 else 0.0
    return tuple(float(k) * scale for k in kinds)


@lru_cache(maxsize=1)
def _grid() -> tuple[Values, Values, Values, NDArray[np.bool_]]:
    """Latitudes, longitudes, kWh/m² [latitude, longitude, month, mean and quantiles], where data are."""
    import numpy as np

    source = resources.files("rooflayout.energy").joinpath("data", GRID_FILE)
    with source.open("rb") as file, np.load(file, allow_pickle=False) as data:
        raw = {name: data[name] for name in data.files}
    there = (raw["mean"] != NO_DATA).all(axis=2)
    p = {n: raw[n].astype(np.float64) / 100.0 for n in ("mean", "p10", "p25", "p50", "p75", "p90")}
    p30, p70 = p["p25"] + (p["p50"] - p["p25"]) / 5.0, p["p50"] + (p["p75"] - p["p50"]) * 0.8
    values = np.stack([p["mean"], p["p10"], p30, p["p50"], p70, p["p90"]], axis=3)
    return raw["lat"].astype(np.float64), raw["lon"].astype(np.float64), values, there
