"""Notes on what the sun gives: what clips, what is shaded, when the battery runs empty, what is assumed."""

from __future__ import annotations

from rooflayout.energy.heights import assumed_heights
from rooflayout.energy.loads import UNKNOWN_USABLE_PCT
from rooflayout.energy.sentences import NAMES, SELDOM_PCT
from rooflayout.job import Job
from rooflayout.plan import Note, Wiring
from rooflayout.yields import Energy

SHADED_PCT = 2.0  # of a panel's year, from which on it is told
PASSED_PCT = 99.5  # of what the panels could give, below which it is told
USUAL_W_PER_AH = (2.0, 2.5)  # at 12 V: common practice, no source


def energy_notes(job: Job, energy: Energy, wiring: Wiring | None) -> tuple[Note, ...]:
    """All that the reader of the yields should know."""
    return (
        sun_note(energy),
        *clipped_notes(job, energy, wiring),
        *shade_notes(energy),
        *empty_notes(energy),
        *battery_notes(job, energy),
        *height_notes(job),
    )


def sun_note(energy: Energy) -> Note:
    """Where the figures come from and how sure they are."""
    text = (
        f"About {energy.wh_year / 1000:.0f} kWh a year from the roof. Sun: {energy.source}; nine years or "
        f"places in ten lie within {energy.uncertainty_pct:g} %."
    )
    return Note("info", "harvest", text)


def clipped_notes(job: Job, energy: Energy, wiring: Wiring | None) -> tuple[Note, ...]:
    """What each controller's charge current passes of what its panels would give there."""
    found = []
    loads = {} if wiring is None else {load.controller: load for load in wiring.controllers}
    models = job.controller_models()
    for own in energy.controllers:
        if own.controller not in loads or own.could_wh_year <= 0.0 or own.passes_pct >= PASSED_PCT:
            continue
        load = loads[own.controller]
        most_a = models[load.model].max_charge_a if load.set_a is None else load.set_a
        text = (
            f"{own.controller}: {most_a:g} A passes {own.passes_pct:.0f} % of what {load.power_w:g} W would "
            "give here in a year."
        )
        found.append(Note("info", "clipped-year", text))
    return tuple(found)


def shade_notes(energy: Energy) -> tuple[Note, ...]:
    """The panels from which shade takes much."""
    dark = sorted((s for s in energy.shade if s.loss_pct >= SHADED_PCT), key=lambda s: -s.loss_pct)
    if not dark:
        return ()
    told = ", ".join(f"{s.panel} {s.loss_pct:.0f} %" for s in dark)
    return (Note("info", "shade", f"Shade from what stands on the roof takes of the year: {told}."),)


def empty_notes(energy: Energy) -> tuple[Note, ...]:
    """The months in which the battery runs empty."""
    months = [m for m in energy.months if m.empty_pct is not None and m.empty_pct >= SELDOM_PCT]
    if not months:
        return ()
    told = ", ".join(f"{NAMES[m.month - 1]} {m.empty_pct:.0f} %" for m in months)
    return (Note("caution", "runs-empty", f"The battery runs empty on some days: {told} of the days."),)


def battery_notes(job: Job, energy: Energy) -> tuple[Note, ...]:
    """What is assumed of the battery, and its size beside what is usual."""
    battery = job.battery
    if battery is None or battery.capacity_ah is None:
        return ()
    found = []
    if battery.chemistry is None and battery.usable_pct is None:
        text = f"The battery's chemistry is not given: {UNKNOWN_USABLE_PCT:g} % of its capacity counts as usable."
        found.append(Note("info", "battery-assumed", text))
    low, high = USUAL_W_PER_AH
    if energy.watts_per_ah is not None:
        text = (
            f"{energy.watts_per_ah:.1f} W of panels for each Ah of battery (at 12 V); "
            f"{low:g} to {high:g} W are usual."
        )
        found.append(Note("info", "watts-per-ah", text))
    return tuple(found)


def height_notes(job: Job) -> tuple[Note, ...]:
    """Heights that the job does not give and shadows were cast from."""
    told = [f"{o.name} {height:g} mm" for o, height in assumed_heights(job) if height > 0.0]
    if not told:
        return ()
    return (Note("info", "heights-assumed", f"Heights assumed for shadows: {', '.join(told)}."),)
