"""What the strings and controllers of a finished plan are held against, for whoever prints it.

A plan may be hand-made or as built: what it names and the job does not know is None here, never an error.
"""

from __future__ import annotations

from rooflayout.job import ControllerModel, Job
from rooflayout.plan import PanelString, Wiring
from rooflayout.wiring import limits


def controller_on(job: Job, wiring: Wiring, name: str) -> ControllerModel | None:
    """The catalogue row of the controller that a plan calls C1, C2 ..."""
    names = (load.model for load in wiring.controllers if load.controller == name)
    return job.controller_models().get(next(names, ""))


def limit_v(job: Job, wiring: Wiring, string: PanelString) -> float | None:
    """What a string may reach at open circuit in V: as the plan says, else limits.string_limit_v."""
    if string.limit_v is not None:
        return string.limit_v
    controller, panel = controller_on(job, wiring, string.controller), job.panel_models().get(string.model)
    given = [job.wiring_rules.most_string_v]
    given += [] if panel is None else [panel.max_system_v]
    given += [] if controller is None else [controller.max_pv_v]
    return min((v for v in given if v is not None), default=None)


def needed_v(job: Job, wiring: Wiring, string: PanelString) -> float | None:
    """The operating voltage in V that the string's controller needs to charge: limits.needed_vmp_v."""
    controller = controller_on(job, wiring, string.controller)
    if controller is None or job.battery is None:
        return None
    return limits.needed_vmp_v(job.battery, controller)


def hot_at_controller_v(string: PanelString) -> float:
    """What reaches the controller on the hottest noon in V; what the panels give, where no cable is known."""
    return string.vmp_hot_v if string.vmp_hot_at_controller_v is None else string.vmp_hot_at_controller_v


def worst_tracker_a(wiring: Wiring, controller: str) -> float:
    """Design current in A (limits.design_isc_a) on the controller's tracker that carries most; 0 if none."""
    carried: dict[int, float] = {}
    for string in wiring.strings:
        if string.controller == controller:
            own = limits.design_isc_a(string.isc_a)
            carried[string.tracker] = carried.get(string.tracker, 0.0) + own
    return max(carried.values(), default=0.0)
