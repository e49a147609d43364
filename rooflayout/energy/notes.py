"""What the reader of an energy estimate should know, one function a note."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rooflayout.energy.cells import OTHER_PCT, SOILING_PCT, USUAL_POWER_PCT_PER_K
from rooflayout.energy.climate import COLDEST_ONE_IN_TWENTY_K
from rooflayout.energy.frost import SNOW_C, colder_place, frosty_months, is_lithium, snowy_months
from rooflayout.energy.heights import assumed_heights
from rooflayout.energy.lead import damaged_by_want
from rooflayout.energy.margin import year_is_ample
from rooflayout.energy.sentences import (
    HARDLY_EVER_PCT,
    battery_sentence,
    full_sentence,
    less_sun_sentence,
    ratio_sentence,
    spans,
    year_sentence,
)
from rooflayout.energy.uncertainty import within_words
from rooflayout.job import Battery, Job
from rooflayout.plan import Note, Severity, Wiring
from rooflayout.yields import ControllerYield, Energy

MOST_SHADE_PCT = 2.0  # of a panel's year, before it is worth a note
LEAST_PASSED_PCT = 90.0  # of a controller's year, where clouds come and go; less is a caution
HAIR = 0.005  # of a month's demand
# No roof has so few or so many panel watts for each Ah at 12 V; common practice, no source.
ABSURD_W_PER_AH = (0.3, 30.0)


def notes_on(job: Job, energy: Energy, wiring: Wiring | None = None) -> tuple[Note, ...]:
    """All notes on an estimate. wiring gives the clipping sentences their watts and amperes."""
    return (
        *_runs_empty(energy),
        *_short_of_demand(energy),
        *_full(energy),
        *_battery(job, energy),
        *damaged_by_want(job.battery, energy),
        *_colder(job),
        *_frost(job, energy),
        *_clipping(job, energy, wiring),
        *_shade(job, energy),
        *_heights(job, energy),
        *_portable(job, energy, wiring),
        _sun(energy),
        _losses(job, wiring),
    )


def _runs_empty(energy: Energy) -> Iterator[Note]:
    """In which months the battery runs empty, and how often at worst; or that it does not."""
    empty = [m.empty_pct for m in energy.months if m.empty_pct is not None]
    less = [m.empty_less_sun_pct for m in energy.months if m.empty_less_sun_pct is not None]
    if len(empty) < len(energy.months):
        return
    ample, off_pct = year_is_ample(energy), energy.month_uncertainty_pct
    text = year_sentence(empty, ample)
    if len(less) == len(empty) and (worse := less_sun_sentence(empty, less, off_pct, ample)):
        text += f" {worse}"
    severity: Severity = "caution" if max((*empty, *less)) > HARDLY_EVER_PCT else "info"
    yield Note(severity, "runs-empty", text)


def _full(energy: Energy) -> Iterator[Note]:
    """How much of what could come in finds the battery full."""
    if all(m.spilled_pct is not None for m in energy.months) and (text := full_sentence(energy.months)):
        yield Note("info", "battery-full", text)


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
        yield _ratio(energy.watts_per_ah, battery)


def _ratio(watts_per_ah: float, battery: Battery) -> Note:
    """Panel watts beside the battery; so far from all that is usual, its capacity is in another unit."""
    text = ratio_sentence(watts_per_ah, battery)
    if watts_per_ah < ABSURD_W_PER_AH[0]:
        return Note("caution", "watts-per-ah", f"{text} Is [battery] capacity in Wh? It counts in Ah.")
    if watts_per_ah > ABSURD_W_PER_AH[1]:
        return Note("caution", "watts-per-ah", f"{text} Is [battery] capacity in kWh? It counts in Ah.")
    return Note("info", "watts-per-ah", text)


def _clipping(job: Job, energy: Energy, wiring: Wiring | None) -> Iterator[Note]:
    """What each controller passes of what its panels would give here."""
    loads = {} if wiring is None else {load.controller: load for load in wiring.controllers}
    models = job.controller_models()
    for own in energy.controllers:
        if own.could_wh_year <= 0.0:
            continue
        least_pct = own.passes_pct if own.passes_least_pct is None else own.passes_least_pct
        severity: Severity = "caution" if min(least_pct, own.passes_pct) < LEAST_PASSED_PCT else "info"
        load = loads.get(own.controller)
        passes = f"passes {_range(own.passes_least_pct, own.passes_pct)} %"
        if load is None:
            text = f"{own.controller} {passes} of what its panels would give here"
        else:
            most_a = models[load.model].max_charge_a if load.set_a is None else load.set_a
            text = (
                f"{own.controller} ({load.model}): {most_a:g} A {passes} "
                f"of what {load.power_w:.0f} W would give here"
            )
        text += " over the year"
        if load is not None and load.clipped_w > 0.0:  # in full sun it is less, which needs a reason
            text += ", as full sun is rare"
        yield Note(severity, "clipped-over-the-year", f"{text}{_cut_off(own)}.")


def _cut_off(own: ControllerYield) -> str:
    """How many kWh a controller's limit cuts off, and what it depends on; nothing below half a kWh."""
    lost_kwh = most_kwh = (own.could_wh_year - own.passes_wh_year) / 1000.0
    unsure = _is_range(own.passes_least_pct, own.passes_pct)
    if unsure and own.passes_least_wh_year is not None:
        most_kwh = (own.could_wh_year - own.passes_least_wh_year) / 1000.0
    if most_kwh < 0.5:
        return ""
    text = f"; {_range(lost_kwh, most_kwh)} kWh a year are cut off"
    return f"{text}, the more the quicker clouds come and go" if unsure else text


def _is_range(low: float | None, high: float) -> bool:
    """Whether the two differ without decimals."""
    return low is not None and f"{low:.0f}" != f"{high:.0f}"


def _range(low: float | None, high: float) -> str:
    """Both ends without decimals, or one where they look alike."""
    return f"{low:.0f} to {high:.0f}" if _is_range(low, high) else f"{high:.0f}"


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


def _portable(job: Job, energy: Energy, wiring: Wiring | None) -> Iterator[Note]:
    """What portable panels are counted with, where there are any, and which of the job's do not count."""
    if any(m.portable_wh_day > 0.0 for m in energy.months):
        text = "Portable panels count as set up every day, level, in free air and without shade."
        shared = Counter(p.into for p in wiring.portable if not p.own_controller) if wiring else Counter()
        if any(many > 1 for many in shared.values()):
            text += " Of those that share an input only the strongest counts."
        yield Note("info", "portable-harvest", text)
    plugged = {p.name for p in wiring.portable} if wiring else set()
    left_out = [p.name for p in job.portable if p.name not in plugged]
    if left_out:
        names = ", ".join(left_out)
        text = f"Not in the harvest, as nothing is there that they can plug into: portable {names}."
        yield Note("caution", "portable-not-counted", text)


def _colder(job: Job) -> Iterator[Note]:
    """That the place is colder than the packaged air, as a given coldest temperature shows."""
    place = colder_place(job)
    if place is None:
        return
    text = (
        f"[site] coldest = {place.coldest_c:g} °C lies {place.estimate_c - place.coldest_c:.0f} K under the "
        "estimate from the packaged air, as on a mountain (one place in twenty is more than "
        f"{COLDEST_ONE_IN_TWENTY_K:g} K under it). Months of frost and snow are named for air "
        f"{place.colder_k:.0f} K colder; all other figures "
        "keep the packaged air ([climate] air gives the place's own)."
    )
    yield Note("caution", "colder-place", text)


def _frost(job: Job, energy: Energy) -> Iterator[Note]:
    """Months in which snow may lie on the panels, and in which a cold lithium battery takes no charge."""
    snowy = snowy_months(job, energy.months)
    if snowy:
        text = f"Mean air below {SNOW_C:g} °C in {spans(snowy)}{_by_coldest(job)}: snow on the panels "
        yield Note("caution", "frost", f"{text}is not in the harvest, nor in what is said of the battery.")
    frosty = frosty_months(job, energy.months) if is_lithium(job) else []
    if frosty:
        text = (
            f"In the mornings of {spans(frosty)} it freezes: a lithium battery as cold as the air would take "
            "no charge until it has warmed, and no figure reckons with that."
        )
        if not job.wants_wiring:  # else a note on the wiring says so
            text += " It must not be charged below 0 °C: keep it warm, or let its controller stop."
        yield Note("caution", "lithium-mornings", text)


def _by_coldest(job: Job) -> str:
    """That the air is not the table's, where it is not."""
    return "" if colder_place(job) is None else " (as the given coldest has it)"


def _sun(energy: Energy) -> Note:
    within = f"The year's sun lies within {energy.uncertainty_pct:.0f} % of this at nine places in ten."
    harvest = within_words(energy)
    if harvest:
        within += (
            f" The harvest, with what dirt, heat, shade, panels and charge limits add to that: {harvest}."
        )
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
        how = "as drawn evenly over day and night"
        some = len(evenly) < len(job.loads)
        text += f" Counted {how}: {', '.join(evenly)};" if some else f" Loads count {how}:"
        text += " what runs at night leans on the battery more"
        text += ' (when = "night").'
    blank = [m.model for m in job.panel_models().values() if m.power_pct_per_k is None]
    if blank:
        text += f" Power falls by {-USUAL_POWER_PCT_PER_K:g} % per K where the catalogue is blank: "
        text += f"{', '.join(blank)}."
    return Note("info", "harvest-losses", text)
