"""What each cable of a plan has to do: design and working current, and what its drop is a share of."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from rooflayout.inspection.electrical import (
    CURRENT_FACTOR,
    hottest_air_c,
    hottest_cell_c,
    lacking,
    string_isc_a,
    vmp_hot_v,
)
from rooflayout.inspection.lookup import controller_of, models_of, tracker_strings
from rooflayout.job import ControllerModel, Job, PanelModel
from rooflayout.plan import CableRun, PanelString, Plan

BATTERY, MAIN = "battery", "main"  # kinds of run
BUSBAR = "busbar"  # where controllers join
CHARGE_FACTOR = 1.25  # on the charge current: NEC 215.3, a load that goes on for hours, from memory


@dataclass(frozen=True, slots=True)
class Duty:
    """What one run of a plan has to do.

    current_a is that for which it is sized, working_a that of its drop. strings are those whose current it
    carries, others those in parallel with a string's own run; controller is set for a battery's run.
    """

    run: CableRun
    strings: tuple[PanelString, ...]
    others: tuple[PanelString, ...]
    current_a: float
    working_a: float
    voltage_v: float
    controller: ControllerModel | None = None


def joint_of(controller: str, tracker: int) -> str:
    """Where the strings of a tracker join."""
    return f"{input_of(controller, tracker)} joint"


def input_of(controller: str, tracker: int) -> str:
    """The tracker, as the end of a cable."""
    return f"{controller} tracker {tracker}"


def duties(job: Job, plan: Plan) -> Iterator[Duty]:
    """The duty of each run whose names and whose panels' figures are known; other rules report the rest."""
    for run in plan.wiring.runs if plan.wiring and job.wants_wiring else ():
        duty = {BATTERY: _battery_duty, MAIN: _main_duty}.get(run.kind, _panels_duty)
        found = duty(job, plan, run)
        if found is not None:
            yield found


def isc_a(job: Job, plan: Plan, string: PanelString) -> float:
    """Short-circuit current, A, of a string at standard test conditions."""
    return string_isc_a(models_of(job, plan, string))


def _panels_duty(job: Job, plan: Plan, run: CableRun) -> Duty | None:
    """IEC 62548 and NEC 690.8(A): 1.25 times Isc; the drop at Imp (Isc where blank) and the hot voltage."""
    own: list[PanelString] = []
    others: list[PanelString] = []
    for (controller, tracker), strings in tracker_strings(plan).items():
        if run.kind == "array" and run.start == joint_of(controller, tracker):
            own = strings
        elif run.kind == "string" and any(s.string == run.start for s in strings):
            own = [s for s in strings if s.string == run.start]
            others = [s for s in strings if s.string != run.start]
    models = [models_of(job, plan, s) for s in [*own, *others]]
    if not own or any(not m or lacking(m) for m in models):
        return None
    cell_c = hottest_cell_c(hottest_air_c(job, plan))
    return Duty(
        run,
        tuple(own),
        tuple(others),
        current_a=CURRENT_FACTOR * sum(isc_a(job, plan, s) for s in own),
        working_a=sum(max(_imp_a(m) for m in ms) for ms in models[: len(own)]),
        voltage_v=min(vmp_hot_v(ms, cell_c) for ms in models[: len(own)]),
    )


def _imp_a(model: PanelModel) -> float:
    return model.imp_a if model.imp_a is not None else model.isc_a or 0.0


def _battery_duty(job: Job, plan: Plan, run: CableRun) -> Duty | None:
    """1.25 times what the controller can charge with; the drop at the charge current and nominal voltage."""
    controller = controller_of(job, plan, run.start)
    if controller is None or job.battery is None or plan.wiring is None:
        return None
    strings = tuple(s for s in plan.wiring.strings if s.controller == run.start)
    watts = sum(m.power_w for s in strings for m in models_of(job, plan, s))
    charge_a = min(controller.max_charge_a, watts * controller.efficiency_pct / 100 / job.battery.charge_v)
    stated = [c.charge_a for c in plan.wiring.controllers if c.controller == run.start]
    if stated and math.isfinite(stated[0]):
        charge_a = min(charge_a, stated[0])  # it may be set down; another rule checks that
    design_a = CHARGE_FACTOR * controller.max_charge_a
    return Duty(run, strings, (), design_a, charge_a, job.battery.nominal_v, controller)


def _main_duty(job: Job, plan: Plan, run: CableRun) -> Duty | None:
    """1.25 times what the controllers on the busbar can charge with together, or are set down to."""
    if job.battery is None or plan.wiring is None:
        return None
    joined = [r for r in plan.wiring.runs if r.kind == BATTERY and r.end == BUSBAR]
    set_a = {c.controller: c.set_a for c in plan.wiring.controllers}
    together_a, working_a = 0.0, 0.0
    for own in joined:
        duty = _battery_duty(job, plan, own)
        if duty is None or duty.controller is None:
            return None
        limit_a, stated = duty.controller.max_charge_a, set_a.get(own.start)
        if stated is not None and math.isfinite(stated):
            limit_a = min(limit_a, stated)
        together_a += limit_a
        working_a += duty.working_a
    design_a = CHARGE_FACTOR * together_a
    return Duty(run, (), (), design_a, working_a, job.battery.nominal_v) if joined else None
