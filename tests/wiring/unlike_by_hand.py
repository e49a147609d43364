"""Which two sorts of strings may share a tracker, on roofs that are level as far as the job says.

The diodes are those of rooflayout.wiring.curves, checked in tests/published; all else is worked out anew:
every panel then gets the same sun, so there are four cases: standard test conditions, hottest noon, and low
sun (15°, clear sky by Meinel and Meinel 1976, from memory, and a tenth of it from an even sky) on the
coldest and on the hottest day.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rooflayout.job import Job, PanelModel
from rooflayout.wiring.curves import five_parameters

LOW_DEG = 15.0
POINTS = 1500
RISE_K = 1000 * math.exp(-2.98 - 0.0471) + 1  # of cells above the air, in full sun
NEAR_PCT = 0.03  # a loss so near to what the job allows is not told from it


class TooNearToTell(Exception):  # noqa: N818
    """A loss is what the job allows, as far as can be told."""


@lru_cache(maxsize=20_000)
def curve(model: PanelModel, sun_w_m2: float, cell_c: float) -> tuple[NDArray[np.float64], ...]:
    """Voltage and current of one panel, from the diode equation with its own voltage as the parameter."""
    photo_a, dark_a, series_ohm, shunt_ohm, a_v = five_parameters(model, sun_w_m2, cell_c)
    top_v = a_v * math.log(40 * photo_a / dark_a)
    across_v = np.linspace(0.0, top_v, POINTS)
    current_a = photo_a - dark_a * np.expm1(across_v / a_v) - across_v / shunt_ohm
    return across_v - current_a * series_ohm, current_a


def may_share(job: Job, one: tuple[PanelModel, int, int], other: tuple[PanelModel, int, int]) -> bool:
    """Each: model, panels in series, strings in parallel. Raises TooNearToTell."""
    assert job.site is not None
    assert job.site.coldest_c is not None
    assert job.site.hottest_c is not None
    rise = math.sin(math.radians(LOW_DEG))
    low_w_m2 = 1353 * 0.7 ** ((1 / rise) ** 0.678) * (rise + 0.1)
    cases = [(1000.0, 25.0), (1000.0, job.site.hottest_c + RISE_K)]
    cases += [(low_w_m2, c + RISE_K * low_w_m2 / 1000) for c in (job.site.coldest_c, job.site.hottest_c)]
    most_pct, shares = job.wiring_rules.most_mismatch_pct, True
    for sun, cell_c in cases:
        lost = lost_pct([(*sort, *curve(sort[0], sun, cell_c)) for sort in (one, other)])
        if abs(lost - most_pct) < NEAR_PCT:
            raise TooNearToTell
        if lost > most_pct:
            shares = False
            break
    return shares


def lost_pct(
    sorts: list[tuple[PanelModel, int, int, NDArray[np.float64], NDArray[np.float64]]],
) -> float:
    """Of model, panels in series, strings in parallel, and the curve of one panel."""
    alone_w = sum(n * k * float((v * i).max()) for _, n, k, v, i in sorts)
    every_v = np.concatenate([n * v for _, n, _, v, _ in sorts])
    together_a = sum(k * np.interp(every_v, n * v, i) for _, n, k, v, i in sorts)
    return 100 * (1 - float((every_v * together_a).max()) / alone_w)
