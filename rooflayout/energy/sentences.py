"""Sentences for the owner; figures no finer than they are known."""

from __future__ import annotations

import math

NAMES = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
SELDOM_PCT, ALWAYS_PCT = 0.5, 99.5


def month_sentence(
    month: int, harvest_wh_day: float, other_wh_day: float, demand_wh_day: float, empty_pct: float | None
) -> str:
    """What a month is like; harvest of roof and portable panels, other: the engine's. empty_pct None: the
    battery's capacity is not known."""
    sun = f"the sun gives about {rough(harvest_wh_day)} Wh a day"
    if other_wh_day > 0.0:
        sun += f" and driving {rough(other_wh_day)}"
    if demand_wh_day <= 0.0:
        return f"In {NAMES[month - 1]} {sun}."
    drawn = f"of the {rough(demand_wh_day)} Wh that are drawn"
    given = harvest_wh_day + other_wh_day
    sun += f", {'more than the' if given >= demand_wh_day else 'only part of the'} "
    sun += drawn.removeprefix("of the ")
    if empty_pct is None:
        return f"In {NAMES[month - 1]} {sun}."
    return f"In {NAMES[month - 1]} {_empty(empty_pct)}; {sun}."


def _empty(empty_pct: float) -> str:
    if empty_pct < SELDOM_PCT:
        return "the battery does not run empty"
    if empty_pct >= ALWAYS_PCT:
        return "the battery runs empty every day"
    if empty_pct > 50.0:
        return f"the battery runs empty on {round(empty_pct / 10.0)} days in ten"
    days = round(100.0 / empty_pct)
    return f"the battery runs empty on one day in {days}"


def rough(wh: float) -> str:
    """Two significant figures: 414 is "410", 2860 "2900"."""
    if wh <= 0.0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(wh)) - 1)
    return f"{round(wh / step) * step:.0f}"
