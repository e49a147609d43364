"""Whether the figures that a plan states of the battery follow from the job and from its own strings.

A figure that is not stated (None or NaN) is passed over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, differ, figures, plain
from rooflayout.inspection.electrical import hottest_cell_c
from rooflayout.inspection.lookup import controller_of, model_of, models_of, strings_of
from rooflayout.job import Battery, Job
from rooflayout.plan import ControllerLoad, Plan

# Share of the capacity that is used, and Wh given back of a Wh put in: common practice, no source.
USABLE = {"lithium": 0.9, "gel": 0.5, "agm": 0.5, "flooded": 0.5, None: 0.5}
GIVEN_BACK = {"lithium": 0.96, "gel": 0.85, "agm": 0.85, "flooded": 0.85, None: 0.85}
AFTER_DIRT_AND_REST = 0.96 * 0.96  # of a panel's power: common practice, no source
POWER_PCT_PER_K = -0.35  # where the catalogue is blank: common practice, no source
FINE_DAY_C = 20.0
TO_FILL = 0.8  # of the usable capacity: from 20 % to full
_SHARE = 0.005
_SECOND_DECIMAL = 0.005 + 1e-9
_BAND_PCT = 0.1 + 1e-9  # the band is written to a tenth


def sizes_are_the_batterys(job: Job, plan: Plan) -> Iterator[Breach]:
    """Usable Wh, days without sun, hours to refill and watts per Ah are those of battery and panels."""
    energy = plan.energy
    if energy is None:
        return
    usable = usable_wh(job.battery)
    drawn = [m.demand_wh_day for m in energy.months if not math.isnan(m.demand_wh_day)]
    most = max(drawn, default=0.0)
    right = (
        ("usable_wh", energy.usable_wh, usable, 1.0),
        (
            "days_without_sun",
            energy.days_without_sun,
            None if usable is None or most <= 0.0 else usable / most,
            _SECOND_DECIMAL,
        ),
        ("refill_hours", energy.refill_hours, _refill_hours(job, plan, usable), _SECOND_DECIMAL),
        ("watts_per_ah", energy.watts_per_ah, _watts_per_ah(job, plan), _SECOND_DECIMAL),
    )
    for what, stated, value, slack in right:
        if stated is None or math.isnan(stated):
            continue
        if value is None:
            text = f"{plain(stated)} is stated as {what}; what it follows from is not known"
            yield Breach("energy-battery", what, text)
        elif differ(stated, value, slack + _SHARE * value):
            a, b = figures(stated, value)
            yield Breach("energy-battery", what, f"{a} is stated as {what}; it is {b}")


def band_is_in_order(job: Job, plan: Plan) -> Iterator[Breach]:
    """Every day's low, middle and high charge rise and lie between 0 and 100 %; of wrong days the first."""
    for number, day in enumerate(plan.energy.soc_band_pct if plan.energy is not None else (), start=1):
        low, middle, high = day
        text = f"day {number} states charges of {', '.join(plain(v) for v in day)} %"
        if not all(-1e-6 <= v <= 100.0 + 1e-6 for v in day):
            yield Breach("energy-value", f"day {number}", f"{text}; they must lie between 0 and 100 %")
            return
        if low > middle + _BAND_PCT or middle > high + _BAND_PCT:
            yield Breach("energy-value", f"day {number}", f"{text}; they must rise")
            return


def usable_wh(battery: Battery | None) -> float | None:
    if battery is None or battery.capacity_ah is None:
        return None
    share = USABLE[battery.chemistry] if battery.usable_pct is None else battery.usable_pct / 100.0
    return battery.capacity_ah * battery.nominal_v * share


def _refill_hours(job: Job, plan: Plan, usable_wh: float | None) -> float | None:
    """With the sun overhead, panels warm and dirty, through cables, and controllers as they are set."""
    if job.battery is None or usable_wh is None or plan.wiring is None:
        return None
    volts = job.battery.nominal_v + (job.battery.charge_v - job.battery.nominal_v) / 2.0  # while it charges
    watts = sum(_reaches_battery_w(job, plan, load, volts) for load in plan.wiring.controllers)
    return None if watts <= 0.0 else TO_FILL * usable_wh / GIVEN_BACK[job.battery.chemistry] / watts


def _reaches_battery_w(job: Job, plan: Plan, load: ControllerLoad, volts: float) -> float:
    """W of a controller: what each string gives, less its drop, what unlike ones lose, the drop behind."""
    controller = controller_of(job, plan, load.controller)
    if controller is None or plan.wiring is None:
        return 0.0
    rise_k = hottest_cell_c(FINE_DAY_C) - FINE_DAY_C  # of a level panel
    given_w = 0.0
    for string in strings_of(plan):
        if string.controller != load.controller:
            continue
        rated_w = warm_w = 0.0
        light = _from_overhead(job, string.facet)
        warmer_k = FINE_DAY_C + rise_k * light - 25.0
        for m in models_of(job, plan, string):
            pct = POWER_PCT_PER_K if m.power_pct_per_k is None else m.power_pct_per_k
            rated_w += m.power_w
            warm_w += m.power_w * light * AFTER_DIRT_AND_REST * max(0.0, 1.0 + pct * warmer_k / 100.0)
        tracker = f"{string.controller} tracker {string.tracker} joint"
        lost_pct = _drop_pct(plan, string.string, tracker)
        part = warm_w / rated_w if rated_w > 0.0 else 0.0  # of full power, and so of the current
        warm_w -= warm_w * part * lost_pct / 100.0
        for unlike in plan.wiring.mismatch:
            if (unlike.controller, unlike.tracker) == (string.controller, string.tracker):
                warm_w -= 0.0 if math.isnan(unlike.loss_pct) else warm_w * unlike.loss_pct / 100.0
        given_w += warm_w
    own_a = controller.max_charge_a
    most_a = own_a if load.set_a is None or math.isnan(load.set_a) else load.set_a
    out_w, most_w = given_w * controller.efficiency_pct / 100.0, most_a * volts
    if most_w <= 0.0:
        return 0.0
    out_w -= out_w * min(out_w / most_w, 1.0) * _drop_pct(plan, load.controller) / 100.0
    return min(out_w, most_w)


def _from_overhead(job: Job, facet: str) -> float:
    """Of 1000 W/m² on the level what falls on a facet with the sun overhead: its plan area to its own."""
    slopes = [f.slope_deg for f in job.facets if f.name == facet]
    return max(math.cos(math.radians(slopes[0])), 0.0) if slopes else 1.0


def _drop_pct(plan: Plan, *starts: str) -> float:
    """Of the stated cables that begin there."""
    drops = [r.drop_pct for r in (plan.wiring.runs if plan.wiring is not None else ()) if r.start in starts]
    return sum(d for d in drops if d is not None and not math.isnan(d))


def _watts_per_ah(job: Job, plan: Plan) -> float | None:
    """Panels that may charge to the Ah of a battery of 12 V with as many Wh."""
    battery = job.battery
    if battery is None or not battery.capacity_ah:
        return None
    off = () if plan.wiring is None else plan.wiring.unwired
    models = [model_of(job, p) for p in plan.layout.panels if p.panel not in off]
    watts = sum(m.power_w for m in models if m is not None)
    return watts * 12.0 / (battery.capacity_ah * battery.nominal_v)
