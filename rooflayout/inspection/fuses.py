"""Whether runs have the fuses and isolators that they need. Currents in A.

String fuses: 1.56 times Isc (NEC 690.9(B), from memory) to 2.4 times (IEC 62548, from memory), or from 1.5
times where no size serves both; needed where 1.25 times Isc of the other strings exceeds the panel's largest
series fuse (NEC 690.9, from memory). Battery and main fuses: from 1.25 times what the controllers can charge
with (NEC 215.3, from memory) to what the cable carries.
"""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.duties import BATTERY, MAIN, Duty, duties, isc_a
from rooflayout.inspection.electrical import CURRENT_FACTOR
from rooflayout.inspection.lookup import TOLERANCE, models_of
from rooflayout.job import Job
from rooflayout.plan import Plan

# gPV fuses, IEC 60269-6, and fuses of ISO 8820-3 and ISO 8820-5: from memory
STRING_ROW_A = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 16, 20, 25, 30)
BATTERY_ROW_A = (
    *(5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 100, 125, 150, 175),
    *(200, 225, 250, 300, 350, 400, 500),
)
CHARGED = (BATTERY, MAIN)  # runs that the battery feeds in a fault
LEAST_OF_ISC, MOST_OF_ISC = 1.5, 2.4
NEC_OF_ISC = 1.5625  # printed 156 %


def fuses_are_there(job: Job, plan: Plan) -> Iterator[Breach]:
    """Strings that others can overload, and every battery run, have a fuse.

    Passed over where no standard size serves: the plan then says so in its notes.
    """
    for duty in duties(job, plan):
        run, (least, most) = duty.run, _span_a(job, plan, duty)
        row: tuple[float, ...] = BATTERY_ROW_A if run.kind in CHARGED else STRING_ROW_A
        serves = [a for a in row if least - TOLERANCE <= a <= most + TOLERANCE]
        if run.fuse_a is not None or not serves or not _needs_fuse(job, plan, duty):
            continue
        why = f"at the {run.end}"
        if run.kind not in CHARGED:
            others = CURRENT_FACTOR * sum(isc_a(job, plan, s) for s in duty.others)
            why = f"as the other strings can feed {plain(others)} A into it"
        text = f"{run.run}, from {run.start}, has no fuse; it needs one of {serves[0]:g} A or more {why}"
        yield Breach("run-no-fuse", run.run, text)


def fuses_are_the_right_size(job: Job, plan: Plan) -> Iterator[Breach]:
    """A fuse is of the standard row, not so small that it blows, not beyond cable and panel."""
    for duty in duties(job, plan):
        run = duty.run
        if run.fuse_a is None or run.kind == "array":
            continue
        row: tuple[float, ...] = BATTERY_ROW_A if run.kind in CHARGED else STRING_ROW_A
        if all(abs(run.fuse_a - a) > TOLERANCE for a in row):
            text = f"{run.run} has a fuse of {plain(run.fuse_a)} A; no standard size"
            yield Breach("run-fuse", run.run, text)
        least, most = _span_a(job, plan, duty)
        if run.fuse_a < least - TOLERANCE:
            a, b = figures(run.fuse_a, least)
            yield Breach("run-fuse", run.run, f"{run.run} has a fuse of {a} A; at least {b} A")
        if run.fuse_a > most + TOLERANCE:
            a, b = figures(run.fuse_a, most)
            yield Breach("run-fuse", run.run, f"{run.run} has a fuse of {a} A; at most {b} A")


def isolators_are_there(job: Job, plan: Plan) -> Iterator[Breach]:
    """Every way into and out of a controller has an isolator; strings that join have it in the array run."""
    for duty in duties(job, plan):
        joins = (duty.run.kind == "string" and bool(duty.others)) or duty.run.kind == MAIN
        if not duty.run.isolator and not joins:
            text = f"{duty.run.run}, from {duty.run.start} to {duty.run.end}, has no isolator; it needs one"
            yield Breach("run-isolator", duty.run.run, text)


def _needs_fuse(job: Job, plan: Plan, duty: Duty) -> bool:
    if duty.run.kind != "string":
        return duty.run.kind in CHARGED
    rated = _series_fuse_a(job, plan, duty)
    if rated is None:
        rated = MOST_OF_ISC * isc_a(job, plan, duty.strings[0])
    return CURRENT_FACTOR * sum(isc_a(job, plan, s) for s in duty.others) > rated * (1 + TOLERANCE)


def _span_a(job: Job, plan: Plan, duty: Duty) -> tuple[float, float]:
    """The smallest and the largest fuse."""
    if duty.run.kind in CHARGED:
        carries = duty.run.carries_a  # stated in tenths
        return duty.current_a, BATTERY_ROW_A[-1] if carries is None else carries + 0.05
    own = isc_a(job, plan, duty.strings[0])
    most, rated = MOST_OF_ISC * own, _series_fuse_a(job, plan, duty)
    most = most if rated is None else min(most, rated)
    both = any(NEC_OF_ISC * own - TOLERANCE <= a <= most + TOLERANCE for a in STRING_ROW_A)
    return (NEC_OF_ISC if both else LEAST_OF_ISC) * own, most


def _series_fuse_a(job: Job, plan: Plan, duty: Duty) -> float | None:
    """The least that the string's panels give as their largest series fuse; None where they give none."""
    rated = [m.max_series_fuse_a for m in models_of(job, plan, duty.strings[0])]
    return min((a for a in rated if a is not None), default=None)
