"""Whether the figures that a plan states equal the ones worked out here.

A figure that is not stated (NaN) is passed over: plans made by hand leave some out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rooflayout.energy.climate import coldest_design_c, hottest_design_c
from rooflayout.inspection.breach import Breach, figures
from rooflayout.inspection.electrical import (
    COLDEST_C,
    HOTTEST_C,
    coldest_c,
    hottest_air_c,
    hottest_cell_c,
    lacking,
    string_isc_a,
    vmp_hot_v,
    voc_cold_v,
)
from rooflayout.inspection.lookup import controller_of, models_of, tracker_strings
from rooflayout.job import Battery, ControllerModel, Job, PanelModel
from rooflayout.plan import ControllerLoad, Plan

_SHARE = 0.005
_SECOND_DECIMAL = 0.005 + 1e-9
_FIRST_DECIMAL = 0.05 + 1e-9


def agrees(stated: float, right: float) -> bool:
    """True when a stated figure is within 0.5 % of the right one, or is that one rounded to
    one decimal or more, or is NaN."""
    if math.isnan(stated):
        return True
    return abs(stated - right) <= max(_SHARE * abs(right), _rounded_by(stated))


def _rounded_by(stated: float) -> float:
    """How much a figure may be off that is rounded to one decimal or more."""
    return _FIRST_DECIMAL if abs(stated - round(stated, 1)) < 1e-9 else _SECOND_DECIMAL


def temperatures_are_the_jobs(job: Job, plan: Plan) -> Iterator[Breach]:
    """The design temperatures are the job's, and the hottest cell follows from the hottest air."""
    if plan.wiring is None:
        return
    stated, site = plan.wiring.temperatures, job.site
    for name, found, right in (
        ("coldest_cell_c", stated.coldest_cell_c, site.coldest_c if site else None),
        ("hottest_air_c", stated.hottest_air_c, site.hottest_c if site else None),
        ("hottest_cell_c", stated.hottest_cell_c, hottest_cell_c(hottest_air_c(job, plan))),
    ):
        if right is not None and not math.isnan(found) and not abs(found - right) <= _FIRST_DECIMAL:
            a, b = figures(found, right)
            yield Breach("temperature", name, f"the wiring states {name} {a} °C; it is {b} °C")


def temperatures_are_no_milder_than_estimated(job: Job, plan: Plan) -> Iterator[Breach]:
    """Where the job gives none, the plan's own are not milder than the climate data say, nor than assumed."""
    if plan.wiring is None:
        return
    stated, site = plan.wiring.temperatures, job.site
    place = None
    if site is not None and site.latitude_deg is not None and site.longitude_deg is not None:
        place = site.latitude_deg, site.longitude_deg
    if site is None or site.coldest_c is None:
        right = coldest_design_c(*place) if place else COLDEST_C
        if stated.coldest_cell_c > right + _FIRST_DECIMAL:
            text = f"the wiring states {stated.coldest_cell_c:g} °C; {right:.0f} °C is to be expected there"
            yield Breach("temperature", "coldest_cell_c", text)
    if site is None or site.hottest_c is None:
        right = hottest_design_c(*place) if place else HOTTEST_C
        if stated.hottest_air_c < right - _FIRST_DECIMAL:
            text = f"the wiring states {stated.hottest_air_c:g} °C; {right:.0f} °C is to be expected there"
            yield Breach("temperature", "hottest_air_c", text)


def string_figures_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """Voltages, current, watts and voltage limit stated for a string are those of its panels and input."""
    if plan.wiring is None:
        return
    cold = coldest_c(job, plan)
    cell = hottest_cell_c(hottest_air_c(job, plan))
    for string in plan.wiring.strings:
        models = models_of(job, plan, string)
        right = {"power_w": (string.power_w, sum(m.power_w for m in models))}
        if not lacking(models):
            right["voc_cold_v"] = string.voc_cold_v, voc_cold_v(models, cold)
            right["vmp_hot_v"] = string.vmp_hot_v, vmp_hot_v(models, cell)
            right["isc_a"] = string.isc_a, string_isc_a(models)
        controller = controller_of(job, plan, string.controller)
        if string.limit_v is not None and controller is not None:
            right["limit_v"] = string.limit_v, limit_v(job, controller, models)
        yield from wrong(string.string, right)


def limit_v(job: Job, controller: ControllerModel, models: Sequence[PanelModel]) -> float:
    """The most, V, that a string of these panels may reach: by tracker, panels and the job's own cap."""
    panels = [m.max_system_v for m in models if m.max_system_v is not None]
    cap = job.wiring_rules.most_string_v
    return min([controller.max_pv_v, *panels, *([] if cap is None else [cap])])


def controller_figures_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """Watts, currents and what the charge limit cuts off are those of the controller's strings.

    The charge limit is what the plan states that it is set down to. Where the battery has a limit of its
    own and no setting is stated, a smaller charge current than the panels give counts as one.
    """
    if plan.wiring is None or job.battery is None:
        return
    for load in plan.wiring.controllers:
        controller = controller_of(job, plan, load.controller)
        if controller is None:
            continue
        strings = [models_of(job, plan, s) for s in plan.wiring.strings if s.controller == load.controller]
        power = sum(m.power_w for models in strings for m in models)
        amps = power * controller.efficiency_pct / 100 / job.battery.charge_v
        most = _charge_limit_a(job.battery, controller, load, amps)
        carried = most * job.battery.charge_v / (controller.efficiency_pct / 100)
        clipped = max(0.0, power - carried)
        right = {
            "power_w": (load.power_w, power),
            "charge_a": (load.charge_a, min(most, amps)),
            "clipped_w": (load.clipped_w, clipped),
            "clipped_pct": (load.clipped_pct, 100 * clipped / power if power else 0.0),
        }
        if not any(lacking(models) for models in strings):
            right["isc_a"] = load.isc_a, sum(string_isc_a(models) for models in strings)
        yield from wrong(load.controller, right)


def _charge_limit_a(
    battery: Battery, controller: ControllerModel, load: ControllerLoad, panels_a: float
) -> float:
    """panels_a: what the panels could give; a stated current that is this, rounded, is no setting."""
    set_a, could_a = load.set_a, min(controller.max_charge_a, panels_a)
    if set_a is None and battery.most_charge_a is not None:
        set_a = load.charge_a if could_a - load.charge_a > _rounded_by(load.charge_a) else None
    if set_a is None or math.isnan(set_a):
        return controller.max_charge_a
    return min(controller.max_charge_a, set_a)


def mismatch_is_within_the_jobs(job: Job, plan: Plan) -> Iterator[Breach]:
    """What unlike strings are stated to lose is no more than the job allows, and they are that tracker's."""
    most = job.wiring_rules.most_mismatch_pct
    for m in plan.wiring.mismatch if plan.wiring else ():
        where = f"{m.controller} tracker {m.tracker}"
        if m.loss_pct > most + _SECOND_DECIMAL:  # plans state it in hundredths
            a, b = figures(m.loss_pct, most)
            text = f"{', '.join(m.strings)} on {where} lose {a} % together; the job allows {b} %"
            yield Breach("mismatch", where, text)
        there = [s.string for s in tracker_strings(plan).get((m.controller, m.tracker), [])]
        if sorted(m.strings) != sorted(there):
            text = f"the mismatch of {where} is stated for {', '.join(m.strings) or 'no string'}; on it are "
            yield Breach("mismatch-strings", where, f"{text}{', '.join(there) or 'none'}")


def readings_and_runs_name_what_is_there(job: Job, plan: Plan) -> Iterator[Breach]:
    """A meter reading and a string's cable are of a string of the plan, a battery's cable of a controller."""
    if plan.wiring is None:
        return
    strings = {s.string for s in plan.wiring.strings}
    controllers = {c.controller for c in plan.wiring.controllers} | {
        s.controller for s in plan.wiring.strings
    }
    for reading in plan.wiring.readings:
        if reading.string not in strings:
            text = f"a meter reading is stated for {reading.string}; no string has that name"
            yield Breach("reading-string", reading.string, text)
    portable = {s.name for s in plan.wiring.portable}
    for reading in plan.wiring.portable_readings:
        if reading.string not in portable:
            text = f"a meter reading is stated for {reading.string}; no portable panels have that name"
            yield Breach("reading-string", reading.string, text)
    for run in plan.wiring.runs:
        if run.kind == "string" and run.start not in strings:
            text = f"{run.run} begins at {run.start}; no string has that name"
            yield Breach("run-start", run.run, text)
        elif run.kind == "battery" and run.start not in controllers:
            text = f"{run.run} begins at {run.start}; no controller has that name"
            yield Breach("run-start", run.run, text)


def wrong(where: str, right: dict[str, tuple[float, float]]) -> Iterator[Breach]:
    """A breach for each figure, (stated, worked out) by name, that does not agree."""
    for name, (stated, worked_out) in right.items():
        if not agrees(stated, worked_out):
            a, b = figures(stated, worked_out)
            yield Breach("stated-value", where, f"{where} states {name} {a}; it is {b}")
