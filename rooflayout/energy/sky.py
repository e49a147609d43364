"""The light of the year at a place, hour by hour: towards the sun, and from the rest of the sky.

From monthly figures: on the mean day of every month five kinds of day, each standing for a fifth of the
month's days, with the daily sums that one, three, five, seven and nine days in ten stay below. A day's
diffuse part is that of Erbs, Klein and Duffie (1982) for daily sums, brought to theirs for the month; its
hours follow Collares-Pereira and Rabl (1979) for all light and Liu and Jordan (1960) for the diffuse part.
From a weather file: its own hours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.sun import MeanDays, mean_days, sun_positions, utc_times
from rooflayout.job import Job
from rooflayout.months import DAYS_IN_MONTH

if TYPE_CHECKING:
    from rooflayout.energy.sunshine import MonthlyClimate
    from rooflayout.needs import WeatherHour

Values = NDArray[np.float64]
Numbers = NDArray[np.int64]

KINDS = 5  # of day in a month, equally many of each
LOW_SUN_DEG = 1.0
LOW_SUN_SINE = 0.01745  # below 1° of altitude light from around the sun counts as from the sky
MOST_BEAM = 0.9  # of an hour's light on the level; common practice, no source: a clear sky is a tenth diffuse
MOST_DNI_W_M2 = 1100.0  # the clearest mountain air; common practice, no source
# Hargreaves and Samani 1982, from memory: KT = 0.16 (inland) to 0.19 (coast) times the root of the daily
# range of the air's temperature in K; between the two.
RANGE_FACTOR = 0.175
WARMEST_HOUR = 15.0  # solar time; common practice, no source


@dataclass(frozen=True, slots=True, eq=False)
class SkyHours:
    """Arrays of one length: an hour each of a day that stands for weight_days days a year.

    Light from close round the sun counts as dni_w_m2 where hourly data exist, for it comes from there.
    """

    month: Numbers  # 1 to 12
    day: Numbers  # kind of day, 0 to 4, or day of the year
    weight_days: Values
    altitude_deg: Values
    azimuth_deg: Values  # clockwise from north
    dni_w_m2: Values  # on a plane towards the sun, mean of the hour
    dhi_w_m2: Values  # on the level, from the sky
    air_c: Values
    albedo: float = 0.2
    lit: Values | None = None  # part of the hour (0 to 1) with the sun above the horizon; None: not known

    @property
    def ghi_w_m2(self) -> Values:
        """All light on the level."""
        sine = np.sin(np.radians(np.maximum(self.altitude_deg, 0.0)))
        return np.asarray(self.dni_w_m2 * sine + self.dhi_w_m2)


def sky_hours(job: Job, climate: MonthlyClimate) -> SkyHours:
    """The sky of the job's place: its weather file's hours, else 12 months x 5 kinds of day x 24 hours.

    Raises ValueError when the job has no latitude, or a weather file and no longitude.
    """
    latitude_deg = None if job.site is None else job.site.latitude_deg
    longitude_deg = None if job.site is None else job.site.longitude_deg
    if latitude_deg is None or (job.climate.weather and longitude_deg is None):
        raise ValueError("the sun's positions need latitude, and for a weather file longitude")
    if job.climate.weather:
        return of_weather(job.climate.weather, latitude_deg, longitude_deg or 0.0, job.climate.albedo)
    return of_months(
        [m.sun_kwh_m2_day for m in climate.months],
        [m.quantiles_kwh_m2_day for m in climate.months],
        [m.air_c for m in climate.months],
        mean_days(latitude_deg, longitude_deg or 0.0),
        job.climate.albedo,
    )


def of_months(
    sun_kwh_m2_day: Sequence[float],
    quantiles_kwh_m2_day: Sequence[Sequence[float]],
    air_c: Sequence[float],
    days: MeanDays,
    albedo: float = 0.2,
) -> SkyHours:
    """Twelve months of five kinds of day. The mean of the five is the month's, and each day keeps its sum.

    A month without sun above the horizon stays dark.
    """
    sums = np.array(quantiles_kwh_m2_day, dtype=np.float64) * 1000.0  # [12, kinds]
    mean = np.array(sun_kwh_m2_day, dtype=np.float64) * 1000.0
    sums *= _part(mean, sums.mean(axis=1))[:, None]
    clearness = _part(sums, days.level_wh_m2[:, None])
    all_share, sky_share = hour_shares(days)
    ghi = sums[:, :, None] * all_share[:, None, :]
    sky_wh = sums * erbs_daily_diffuse(clearness, days.sunset_deg[:, None])
    dhi = np.minimum(sky_wh[:, :, None] * sky_share[:, None, :], ghi)
    dhi = _as_the_month(ghi, dhi, erbs_monthly_diffuse(_part(mean, days.level_wh_m2), days.sunset_deg))
    sine = np.sin(np.radians(days.altitude_deg))[:, None, :]
    low = sine < LOW_SUN_SINE
    dni = np.where(low, 0.0, np.minimum((ghi - dhi) / np.where(low, 1.0, sine), MOST_DNI_W_M2))
    dhi = np.where(low, ghi, ghi - dni * sine)
    air = np.array(air_c)[:, None, None] + warmer_k(clearness)
    shape = ghi.shape
    month, kind, _ = np.indices(shape)

    def flat(values: Values) -> Values:
        return np.broadcast_to(values, shape).ravel().astype(np.float64)

    return SkyHours(
        month=month.ravel() + 1,
        day=kind.ravel(),
        weight_days=flat(np.array(DAYS_IN_MONTH)[:, None, None] / shape[1]),
        altitude_deg=flat(days.altitude_deg[:, None, :]),
        azimuth_deg=flat(days.azimuth_deg[:, None, :]),
        dni_w_m2=flat(dni),
        dhi_w_m2=flat(dhi),
        air_c=flat(air),
        albedo=albedo,
        lit=flat(days.lit[:, None, :]),
    )


def hour_shares(days: MeanDays) -> tuple[Values, Values]:
    """[12, 24] shares of a day's light on the level that fall in each hour: of all of it, of the diffuse.

    Collares-Pereira and Rabl (1979), and Liu and Jordan (1960): Duffie and Beckman, section 2.13. Each
    adds up to 1 over the day, or 0 without sun.
    """
    hour, sunset = np.radians(days.hour_angle_deg), np.radians(days.sunset_deg)[:, None]
    a = 0.409 + 0.5016 * np.sin(sunset - math.radians(60.0))
    b = 0.6609 - 0.4767 * np.sin(sunset - math.radians(60.0))
    sky = np.maximum(np.cos(hour) - np.cos(sunset), 0.0) * days.lit
    every = (a + b * np.cos(hour)) * sky
    return _to_one(every), _to_one(sky)


def erbs_daily_diffuse(clearness: Values, sunset_deg: Values) -> Values:
    """Diffuse share of a day's light on the level, by its clearness index and the hour angle of sunset.

    Erbs, Klein and Duffie (1982): Duffie and Beckman, equation 2.11.1 (from memory).
    """
    k = np.clip(clearness, 0.0, 1.0)
    winter = 1.0 - 0.2727 * k + 2.4495 * k**2 - 11.9514 * k**3 + 9.3879 * k**4
    summer = 1.0 + 0.2832 * k - 2.5557 * k**2 + 0.8448 * k**3
    winter, summer = np.where(k < 0.715, winter, 0.143), np.where(k < 0.722, summer, 0.175)
    return np.asarray(np.where(sunset_deg <= 81.4, winter, summer))


def erbs_monthly_diffuse(clearness: Values, sunset_deg: Values) -> Values:
    """Diffuse share of a month's light on the level, by its mean clearness index and mean day's sunset.

    Erbs, Klein and Duffie (1982): Duffie and Beckman, equation 2.12.1. Made for indices of 0.3 to 0.8; in
    darker months the curve goes on, to 1 at most.
    """
    k = np.clip(clearness, 0.0, 0.8)
    winter = 1.391 - 3.560 * k + 4.189 * k**2 - 2.137 * k**3
    summer = 1.311 - 3.022 * k + 3.427 * k**2 - 1.821 * k**3
    return np.asarray(np.minimum(np.where(sunset_deg <= 81.4, winter, summer), 1.0))


def _as_the_month(ghi: Values, dhi: Values, share: Values) -> Values:
    """Diffuse light of a month's kinds of day, its beam scaled so that the diffuse part is the month's share.

    Five kinds of day know neither the clearest nor the darkest, and so have less beam than all days together.
    """
    beam = ghi - dhi
    wanted = (1.0 - share) * ghi.sum(axis=(1, 2))
    more = _part(wanted, beam.sum(axis=(1, 2)))[:, None, None]
    return np.asarray(ghi - np.minimum(beam * more, MOST_BEAM * ghi))


def warmer_k(clearness: Values) -> Values:
    """What the air is warmer than its mean of day and night in each hour of a day, K: [..., 24].

    A cosine round WARMEST_HOUR; its range follows from the day's clearness.
    """
    hours = np.arange(24) + 0.5
    return np.asarray(half_range_k(clearness)[..., None] * np.cos(np.radians(15.0 * (hours - WARMEST_HOUR))))


def half_range_k(clearness: Values | float) -> Values:
    """Half of what lies between a day's warmest and coldest air, K, by the day's clearness."""
    return np.asarray((np.clip(clearness, 0.0, 0.8) / RANGE_FACTOR) ** 2 / 2.0)


def of_weather(
    hours: Sequence[WeatherHour], latitude_deg: float, longitude_deg: float, albedo: float = 0.2
) -> SkyHours:
    """A weather file's hours as they are; on the level they keep the file's own light.

    The part of the diffuse light that comes from close round the sun: Hay and Davies (1980), by the beam's
    share of what there is outside the air.
    """
    from pvlib.irradiance import get_extra_radiation

    day = np.clip(np.array([h.day_of_year for h in hours], dtype=np.int64), 1, 365)
    utc_hour = np.array([h.utc_hour for h in hours], dtype=np.float64)
    altitude, azimuth, _ = sun_positions(
        utc_times(day.astype(np.float64), utc_hour), latitude_deg, longitude_deg
    )
    ghi = np.array([h.ghi_w_m2 for h in hours], dtype=np.float64)
    dni = np.array([h.dni_w_m2 for h in hours], dtype=np.float64)
    sine = np.sin(np.radians(altitude))
    low = sine < LOW_SUN_SINE
    dni = np.where(low, 0.0, np.minimum(dni, ghi / np.where(low, 1.0, sine)))
    dhi = ghi - np.where(low, 0.0, dni * sine)
    round_sun = dni / get_extra_radiation(day.astype(np.float64))
    dni = dni + np.where(low, 0.0, round_sun * dhi / np.where(low, 1.0, sine))
    month = np.searchsorted(np.cumsum(DAYS_IN_MONTH), day, side="left") + 1
    return SkyHours(
        month=month,
        day=day,
        weight_days=np.ones(len(hours)),
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        dni_w_m2=dni,
        dhi_w_m2=np.where(low, ghi, dhi * (1.0 - round_sun)),
        air_c=np.array([h.air_c for h in hours], dtype=np.float64),
        albedo=albedo,
        lit=lit_part(altitude, azimuth, latitude_deg),
    )


def sunny_part(sky: SkyHours) -> Values:
    """[N]: the part of each hour with sunshine, if the beam is either that of a clear sky or not there.

    Clear sky at sea level: 1353 W/m² x 0.7 to the power of (air mass to the power of 0.678), Meinel and
    Meinel 1976, from memory; air mass 1 / sine of the altitude. Hazier air has a weaker beam for longer.
    """
    air_mass = 1.0 / np.sin(np.radians(np.maximum(sky.altitude_deg, LOW_SUN_DEG)))
    clear_w_m2 = 1353.0 * 0.7 ** (air_mass**0.678)
    return np.asarray(np.minimum(sky.dni_w_m2 / clear_w_m2, 1.0))


def lit_part(altitude_deg: Values, azimuth_deg: Values, latitude_deg: float) -> Values:
    """Part of an hour with the sun above the horizon, from where it stands in the hour's middle.

    It rises by 15° an hour x cos latitude x sin azimuth, taken as even over the hour; not at the poles.
    """
    rises = 15.0 * math.cos(math.radians(latitude_deg)) * np.abs(np.sin(np.radians(azimuth_deg)))
    return np.clip(0.5 + altitude_deg / np.maximum(rises, 1e-9), 0.0, 1.0)


def _to_one(hours: Values) -> Values:
    """Rows scaled so that each adds up to 1; rows of nothing stay so."""
    return _part(hours, hours.sum(axis=-1, keepdims=True))


def _part(of: Values, whole: Values) -> Values:
    """Quotient, 0 where there is no whole."""
    of, whole = np.broadcast_arrays(of, whole)
    return np.divide(of, whole, out=np.zeros(of.shape), where=whole > 0.0)
