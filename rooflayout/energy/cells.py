"""What a panel makes of the light on it: through its glass, with its cells as hot as they get.

Power is in proportion to the light that passes the glass and falls with cell temperature by the panel's
power coefficient; the curve of wiring.curves is not used, so that a layout without voltages has a harvest
too. What that leaves out (weak light) is in OTHER_PCT. Irradiances in W/m², temperatures in °C.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rooflayout.job import PanelModel
from rooflayout.wiring.limits import FULL_SUN_W_M2, STC_CELL_C, flush_cell_c, open_rack_cell_c

Values = NDArray[np.float64]

USUAL_POWER_PCT_PER_K = -0.35  # where the catalogue leaves it blank; common practice, no source
GLASS_B0 = 0.05  # a pane of glass; Souka and Safwat 1966 as used by ASHRAE, from memory
# Even light counts as light 60° from the normal: Brandemuehl and Beckman 1980, from memory.
DIFFUSE_GLASS = 1.0 - GLASS_B0 * (1.0 / 0.5 - 1.0)
SOILING_PCT = 4.0  # level panels that rain hardly washes; common practice, no source
OTHER_PCT = 4.0  # weak light, tolerance, ageing, the tracker's search; common practice, no source
KEPT = (1.0 - SOILING_PCT / 100.0) * (1.0 - OTHER_PCT / 100.0)  # of a panel's power, in every hour


def glass_share(cosine: Values) -> Values:
    """What passes the glass of light whose angle to the normal has this cosine; 1 when it stands square.

    1 - b0 (1 / cosine - 1), 0 at least: the formula of ASHRAE.
    """
    safe = np.maximum(cosine, GLASS_B0 / (1.0 + GLASS_B0))
    return np.asarray(1.0 - GLASS_B0 * (1.0 / safe - 1.0))


def flush_cells_c(air_c: Values, irradiance_w_m2: Values) -> Values:
    """Cell temperature of a panel flush on a roof: limits.flush_cell_c's rise, by the light on it."""
    return air_c + flush_cell_c(0.0) * irradiance_w_m2 / FULL_SUN_W_M2


def open_rack_cells_c(air_c: Values, irradiance_w_m2: Values) -> Values:
    """Cell temperature of a panel in free air: limits.open_rack_cell_c's rise, by the light on it."""
    return air_c + open_rack_cell_c(0.0) * irradiance_w_m2 / FULL_SUN_W_M2


def power_pct_per_k(panel: PanelModel) -> float:
    """The panel's power coefficient, or the usual one where the catalogue leaves it blank."""
    return USUAL_POWER_PCT_PER_K if panel.power_pct_per_k is None else panel.power_pct_per_k


def heat_factor(pct_per_k: float, cell_c: Values) -> Values:
    """Power at this cell temperature over that at 25 °C; never below 0."""
    return np.maximum(1.0 + pct_per_k / 100.0 * (cell_c - STC_CELL_C), 0.0)
