"""Where the sun stands: true positions by the solar position algorithm, and the lit hours of a mean day.

Positions: pvlib's version of the algorithm of Reda and Andreas (2008), without refraction. Angles in
degrees, azimuth clockwise from north, altitude above the horizon.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.outside import MEAN_DAYS, outside_by_month

Values = NDArray[np.float64]

YEAR = 2025  # sun positions are those of this year; others differ by a quarter of a day


@dataclass(frozen=True, slots=True, eq=False)
class MeanDays:
    """The twelve mean days in true solar time, [12, 24]; the sun in the middle of each hour's lit part."""

    lit: Values  # part of the hour with the sun above the horizon
    hour_angle_deg: Values  # of the middle of that part
    altitude_deg: Values
    azimuth_deg: Values
    sunset_deg: Values  # [12] hour angle of sunset: 0 in the polar night, 180 under the midnight sun
    level_wh_m2: Values  # [12] outside the air, on a level plane, over the day, as the handbook counts it


def sun_positions(times: NDArray[np.datetime64], latitude_deg: float, longitude_deg: float) -> Values:
    """[3, N]: altitude and azimuth in degrees and equation of time in minutes, at times in UTC."""
    import pandas as pd
    from pvlib.solarposition import get_solarposition

    if len(times) == 0:
        return np.zeros((3, 0))
    found = get_solarposition(pd.DatetimeIndex(times, tz="UTC"), latitude_deg, longitude_deg)
    columns = ("elevation", "azimuth", "equation_of_time")
    return np.array([found[c].to_numpy(dtype=np.float64) for c in columns])


def utc_times(day_of_year: Values, utc_hour: Values) -> NDArray[np.datetime64]:
    """Times of YEAR from days (1 is 1 January) and hours in UTC, to the second."""
    seconds = np.round(((np.asarray(day_of_year) - 1.0) * 24.0 + utc_hour) * 3600.0)
    return np.datetime64(f"{YEAR}-01-01T00:00:00") + seconds.astype("timedelta64[s]")


def mean_days(latitude_deg: float, longitude_deg: float = 0.0) -> MeanDays:
    """Klein's mean day of each month, hour by hour of true solar time.

    The longitude only sets the universal time at which the sun's declination is taken.
    """
    days = np.array(MEAN_DAYS, dtype=np.float64)
    noon_utc = np.full(12, 12.0 - longitude_deg / 15.0)
    altitude, azimuth, equation_min = sun_positions(utc_times(days, noon_utc), latitude_deg, longitude_deg)
    phi = math.radians(latitude_deg)
    sine = np.sin(phi) * _sin(altitude) + np.cos(phi) * _cos(altitude) * _cos(azimuth)
    delta = np.arcsin(np.clip(sine, -1.0, 1.0))
    edges = np.linspace(-180.0, 180.0, 25)
    sunset_deg = np.degrees(sunset_rad(phi, delta))[:, None]
    begin = np.clip(edges[:-1], -sunset_deg, sunset_deg)
    end = np.clip(edges[1:], -sunset_deg, sunset_deg)
    lit, middle = (end - begin) / 15.0, (begin + end) / 2.0
    utc = 12.0 + middle / 15.0 - longitude_deg / 15.0 - equation_min[:, None] / 60.0
    times = utc_times(np.broadcast_to(days[:, None], utc.shape).ravel(), utc.ravel())
    sun = sun_positions(times, latitude_deg, longitude_deg).reshape(3, 12, 24)
    level = np.array(outside_by_month(latitude_deg)) * 1000.0
    return MeanDays(lit, middle, sun[0], sun[1], sunset_deg[:, 0], level)


def sunset_rad(latitude_rad: float, declination_rad: Values) -> Values:
    """Hour angle of sunset: 0 in the polar night, pi under the midnight sun."""
    return np.asarray(np.arccos(np.clip(-np.tan(latitude_rad) * np.tan(declination_rad), -1.0, 1.0)))


def _sin(degrees: Values) -> Values:
    return np.asarray(np.sin(np.radians(degrees)))


def _cos(degrees: Values) -> Values:
    return np.asarray(np.cos(np.radians(degrees)))
