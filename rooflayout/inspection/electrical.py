"""What strings may do to controllers: plain arithmetic in V, A, W and °C, one rule a function.

Sources: NEC 690.7(A) (cold voltage), IEC 62548 and NEC 690.8(A) (1.25 times the short-circuit
current), King et al. 2004, SAND2004-3535 (cell temperature, close-mounted glass/glass).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.lookup import TOLERANCE, controller_of, models_of, strings_of, tracker_strings
from rooflayout.job import Job, PanelModel
from rooflayout.plan import Plan

# Factors on the open-circuit voltage of crystalline panels, NEC table 690.7(A): from memory, checked
# against 1 + 0.004 x (25 - T), which gives every row down to -25 °C. (lowest whole °C of the row, factor)
_COLD_ROWS = (
    (20, 1.02),
    (15, 1.04),
    (10, 1.06),
    (5, 1.08),
    (0, 1.10),
    (-5, 1.12),
    (-10, 1.14),
    (-15, 1.16),
    (-20, 1.18),
    (-25, 1.20),
    (-30, 1.21),
    (-35, 1.23),
    (-40, 1.25),
)
CURRENT_FACTOR = 1.25  # on the short-circuit current: NEC 690.8(A), IEC 62548
_ISC_PCT_PER_K = 0.05  # where the catalogue's cell is blank
_VMP_PCT_PER_K = -0.50  # where the power's coefficient is blank
_CURRENT_ROUNDED_A = 0.005 + 1e-6  # a plan states currents in hundredths
COLDEST_C, HOTTEST_C = -20.0, 45.0  # where neither job nor plan gives a temperature


def coldest_c(job: Job, plan: Plan) -> float:
    """The coldest cell temperature, °C: the job's, else the plan's, else -20."""
    stated = plan.wiring.temperatures.coldest_cell_c if plan.wiring else math.nan
    return _first_given(job.site.coldest_c if job.site else None, stated, COLDEST_C)


def hottest_air_c(job: Job, plan: Plan) -> float:
    """The hottest air temperature, °C: the job's, else the plan's, else 45."""
    stated = plan.wiring.temperatures.hottest_air_c if plan.wiring else math.nan
    return _first_given(job.site.hottest_c if job.site else None, stated, HOTTEST_C)


def hottest_cell_c(air_c: float) -> float:
    """Cell temperature, °C, of a panel lying flush on a roof at 1000 W/m2 and 1 m/s."""
    return air_c + 1000 * math.exp(-2.98 - 0.0471 * 1.0) + 1.0


def cold_factor(cell_c: float) -> float:
    """What multiplies the open-circuit voltage of a panel without coefficient at a temperature in °C."""
    if cell_c >= 25:
        return 1.0
    for lowest_c, factor in _COLD_ROWS:
        if math.floor(cell_c) >= lowest_c:
            return factor
    return 1 + 0.004 * (25 - cell_c)


def lacking(models: Sequence[PanelModel]) -> list[str]:
    """The electrical values that wiring needs and the catalogue leaves blank, as "model: value"."""
    values = ("voc_v", "vmp_v", "isc_a")
    return sorted({f"{m.model}: {v}" for m in models for v in values if getattr(m, v) is None})


def voc_cold_v(models: Sequence[PanelModel], cell_c: float) -> float:
    """Open-circuit voltage, V, of panels in series at a cell temperature in °C."""
    total = 0.0
    for m in models:
        assert m.voc_v is not None
        if m.voc_pct_per_k is None:
            total += m.voc_v * cold_factor(cell_c)
        else:
            total += m.voc_v * (1 + m.voc_pct_per_k / 100 * (cell_c - 25))
    return total


def vmp_hot_v(models: Sequence[PanelModel], cell_c: float) -> float:
    """Operating voltage, V, of panels in series at a cell temperature in °C.

    Power is voltage times current, so the voltage's coefficient is the power's less the current's.
    """
    total = 0.0
    for m in models:
        assert m.vmp_v is not None
        isc_pct = _ISC_PCT_PER_K if m.isc_pct_per_k is None else m.isc_pct_per_k
        pct = _VMP_PCT_PER_K if m.power_pct_per_k is None else m.power_pct_per_k - isc_pct
        total += m.vmp_v * (1 + pct / 100 * (cell_c - 25))
    return total


def string_isc_a(models: Sequence[PanelModel]) -> float:
    """Short-circuit current, A, of panels in series at standard test conditions; unlike panels count
    with the largest."""
    return max((m.isc_a for m in models if m.isc_a is not None), default=0.0)


def electrical_values_are_given(job: Job, plan: Plan) -> Iterator[Breach]:
    """The catalogue gives what wiring needs of every panel on a string."""
    for string in strings_of(plan):
        for blank in lacking(models_of(job, plan, string)):
            text = f"{string.string} cannot be checked, the catalogue leaves blank: {blank}"
            yield Breach("electrical-value", string.string, text)


def below_tracker_voltage(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string's open-circuit voltage at the coldest stays within the tracker's maximum."""
    cold = coldest_c(job, plan)
    for string in strings_of(plan):
        controller = controller_of(job, plan, string.controller)
        models = models_of(job, plan, string)
        if controller is None or lacking(models):
            continue
        voc = voc_cold_v(models, cold)
        if voc > controller.max_pv_v + TOLERANCE:
            a, b = figures(voc, controller.max_pv_v)
            yield Breach(
                "pv-voltage",
                f"{string.string} on {string.controller}",
                f"{string.string} reaches {a} V open-circuit at {plain(cold)} °C; "
                f"{string.controller} ({controller.model}) takes at most {b} V",
            )


def below_system_voltage(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string's open-circuit voltage at the coldest stays within its panels' system voltage."""
    cold = coldest_c(job, plan)
    for string in strings_of(plan):
        models = models_of(job, plan, string)
        limits = [m.max_system_v for m in models if m.max_system_v is not None]
        if not limits or lacking(models):
            continue
        voc = voc_cold_v(models, cold)
        if voc > min(limits) + TOLERANCE:
            a, b = figures(voc, min(limits))
            yield Breach(
                "system-voltage",
                string.string,
                f"{string.string} reaches {a} V open-circuit at {plain(cold)} °C; "
                f"its panels are made for at most {b} V",
            )


def below_the_jobs_cap(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string's open-circuit voltage at the coldest stays within the cap that the job sets itself."""
    cap, cold = job.wiring_rules.most_string_v, coldest_c(job, plan)
    for string in strings_of(plan):
        models = models_of(job, plan, string)
        if cap is None or lacking(models):
            continue
        voc = voc_cold_v(models, cold)
        if voc > cap + TOLERANCE:
            a, b = figures(voc, cap)
            yield Breach(
                "most-string-voltage",
                string.string,
                f"{string.string} reaches {a} V open-circuit at {plain(cold)} °C; the job allows {b} V",
            )


def above_charge_voltage(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string's operating voltage at the hottest reaches the charge voltage plus what the tracker needs."""
    air = hottest_air_c(job, plan)
    cell = hottest_cell_c(air)
    for string in strings_of(plan):
        controller = controller_of(job, plan, string.controller)
        models = models_of(job, plan, string)
        if controller is None or job.battery is None or not models or lacking(models):
            continue
        needed = job.battery.charge_v + controller.start_above_battery_v
        vmp = vmp_hot_v(models, cell)
        if vmp < needed - TOLERANCE:
            a, b = figures(vmp, needed)
            yield Breach(
                "charge-voltage",
                f"{string.string} on {string.controller}",
                f"{string.string} gives {a} V in {plain(air)} °C air, its cells at {plain(cell, 1)} °C; "
                f"at least {b} V are needed, {plain(job.battery.charge_v)} V to charge and "
                f"{plain(controller.start_above_battery_v)} V above it for the {controller.model}",
            )


def below_tracker_current(job: Job, plan: Plan) -> Iterator[Breach]:
    """1.25 times the short-circuit current of a tracker's strings stays within its maximum."""
    for (name, tracker), strings in tracker_strings(plan).items():
        controller = controller_of(job, plan, name)
        if controller is None:
            continue
        isc = sum(string_isc_a(models_of(job, plan, s)) for s in strings)
        if isc * CURRENT_FACTOR > controller.max_pv_isc_a + TOLERANCE:
            a, b = figures(isc * CURRENT_FACTOR, controller.max_pv_isc_a)
            yield Breach(
                "pv-current",
                f"{name} tracker {tracker}",
                f"{', '.join(s.string for s in strings)} give {plain(isc)} A short-circuit, {a} A with the "
                f"factor of 1.25; {name} ({controller.model}) takes at most {b} A a tracker",
            )


def battery_is_served(job: Job, plan: Plan) -> Iterator[Breach]:
    """A controller that carries a string serves the battery's nominal voltage."""
    for name in dict.fromkeys(s.controller for s in strings_of(plan)):
        controller = controller_of(job, plan, name)
        if controller is None or job.battery is None:
            continue
        nominal = job.battery.nominal_v
        if all(abs(nominal - v) > TOLERANCE for v in controller.battery_v):
            served = ", ".join(plain(v) for v in controller.battery_v) or "none"
            text = f"the battery has {plain(nominal)} V; {name} ({controller.model}) serves {served} V"
            yield Breach("battery-voltage", name, text)


def within_the_batterys_charge(job: Job, plan: Plan) -> Iterator[Breach]:
    """All controllers together charge with no more than the battery takes.

    A controller that is stated to be set down charges with that; where no setting is stated at all, each
    with the current that the plan states, and at most with what its panels give. Portable panels, which are
    not set down, charge a low battery with more than is stated: the same watts at its nominal voltage.
    """
    if job.battery is None or job.battery.most_charge_a is None or plan.wiring is None:
        return
    most = job.battery.most_charge_a
    some_are_set = any(load.set_a is not None for load in plan.wiring.controllers)
    inputs = {own.name: own.controller.max_charge_a for own in job.portable}
    low = job.battery.charge_v / job.battery.nominal_v
    currents = [min(inputs.get(p.name, math.inf), p.charge_a * max(1.0, low)) for p in plan.wiring.portable]
    for load in plan.wiring.controllers:
        controller = controller_of(job, plan, load.controller)
        models = [
            m for s in strings_of(plan) if s.controller == load.controller for m in models_of(job, plan, s)
        ]
        if controller is None or not models:
            continue
        could = controller.max_charge_a
        if load.set_a is not None:
            could = min(could, load.set_a)
        elif not some_are_set:
            watts = sum(m.power_w for m in models)
            could = min(could, watts * controller.efficiency_pct / 100 / job.battery.charge_v)
            could = min(could, load.charge_a) if math.isfinite(load.charge_a) else could
        currents.append(could)
    total = sum(currents)
    if total > most + _CURRENT_ROUNDED_A * len(currents):
        a, b = figures(total, most)
        text = f"the controllers may charge with {a} A together; the battery takes at most {b} A"
        yield Breach("battery-charge", "the battery", text)


def _first_given(asked: float | None, stated: float, default: float) -> float:
    if asked is not None:
        return asked
    return stated if math.isfinite(stated) else default
