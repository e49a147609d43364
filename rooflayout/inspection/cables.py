"""Whether the cable runs that a plan states are all there, large enough, and lose no more than they may.

A plan that states no runs at all is asked for them only where the job says something under [cable]. A size,
capacity or drop that is null is passed over: where no size serves, the plan says so itself.

Sources: IEC 62548 and NEC 690.8(A) (1.25 times Isc, from memory), IEC 60028 and IEC 60228 (copper),
33 CFR 183.425 table 5 (current capacity).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.copper import (
    BOAT_AWG,
    INSIDE_K,
    METRIC_MM2,
    METRIC_TERMINAL_A,
    ROOF_K,
    STRANDED,
    STRANDED_SPAN,
    TERMINAL_A,
    awg_mm2,
    most_a,
    solid_drop_v,
)
from rooflayout.inspection.duties import BATTERY, BUSBAR, MAIN, Duty, duties, input_of, isc_a, joint_of
from rooflayout.inspection.electrical import CURRENT_FACTOR, hottest_air_c
from rooflayout.inspection.lookup import TOLERANCE, tracker_strings
from rooflayout.inspection.stated import wrong
from rooflayout.job import Cable, Job
from rooflayout.plan import CableRun, Plan

_CARRIES_ROUNDED_A = 0.05 + 1e-6  # plans state it in tenths,
_DROP_ROUNDED_V = 0.0005 + 1e-9  # this in thousandths
_DROP_ROUNDED_PCT = 0.005 + 1e-9  # and this in hundredths
_TABLE_SHARE = 0.03  # one published table of current capacity beside another
_LENGTH_MM = 1.0


def every_run_is_there(job: Job, plan: Plan) -> Iterator[Breach]:
    """Each string, each joint of parallel strings, each controller with strings has one run, to its end."""
    if plan.wiring is None or not job.wants_wiring:
        return
    if not plan.wiring.runs:
        if plan.wiring.strings and job.cable != Cable():
            text = "the job has [cable]; the plan states no cable runs at all"
            yield Breach("run-missing", "cables", text)
        return
    needed = _needed(plan)
    times = Counter((str(r.kind), r.start) for r in plan.wiring.runs)
    for (kind, start), end in needed.items():
        if times[kind, start] != 1:
            text = f"{times[kind, start]} runs go from {start} to {end}; 1 must"
            yield Breach("run-missing" if not times[kind, start] else "run-twice", start, text)
    for run in plan.wiring.runs:
        end = needed.get((run.kind, run.start), "")
        if end and run.end != end:
            yield Breach(
                "run-end", run.run, f"{run.run} goes from {run.start} to {run.end}; it must go to {end}"
            )
        elif not end and run.kind in ("array", MAIN):
            what = "controllers" if run.kind == MAIN else "parallel strings"
            text = f"{run.run} begins at {run.start}; no {what} join there"
            yield Breach("run-start", run.run, text)


def _needed(plan: Plan) -> dict[tuple[str, str], str]:
    """The end of each run by its kind and start.

    Controllers join at a busbar, which then has a cable to the battery, or go there each by itself.
    """
    needed: dict[tuple[str, str], str] = {}
    there = {(str(r.kind), r.start, r.end) for r in plan.wiring.runs} if plan.wiring else set()
    ends: dict[str, str] = {}
    for (controller, tracker), strings in tracker_strings(plan).items():
        last = input_of(controller, tracker)
        if len(strings) > 1:
            joint = joint_of(controller, tracker)
            needed |= {("string", s.string): joint for s in strings} | {("array", joint): last}
        else:
            needed["string", strings[0].string] = last
        ends[controller] = "battery"
    on_bar = [c for c in ends if (BATTERY, c, BUSBAR) in there]
    if on_bar:
        ends |= dict.fromkeys(on_bar, BUSBAR)
        needed[MAIN, BUSBAR] = "battery"
    return needed | {(BATTERY, controller): end for controller, end in ends.items()}


def run_currents_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """A run is sized for 1.25 times Isc of its strings, or for 1.25 times the charge of its controllers, and
    works in full sun at Imp of its strings, or at what its controllers then charge with."""
    for duty in duties(job, plan):
        right = {"current_a": (duty.run.current_a, duty.current_a)}
        if duty.run.working_a is not None:
            right["working_a"] = duty.run.working_a, duty.working_a
        yield from wrong(duty.run.run, right)


def runs_are_as_long_as_the_job_says(job: Job, plan: Plan) -> Iterator[Breach]:
    """A run is no shorter than the job gives it; lengths that the job leaves open are passed over."""
    cable = job.cable
    for duty in duties(job, plan):
        parts = {
            "array": [cable.gland_to_controller_mm],
            BATTERY: [cable.controller_to_battery_mm],
            MAIN: [cable.bar_to_battery_mm],
            "string": [cable.roof_run_mm, *([] if duty.others else [cable.gland_to_controller_mm])],
        }[duty.run.kind]
        given = sum(mm for mm in parts if mm is not None)
        if duty.run.length_mm < given - _LENGTH_MM:
            a, b = figures(duty.run.length_mm, given)
            yield Breach("run-length", duty.run.run, f"{duty.run.run} is {a} mm long; the job gives {b} mm")


def sizes_are_standard(job: Job, plan: Plan) -> Iterator[Breach]:
    """A run's sizes are of the metric row and of the AWG row."""
    for run in plan.wiring.runs if plan.wiring else ():
        if run.size_mm2 is not None and all(abs(run.size_mm2 - mm2) > TOLERANCE for mm2 in METRIC_MM2):
            yield Breach("run-size", run.run, f"{run.run} has {plain(run.size_mm2)} mm²; no standard size")
        if run.size_awg is not None and awg_mm2(run.size_awg) is None:
            yield Breach("run-size", run.run, f"{run.run} has {run.size_awg} AWG; no standard size")


def runs_carry_their_current(job: Job, plan: Plan) -> Iterator[Breach]:
    """Stated capacity and both sizes stand the design current, the fuse, and what feeds in without a fuse.

    A size may carry no more than at its insulation's limit, with the job's bundle, in the job's ambient,
    hotter on the roof; without one in the hottest air, hotter on the roof and somewhat hotter inside.
    """
    outside_c, inside_k = hottest_air_c(job, plan), INSIDE_K
    if job.cable.ambient_c is not None:
        outside_c, inside_k = job.cable.ambient_c, 0.0
    for duty in duties(job, plan):
        run, needed = duty.run, needed_a(job, plan, duty)
        ambient_c = outside_c + (ROOF_K if run.kind == "string" else inside_k)
        for stated, row in ((run.carries_a, ""), (run.carries_awg_a, " in its AWG size")):
            if stated is not None and not stated >= needed - _CARRIES_ROUNDED_A:
                a, b = figures(stated, needed)
                text = f"{run.run} states that it carries {a} A{row}; it must carry {b} A"
                yield Breach("run-current", run.run, text)
        awg = None if run.size_awg is None else awg_mm2(run.size_awg)
        for mm2, words, stated in (
            (run.size_mm2, f"{run.size_mm2} mm²", run.carries_a),
            (awg, f"{run.size_awg} AWG", run.carries_awg_a),
        ):
            if mm2 is None or not mm2 > 0:
                continue
            most = most_a(mm2, job.cable.insulation_c, ambient_c, job.cable.bundled) * (1 + _TABLE_SHARE)
            if needed > most + _CARRIES_ROUNDED_A:
                a, b = figures(needed, most)
                text = f"{run.run} must carry {a} A; {words} carries at most {b} A in air of {ambient_c:g} °C"
                yield Breach("run-current", run.run, text)
            elif (stated or 0.0) > most + _CARRIES_ROUNDED_A:
                a, b = figures(stated or 0.0, most)
                text = (
                    f"{run.run} states that {words} carries {a} A; at most {b} A in air of {ambient_c:g} °C"
                )
                yield Breach("run-capacity", run.run, text)


def runs_fit_their_terminals(job: Job, plan: Plan) -> Iterator[Breach]:
    """A size must carry no more than its terminals take, for 75 °C (AWG) or 70 °C (metric), whatever its
    insulation stands. Metric sizes beyond the table are passed over."""
    for duty in duties(job, plan):
        run, needed = duty.run, needed_a(job, plan, duty)
        for most, terminals_c, words in (
            (METRIC_TERMINAL_A.get(run.size_mm2 or 0.0), 70, f"{run.size_mm2} mm²"),
            (TERMINAL_A.get(run.size_awg or ""), 75, f"{run.size_awg} AWG"),
        ):
            if most is not None and needed > most + _CARRIES_ROUNDED_A:
                a, b = figures(needed, most)
                text = f"{run.run} must carry {a} A; terminals for {terminals_c} °C take {b} A with {words}"
                yield Breach("run-terminal", run.run, text)


def conductors_are_as_thick_as_on_boats(job: Job, plan: Plan) -> Iterator[Breach]:
    """On a boat no single conductor is thinner than 16 AWG (33 CFR 183.425)."""
    least = awg_mm2(BOAT_AWG) or 0.0
    boat = job.vehicle is not None and job.vehicle.kind == "boat"
    for run in plan.wiring.runs if boat and plan.wiring else ():
        awg = None if run.size_awg is None else awg_mm2(run.size_awg)
        for mm2, words in ((run.size_mm2, f"{run.size_mm2} mm²"), (awg, f"{run.size_awg} AWG")):
            if mm2 is not None and mm2 < least - TOLERANCE:
                text = f"{run.run} has {words}; on a boat no conductor is thinner than {BOAT_AWG} AWG"
                yield Breach("run-strength", run.run, text)


def roof_runs_are_strong_enough(job: Job, plan: Plan) -> Iterator[Breach]:
    """Conductors on the roof are no thinner than the job asks for."""
    least = job.cable.least_roof_mm2
    for run in plan.wiring.runs if plan.wiring else ():
        if least is None or run.kind != "string":
            continue
        awg = None if run.size_awg is None else awg_mm2(run.size_awg)
        for mm2, words in ((run.size_mm2, "metric size"), (awg, "AWG size")):
            if mm2 is not None and mm2 < least - TOLERANCE:
                a, b = figures(mm2, least)
                text = f"{run.run} has {a} mm² ({words}); the job asks for {b} mm² or more on the roof"
                yield Breach("run-strength", run.run, text)


def needed_a(job: Job, plan: Plan, duty: Duty) -> float:
    """What a run must carry, A: its design current, its fuse, or without one what other strings feed in."""
    fed_in = 0.0
    if duty.run.fuse_a is None:
        fed_in = CURRENT_FACTOR * sum(isc_a(job, plan, s) for s in duty.others)
    return max(duty.current_a, duty.run.fuse_a or 0.0, fed_in)


def drops_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """The stated drop is that of the size, length and working current in stranded copper at the insulation's
    limit, within 10 %, and its share that of the run's voltage."""
    for duty in duties(job, plan):
        run, solid = duty.run, _solid_v(job, duty, duty.run.size_mm2)
        if solid is None:
            continue
        right = STRANDED * solid
        for name, stated, worked_out, unit, rounded in (
            ("drop_v", run.drop_v, right, "V", _DROP_ROUNDED_V),
            ("drop_pct", run.drop_pct, 100 * right / duty.voltage_v, "%", _DROP_ROUNDED_PCT),
        ):
            if stated is None or abs(stated - worked_out) <= STRANDED_SPAN * worked_out + rounded:
                continue
            a, b = figures(stated, worked_out)
            text = f"{run.run} states {name} {a} {unit}; {plain(run.size_mm2 or 0.0)} mm² loses {b} {unit}"
            yield Breach("run-drop", run.run, f"{text} over {plain(run.length_mm / 1000)} m, within 10 %")


def awg_drops_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """The stated drop of the AWG size is no less than that of solid copper of its area, and no more than
    finished strands lose at most (STRANDED and its span); its share is that of the run's voltage."""
    most_over_solid = STRANDED * (1 + STRANDED_SPAN)
    for duty in duties(job, plan):
        run = duty.run
        solid = _solid_v(job, duty, None if run.size_awg is None else awg_mm2(run.size_awg))
        if solid is None:
            continue
        for name, stated, least, unit, rounded in (
            ("drop_awg_v", run.drop_awg_v, solid, "V", _DROP_ROUNDED_V),
            ("drop_awg_pct", run.drop_awg_pct, 100 * solid / duty.voltage_v, "%", _DROP_ROUNDED_PCT),
        ):
            most = least * most_over_solid
            if stated is None or least - rounded <= stated <= most + rounded:
                continue
            text = f"{run.run} states {name} {plain(stated)} {unit}; {run.size_awg} AWG loses "
            text += f"{least:.2f} to {most:.2f} {unit}"
            yield Breach("run-drop", run.run, f"{text} over {plain(run.length_mm / 1000)} m")


def paths_keep_to_the_drop(job: Job, plan: Plan) -> Iterator[Breach]:
    """From string to controller, and from controller to battery, no more is lost than the job allows.

    A drop that is not stated, and that of AWG sizes, counts as in solid copper: the least that it can be.
    """
    found = {(d.run.kind, d.run.start): d for d in duties(job, plan)}
    most = job.cable.most_drop_pct
    for duty in found.values():
        path = [duty]
        if duty.run.kind in ("array", MAIN):
            continue
        if duty.run.end == BUSBAR:
            path += [d for d in found.values() if d.run.kind == MAIN]
        if duty.others:
            one = duty.strings[0]
            array = found.get(("array", joint_of(one.controller, one.tracker)))
            path += [] if array is None else [array]
        for awg in (False, True):
            parts = [_pct(job, d, awg) for d in path]
            lost = sum(p for p in parts if p is not None)
            if None not in parts and lost > most * (1 + TOLERANCE) + _DROP_ROUNDED_PCT * len(path):
                a, b = figures(lost, most)
                text = f"{' and '.join(d.run.run for d in path)} lose {a} % from {duty.run.start} on"
                row = "AWG" if awg else "metric"
                yield Breach("run-most-drop", duty.run.run, f"{text} ({row} sizes); the job allows {b} %")


def _pct(job: Job, duty: Duty, awg: bool) -> float | None:
    """What a run loses, %; None where it has no such size."""
    run: CableRun = duty.run
    size = (None if run.size_awg is None else awg_mm2(run.size_awg)) if awg else run.size_mm2
    solid = _solid_v(job, duty, size)
    if solid is None:
        return None
    least = 100 * solid / duty.voltage_v
    return least if awg or run.drop_pct is None else max(least, run.drop_pct)


def _solid_v(job: Job, duty: Duty, mm2: float | None) -> float | None:
    """What solid copper of that area loses, V; None where size, length or voltage are not known."""
    if mm2 is None or not mm2 > 0 or not math.isfinite(duty.run.length_mm) or not duty.voltage_v > 0:
        return None
    return solid_drop_v(mm2, duty.run.length_mm, duty.working_a, job.cable.insulation_c)
