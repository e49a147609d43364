"""Whether the sun can carry a load as many hours a day as a plan states.

A figure that is not stated is passed over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, plain
from rooflayout.inspection.lookup import model_of
from rooflayout.inspection.sunlight import longest_day_hours
from rooflayout.job import Job
from rooflayout.needs import Inverter, Load
from rooflayout.plan import Plan
from rooflayout.yields import MonthYield

ROUNDED_HOURS = 0.1
AT_BEST = 1.05  # of the panels' watts, by a sun beyond 1000 W/m² in the cold: common practice, no source
WH_SLACK = 1.1  # of an hour a part counts, cut from its neighbours' means


def load_hours_can_be(job: Job, plan: Plan) -> Iterator[Breach]:
    """Hours a day that the sun carries a load lie between 0 and 24, for loads of the job."""
    known = {load.name for load in job.loads}
    for own in plan.energy.load_hours if plan.energy is not None else ():
        if own.load not in known:
            yield Breach("energy-load", own.load, f"{own.load} is no load of the job")
        for month, hours in enumerate(own.hours_day, start=1):
            if not 0.0 <= hours <= 24.0 + 1e-6:
                text = f"month {month} states {plain(hours)} hours a day of {own.load}; 0 to 24 are possible"
                yield Breach("energy-load", own.load, text)


def sun_carries_loads_by_day(job: Job, plan: Plan) -> Iterator[Breach]:
    """No longer than from sunrise to sunset of the month's longest day, and no load that runs at night."""
    latitude = None if job.site is None else job.site.latitude_deg
    at_night = {load.name for load in job.loads if load.when == "night"}
    for name, month, hours in _stated(plan):
        most = 24.0 if latitude is None else longest_day_hours(latitude, month)
        if name in at_night and hours > 0.0:
            text = f"month {month} states {plain(hours)} hours a day of {name}, which runs at night"
            yield Breach("energy-load", name, text)
        elif most + ROUNDED_HOURS < hours <= 24.0:
            text = f"month {month} states {plain(hours)} hours a day of {name}; the sun is up for "
            yield Breach("energy-load", name, f"{text}{plain(most)} at most")


def sun_carries_no_larger_loads(job: Job, plan: Plan) -> Iterator[Breach]:
    """No load of more watts than the panels have, and none longer than the month's harvest lasts."""
    needs = {load.name: _needs_w(load, job.inverter) for load in job.loads}
    harvests = {m.month: m.harvest_wh_day + m.portable_wh_day for m in _months(plan)}
    watts = AT_BEST * _panels_w(job, plan)
    for name, month, hours in _stated(plan):
        needed = needs.get(name)
        if needed is None or hours <= 0.0:
            continue
        harvest = harvests.get(month, math.nan)
        if needed > watts:
            text = (
                f"month {month} states {plain(hours)} hours a day of {name}, which takes {plain(needed)} W; "
            )
            yield Breach("energy-load", name, f"{text}the panels have {plain(watts)} W at best")
        elif (hours - ROUNDED_HOURS) * needed > WH_SLACK * harvest:
            text = f"month {month} states {plain(hours)} hours a day of {name}, {plain(hours * needed)} Wh; "
            yield Breach("energy-load", name, f"{text}{plain(harvest)} Wh are harvested")


def _needs_w(load: Load, inverter: Inverter) -> float | None:
    if load.power_w is None or not load.inverter:
        return load.power_w
    return load.power_w * 100.0 / inverter.efficiency_pct + inverter.idle_w


def _panels_w(job: Job, plan: Plan) -> float:
    off = () if plan.wiring is None else plan.wiring.unwired
    models = [model_of(job, p) for p in plan.layout.panels if p.panel not in off]
    portable = 0.0 if plan.wiring is None else sum(p.power_w for p in plan.wiring.portable)
    return sum(m.power_w for m in models if m is not None) + portable


def _stated(plan: Plan) -> Iterator[tuple[str, int, float]]:
    for own in plan.energy.load_hours if plan.energy is not None else ():
        for month, hours in enumerate(own.hours_day[:12], start=1):
            yield own.load, month, hours


def _months(plan: Plan) -> tuple[MonthYield, ...]:
    return () if plan.energy is None else plan.energy.months
