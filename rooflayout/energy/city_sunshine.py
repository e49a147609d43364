"""The grid's sun of a place, set right by the hours of sunshine of the cities round it.

Hours of sunshine say how clear the sky is (Ångström and Prescott), and 270 cities have them (see
data/ATTRIBUTION.md). Grid and cities are about as far off as one another: near a city they meet half way,
further off the grid counts for more, and where no city is within reach it stands alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from rooflayout.energy.earth import away_km
from rooflayout.energy.outside import daylight_by_month, outside_by_month
from rooflayout.energy.sun_grid import DARK_KWH_M2_DAY, GridSun, grid_sun
from rooflayout.months import DAYS_IN_MONTH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CITIES_FILE = "sunshine_hours_cities.npz"
# Share of what arrives outside the air under a full cloud, and what full sunshine adds. Prescott 1940; the
# values where none are known for a place: FAO Irrigation and Drainage Paper 56, equation 35 (from memory).
OVERCAST, BY_SUNSHINE = 0.25, 0.50
HALF_WAY = 0.5  # between grid and cities; not fitted: the year of either alone is off by about 7 % (rms)
REACH_KM = 300.0  # what two cities 200 to 300 km apart say differs by 4 % (rms), less than either is off
LEAST_KM = 10.0  # nearer than this all cities are equally near
NEAR_KM = 150.0  # a place this near a city is known better: tests/energy/test_sun_stations.py


@dataclass(frozen=True, slots=True)
class PlaceSun:
    """The sun of a place, and the nearest city within reach that had a say in it."""

    sun: GridSun
    factor: float = 1.0  # on the grid's sun, in every month alike
    city: str = ""  # none within reach
    city_km: float = math.inf


@dataclass(frozen=True, slots=True, eq=False)
class _Cities:
    """Hours of sunshine a year, by city."""

    city: tuple[str, ...]
    latitude_deg: NDArray[np.float64]
    longitude_deg: NDArray[np.float64]
    hours: NDArray[np.float64]


def place_sun(latitude_deg: float, longitude_deg: float) -> PlaceSun | None:
    """The sun of a place by grid and cities, longitude any way round; None where the grid has none.

    All months are scaled alike, and the days of a month with its mean: the cities know only the year.
    Raises ValueError outside -90 to 90 degrees of latitude.
    """
    import numpy as np

    grid = grid_sun(latitude_deg, longitude_deg)
    if grid is None:
        return None
    cities = _cities()
    km = away_km(latitude_deg, longitude_deg, cities.latitude_deg, cities.longitude_deg)
    near = [int(index) for index in np.flatnonzero(km < REACH_KM)]
    weights = {index: _weight(float(km[index])) for index in near if _log_ratio(index) is not None}
    total = sum(weights.values())
    if total <= 0.0:
        return PlaceSun(grid)
    says = sum(weight * (_log_ratio(index) or 0.0) for index, weight in weights.items()) / total
    nearest = min(weights, key=lambda index: km[index])
    nearest_km = float(km[nearest])
    factor = math.exp(HALF_WAY * (1.0 - nearest_km / REACH_KM) * says)
    return PlaceSun(_scaled(grid, factor), factor, cities.city[nearest], nearest_km)


def nearest_city(latitude_deg: float, longitude_deg: float) -> tuple[str, float]:
    """Name of the nearest city of the table, however far, and its distance in km."""
    import numpy as np

    cities = _cities()
    km = away_km(latitude_deg, longitude_deg, cities.latitude_deg, cities.longitude_deg)
    index = int(np.argmin(km))
    return cities.city[index], float(km[index])


def clearness_by_sunshine(sunshine_h: float, daylight_h: float) -> float:
    """Share of the irradiation outside the air that arrives, by hours of sunshine of so many of daylight.

    Ångström and Prescott's relation. Raises ValueError unless 0 <= sunshine_h <= daylight_h, daylight_h > 0.
    """
    if not 0.0 <= sunshine_h <= daylight_h or daylight_h <= 0.0:
        raise ValueError(f"{sunshine_h:g} hours of sunshine do not fit into {daylight_h:g} of daylight")
    return OVERCAST + BY_SUNSHINE * sunshine_h / daylight_h


@lru_cache(maxsize=512)
def _log_ratio(index: int) -> float | None:
    """Log of the clearness by a city's sunshine over the grid's there; None where the grid has none.

    The relation is straight, so what holds month by month holds of the year, each month by its daylight.
    """
    cities = _cities()
    latitude_deg = float(cities.latitude_deg[index])
    grid = grid_sun(latitude_deg, float(cities.longitude_deg[index]))
    if grid is None:
        return None
    hours = [h * days for h, days in zip(daylight_by_month(latitude_deg), DAYS_IN_MONTH, strict=True)]
    clearness = [
        sun / outside if outside > DARK_KWH_M2_DAY else 0.0
        for sun, outside in zip(grid.mean_kwh_m2_day, outside_by_month(latitude_deg), strict=True)
    ]
    of_grid = sum(h * kt for h, kt in zip(hours, clearness, strict=True)) / sum(hours)
    return math.log(clearness_by_sunshine(float(cities.hours[index]), sum(hours)) / of_grid)


def _weight(km: float) -> float:
    """Inverse distance, nothing from the reach on (Franke and Nielson 1980 after Shepard 1968)."""
    return (1.0 / max(km, LEAST_KM) - 1.0 / REACH_KM) ** 2


def _scaled(sun: GridSun, factor: float) -> GridSun:
    """Means and quantiles times factor."""
    mean = tuple(kwh * factor for kwh in sun.mean_kwh_m2_day)
    days = tuple(tuple(kwh * factor for kwh in month) for month in sun.quantiles_kwh_m2_day)
    return replace(sun, mean_kwh_m2_day=mean, quantiles_kwh_m2_day=days)


@lru_cache(maxsize=1)
def _cities() -> _Cities:
    """The packaged table."""
    import numpy as np

    source = resources.files("rooflayout.energy").joinpath("data", CITIES_FILE)
    with source.open("rb") as file, np.load(file, allow_pickle=False) as data:
        names = tuple(str(name) for name in data["city"])
        rest = (data[key].astype(np.float64) for key in ("latitude_deg", "longitude_deg", "hours"))
        return _Cities(names, *rest)
