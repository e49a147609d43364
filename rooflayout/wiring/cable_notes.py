"""What the installer should know about the cables: none that serves, estimated lengths, fuses."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rooflayout.job import Job
from rooflayout.listing import listed
from rooflayout.plan import CableRun, Note, Severity, Wiring
from rooflayout.wiring.bars import bar_notes
from rooflayout.wiring.conductors import AWG, METRIC, METRIC_TERMINAL_C, terminal_a
from rooflayout.wiring.drafts import least_mm2, least_roof_mm2
from rooflayout.wiring.fuse_kinds import kind_of_fuse
from rooflayout.wiring.lengths import (
    BAR_TO_BATTERY_MM,
    CONTROLLER_TO_BATTERY_MM,
    GLAND_TO_CONTROLLER_MM,
)
from rooflayout.wiring.protection import CONTINUOUS_FACTOR, battery_fuse, needs_fuse, string_fuse
from rooflayout.wiring.sizing import thick_as

USUAL_TERMINAL_MM2 = 35.0  # common practice, no source
USUAL_TERMINAL_AWG = "2"  # 33.6 mm² (computed: ASTM B258), the largest AWG size that goes in there
# ABYC E-11, from memory: a fuse at most so far along the conductor from where it is fed
FUSE_WITHIN = "within 175 mm (7 inches) of the battery"
TERMINAL_A = {size.label: terminal_a(size) for size in (*METRIC, *AWG)}
THICK_AWG = {size.name for size in AWG[[size.name for size in AWG].index(USUAL_TERMINAL_AWG) + 1 :]}


def cable_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """Notes on wiring.runs, the gravest first."""
    return (
        *no_size(job, wiring.runs),
        *no_fuse(job, wiring),
        *thick(job, wiring),
        *estimated(job, wiring.runs),
        *fuses(job, wiring),
        *small_fuses(job, wiring),
        *bar_notes(job, wiring),
        *isolators(job, wiring),
        *terminals(wiring.runs),
    )


def no_size(job: Job, runs: Sequence[CableRun]) -> tuple[Note, ...]:
    """An error for each run that no standard size serves; a caution where only one of the two rows does."""
    found = []
    for run in runs:
        way = f"{run.run}, from {run.start} to {run.end}"
        if run.size_mm2 is None and run.size_awg is None:
            why = run.why.removeprefix("no size: ")
            text = f"{way}: no standard size serves ({_tried(job, run)} tried): {why}. Do not build it so."
            found.append(Note("error", "run-no-size", text))
        elif run.size_mm2 is None:
            text = f"{way}: no metric size serves, {run.size_awg} AWG does ({run.why})."
            found.append(Note("caution", "run-no-size", text))
        elif run.size_awg is None:
            text = f"{way}: no AWG size serves, {run.size_mm2:g} mm² does."
            found.append(Note("caution", "run-no-size", text))
    return tuple(found)


def _tried(job: Job, run: CableRun) -> str:
    """The sizes thick enough for a run's strength, metric and AWG: "1.5 to 95 mm² and 16 to 4/0 AWG"."""
    least = least_roof_mm2(job) if run.kind == "string" else least_mm2(job)
    rows = ([size for size in row if thick_as(size, least)] for row in (METRIC, AWG))
    return " and ".join(f"{row[0].name} to {row[-1].label}" for row in rows if row)


def thick(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A caution on the runs that are thicker than terminals of controllers usually take, and the cure."""
    found = []
    models = {load.controller: load.model for load in wiring.controllers}
    nominal_v = 0.0 if job.battery is None else job.battery.nominal_v
    higher_v = next((v for v in (24, 48) if v > nominal_v), None)
    for run in wiring.runs:
        if run.kind == "main" or (run.kind == "string" and run.end.endswith("joint")):
            continue  # it ends at no controller
        metric = run.size_mm2 is not None and run.size_mm2 > USUAL_TERMINAL_MM2
        if not metric and run.size_awg not in THICK_AWG:
            continue
        controller = run.start if run.kind == "battery" else run.end.split()[0]
        cures = ["a shorter way"]
        if run.kind == "battery":
            cures = ["the controller nearer the battery"]
            cures += [] if higher_v is None else [f"a battery of {higher_v} V"]
        else:
            cures += ["more panels in series and fewer in parallel"]
        text = (
            f"{run.run}, from {run.start} to {run.end}, takes {_both_sizes(run)}: terminals of controllers "
            f"often take no more than {USUAL_TERMINAL_MM2:g} mm² or {USUAL_TERMINAL_AWG} AWG. "
            f"Look up those of {controller} "
            f"({models.get(controller, controller)}); thinner would do with {' or '.join(cures)}."
        )
        found.append(Note("caution", "run-thick", text))
    return tuple(found)


def _both_sizes(run: CableRun) -> str:
    """For example "50 mm² or 1/0 AWG"; a row in which no size serves is left out."""
    sizes = [
        "" if run.size_mm2 is None else f"{run.size_mm2:g} mm²",
        "" if run.size_awg is None else f"{run.size_awg} AWG",
    ]
    return " or ".join(size for size in sizes if size)


def no_fuse(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """An error for each run that needs a fuse and for which there is no standard size."""
    models = job.panel_models()
    controllers = job.controller_models()
    strings = {s.string: s for s in wiring.strings}
    loads = {c.controller: c for c in wiring.controllers}
    found = []
    for run in wiring.runs:
        why = ""
        if run.kind == "string" and run.fuse_a is None:
            own = strings[run.start]
            place, model = (own.controller, own.tracker), models[own.model]
            others = [s for s in wiring.strings if (s.controller, s.tracker) == place and s is not own]
            if needs_fuse(model, [s.isc_a for s in others]):
                why = string_fuse(own.isc_a, model.max_series_fuse_a).why
        elif run.kind == "battery" and run.fuse_a is None:
            why = battery_fuse(controllers[loads[run.start].model].max_charge_a).why
        elif run.kind == "main" and run.fuse_a is None:
            why = battery_fuse(run.current_a / CONTINUOUS_FACTOR).why
        if why:
            text = f"{run.run}, from {run.start} to {run.end}, needs a fuse: {why}. Do not build it so."
            found.append(Note("error", "run-no-fuse", text))
    return tuple(found)


def estimated(job: Job, runs: Sequence[CableRun]) -> tuple[Note, ...]:
    """One caution that names the runs whose lengths are estimated, and how they were."""
    names = [run.run for run in runs if run.estimated]
    if not names:
        return ()
    cable, taken = job.cable, []
    if cable.roof_run_mm is None:
        gland = "the farthest corner" if cable.gland_mm is None else "the gland"
        taken.append(f"on the roof along x and y to {gland}")
    if cable.gland_to_controller_mm is None:
        taken.append(f"{GLAND_TO_CONTROLLER_MM / 1000:g} m from gland to controller")
    if cable.controller_to_battery_mm is None:
        end = next((run.end for run in runs if run.kind == "battery"), "battery")
        taken.append(f"{CONTROLLER_TO_BATTERY_MM / 1000:g} m from controller to {end}")
    if cable.bar_to_battery_mm is None and any(run.kind == "main" for run in runs):
        taken.append(f"{BAR_TO_BATTERY_MM / 1000:g} m from busbar to battery")
    text = f"Cable lengths are estimated for {listed(names)} ({'; '.join(taken)}): measure before buying."
    return (Note("caution", "cable-lengths-estimated", text),)


def fuses(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on the fuses to fit: in which run, how large, where, for which voltage.

    A caution where strings need one each, since none may be left out.
    """
    runs = wiring.runs
    strings = [r for r in runs if r.kind == "string" and r.fuse_a is not None]
    batteries = [f"{r.run} {r.fuse_a:g} A" for r in runs if r.kind == "battery" and r.fuse_a is not None]
    mains = [f"{r.run} {r.fuse_a:g} A" for r in runs if r.kind == "main" and r.fuse_a is not None]
    sizes_a = [r.fuse_a for r in runs if r.kind in ("battery", "main") and r.fuse_a is not None]
    parts = []
    if strings:
        names = listed([f"{r.run} {r.fuse_a:g} A" for r in strings])
        parts.append(
            f"{names} (gPV, one in each parallel string where they join, for DC of the string's open-circuit "
            f"voltage{_unrated(job, wiring, strings)})"
        )
    if batteries and job.battery is not None:
        where = f"at the busbar, the main fuse {FUSE_WITHIN}" if mains else "close to the battery"
        parts.append(
            f"{listed([*batteries, *mains])} ({where}, for DC above {job.battery.charge_v:g} V, with a "
            f"breaking capacity above the battery's short-circuit current: {kind_of_fuse(job, sizes_a)})"
        )
    severity: Severity = "caution" if strings else "info"
    return (Note(severity, "fuses", f"Fuses: {'; '.join(parts)}."),) if parts else ()


def small_fuses(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A caution for each string fuse that keeps IEC 62548 but not NEC 690.9(B)."""
    models = job.panel_models()
    strings = {s.string: s for s in wiring.strings}
    told: dict[str, list[str]] = {}
    for run in wiring.runs:
        if run.kind != "string" or run.fuse_a is None:
            continue
        own = strings[run.start]
        why = string_fuse(own.isc_a, models[own.model].max_series_fuse_a).why
        if why:
            told.setdefault(why, []).append(run.run)
    return tuple(
        Note("caution", "fuse-below-nec", f"{listed(runs)}: a string fuse of {why}.")
        for why, runs in told.items()
    )


def isolators(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """What the isolators must be rated for: the panels' together, each one at the battery."""
    names = [r.run for r in wiring.runs if r.isolator and r.kind != "battery"]
    if not names or not wiring.strings:
        return ()
    volts = max(s.voc_cold_v for s in wiring.strings)
    amps = max(r.current_a for r in wiring.runs if r.isolator and r.kind != "battery")
    text = (
        f"Isolators of {listed(names)}: for DC, double-pole (both lines of an array open together), "
        f"at least {math.ceil(volts)} V and {math.ceil(amps)} A."
    )
    last = [r for r in wiring.runs if r.isolator and r.kind == "battery"]
    if last and job.battery is not None:
        each = listed([f"{r.run} {max(math.ceil(r.current_a), r.fuse_a or 0.0):g} A" for r in last])
        text += f" At the {last[0].end}, for DC above {job.battery.charge_v:g} V: {each} or more."
    return (Note("info", "isolators", text),)


def terminals(runs: Sequence[CableRun]) -> tuple[Note, ...]:
    """A note where sizes carry what terminals take, or a fuse allows, whatever their insulation stands."""
    metric = any(
        r.size_mm2 is not None and r.carries_a == TERMINAL_A.get(f"{r.size_mm2:g} mm²") for r in runs
    )
    awg = any(r.size_awg is not None and r.carries_awg_a == TERMINAL_A.get(f"{r.size_awg} AWG") for r in runs)
    parts = [f"metric ones for {METRIC_TERMINAL_C:g} °C (IEC 60364-5-52 523.1)"] if metric else []
    if awg:
        parts.append("AWG ones for 75 °C (NEC 110.14(C)), up to 10 AWG what a fuse may be (240.4(D))")
    told = f"Sizes carry at most what their terminals take: {', '.join(parts)}; from memory."
    return (Note("info", "terminals", told),) if parts else ()


def _unrated(job: Job, wiring: Wiring, runs: Sequence[CableRun]) -> str:
    """The models on these strings whose largest series fuse the catalogue leaves open, in words."""
    models = job.panel_models()
    started = {run.start for run in runs}
    names = dict.fromkeys(s.model for s in wiring.strings if s.string in started)
    blank = [name for name in names if models[name].max_series_fuse_a is None]
    return f"; the catalogue gives no largest series fuse for {listed(blank)}: look it up" if blank else ""
