"""Design temperatures of the air anywhere on land or sea, from a packaged grid of monthly means.

The grid is ERA5's mean air temperature at 2 m, one degree by one degree, twelve months, 2000 to 2025
(see data/ATTRIBUTION.md). The rules from a month's mean to a design value were fitted to some 16 600
weather stations; they are estimates, to be called so wherever they are shown.
"""

from __future__ import annotations

from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

GRID_FILE = "t2m_era5_monthly_1deg.npz"
COLDEST_PER_K = 1.19  # of the coldest month's mean
COLDEST_RMSE_K = 3.3
COLDEST_ONE_IN_TWENTY_K = 5.6  # one station in twenty is more than this colder than the rule says
HOTTEST_RMSE_K = 2.5


def monthly_mean_c(latitude_deg: float, longitude_deg: float) -> tuple[float, ...]:
    """Mean air temperature in °C of the twelve months, January first, bilinear between grid points.

    latitude_deg is north of the equator, longitude_deg east of Greenwich and may be given any way
    round (-120 is 240). Raises ValueError outside -90 to 90 degrees of latitude.
    Source: ERA5 monthly means, Copernicus Climate Change Service.
    """
    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude must lie between -90 and 90 degrees, not {latitude_deg:g}")
    grid = _grid_c()
    row = 90.0 - latitude_deg  # row 0 is the north pole
    north = min(int(row), grid.shape[1] - 2)
    column = longitude_deg % 360.0
    west = int(column) % 360
    east = (west + 1) % 360
    to_south, to_east = row - north, column - int(column)
    north_c = grid[:, north, west] * (1 - to_east) + grid[:, north, east] * to_east
    south_c = grid[:, north + 1, west] * (1 - to_east) + grid[:, north + 1, east] * to_east
    return tuple(float(c) for c in north_c * (1 - to_south) + south_c * to_south)


def coldest_design_c(latitude_deg: float, longitude_deg: float) -> float:
    """Estimated coldest air in °C to design a string's voltage for: 1.19 Tcm - 13.

    Tcm is the coldest month's mean. Fitted to the temperature that 99.6 % of a year's hours exceed
    (rmse 3.3 K), less 3 K for the mean of the yearly lows. Raises ValueError like monthly_mean_c.
    """
    return COLDEST_PER_K * min(monthly_mean_c(latitude_deg, longitude_deg)) - 13.0


def hottest_design_c(latitude_deg: float, longitude_deg: float) -> float:
    """Estimated hottest air in °C to design a string's voltage for: 0.978 Twm + 0.062 R + 7.0.

    Twm is the warmest month's mean, R what lies between it and the coldest month's. Fitted to the
    temperature that 0.4 % of a year's hours exceed (rmse 2.5 K). Raises ValueError like monthly_mean_c.
    """
    months_c = monthly_mean_c(latitude_deg, longitude_deg)
    warmest_c = max(months_c)
    return 0.978 * warmest_c + 0.062 * (warmest_c - min(months_c)) + 7.0


def coldest_month_c(
    latitude_deg: NDArray[np.float64], longitude_deg: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Mean of the coldest month in °C at the grid's own points, [latitude, longitude].

    Whole degrees, longitudes any way round. Source: as for monthly_mean_c.
    """
    rows, columns = (90.0 - latitude_deg).astype(int), (longitude_deg % 360.0).astype(int)
    coldest: NDArray[np.float64] = _grid_c().min(axis=0)[rows[:, None], columns[None, :]]
    return coldest


@lru_cache(maxsize=1)
def _grid_c() -> NDArray[np.float64]:
    """The grid in °C: month, latitude from 90 to -90, longitude from 0 to 359."""
    import numpy as np  # not at the top: help must come without it

    source = resources.files("rooflayout.energy").joinpath("data", GRID_FILE)
    with source.open("rb") as file, np.load(file, allow_pickle=False) as data:
        grid: NDArray[np.float64] = data["t2m_c10"].astype(np.float64) / 10.0
    return grid
