"""What the installer should know about a wiring."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rooflayout.job import Battery, ControllerModel, Job, MountingSpace
from rooflayout.plan import Note, PlacedPanel, Severity, Wiring
from rooflayout.wiring import limits
from rooflayout.wiring.battery_kind import lithium_in_frost, usual_charge
from rooflayout.wiring.enough import held_by_the_battery
from rooflayout.wiring.figures import roof_battery
from rooflayout.wiring.hanging import hanging_words, most_that_hang
from rooflayout.wiring.kept_apart import kept_among_new
from rooflayout.wiring.mounting import Short, fits, short_of, unsized
from rooflayout.wiring.options import MOST_CONTROLLERS
from rooflayout.wiring.reasons import why_controller, why_not_model
from rooflayout.wiring.sun_and_engine import engine_beside, most_sun_a, sun_and_engine


def wiring_notes(job: Job, wiring: Wiring, panels: Sequence[PlacedPanel] = ()) -> tuple[Note, ...]:
    """Notes on what is cut off, on the number of controllers and their space, on panels left off.

    Without the plan's panels the notes on those left off can only name them.
    """
    return (
        *clipping(job, wiring),
        *battery_limit(job, wiring),
        *sun_and_engine(job, wiring),
        *lithium_in_frost(job, wiring),
        *crowd(job, wiring),
        *mounting_space(job, wiring),
        *idle(job, wiring),
        *left_off(job, wiring, panels),
        *kept_among_new(wiring, panels),
    )


def idle(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note for each fitted controller that carries nothing, with the reason."""
    if job.controllers is None or job.controllers.choose or job.battery is None:
        return ()
    models = {c.model: c for c in job.controllers.fitted}
    found = []
    for load in wiring.controllers:
        if any(s.controller == load.controller for s in wiring.strings):
            continue
        model = models[load.model]
        severity: Severity = "warning"
        if not limits.serves_battery(model, job.battery):
            served = limits.served_text(model)
            why = f"it serves batteries of {served} V, not of {job.battery.nominal_v:g} V."
        elif (nearest := why_controller(job, wiring.temperatures, model)) is not None:
            why = f"no panel of the job can be wired to it. {nearest}"
        else:
            severity, why = "caution", "the best layout found has no string left that it may take."
        text = f"{load.controller} ({load.model}) carries nothing: {why}"
        found.append(Note(severity, "controller-idle", text))
    return tuple(found)


def clipping(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note for each controller whose own charge limit cuts off more than most_clipped_pct."""
    if job.controllers is None or job.battery is None:
        return ()
    cap_pct = job.controllers.most_clipped_pct
    models = job.controller_models()
    found = []
    for load in wiring.controllers:
        clipped_w = limits.clipped_w(load.power_w, models[load.model], job.battery)
        clipped_pct = 100.0 * clipped_w / load.power_w if load.power_w else 0.0
        if clipped_pct <= cap_pct * (1.0 + limits.TOLERANCE):
            continue
        text = (
            f"{load.controller} ({load.model}) cuts off {clipped_w:.0f} W of its {load.power_w:.0f} W "
            f"in full sun, {clipped_pct:.1f} %"
        )
        held = held_by_the_battery(job, wiring, load.controller)
        if held is not None:
            text += f": {held}"
        elif job.controllers.choose:
            within = " that hangs in the mounting space" if wiring.mounted is not None else ""
            text += f": no set of {MOST_CONTROLLERS} controllers or fewer{within} keeps to {cap_pct:g} %"
        found.append(Note("caution", "clipped", f"{text}."))
    return tuple(found)


def battery_limit(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note when the controllers could charge with more than the battery takes: what to set each to."""
    if job.battery is None or job.battery.most_charge_a is None:
        return ()
    models = job.controller_models()
    set_down = [load for load in wiring.controllers if load.set_a is not None]
    if not set_down:
        return ()
    could_a = sum(models[load.model].max_charge_a for load in wiring.controllers if load.power_w > 0.0)
    lost_w = sum(
        load.clipped_w - limits.clipped_w(load.power_w, models[load.model], job.battery) for load in set_down
    )
    settings = ", ".join(f"{load.controller} ({load.model}) to {load.set_a:.1f} A" for load in set_down)
    left_a = roof_battery(job).most_charge_a or 0.0
    beside = f", {left_a:.1f} A beside the portable panels" if left_a < job.battery.most_charge_a else ""
    who = "The controller" if len(wiring.controllers) == 1 else "The controllers together"
    text = (
        f"{who} could charge with {could_a:g} A, the battery takes {job.battery.most_charge_a:g} A at most"
        f"{beside}. "
        f"Set the charge current down: {settings}"
    )
    return (Note("caution", "battery-charge-limit", f"{text}{_cut_for_the_battery(job, wiring, lost_w)}."),)


def unknown_charge(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """What the battery will be charged with, where the job does not say what it takes."""
    battery = job.battery
    if battery is None or battery.most_charge_a is not None:
        return ()
    charge_a = most_sun_a(job, wiring)
    if charge_a <= 0.0:
        return ()
    share = ""
    if battery.capacity_ah is not None:
        pct = 100.0 * charge_a / battery.capacity_ah
        share = f", {pct:.0f} A for each 100 Ah"
    text = (
        f"What the battery takes at most is not given ([battery] most_charge): in full sun it gets "
        f"up to {charge_a:.0f} A while it is low{share}{engine_beside(job, charge_a)}"
        f"{usual_charge(battery)}; look it up."
    )
    return (Note("caution", "battery-charge-unknown", text),)


def _cut_for_the_battery(job: Job, wiring: Wiring, lost_w: float) -> str:
    """What the battery's limit cuts off in full sun, and that no controllers to be chosen could help."""
    if lost_w < 0.5:
        return ""
    power_w = sum(load.power_w for load in wiring.controllers)
    lost_pct = 100.0 * lost_w / power_w
    cut = f"; that cuts off {lost_w:.0f} W of {power_w:.0f} W in full sun, {lost_pct:.0f} %"
    if job.controllers is None or not job.controllers.choose:
        return cut
    cap_pct = job.controllers.most_clipped_pct
    if lost_pct <= cap_pct * (1.0 + limits.TOLERANCE):
        return cut
    most_a = round(roof_battery(job).most_charge_a or 0.0, 1)
    return (
        f"{cut}. [controllers] most_clipped_pct = {cap_pct:g} is not kept: no controller can keep it, as the "
        f"battery takes only {most_a:g} A from the roof. Raise [battery] "
        "most_charge if the battery's maker allows it, or fit fewer watts (use, budget, stock)"
    )


def mounting_space(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note when the controllers do not hang in the space for them, or when that cannot be checked."""
    space, models = job.mounting_space, job.controller_models()
    boxes = [models[load.model] for load in wiring.controllers]
    if space is None or not boxes:
        return ()
    blank = unsized(boxes)
    if blank:
        text = f"Whether the controllers hang in the mounting space was not checked: {', '.join(blank)} "
        return (Note("caution", "mounting-space", f"{text}has no length, width or height in the catalogue."),)
    if fits(space, boxes):
        return ()
    names = ", ".join(load.controller for load in wiring.controllers)
    size = f"{space.width_mm:g} x {space.height_mm:g} x {space.depth_mm:g} mm"
    text = f"{names} did not fit the mounting space ({size}, {space.clearance_mm:g} mm round each box): "
    text += _lacking(short_of(space, boxes))
    if job.controllers is not None and job.controllers.choose:
        text += " No set of the catalogue for these watts was found that fits."
        text += _what_would_hang(space, job.controllers.catalogue, job.battery)
    return (Note("warning", "mounting-space", text),)


def _what_would_hang(
    space: MountingSpace, catalogue: Sequence[ControllerModel], battery: Battery | None
) -> str:
    """Which controllers there is room for, or that there is room for none."""
    if not unsized(catalogue) and not any(fits(space, [controller]) for controller in catalogue):
        return " Not even one box of it does: are width, height and depth right?"
    hang = () if battery is None else most_that_hang(space, catalogue, battery)
    if not hang:
        return ""
    names = ", ".join(f'"{controller.model}"' for controller in hang)
    return f" There is room for {hanging_words(hang)}: fitted = [{names}] plans the most watts for them."


def _lacking(short: Short) -> str:
    """What is missing in mm, whole ones, rounded up."""
    ways = [
        f"{math.ceil(more_mm)} mm more {side}"
        for more_mm, side in ((short.width_mm, "width"), (short.height_mm, "height"))
        if more_mm
    ]
    deeper = f"{math.ceil(short.depth_mm)} mm more depth"
    flat = 0.0 in (short.width_mm, short.height_mm)
    if flat:
        return f"it lacks {deeper}."
    if short.together_mm is not None:
        wider_mm, higher_mm = short.together_mm
        ways = [f"{math.ceil(wider_mm)} mm more width and {math.ceil(higher_mm)} mm more height"]
    across = " or ".join(ways) or "more width and height than was found out"
    return f"it lacks {across}{f', and {deeper}' if short.depth_mm else ''}."


def crowd(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note when more controllers were chosen than anyone would fit."""
    if job.controllers is None or not job.controllers.choose or len(wiring.controllers) <= MOST_CONTROLLERS:
        return ()
    text = f"{len(wiring.controllers)} controllers: the catalogue has none large enough to do with fewer."
    return (Note("caution", "many-controllers", text),)


def left_off(job: Job, wiring: Wiring, panels: Sequence[PlacedPanel]) -> tuple[Note, ...]:
    """A note for the kept panels of each model and facet that are on no string, with the reason."""
    models = {k.model.model: k.model for k in job.kept}
    off = [p for p in panels if p.panel in wiring.unwired]
    planned = {load.model for load in wiring.controllers}
    found = []
    if wiring.unwired and not off:
        found.append(Note("caution", "kept-unwired", f"{', '.join(wiring.unwired)}: kept but on no string."))
    for facet, name in dict.fromkeys((p.facet, p.model) for p in off):
        own = [p.panel for p in off if (p.facet, p.model) == (facet, name)]
        there = sum((p.facet, p.model) == (facet, name) for p in panels)
        reasons = why_not_model(job, wiring.temperatures, models[name], there, planned)
        reasons = reasons or ["The other panels leave no tracker that takes it."]
        text = (
            f"{', '.join(own)} ({name} on {facet}) {'is' if len(own) == 1 else 'are'} kept but on no string."
        )
        found.append(Note("caution", "kept-unwired", " ".join([text, *reasons])))
    return tuple(found)
