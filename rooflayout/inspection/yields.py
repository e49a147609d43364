"""Whether the energy and the masses that a plan states agree with the job and with one another.

A figure that is not stated (NaN or None) is passed over: plans made by hand leave some out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from rooflayout.inspection.breach import Breach, differ, figures, plain
from rooflayout.inspection.lookup import model_of
from rooflayout.inspection.sunlight import DAYS
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.yields import Bearing, MonthYield

_SHARE = 0.005  # a plan may state rounded figures
_PCT_ROUNDED = 0.05 + 1e-9  # stated to a tenth
_MADE_UP = 0.05  # made-up years need not have the month's mean to the Wh
_WH = 1.0
_KG = 0.06


def months_are_twelve(job: Job, plan: Plan) -> Iterator[Breach]:
    """January to December, each once, in order, with figures that can be."""
    if plan.energy is None:
        return
    found = [m.month for m in plan.energy.months]
    if found != list(range(1, 13)):
        yield Breach("energy-months", "the energy", f"the months are {found}; they must be 1 to 12 in order")
    for m in plan.energy.months:
        for what in ("harvest_wh_day", "portable_wh_day", "driving_wh_day", "demand_wh_day"):
            wh = getattr(m, what)
            if wh < 0.0 or math.isinf(wh):
                text = f"month {m.month} states {plain(wh)} as {what}; a number of 0 Wh or more is needed"
                yield Breach("energy-value", f"month {m.month}", text)
        for state in (*_empties(m), m.soc_low_pct, m.soc_middle_pct, m.soc_high_pct, m.spilled_pct):
            if state is not None and not (math.isnan(state) or 0.0 <= state <= 100.0 + 1e-6):
                text = f"month {m.month} states {plain(state)} %; it must lie between 0 and 100 %"
                yield Breach("energy-value", f"month {m.month}", text)


def charge_states_are_in_order(job: Job, plan: Plan) -> Iterator[Breach]:
    """Low, middle and high state of charge rise."""
    for m in plan.energy.months if plan.energy is not None else ():
        known = [v for v in (m.soc_low_pct, m.soc_middle_pct, m.soc_high_pct) if v is not None]
        if any(a > b + 0.1 for a, b in pairwise(known)):
            text = f"month {m.month} states charges of {', '.join(plain(v) for v in known)} %; they must rise"
            yield Breach("energy-value", f"month {m.month}", text)


def less_sun_is_worse(job: Job, plan: Plan) -> Iterator[Breach]:
    """The battery runs empty no less often with less sun, and no more often with more."""
    for m in plan.energy.months if plan.energy is not None else ():
        known = [v for v in _empties(m) if v is not None]
        if any(a > b + 0.1 for a, b in pairwise(known)):
            text = (
                f"month {m.month} states that the battery runs empty on {', '.join(map(plain, known))} % of "
                "days with more sun, as estimated and with less; they must rise"
            )
            yield Breach("energy-value", f"month {m.month}", text)


def full_battery_leaves_what_is_drawn(job: Job, plan: Plan) -> Iterator[Breach]:
    """In a month in which the battery never runs empty, what it takes is no less than what is drawn of it.

    What is stated as finding it full may therefore not be all; a battery may give of what the month before
    left, its usable capacity at most.
    """
    energy = plan.energy
    if energy is None or energy.usable_wh is None or len(energy.months) != len(DAYS):
        return
    for m, days in zip(energy.months, DAYS, strict=True):
        if m.spilled_pct is None or m.empty_pct != 0.0:
            continue
        given = m.harvest_wh_day + m.portable_wh_day + m.driving_wh_day
        taken = given * (1.0 - max(m.spilled_pct - _PCT_ROUNDED, 0.0) / 100.0) * days
        drawn = m.demand_wh_day * days - energy.usable_wh
        if taken < drawn * (1.0 - _MADE_UP) - _WH * days:
            a, b = figures(taken, drawn)
            text = f"month {m.month}: {a} Wh find room by what is stated; at least {b} Wh are drawn"
            yield Breach("energy-spilled", f"month {m.month}", text)


def _empties(m: MonthYield) -> tuple[float | None, ...]:
    """Days on which the battery runs empty, the most sun first."""
    return (m.empty_more_sun_pct, m.empty_pct, m.empty_less_sun_pct)


def limits_are_the_jobs(job: Job, plan: Plan) -> Iterator[Breach]:
    """What something bore before, and what it may bear, is what the job says."""
    vehicle, balance = job.vehicle, plan.balance
    if vehicle is None or balance is None:
        return
    given = {
        "coupling": (vehicle.coupling_kg, vehicle.most_coupling_kg),
        "axle": (vehicle.axle_kg, vehicle.most_axle_kg),
        "front axle": (vehicle.front_axle_kg, vehicle.most_front_axle_kg),
        "vehicle": (vehicle.mass_kg, vehicle.most_mass_kg),
        "roof": (None, vehicle.most_roof_kg),
    }
    for bearing in balance.bearings:
        before_kg, most_kg = given.get(bearing.what, (None, None))
        for what, stated, right in (
            ("before", bearing.before_kg, before_kg),
            ("at most", bearing.most_kg, most_kg),
        ):
            if right is not None and (stated is None or differ(stated, right, _KG)):
                found = "nothing" if stated is None else f"{plain(stated)} kg"
                text = f"{bearing.what}: {found} is stated as {what}; the job says {plain(right)} kg"
                yield Breach("mass-limit", bearing.what, text)


def year_is_the_months(job: Job, plan: Plan) -> Iterator[Breach]:
    """The year's harvest is that of its months, and no more than what the controllers pass."""
    energy = plan.energy
    if energy is None or len(energy.months) != len(DAYS):
        return
    total = sum(m.harvest_wh_day * days for m, days in zip(energy.months, DAYS, strict=True))
    if differ(energy.wh_year, total, _WH + _SHARE * total):
        a, b = figures(energy.wh_year, total)
        text = f"{a} Wh a year are stated; the months add up to {b} Wh"
        yield Breach("energy-year", "the energy", text)
    passed = sum(c.passes_wh_year for c in energy.controllers)
    if energy.controllers and differ(energy.wh_year, passed, _WH + _SHARE * passed):
        a, b = figures(energy.wh_year, passed)
        text = f"{a} Wh a year are stated; the controllers pass {b} Wh"
        yield Breach("energy-year", "the controllers", text)
    for c in energy.controllers:
        if c.passes_wh_year < 0.0 or c.passes_wh_year > c.could_wh_year * (1.0 + _SHARE) + _WH:
            a, b = figures(c.passes_wh_year, c.could_wh_year)
            text = f"{c.controller} is said to pass {a} Wh a year of {b} Wh that its panels could give"
            yield Breach("energy-clipped", c.controller, text)
        least = c.passes_least_wh_year
        if least is not None and (least < 0.0 or least > c.passes_wh_year * (1.0 + _SHARE) + _WH):
            a, b = figures(least, c.passes_wh_year)
            text = f"{c.controller} is said to pass {a} Wh a year at least and {b} Wh at most"
            yield Breach("energy-clipped", c.controller, text)


def demand_is_the_jobs(job: Job, plan: Plan) -> Iterator[Breach]:
    """By month the loads that run in it, the inverter's losses and its idle draw."""
    if plan.energy is None:
        return
    for m in plan.energy.months:
        wh = 0.0
        for load in job.loads:
            if m.month in load.months:
                wh += load.wh_day / (job.inverter.efficiency_pct / 100.0 if load.inverter else 1.0)
        if any(load.inverter and m.month in load.months for load in job.loads):
            wh += job.inverter.idle_w * job.inverter.hours_day
        if differ(m.demand_wh_day, wh, _WH + _SHARE * wh):
            a, b = figures(m.demand_wh_day, wh)
            text = f"month {m.month} states a demand of {a} Wh a day; the job's loads draw {b} Wh"
            yield Breach("energy-demand", f"month {m.month}", text)


def driving_is_the_jobs(job: Job, plan: Plan) -> Iterator[Breach]:
    """By month what the engine gives, in the months of driving alone: A x hours a day x the voltage half way
    from nominal to charge voltage (common practice, no source)."""
    if plan.energy is None:
        return
    driving, battery = job.driving, job.battery
    for m in plan.energy.months:
        wh = 0.0
        if driving is not None and battery is not None and m.month in driving.months:
            wh = driving.charge_a * driving.hours_day * (battery.nominal_v + battery.charge_v) / 2.0
        if differ(m.driving_wh_day, wh, _WH + _SHARE * wh):
            a, b = figures(m.driving_wh_day, wh)
            text = f"month {m.month} states {a} Wh a day from driving; by the job it is {b} Wh"
            yield Breach("energy-driving", f"month {m.month}", text)


def masses_add_up(job: Job, plan: Plan) -> Iterator[Breach]:
    """The added mass is that of its items; new panels weigh what their models do."""
    balance = plan.balance
    if balance is None:
        return
    total = sum(item.kg for item in balance.items)
    if differ(balance.added_kg, total, _KG * (1 + len(balance.items))):
        a, b = figures(balance.added_kg, total)
        yield Breach("mass-sum", "the balance", f"{a} kg are stated as added; the items add up to {b} kg")
    models = [model_of(job, p) for p in plan.layout.panels if not p.kept]
    panels = sum(m.mass_kg or 0.0 for m in models if m is not None)
    if balance.added_kg < panels - _KG:
        a, b = figures(balance.added_kg, panels)
        yield Breach(
            "mass-sum", "the balance", f"{a} kg are stated as added; the new panels alone weigh {b} kg"
        )


def loads_balance(job: Job, plan: Plan) -> Iterator[Breach]:
    """Coupling and axle, or two axles, bear the added mass whose place is known, and hold its moment."""
    balance, vehicle = plan.balance, job.vehicle
    if balance is None or vehicle is None or vehicle.kind == "boat":
        return
    pair = _pair(balance.bearings, vehicle.kind)
    placed = [i for i in balance.items if i.x_mm is not None]
    if pair is None or not placed:
        return
    one, other = pair
    kg = sum(i.kg for i in placed)
    if differ(one.change_kg + other.change_kg, kg, _KG * (2 + len(placed))):
        a, b = figures(one.change_kg + other.change_kg, kg)
        text = (
            f"{one.what} and {other.what} are said to bear {a} kg more; {b} kg with a known place are added"
        )
        yield Breach("mass-borne", one.what, text)
    ends = (
        vehicle.coupling_x_mm if vehicle.kind == "trailer" else vehicle.front_axle_x_mm,
        vehicle.axle_x_mm,
    )
    if ends[0] is None or ends[1] is None:
        return
    across = job.facets[0].front in ("+y", "-y")  # the vehicle lies along the drawing's y
    moment = sum(i.kg * ((i.y_mm if across else i.x_mm) or 0.0) for i in placed)
    borne = one.change_kg * ends[0] + other.change_kg * ends[1]
    if differ(borne, moment, _KG * (2 + len(placed)) * max(abs(ends[0]), abs(ends[1]), 1000.0)):
        a, b = figures(borne / 1000.0, moment / 1000.0)
        text = f"{one.what} and {other.what} hold a moment of {a} kg m; the added mass has {b} kg m"
        yield Breach("mass-borne", one.what, text)


def _pair(bearings: tuple[Bearing, ...], kind: str) -> tuple[Bearing, Bearing] | None:
    by_name = {b.what: b for b in bearings if math.isfinite(b.change_kg)}
    first = "coupling" if kind == "trailer" else "front axle"
    if first in by_name and "axle" in by_name:
        return by_name[first], by_name["axle"]
    return None
