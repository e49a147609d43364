"""What is drawn from the battery and what the engine puts into it, in Wh a day by month.

Twelve values are the months, January first. Everything is counted at the battery: what runs through the
inverter carries its losses.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rooflayout.job import Job
from rooflayout.needs import EVERY_MONTH, Inverter, Load
from rooflayout.yields import LoadHours

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


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
    """Wh a day from charging while driving, by month: A x charge voltage x hours; 0 without a battery."""
    if job.driving is None or job.battery is None:
        return (0.0,) * len(EVERY_MONTH)
    wh_day = job.driving.charge_a * job.battery.charge_v * job.driving.hours_day
    return tuple(wh_day if month in job.driving.months else 0.0 for month in EVERY_MONTH)


def load_w(load: Load, inverter: Inverter) -> float | None:
    """W that a load takes from the battery while it runs, the inverter's own draw included.

    None where only its Wh a day are known.
    """
    if load.power_w is None:
        return None
    return load.power_w / _passes(load, inverter) + (inverter.idle_w if load.inverter else 0.0)


def load_hours(
    job: Job,
    month: NDArray[np.int64],
    weight_days: NDArray[np.float64],
    power_w: NDArray[np.float64],
) -> tuple[LoadHours, ...]:
    """Hours a day in which the sun alone carries a load, by month, for every load of known watts.

    month, weight_days (both [N]) and power_w ([N], or [headings, N] of which the mean is taken) are the
    hours of the sky: which month, how many days a year the hour stands for, what reaches the battery's
    terminals then. An hour counts whole or not at all. Other loads are not counted, nor is the battery;
    all twelve months are told, those in which the load is not used too. No load that runs at night: the sun
    alone never carries it.
    """
    import numpy as np  # not at the top: help must come without it

    watts = np.atleast_2d(power_w)
    days = np.bincount(month, weights=weight_days, minlength=13)[1:] / 24.0  # an hour stands for a day's 24th
    found = []
    for load in job.loads:
        needed_w = load_w(load, job.inverter)
        if needed_w is None or load.when == "night":
            continue
        carried = (watts >= needed_w).mean(axis=0) * weight_days
        hours = np.bincount(month, weights=carried, minlength=13)[1:]
        found.append(LoadHours(load.name, tuple(float(h) for h in hours / np.maximum(days, 1e-9))))
    return tuple(found)


def _passes(load: Load, inverter: Inverter) -> float:
    """The share of what leaves the battery that reaches the load."""
    return inverter.efficiency_pct / 100.0 if load.inverter else 1.0
