"""Monthly irradiation of the level ground from a packaged grid, with the spread of its days.

The grid is MERRA-2's, three degrees by three degrees, on and near land (see data/ATTRIBUTION.md). As it is,
it is too sunny where winters are cold, hardly so in the tropics, and is corrected here by a place's coldest
month. Between its cells the clearness index is bilinear, over those that have data.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from rooflayout.energy.climate import coldest_month_c, monthly_mean_c
from rooflayout.energy.earth import away_km
from rooflayout.energy.outside import outside_by_month

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

GRID_FILE = "ghi_merra2_monthly_3deg.npz"
NO_DATA = 65535
FARTHEST_KM = 600.0  # of the nearest cell, where the cells round a place have no data
DARK_KWH_M2_DAY = 0.2  # outside the air; darker months have no clearness index, and count as without sun
# By how much the clearness is taken down: the log of it, and what each degree of the coldest month above
# freezing gives back. By the hours of sunshine of 268 cities, not by weather files: see data/ATTRIBUTION.md.
LOG_TAKEN, LOG_PER_K = -0.164, 0.0067


@dataclass(frozen=True, slots=True)
class GridSun:
    """Corrected daily sums on the level in kWh/m²; away_km is how far off the cell is that stands for it."""

    mean_kwh_m2_day: tuple[float, ...]  # by month
    quantiles_kwh_m2_day: tuple[tuple[float, ...], ...]  # by month: p10 p30 p50 p70 p90
    away_km: float | None = None  # None: the place lies between cells with data


@dataclass(frozen=True, slots=True, eq=False)
class _Grid:
    """Clearness indices [latitude, longitude, month, 0 mean, 1 to 5 quantiles]; NaN is no data."""

    latitude_deg: NDArray[np.float64]
    longitude_deg: NDArray[np.float64]
    clearness: NDArray[np.float64]


def grid_sun(latitude_deg: float, longitude_deg: float) -> GridSun | None:
    """The grid's sun at a place, longitude given any way round; None where no cell lies within 600 km.

    Raises ValueError outside -90 to 90 degrees of latitude.
    """
    import numpy as np

    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude must lie between -90 and 90 degrees, not {latitude_deg:g}")
    found, apart_km = _between(latitude_deg, longitude_deg), None
    if found is None:
        found, apart_km = _nearest(latitude_deg, longitude_deg)
        if apart_km > FARTHEST_KM:
            return None
    outside = np.array(outside_by_month(latitude_deg))[:, None]
    sums = found * _correction(min(monthly_mean_c(latitude_deg, longitude_deg))) * outside
    quantiles = tuple(tuple(float(q) for q in month[1:]) for month in sums)
    return GridSun(tuple(float(mean) for mean in sums[:, 0]), quantiles, apart_km)


def usual_spread(clearness: float | None) -> tuple[float, ...]:
    """p10 p30 p50 p70 p90 of a month's daily sums by their mean, where only the mean is known.

    The median over all months of the grid whose (corrected) clearness lies within 0.05; of all for None.
    """
    import numpy as np

    grid = _grid()
    coldest = coldest_month_c(grid.latitude_deg, grid.longitude_deg)
    cells = grid.clearness * _correction(coldest)[..., None, None]
    cells = cells[cells[..., 0] > 0.0]
    if clearness is not None:
        within = float(np.clip(clearness, cells[:, 0].min() + 0.1, cells[:, 0].max() - 0.1))
        cells = cells[np.abs(cells[:, 0] - within) <= 0.05]
    spread = np.median(cells[:, 1:] / cells[:, :1], axis=0)
    return tuple(float(q) for q in spread / spread.mean())


def _between(latitude_deg: float, longitude_deg: float) -> NDArray[np.float64] | None:
    """Clearness [12, 6] between the cells round a place, by those that have data; None where none has."""
    import numpy as np

    grid = _grid()
    rows, columns = grid.clearness.shape[:2]
    step = 360.0 / columns
    up = (latitude_deg - grid.latitude_deg[0]) / step
    along = ((longitude_deg - grid.longitude_deg[0]) % 360.0) / step
    south, west = math.floor(up), math.floor(along)
    total, weights = np.zeros(grid.clearness.shape[2:]), 0.0
    for row, by_row in ((south, south + 1 - up), (south + 1, up - south)):
        for column, by_column in ((west, west + 1 - along), (west + 1, along - west)):
            weight = by_row * by_column
            if weight <= 0.0 or not 0 <= row < rows:
                continue
            cell = grid.clearness[row, column % columns]
            if not np.isnan(cell[0, 0]):
                total += weight * cell
                weights += weight
    return None if weights == 0.0 else np.asarray(total / weights)


def _nearest(latitude_deg: float, longitude_deg: float) -> tuple[NDArray[np.float64], float]:
    """Clearness [12, 6] of the nearest cell that has data, and its distance along the earth in km."""
    import numpy as np

    grid = _grid()
    km = away_km(latitude_deg, longitude_deg, grid.latitude_deg[:, None], grid.longitude_deg[None, :])
    km[np.isnan(grid.clearness[:, :, 0, 0])] = np.inf
    row, column = np.unravel_index(int(np.argmin(km)), km.shape)
    return grid.clearness[row, column], float(km[row, column])


def _correction(coldest_c: NDArray[np.float64] | float) -> NDArray[np.float64]:
    """What the clearness is multiplied with, by the mean of the coldest month.

    MERRA-2 has too few clouds in temperate and cold climates and about enough in the tropics; how cold the
    coldest month is tells these apart (Köppen, from memory: the tropics have 18 °C and more).
    """
    import numpy as np

    return np.asarray(np.exp(LOG_TAKEN + LOG_PER_K * np.maximum(coldest_c, 0.0)))


@lru_cache(maxsize=1)
def _grid() -> _Grid:
    """The grid as clearness indices. Between p25, p50 and p75 the days lie evenly: so p30 and p70."""
    import numpy as np

    source = resources.files("rooflayout.energy").joinpath("data", GRID_FILE)
    with source.open("rb") as file, np.load(file, allow_pickle=False) as data:
        latitude, longitude = data["lat"].astype(np.float64), data["lon"].astype(np.float64)
        raw = {key: data[key] for key in ("mean", "p10", "p25", "p50", "p75", "p90")}
    empty = raw["mean"][..., 0] == NO_DATA
    kwh = {key: values.astype(np.float64) / 100.0 for key, values in raw.items()}
    p30 = kwh["p25"] + 0.2 * (kwh["p50"] - kwh["p25"])
    p70 = kwh["p75"] - 0.2 * (kwh["p75"] - kwh["p50"])
    sums = np.stack([kwh["mean"], kwh["p10"], p30, kwh["p50"], p70, kwh["p90"]], axis=-1)
    outside = np.array([outside_by_month(at) for at in latitude])[:, None, :, None]
    lit = outside > DARK_KWH_M2_DAY
    clearness = np.where(lit, sums / np.where(lit, outside, 1.0), 0.0)
    clearness[empty] = np.nan
    return _Grid(latitude, longitude, clearness)
