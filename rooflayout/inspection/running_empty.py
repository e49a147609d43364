"""Whether the days on which the battery runs empty agree with what comes in and what is drawn.

Nothing is simulated: only what no battery whatever could do is told. A figure that is not stated is passed
over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, plain
from rooflayout.inspection.sunlight import DAYS
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.yields import MonthYield

MADE_UP = 1.03  # days drawn at random bring a little more or less than their mean
HALF = 0.5  # of the days that must be, before it is told
LEAST_DAYS = 1.5


def empty_days_are_no_fewer_than_must_be(job: Job, plan: Plan) -> Iterator[Breach]:
    """What is drawn beyond what comes in and what a full battery holds is not there, and on one day no more
    than that day's draw can be missing. Over any months in a row, the worst ones are told."""
    energy = plan.energy
    months = () if energy is None else energy.months
    if energy is None or energy.usable_wh is None or len(months) != len(DAYS):
        return
    if not all(_whole(m) for m in months) or not math.isfinite(energy.usable_wh):
        return
    worst: tuple[float, str, str] | None = None
    for first in range(len(DAYS)):
        short_wh = stated_days = draw_wh = 0.0
        for count in range(1, len(DAYS) + 1):
            index = (first + count - 1) % len(DAYS)
            month, days = months[index], DAYS[index]
            short_wh += days * (month.demand_wh_day - MADE_UP * _comes_in(month))
            stated_days += days * (month.empty_pct or 0.0) / 100.0
            draw_wh = max(draw_wh, month.demand_wh_day)
            if draw_wh <= 0.0:
                continue
            needed = (short_wh - energy.usable_wh) / draw_wh
            lacking = HALF * needed - stated_days
            if needed >= LEAST_DAYS and lacking > 0.0 and (worst is None or lacking > worst[0]):
                which = f"month {months[first].month}"
                which += "" if count == 1 else f" to {month.month}"
                text = f"{plain(stated_days, 1)} days are stated on which the battery runs empty; "
                text += f"with what comes in and is drawn there are {plain(needed, 1)} at least"
                worst = lacking, which, text
    if worst is not None:
        yield Breach("energy-empty", *worst[1:])


def empty_at_sunrise_is_empty(job: Job, plan: Plan) -> Iterator[Breach]:
    """Where so many mornings find nothing in the battery, it runs empty on about so many days."""
    for m in plan.energy.months if plan.energy is not None else ():
        if m.empty_pct is None or math.isnan(m.empty_pct) or m.demand_wh_day <= 0.0:
            continue
        for state, mornings_pct in ((m.soc_high_pct, 90.0), (m.soc_middle_pct, 50.0), (m.soc_low_pct, 10.0)):
            if state == 0.0 and m.empty_pct < HALF * mornings_pct:
                text = (
                    f"month {m.month} states that the battery runs empty on {plain(m.empty_pct)} % of days; "
                )
                text += f"on {plain(mornings_pct)} % of mornings and more nothing is in it"
                yield Breach("energy-empty", f"month {m.month}", text)
                break


def _comes_in(month: MonthYield) -> float:
    return month.harvest_wh_day + month.portable_wh_day + month.driving_wh_day


def _whole(month: MonthYield) -> bool:
    """Whether a month states all that goes into its balance."""
    known = (_comes_in(month), month.demand_wh_day, math.nan if month.empty_pct is None else month.empty_pct)
    return all(math.isfinite(value) for value in known)
