"""What is drawn from the battery and what the engine puts into it, in Wh a day by month.

Twelve values are the months, January first. Everything is counted at the battery: what runs through the
inverter carries its losses.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rooflayout.energy.charging import charging_v
from rooflayout.job import Job
from rooflayout.needs import EVERY_MONTH, Inverter, Load
from rooflayout.yields import LoadHours

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from rooflayout.energy.sky import SkyHours


def load_wh_day(load: Load, inverter: Inverter) -> float:
    """Wh a day that a load takes from the battery in a month in which it runs; no idle draw."""
    return load.wh_day / _passes(load, inverter)


def idle_wh_day(job: Job, month: int) -> float:
    """Wh a day that the inverter draws for itself in a month (1 to 12) in which a load runs through it."""
    runs = any(load.inverter and month in load.months and load.wh_day > 0.0 for load in job.loads)
    return job.inverter.idle_w * job.inverter.hours_day if runs else 0.0


def demand_wh_day(job: Job) -> tuple[float, ...]:
    """Wh a day drawn from the battery, by month: all loads, the inverter's losses and its idle draw."""
    return tuple(
        idle_wh_day(job, month)
        + sum(load_wh_day(load, job.inverter) for load in job.loads if month in load.months)
        for month in EVERY_MONTH
    )


def night_draw_share(job: Job, night_share: Sequence[float]) -> tuple[float, ...]:
    """Part (0 to 1) of a day's draw that falls between sunset and sunrise, by month.

    night_share: the part of the 24 hours without sun, by month, which is also that of what is drawn evenly:
    the inverter's own draw, and loads that do not say when.
    """
    found = []
    for month, demand, night in zip(EVERY_MONTH, demand_wh_day(job), night_share, strict=True):
        by_night, by_day = (
            sum(
                load_wh_day(own, job.inverter)
                for own in job.loads
                if own.when == when and month in own.months
            )
            for when in ("night", "day")
        )
        evenly = max(demand - by_night - by_day, 0.0)
        found.append((by_night + evenly * night) / demand if demand > 0.0 else night)
    return tuple(found)


def driving_wh_day(job: Job) -> tuple[float, ...]:
    """Wh a day from charging while driving, by month: A x hours x volts while charging; 0 without battery."""
    if job.driving is None or job.battery is None:
        return (0.0,) * len(EVERY_MONTH)
    wh_day = job.driving.charge_a * charging_v(job.battery) * job.driving.hours_day
    return tuple(wh_day if month in job.driving.months else 0.0 for month in EVERY_MONTH)


def load_w(load: Load, inverter: Inverter) -> float | None:
    """W that a load takes from the battery while it runs, the inverter's own draw included.

    None where only its Wh a day are known.
    """
    if load.power_w is None:
        return None
    return load.power_w / _passes(load, inverter) + (inverter.idle_w if load.inverter else 0.0)


def load_hours(job: Job, sky: SkyHours, power_w: NDArray[np.float64]) -> tuple[LoadHours, ...]:
    """Hours a day in which the sun alone carries a load, by month, for every load of known watts.

    power_w ([N], or [headings, N] of which the mean is taken): what reaches the battery's terminals in the
    hours of the sky. Of each hour that part counts in which there are the load's watts (carried_part). Other
    loads are not counted, nor is the battery; all twelve months are told, those in which the load is not used
    too. No load that runs at night: the sun alone never carries it.
    """
    import numpy as np  # not at the top: help must come without it

    watts = np.atleast_2d(power_w)
    # an hour stands for a day's 24th
    days = np.bincount(sky.month, weights=sky.weight_days, minlength=13)[1:] / 24.0
    found = []
    for load in job.loads:
        needed_w = load_w(load, job.inverter)
        if needed_w is None or load.when == "night":
            continue
        carried = carried_part(watts, needed_w, sky.lit).mean(axis=0) * sky.weight_days
        hours = np.bincount(sky.month, weights=carried, minlength=13)[1:]
        found.append(LoadHours(load.name, tuple(float(h) for h in hours / np.maximum(days, 1e-9))))
    return tuple(found)


def carried_part(
    power_w: NDArray[np.float64], needed_w: float, lit: NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """[headings, N]: the part of each hour in which the power is needed_w or more.

    power_w: means of hours that follow one another. Within an hour the power runs straight from half way to
    the hour before, over the mean in the middle, to half way to the next. lit [N]: the part of each hour with
    the sun up, which is the most that counts; None: not known.
    """
    import numpy as np  # not at the top: help must come without it

    ends = np.pad(power_w, ((0, 0), (1, 1)), mode="edge")
    edges = (ends[:, :-1] + ends[:, 1:]) / 2.0
    first, last = (_above(edge, power_w, needed_w) for edge in (edges[:, :-1], edges[:, 1:]))
    part = (first + last) / 2.0
    return np.asarray(part if lit is None else np.minimum(part, lit))


def _above(a: NDArray[np.float64], b: NDArray[np.float64], needed: float) -> NDArray[np.float64]:
    """The part of a straight line from a to b that lies at needed or above."""
    import numpy as np  # not at the top: help must come without it

    low, high = np.minimum(a, b), np.maximum(a, b)
    rise = high - low
    part = np.divide(high - needed, rise, out=np.ones_like(rise), where=rise > 0.0)
    return np.where(low >= needed, 1.0, np.where(high < needed, 0.0, np.clip(part, 0.0, 1.0)))


def _passes(load: Load, inverter: Inverter) -> float:
    """The share of what leaves the battery that reaches the load."""
    return inverter.efficiency_pct / 100.0 if load.inverter else 1.0
