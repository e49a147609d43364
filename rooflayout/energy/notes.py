"""What the reader of an energy estimate should know, one function a note."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.energy.cells import OTHER_PCT, SOILING_PCT, USUAL_POWER_PCT_PER_K
from rooflayout.energy.heights import assumed_heights
from rooflayout.energy.sentences import (
    HARDLY_EVER_PCT,
    battery_sentence,
    ratio_sentence,
    spans,
    year_sentence,
)
from rooflayout.energy.uncertainty import within_words
from rooflayout.job import Job
from rooflayout.plan import Note, Severity, Wiring
from rooflayout.yields import Energy

MOST_SHADE_PCT = 2.0  # of a panel's year, before it is worth a note
LEAST_PASSED_PCT = 90.0  # of a controller's year; less is a caution
FROST_C = 2.0  # mean of day and night: the nights then freeze; common practice, no source
HAIR = 0.005  # of a month's demand


def notes_on(job: Job, energy: Energy, wiring: Wiring | None = None) -> tuple[Note, ...]:
    """All notes on an estimate. wiring gives the clipping sentences their watts and amperes."""
    return (
        *_runs_empty(energy),
        *_short_of_demand(energy),
        *_battery(job, energy),
        *_frost(job, energy),
        *_clipping(job, energy, wiring),
        *_shade(job, energy),
        *_heights(job, energy),
        *_portable(energy),
        _sun(energy),
        _losses(job, wiring),
    )


def _runs_empty(energy: Energy) -> Iterator[Note]:
    """In which months the battery runs empty, and how often at worst; or that it does not."""
    empty = [m.empty_pct for m in energy.months if m.empty_pct is not None]
    if len(empty) == len(energy.months):
        severity: Severity = "caution" if max(empty) > HARDLY_EVER_PCT else "info"
        yield Note(severity, "runs-empty", year_sentence(empty))


def _short_of_demand(energy: Energy) -> Iterator[Note]:
    """The months in which less comes in than is drawn, where no battery's capacity says how it fares."""
    if any(m.empty_pct is not None for m in energy.months):
        return
    short = [
        m.month - 1
        for m in energy.months
        if m.harvest_wh_day + m.portable_wh_day + m.driving_wh_day < m.demand_wh_day * (1.0 - HAIR)
    ]
    if short:
        yield Note("caution", "short-of-demand", f"Less comes in than the loads draw in {spans(short)}.")


def _battery(job: Job, energy: Energy) -> Iterator[Note]:
    """What is taken for granted of the battery, and its panels beside what is usual."""
    battery = job.battery
    if battery is None or energy.usable_wh is None:
        return
    yield Note("info", "battery-figures", battery_sentence(battery))
    if energy.watts_per_ah:
        yield Note("info", "watts-per-ah", ratio_sentence(energy.watts_per_ah, battery))


def _clipping(job: Job, energy: Energy, wiring: Wiring | None) -> Iterator[Note]:
    """What each controller passes of what its panels would give here."""
    loads = {} if wiring is None else {load.controller: load for load in wiring.controllers}
    models = job.controller_models()
    for own in energy.controllers:
        if own.could_wh_year <= 0.0:
            continue
        severity: Severity = "caution" if own.passes_pct < LEAST_PASSED_PCT else "info"
        load = loads.get(own.controller)
        if load is None:
            text = f"{own.controller} passes {own.passes_pct:.0f} % of what its panels would give here"
        else:
            most_a = models[load.model].max_charge_a if load.set_a is None else load.set_a
            text = (
                f"{own.controller} ({load.model}): {most_a:g} A passes "
                f"{own.passes_pct:.0f} % of what {load.power_w:.0f} W would give here"
            )
        text += " over the year"
        if load is not None and load.clipped_w > 0.0:  # in full sun it is less, which needs a reason
            text += ", as full sun is rare"
        lost_kwh = (own.could_wh_year - own.passes_wh_year) / 1000.0
        lost = f"; {lost_kwh:.0f} kWh a year are cut off" if lost_kwh >= 0.5 else ""
        yield Note(severity, "clipped-over-the-year", f"{text}{lost}.")


def _shade(job: Job, energy: Energy) -> Iterator[Note]:
    """The panels from which shade takes more than MOST_SHADE_PCT."""
    shaded = sorted(
        (s for s in energy.shade if s.loss_pct > MOST_SHADE_PCT), key=lambda s: s.loss_pct, reverse=True
    )
    if not shaded:
        return
    text = ", ".join(f"{s.panel} {s.loss_pct:.0f} %" for s in shaded)
    aim = "" if job.panels.aim == "harvest" else ' (aim = "harvest" looks for places with less)'
    yield Note("info", "shade", f"Shade of what stands on the roof takes from the year of {text}{aim}.")


def _heights(job: Job, energy: Energy) -> Iterator[Note]:
    """Heights that the shade was worked out with although the job does not give them."""
    assumed = [(o, mm) for o, mm in assumed_heights(job) if mm > 0.0]
    if assumed and energy.shade:
        text = ", ".join(f"{o.name} {mm:.0f} mm" for o, mm in assumed)
        yield Note(
            "info", "assumed-heights", f"Heights taken as usual for the shade, as none is given: {text}."
        )


def _portable(energy: Energy) -> Iterator[Note]:
    """What portable panels are counted with, where there are any."""
    if any(m.portable_wh_day > 0.0 for m in energy.months):
        text = "Portable panels count as set up every day, level, in free air and without shade."
        yield Note("info", "portable-harvest", text)


def _frost(job: Job, energy: Energy) -> Iterator[Note]:
    """Cold months: snow that is not in the harvest, and lithium that must not be charged where no note on
    the wiring says so."""
    months = [m.month - 1 for m in energy.months if m.air_c < FROST_C]
    if not months:
        return
    text = f"Mean air below {FROST_C:g} °C in {spans(months)}: snow on the panels is not in the harvest"
    if job.battery is not None and job.battery.chemistry == "lithium" and not job.wants_wiring:
        text += "; a lithium battery must not be charged below 0 °C, keep it warm or let its controller stop"
    yield Note("caution", "frost", f"{text}.")


def _sun(energy: Energy) -> Note:
    within = f"The year's sun lies within {energy.uncertainty_pct:.0f} % of this at nine places in ten."
    harvest = within_words(energy)
    if harvest:
        within += f" The harvest, with what dirt, heat, shade and panels add to that: {harvest}."
    within += " What single years differ by comes on top."
    return Note("info", "sun-figures", f"Figures: {energy.source.rstrip('.')}. {within}")


def _losses(job: Job, wiring: Wiring | None) -> Note:
    """What the harvest is after, and the coefficient taken where the catalogue has none."""
    text = (
        f"The harvest is what remains after {SOILING_PCT:g} % for dirt, {OTHER_PCT:g} % for weak light, "
        "tolerance, ageing and the tracker's search, light lost at the glass, and the heat of panels that "
        f"lie flush{', cables and controllers' if wiring is not None and wiring.controllers else ''}."
    )
    evenly = [load.name for load in job.loads if load.when is None]
    if evenly:
        which = "Loads count" if len(evenly) == len(job.loads) else f"Of the loads {', '.join(evenly)} count"
        text += f" {which} as drawn evenly over day and night: what runs at night leans on the battery more"
        text += ' (when = "night").'
    blank = [m.model for m in job.panel_models().values() if m.power_pct_per_k is None]
    if blank:
        text += f" Power falls by {-USUAL_POWER_PCT_PER_K:g} % per K where the catalogue is blank: "
        text += f"{', '.join(blank)}."
    return Note("info", "harvest-losses", text)
