"""Whether the battery's charges agree with one another, with its empty days and with what it takes.

Nothing is simulated: only what no run of days could do is told. A figure that is not stated is passed over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rooflayout.inspection.batteries import GIVEN_BACK, usable_wh
from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.sunlight import DAYS
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.yields import MonthYield

YEAR = sum(DAYS)
# Of mornings so many have no less than the low, the middle and the high charge.
NO_LESS_PCT = {"soc_low_pct": 90.0, "soc_middle_pct": 50.0, "soc_high_pct": 10.0}
PCT = 2.0  # how the values of days and of months are cut from so many years
ROUNDED_PCT = 0.1
MADE_UP = 0.05  # days drawn at random bring a little more or less than their mean
WH = 1.0


def band_is_the_months(job: Job, plan: Plan) -> Iterator[Breach]:
    """A month's low, middle and high charge lie between the least and the most of its days' own."""
    band = _band(plan)
    for m in plan.energy.months if plan.energy is not None and band else ():
        days = _of_month(band, m.month)
        for number, what in enumerate(NO_LESS_PCT):
            stated = getattr(m, what)
            own = [day[number] for day in days]
            if stated is None or not own or not all(0.0 <= v <= 100.0 for v in (stated, *own)):
                continue
            if not min(own) - PCT <= stated <= max(own) + PCT:
                text = f"month {m.month} states {plain(stated)} % as {what}; its days' band runs from "
                text += f"{plain(min(own))} to {plain(max(own))} %"
                yield Breach("energy-charge", f"month {m.month}", text)
                break


def charged_mornings_are_not_empty(job: Job, plan: Plan) -> Iterator[Breach]:
    """A battery that holds a whole day's draw at sunrise does not run empty on that day."""
    usable, band = usable_wh(job.battery), _band(plan)
    for m in plan.energy.months if plan.energy is not None and usable else ():
        if m.empty_pct is None or math.isnan(m.empty_pct) or not m.demand_wh_day >= 0.0:
            continue
        for number, (what, share_pct) in enumerate(NO_LESS_PCT.items()):
            days = [day[number] for day in _of_month(band, m.month)]
            known = [v for v in (getattr(m, what), min(days, default=None)) if v is not None]
            charge = max((v for v in known if math.isfinite(v)), default=0.0) - ROUNDED_PCT
            most_pct = 100.0 - share_pct + PCT
            if charge / 100.0 * (usable or 0.0) >= m.demand_wh_day and m.empty_pct > most_pct:
                text = f"month {m.month} states that the battery runs empty on {plain(m.empty_pct)} % of "
                text += f"days; on {plain(share_pct)} % of mornings it holds a day's draw and more"
                yield Breach("energy-empty", f"month {m.month}", text)
                break


def no_more_is_taken_than_drawn(job: Job, plan: Plan) -> Iterator[Breach]:
    """What finds room is drawn, lost in charging, or still in the battery: by month and over the year."""
    usable = usable_wh(job.battery)
    if plan.energy is None or usable is None or job.battery is None:
        return
    back = GIVEN_BACK[job.battery.chemistry]
    found = [(m, *_taken_and_drawn_wh(m)) for m in plan.energy.months if 1 <= m.month <= len(DAYS)]
    spans = [(f"month {m.month}", taken, drawn) for m, taken, drawn in found]
    if len(found) == len(DAYS):
        spans.append(("the year", sum(t for _, t, _ in found), sum(d for _, _, d in found)))
    for where, taken, drawn in spans:
        most = (drawn + usable) / back
        if taken > most * (1.0 + MADE_UP) + WH * YEAR:
            a, b = figures(taken, most)
            text = f"{where}: {a} Wh find room by what is stated; loads, charging and battery take {b} Wh"
            yield Breach("energy-spilled", where, f"{text} at most")


def _taken_and_drawn_wh(m: MonthYield) -> tuple[float, float]:
    """Not a number where a figure is not stated."""
    days = DAYS[m.month - 1]
    given = (m.harvest_wh_day + m.portable_wh_day + m.driving_wh_day) * days
    known = m.spilled_pct is not None and 0.0 <= m.spilled_pct <= 100.0
    spilled_pct = min((m.spilled_pct or 0.0) + ROUNDED_PCT, 100.0) if known else math.nan
    return given * (1.0 - spilled_pct / 100.0), m.demand_wh_day * days


def _band(plan: Plan) -> Sequence[tuple[float, float, float]]:
    band = () if plan.energy is None else plan.energy.soc_band_pct
    return band if len(band) == YEAR else ()


def _of_month(band: Sequence[tuple[float, float, float]], month: int) -> Sequence[tuple[float, float, float]]:
    if not band or not 1 <= month <= len(DAYS):
        return ()
    first = sum(DAYS[: month - 1])
    return band[first : first + DAYS[month - 1]]
