"""How far the land rises and falls round a place, from the world's heights that pvlib carries.

Mountains make their own clouds, fog and snow within a few km, which a grid of three degrees cannot know.
"""

from __future__ import annotations

import math
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

HEIGHTS_FILE = "Altitude.h5"  # of pvlib: uint8 [latitude from 90 down, longitude from -180], 1/12 degree
STEP_M, LOWEST_M, NO_DATA = 28.0, -450.0, 255  # the file's steps, as pvlib.location.lookup_altitude reads it
CELLS_A_DEGREE = 12
AROUND_KM = 50.0
KM_A_DEGREE = 111.2
LEAST, MOST = 5.0, 95.0  # per cent of the heights: single peaks and pits do not count
MOUNTAINS_M = 1000.0  # a relief from which a place lies in mountains: common practice, no source


@lru_cache(maxsize=64)
def relief_m(latitude_deg: float, longitude_deg: float) -> float:
    """From the lowest to the highest land within some 50 km, without the outermost twentieths, in m.

    Longitude any way round; the sea counts as 0 m. Raises ValueError outside -90 to 90 degrees of latitude.
    """
    import h5py
    import numpy as np

    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude must lie between -90 and 90 degrees, not {latitude_deg:g}")
    up = AROUND_KM / KM_A_DEGREE
    along = min(up / max(math.cos(math.radians(latitude_deg)), 0.1), 180.0)
    with h5py.File(_heights_path(), "r") as file:
        heights = file["Altitude"]
        rows, columns = heights.shape
        row = int((90.0 - latitude_deg) * CELLS_A_DEGREE)
        column = int(((longitude_deg + 180.0) % 360.0) * CELLS_A_DEGREE)
        north = max(row - round(up * CELLS_A_DEGREE), 0)
        south = min(row + round(up * CELLS_A_DEGREE) + 1, rows)
        across = np.arange(column - round(along * CELLS_A_DEGREE), column + round(along * CELLS_A_DEGREE) + 1)
        cells = heights[north:south, :][:, across % columns]
    metres = np.where(cells == NO_DATA, 0.0, np.maximum(LOWEST_M + STEP_M * cells, 0.0))
    low, high = np.percentile(metres, [LEAST, MOST])
    return float(high - low)


def _heights_path() -> Path:
    """Found without loading pvlib, which takes longer than a small roof's search."""
    spec = find_spec("pvlib")
    assert spec is not None
    assert spec.submodule_search_locations is not None
    return Path(spec.submodule_search_locations[0]) / "data" / HEIGHTS_FILE


def in_mountains(latitude_deg: float, longitude_deg: float) -> bool:
    """Whether the land round a place rises and falls by MOUNTAINS_M and more."""
    return relief_m(latitude_deg, longitude_deg) >= MOUNTAINS_M
