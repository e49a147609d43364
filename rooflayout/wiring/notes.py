"""What the installer should know about a wiring."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.job import Job
from rooflayout.plan import Note, PlacedPanel, Wiring
from rooflayout.wiring import limits
from rooflayout.wiring.options import MOST_CONTROLLERS
from rooflayout.wiring.reasons import why_not_model


def wiring_notes(job: Job, wiring: Wiring, panels: Sequence[PlacedPanel] = ()) -> tuple[Note, ...]:
    """Notes on fuses, on what is cut off, on the number of controllers and on panels left off.

    Without the plan's panels the notes on those left off can only name them.
    """
    return (
        *string_fuses(job, wiring),
        *clipping(job, wiring),
        *crowd(job, wiring),
        *idle(job, wiring),
        *left_off(job, wiring, panels),
    )


def string_fuses(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note for each tracker whose strings need a fuse each."""
    models = {m.model: m for m in (*job.panels.models, *(k.model for k in job.kept))}
    found = []
    for controller, tracker in dict.fromkeys((s.controller, s.tracker) for s in wiring.strings):
        strings = [s for s in wiring.strings if (s.controller, s.tracker) == (controller, tracker)]
        model = models[strings[0].model]
        if limits.needs_string_fuses(model, len(strings)):
            rating = model.max_series_fuse_a
            size = "no rating is in the catalogue" if rating is None else f"at most {rating:g} A"
            where = f"{controller} tracker {tracker}: {len(strings)} strings are in parallel"
            text = f"{where}, so each needs a fuse of its own ({model.model}: {size})."
            found.append(Note("caution", "string-fuses", text))
    return tuple(found)


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
        if limits.serves_battery(model, job.battery):
            why = "the best layout found has no string left that it may take"
        else:
            served = limits.served_text(model)
            why = f"it serves batteries of {served} V, not of {job.battery.nominal_v:g} V"
        found.append(
            Note("caution", "controller-idle", f"{load.controller} ({load.model}) carries nothing: {why}.")
        )
    return tuple(found)


def clipping(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note for each controller that cuts off more than most_clipped_pct."""
    if job.controllers is None:
        return ()
    cap_pct = job.controllers.most_clipped_pct
    found = []
    for load in wiring.controllers:
        if load.clipped_pct <= cap_pct * (1.0 + limits.TOLERANCE):
            continue
        text = (
            f"{load.controller} ({load.model}) cuts off {load.clipped_w:.0f} W of its {load.power_w:.0f} W "
            f"in full sun, {load.clipped_pct:.1f} %"
        )
        if job.controllers.choose:
            text += f": no set of {MOST_CONTROLLERS} controllers or fewer keeps to {cap_pct:g} %"
        found.append(Note("caution", "clipped", f"{text}."))
    return tuple(found)


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
    found = []
    if wiring.unwired and not off:
        found.append(Note("caution", "kept-unwired", f"{', '.join(wiring.unwired)}: kept but on no string."))
    for facet, name in dict.fromkeys((p.facet, p.model) for p in off):
        own = [p.panel for p in off if (p.facet, p.model) == (facet, name)]
        there = sum((p.facet, p.model) == (facet, name) for p in panels)
        reasons = why_not_model(job, wiring.temperatures, models[name], there)
        reasons = reasons or ["The other panels leave no tracker that takes it."]
        text = (
            f"{', '.join(own)} ({name} on {facet}) {'is' if len(own) == 1 else 'are'} kept but on no string."
        )
        found.append(Note("caution", "kept-unwired", " ".join([text, *reasons])))
    return tuple(found)
