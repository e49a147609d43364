"""Irradiation outside the air: what would reach the level ground if there were none."""

from __future__ import annotations

import math

SOLAR_CONSTANT_W_M2 = 1367.0
MEAN_DAYS = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)  # Klein 1977: the days of the year


def outside_kwh_m2_day(latitude_deg: float, day_of_year: int) -> float:
    """Irradiation of a level plane outside the air over one day, kWh/m².

    Duffie and Beckman, equation 1.10.3, with Cooper's declination (1.6.1): the grid's correction was fitted
    with these. 0 in the polar night. The sun's positions for all else come from the solar position algorithm.
    """
    latitude, declination = math.radians(latitude_deg), _declination_rad(day_of_year)
    sunset = _sunset_rad(latitude, declination)
    swept = math.cos(latitude) * math.cos(declination) * math.sin(sunset)
    swept += sunset * math.sin(latitude) * math.sin(declination)
    near = 1.0 + 0.033 * math.cos(2.0 * math.pi * day_of_year / 365.0)  # the sun is nearest in January
    return max(0.0, 24.0 / math.pi * SOLAR_CONSTANT_W_M2 / 1000.0 * near * swept)


def outside_by_month(latitude_deg: float) -> tuple[float, ...]:
    """Twelve daily sums outside the air on Klein's mean days, kWh/m², January first."""
    return tuple(outside_kwh_m2_day(latitude_deg, day) for day in MEAN_DAYS)


def daylight_h(latitude_deg: float, day_of_year: int) -> float:
    """Hours from sunrise to sunset: Duffie and Beckman, equation 1.6.11, with Cooper's declination."""
    sunset = _sunset_rad(math.radians(latitude_deg), _declination_rad(day_of_year))
    return 24.0 / math.pi * sunset


def daylight_by_month(latitude_deg: float) -> tuple[float, ...]:
    """Hours of daylight on Klein's mean days, January first."""
    return tuple(daylight_h(latitude_deg, day) for day in MEAN_DAYS)


def _declination_rad(day_of_year: int) -> float:
    """Cooper 1969."""
    return math.radians(23.45 * math.sin(2.0 * math.pi * (284 + day_of_year) / 365.0))


def _sunset_rad(latitude: float, declination: float) -> float:
    """Hour angle of sunset; 0 in the polar night, pi in the polar day. Angles in radians."""
    return math.acos(min(1.0, max(-1.0, -math.tan(latitude) * math.tan(declination))))
