"""Fitted controllers that could carry nothing, told beside the problems of a job.

Where the job has no problems the wiring tells them itself, with the temperatures of the place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rooflayout.job import Battery, ControllerModel, Controllers, PanelModel
from rooflayout.survey.problems import Findings
from rooflayout.survey.words import number_text, show

CURRENT_FACTOR = 1.25  # on Isc: IEC 62548 (from memory), NEC 690.8(A)
TOLERANCE = 1e-9


def note_idle_controllers(
    findings: Findings,
    battery: Battery | None,
    controllers: Controllers | None,
    panels: Sequence[PanelModel],
) -> None:
    """A warning for each fitted model that serves another battery, or whose limits keep off every panel.

    Where no fitted one serves the battery, which is a problem of its own, only what no battery would mend.
    """
    if battery is None or controllers is None:
        return
    fitted = {c.model: c for c in controllers.fitted}.values()
    right_battery = battery if any(_serves(c, battery) for c in fitted) else None
    for controller in fitted:
        why = _why_idle(controller, right_battery, panels)
        if why:
            text = f"[controllers] fitted: {show(controller.model)} would carry nothing: {why}."
            findings.note("warning", "controller-idle", text)


def _why_idle(controller: ControllerModel, battery: Battery | None, panels: Sequence[PanelModel]) -> str:
    """Why it carries nothing whatever the temperatures; empty where it may carry something."""
    if battery is not None and not _serves(controller, battery):
        served = " or ".join(number_text(volts) for volts in controller.battery_v)
        return f"it serves batteries of {served} V, not of {number_text(battery.nominal_v)} V"
    if not panels or any(may_take(controller, panel, battery) for panel in panels):
        return ""
    limits = f"{number_text(controller.max_pv_v)} V and {number_text(controller.max_pv_isc_a)} A"
    reaches = "" if battery is None else " and still charges the battery"
    return f"no panel to use keeps to its {limits} at most{reaches}"


def may_take(controller: ControllerModel, panel: PanelModel, battery: Battery | None) -> bool:
    """Whether some number in series keeps to voltage and current limit and charges (None: any battery), with
    cells at 25 °C; a panel whose figures are blank may. Cold mornings and hot noons leave fewer numbers."""
    if not panel.voc_v or not panel.vmp_v or not panel.isc_a:
        return True
    needed_v = 0.0 if battery is None else battery.charge_v + controller.start_above_battery_v
    least = math.ceil(needed_v / panel.vmp_v - TOLERANCE)
    most = math.floor(controller.max_pv_v / panel.voc_v + TOLERANCE)
    current_fits = CURRENT_FACTOR * panel.isc_a <= controller.max_pv_isc_a * (1 + TOLERANCE)
    return current_fits and max(1, least) <= most


def _serves(controller: ControllerModel, battery: Battery) -> bool:
    return any(math.isclose(volts, battery.nominal_v) for volts in controller.battery_v)
