"""The battery day by day over synthetic years, drawn from the kinds of day of each month.

A day's rank among the days of its month, dull to bright, is yesterday's with the chance SAME and else drawn
anew: daily clearness has a correlation of about 0.3 from one day to the next (Graham and Hollands 1990, from
memory). From sunrise the sun and the engine charge while the day's part of the loads runs; then the night.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.sunshine import MONTH_DAYS

Values = NDArray[np.float64]
Days = Sequence[Sequence[tuple[float, float]]]  # by month: (Wh, days a year) of each kind of day

SAME = 0.3
YEARS = 200  # side by side, after one more to begin with
SEED = 1
BY_DAY = 0.5  # part of what is drawn between sunrise and sunset; the rest at night: an assumption
LOW_PCT, MIDDLE_PCT, HIGH_PCT = 10, 50, 90


@dataclass(frozen=True, slots=True, eq=False)
class BatteryYear:
    """By month the % of days on which it runs empty, and low, middle and high state of charge at sunrise in %
    of what is usable; the same for each of 365 days. spilled_wh and unmet_wh: yearly means."""

    empty_pct: tuple[float, ...]
    soc_pct: tuple[tuple[float, float, float], ...]
    band_pct: tuple[tuple[float, float, float], ...]
    taken_wh: float  # of what was offered
    spilled_wh: float
    served_wh: float
    unmet_wh: float
    change_wh: float  # of what is stored, over the year


def simulate(
    days: Days,
    demand_wh_day: Sequence[float],
    driving_wh_day: Sequence[float],
    usable_wh: float,
    stored_part: float,
    same: float = SAME,
) -> BatteryYear:
    """YEARS years after one to begin with, the battery full at first. All Wh at the battery.

    stored_part: of what goes into the battery, what comes out again; what is drawn while the sun gives it
    does not go through. Raises ValueError for a battery without capacity.
    """
    if usable_wh <= 0.0:
        raise ValueError("the battery has no usable capacity")
    month_of_day = np.repeat(np.arange(12), MONTH_DAYS)
    kinds = [_ranked(month) for month in days]
    random = np.random.default_rng(SEED)
    soc = np.full(YEARS, usable_wh)
    rank = random.random(YEARS)
    dawn, empty = np.zeros((365, YEARS)), np.zeros((365, YEARS), dtype=bool)
    taken = spilled = served = unmet = 0.0
    start = soc.copy()
    for year in (0, 1):
        if year:
            start, taken, spilled, served, unmet = soc.copy(), 0.0, 0.0, 0.0, 0.0
        for day, month in enumerate(month_of_day.tolist()):
            rank = np.where(random.random(YEARS) < same, rank, random.random(YEARS))
            offered = _at_rank(kinds[month], rank) + driving_wh_day[month]
            drawn = demand_wh_day[month]
            dawn[day] = soc
            by_day = BY_DAY * drawn
            direct = np.minimum(offered, by_day)
            soc = soc + (offered - direct) * stored_part
            over = np.maximum(0.0, soc - usable_wh)
            soc = soc - over - (by_day - direct)
            short = np.maximum(0.0, -soc)
            soc = np.maximum(0.0, soc) - (drawn - by_day)
            short = short + np.maximum(0.0, -soc)
            soc = np.maximum(0.0, soc)
            empty[day] = short > 1e-9 * max(1.0, drawn)
            taken += float((offered - over / stored_part).mean())
            spilled += float((over / stored_part).mean())
            served += float((drawn - short).mean())
            unmet += float(short.mean())
    state = 100.0 * dawn / usable_wh
    return BatteryYear(
        tuple(100.0 * float(empty[month_of_day == m].mean()) for m in range(12)),
        tuple(_band(state[month_of_day == m]) for m in range(12)),
        tuple(_band(state[day]) for day in range(365)),
        taken,
        spilled,
        served,
        unmet,
        float((soc - start).mean()),
    )


def _ranked(kinds: Sequence[tuple[float, float]]) -> tuple[Values, Values]:
    """Wh of the kinds of day from dull to bright, and up to which rank (0 to 1) each goes."""
    wh = np.array([w for w, _ in kinds], dtype=np.float64)
    weight = np.array([n for _, n in kinds], dtype=np.float64)
    order = np.argsort(wh, kind="stable")
    return wh[order], np.cumsum(weight[order]) / weight.sum()


def _at_rank(kinds: tuple[Values, Values], rank: Values) -> Values:
    wh, up_to = kinds
    return wh[np.minimum(np.searchsorted(up_to, rank, side="right"), len(wh) - 1)]


def _band(values: Values) -> tuple[float, float, float]:
    low, middle, high = np.percentile(values, (LOW_PCT, MIDDLE_PCT, HIGH_PCT))
    return float(low), float(middle), float(high)
