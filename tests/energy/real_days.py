"""Days of sun as they followed one another at three stations: typical years that pvlib carries.

Public data of the United States' national laboratories. A typical year is twelve months, each as it was.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from rooflayout.months import DAYS_IN_MONTH

LATITUDE_DEG = {"703165TY.csv": 55.3, "723170TYA.CSV": 36.1, "12839.tm2": 25.8}
STATIONS = tuple(LATITUDE_DEG)  # Sand Point, Greensboro, Miami
MONTH_OF = np.repeat(np.arange(12), DAYS_IN_MONTH)


@lru_cache(maxsize=3)
def hourly_sun(station: str) -> np.ndarray:
    """[365, 24] light on the level in each hour, in parts of a day's mean sum."""
    pvlib = pytest.importorskip("pvlib")
    path = Path(pvlib.__file__).parent / "data" / station
    if station.endswith(".tm2"):
        hours = pvlib.iotools.read_tmy2(path)[0]["GHI"]
    else:
        hours = pvlib.iotools.read_tmy3(path, map_variables=True)[0]["ghi"]
    days = np.asarray(hours, dtype=float)[:8760].reshape(365, 24)
    return days / days.sum(axis=1).mean()


def daily_sun(station: str) -> np.ndarray:
    """[365] sums of each day on the level, in parts of the year's mean."""
    return hourly_sun(station).sum(axis=1)


def nights(station: str) -> np.ndarray:
    """[12] part of the 24 hours without sun: Klein's mean days, Cooper's declination (Duffie and Beckman)."""
    mean_days = np.array((17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344))
    declination = np.radians(23.45 * np.sin(2.0 * np.pi * (284 + mean_days) / 365.0))
    return 1.0 - np.arccos(-np.tan(np.radians(LATITUDE_DEG[station])) * np.tan(declination)) / np.pi


def five_kinds(station: str) -> list[list[tuple[float, float]]]:
    """By month the five quantiles of daily sums, equally many days of each, as the climate data hold them."""
    sun = daily_sun(station)
    return [
        [(float(q), n / 5.0) for q in np.percentile(sun[m == MONTH_OF], (10, 30, 50, 70, 90))]
        for m, n in enumerate(DAYS_IN_MONTH)
    ]
