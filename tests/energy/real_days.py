"""Days of sun as they followed one another at three stations: typical years that pvlib carries.

Public data of the United States' national laboratories. A typical year is twelve months, each as it was.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from rooflayout.energy.day_kinds import DAYS_IN_MONTH

STATIONS = ("703165TY.csv", "723170TYA.CSV", "12839.tm2")  # Sand Point, Greensboro, Miami
MONTH_OF = np.repeat(np.arange(12), DAYS_IN_MONTH)


@lru_cache(maxsize=3)
def daily_sun(station: str) -> np.ndarray:
    """[365] sums of each day on the level, in parts of the year's mean."""
    pvlib = pytest.importorskip("pvlib")
    path = Path(pvlib.__file__).parent / "data" / station
    if station.endswith(".tm2"):
        hours = pvlib.iotools.read_tmy2(path)[0]["GHI"]
    else:
        hours = pvlib.iotools.read_tmy3(path, map_variables=True)[0]["ghi"]
    days = np.asarray(hours, dtype=float)[:8760].reshape(365, 24).sum(axis=1)
    return days / days.mean()


def five_kinds(station: str) -> list[list[tuple[float, float]]]:
    """By month the five quantiles of daily sums, equally many days of each, as the climate data hold them."""
    sun = daily_sun(station)
    return [
        [(float(q), n / 5.0) for q in np.percentile(sun[m == MONTH_OF], (10, 30, 50, 70, 90))]
        for m, n in enumerate(DAYS_IN_MONTH)
    ]
