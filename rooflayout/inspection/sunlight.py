"""The light on planes by handbook means, month by month: nothing here is shared with energy/.

Angles in degrees, bearings clockwise from north, irradiation in kWh/m² a day. Duffie and Beckman, Solar
Engineering of Thermal Processes, chapters 1 and 2, from memory.
"""

from __future__ import annotations

import math
from functools import lru_cache

SOLAR_CONSTANT_W_M2 = 1367.0
# The day of each month whose declination stands for it: Klein 1977.
MEAN_DAYS = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
STEPS = 96  # of a day
DARK_KWH_M2_DAY = 0.05
ANY_BEARING = tuple(range(0, 360, 30))


def outside_kwh_m2_day(latitude_deg: float, month: int) -> float:
    """What arrives on the level outside the air, on the mean day of a month from 1 to 12."""
    return _sums(latitude_deg, month, 0.0, 0)[0]


def on_plane_kwh_m2_day(
    level_kwh_m2_day: float,
    latitude_deg: float,
    month: int,
    slope_deg: float,
    bearing_deg: int,
    albedo: float,
) -> float:
    """Daily light on a plane that falls towards a bearing, by that on the level.

    Page's share of diffuse light by clearness (1961), Hay's share of it from round the sun (1979), and the
    beam by the ratio of plane to level outside the air (Liu and Jordan 1962).
    """
    if slope_deg == 0.0:
        return level_kwh_m2_day
    outside, on_plane = _sums(latitude_deg, month, slope_deg, bearing_deg)
    tilt = math.cos(math.radians(slope_deg))
    ground = albedo * (1.0 - tilt) / 2.0
    if outside < DARK_KWH_M2_DAY:
        return level_kwh_m2_day * ((1.0 + tilt) / 2.0 + ground)
    clearness = min(level_kwh_m2_day / outside, 1.0)
    diffuse = min(max(1.0 - 1.13 * clearness, 0.1), 1.0)
    beam = 1.0 - diffuse
    round_sun = beam * clearness
    as_beam = beam + diffuse * round_sun
    sky = diffuse * (1.0 - round_sun) * (1.0 + tilt) / 2.0
    return level_kwh_m2_day * (as_beam * on_plane / outside + sky + ground)


@lru_cache(maxsize=4096)
def _sums(latitude_deg: float, month: int, slope_deg: float, bearing_deg: int) -> tuple[float, float]:
    """Outside the air, on the level and on the plane: the sun's way over the mean day in small steps."""
    day = MEAN_DAYS[month - 1]
    declination = math.radians(23.45 * math.sin(math.radians(360.0 * (284 + day) / 365.0)))  # Cooper 1969
    latitude, slope = math.radians(latitude_deg), math.radians(slope_deg)
    bearing = math.radians(bearing_deg)
    strength = SOLAR_CONSTANT_W_M2 * (1.0 + 0.033 * math.cos(math.radians(360.0 * day / 365.0)))
    level = plane = 0.0
    for step in range(STEPS):
        hour = math.radians((step + 0.5) * 360.0 / STEPS - 180.0)
        up = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(
            declination
        ) * math.cos(hour)
        if up <= 0.0:
            continue
        north = math.cos(latitude) * math.sin(declination) - math.sin(latitude) * math.cos(
            declination
        ) * math.cos(hour)
        east = -math.cos(declination) * math.sin(hour)
        level += up
        facing = up * math.cos(slope) + math.sin(slope) * (
            north * math.cos(bearing) + east * math.sin(bearing)
        )
        plane += max(facing, 0.0)
    to_kwh = strength * 24.0 / STEPS / 1000.0
    return level * to_kwh, plane * to_kwh


@lru_cache(maxsize=512)
def longest_day_hours(latitude_deg: float, month: int) -> float:
    """Sunrise to sunset on the longest day of a month from 1 to 12.

    Duffie and Beckman, equation 1.6.11, with Spencer's declination (1971), from memory; the sun's upper edge
    on a horizon with refraction: its middle 0.833 degrees below (Meeus, Astronomical Algorithms, from
    memory). A day or two beyond the month are taken in, since years begin at different hours of the sun's.
    """
    latitude = math.radians(latitude_deg)
    longest = 0.0
    for day in range(sum(DAYS[: month - 1]) - 1, sum(DAYS[:month]) + 2):
        declination = _declination(2.0 * math.pi * day / 365.0)
        below = math.sin(math.radians(-0.833)) - math.sin(latitude) * math.sin(declination)
        across = max(math.cos(latitude) * math.cos(declination), 1e-12)
        longest = max(longest, 24.0 / math.pi * math.acos(min(max(below / across, -1.0), 1.0)))
    return longest


def _declination(angle: float) -> float:
    """Radians, by the year's angle from 1 January: Spencer 1971."""
    return (
        0.006918
        - 0.399912 * math.cos(angle)
        + 0.070257 * math.sin(angle)
        - 0.006758 * math.cos(2.0 * angle)
        + 0.000907 * math.sin(2.0 * angle)
        - 0.002697 * math.cos(3.0 * angle)
        + 0.00148 * math.sin(3.0 * angle)
    )
