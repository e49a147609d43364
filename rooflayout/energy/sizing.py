"""Sizes of battery and panels set against each other, without weather: one figure, one function."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from rooflayout.energy.battery import charge_efficiency, usable_wh
from rooflayout.energy.cells import KEPT, heat_factor, power_pct_per_k
from rooflayout.energy.feeds import feed_of
from rooflayout.job import Battery, Job
from rooflayout.plan import Wiring
from rooflayout.wiring.limits import flush_cell_c

WARM_AIR_C = 20.0  # a fine day
REFILL_FROM_PCT = 20.0  # of the usable capacity
USUAL_W_PER_AH = (2.0, 2.5)  # panel watts to Ah of lead at 12 V; common practice, no source
PER_AH_AT_V = 12.0


def days_without_sun(battery: Battery, demand_wh_day: Sequence[float]) -> float | None:
    """Days from full to empty without sun and without driving, in the month of most demand.

    Usable Wh over Wh drawn a day. None without a capacity or where nothing is drawn.
    """
    usable, most = usable_wh(battery), max(demand_wh_day)
    return None if usable is None or most <= 0.0 else usable / most


def warm_sun_w(job: Job, wiring: Wiring) -> float:
    """W that reach the battery from the roof with the sun overhead, 1000 W/m² on the level.

    A facet has the cosine of its slope of that, and its cells so much less of a level panel's rise above the
    air; light from the sky is not added. With panels as warm as they get in air of WARM_AIR_C, after all
    losses that the harvest counts: dirt and the rest, cables, unlike strings, controllers and their charge
    limits, as they are set (feeds.py).
    """
    models = job.panel_models()
    rise_k, shares = flush_cell_c(WARM_AIR_C) - WARM_AIR_C, {}
    for s in wiring.strings:
        sun = overhead_part(job, s.facet)
        cells_c = np.array([WARM_AIR_C + sun * rise_k])
        shares[s.string] = KEPT * sun * heat_factor(power_pct_per_k(models[s.model]), cells_c)
    feeds = [feed_of(job, wiring, load, shares, np.zeros(1)) for load in wiring.controllers]
    return float(sum(feed.passed_w()[0] for feed in feeds))


def overhead_part(job: Job, facet: str) -> float:
    """What a facet gets of the light on the level from a sun overhead: the cosine of its slope."""
    return max(math.cos(math.radians(job.facet(facet).slope_deg)), 0.0)


def refill_hours(battery: Battery, charge_w: float, load_w: float = 0.0) -> float | None:
    """Hours of full sun from overhead from 20 % of the usable capacity to full.

    charge_w is what reaches the battery then (warm_sun_w);
    load_w what is drawn meanwhile, nothing unless given. Charge efficiency included. A lead battery takes
    its last fifth more slowly than this, whatever the sun. None without a capacity, or where less comes in
    than is drawn.
    """
    usable, over_w = usable_wh(battery), charge_w - load_w
    if usable is None or over_w <= 0.0:
        return None
    return usable * (1.0 - REFILL_FROM_PCT / 100.0) / charge_efficiency(battery) / over_w


def watts_per_ah(battery: Battery, watts: float) -> float | None:
    """Panel watts to a battery's Ah, as if it were one of 12 V with as many Wh; None without a capacity."""
    if not battery.capacity_ah:
        return None
    return watts / (battery.capacity_ah * battery.nominal_v / PER_AH_AT_V)
