"""What is drawn from the battery, and what the engine gives it, by month; Wh a day at the battery."""

from __future__ import annotations

from rooflayout.job import Battery, Job
from rooflayout.needs import EVERY_MONTH, Load

# Share of the capacity that is used in daily life, %: common practice, no source
USABLE_PCT = {"lithium": 90.0, "gel": 50.0, "agm": 50.0, "flooded": 50.0}
UNKNOWN_USABLE_PCT = 50.0  # where the job does not say what battery it is
# What comes out of what goes in: common practice, no source
STORED_PART = {"lithium": 0.96, "gel": 0.85, "agm": 0.85, "flooded": 0.80}
UNKNOWN_STORED_PART = 0.85


def demand_wh_day(job: Job) -> tuple[float, ...]:
    """By month: all loads that run in it, those through the inverter with its losses, and its idle draw."""
    return tuple(_month_wh(job, month) for month in EVERY_MONTH)


def drawn_wh_day(job: Job, load: Load) -> float:
    """What a load draws from the battery on a day on which it runs."""
    return load.wh_day / _through(job, load)


def drawn_w(job: Job, load: Load) -> float | None:
    """What a load draws from the battery while it runs; None where its watts are not known."""
    return None if load.power_w is None else load.power_w / _through(job, load)


def driving_wh_day(job: Job) -> tuple[float, ...]:
    """By month: what the engine gives, at the charge voltage (no battery: nothing)."""
    own, battery = job.driving, job.battery
    if own is None or battery is None:
        return (0.0,) * 12
    wh = own.hours_day * own.charge_a * battery.charge_v
    return tuple(wh if month in own.months else 0.0 for month in EVERY_MONTH)


def usable_wh(battery: Battery | None) -> float | None:
    """What the battery gives between full and empty; None where its capacity is not known."""
    if battery is None or battery.capacity_ah is None:
        return None
    return battery.capacity_ah * battery.nominal_v * usable_pct(battery) / 100.0


def usable_pct(battery: Battery) -> float:
    """As the job says, else as is usual for the chemistry."""
    if battery.usable_pct is not None:
        return battery.usable_pct
    return UNKNOWN_USABLE_PCT if battery.chemistry is None else USABLE_PCT[battery.chemistry]


def stored_part(battery: Battery) -> float:
    """Of what charges the battery, the part that can be drawn again, 0 to 1."""
    return UNKNOWN_STORED_PART if battery.chemistry is None else STORED_PART[battery.chemistry]


def _month_wh(job: Job, month: int) -> float:
    running = [load for load in job.loads if month in load.months]
    wh = sum(drawn_wh_day(job, load) for load in running)
    if any(load.inverter for load in running):
        wh += job.inverter.idle_w * job.inverter.hours_day
    return wh


def _through(job: Job, load: Load) -> float:
    return job.inverter.efficiency_pct / 100.0 if load.inverter else 1.0
