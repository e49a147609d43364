"""The cables of a wiring: from, to, length, size, voltage drop, fuse and isolator.

Rules followed: IEC 62548 on the roof (from memory): a cable carries 1.25 times Isc of its strings for
good. NEC 690.8(B) asks another 1.25 of conductors in that place; that is not added here. Battery cables:
the next standard fuse from 1.25 times what the controller can charge with, and a cable that carries as
much as its fuse (NEC, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rooflayout.job import Battery, Job
from rooflayout.plan import CableRun, ControllerLoad, PanelString, PlacedPanel, RunKind, Wiring
from rooflayout.wiring.cable_notes import cable_notes
from rooflayout.wiring.conductors import AWG, METRIC, Laid, Size, capacity_a, drop_v
from rooflayout.wiring.lengths import Length, controller_to_battery, gland_to_controller, roof_run
from rooflayout.wiring.limits import TOLERANCE, design_isc_a
from rooflayout.wiring.of_plan import limit_v
from rooflayout.wiring.protection import (
    CONTINUOUS_FACTOR,
    FuseChoice,
    battery_fuse,
    feed_a,
    needs_fuse,
    string_fuse,
)
from rooflayout.wiring.sizing import Need, change, drop_pct, shares_pct, smallest, why
from rooflayout.wiring.strain import working_a

__all__ = ["cable_notes", "cable_runs"]

# Cables within 23 mm of a roof in the sun count as in air hotter by so much: NEC 310.15(B), from memory.
HOT_ROOF_K = 33.0
BATTERIES_V = (12.0, 24.0, 48.0)  # nominal: common practice, no source


@dataclass(frozen=True, slots=True)
class Draft:
    """A run before its sizes are chosen."""

    kind: RunKind
    start: str
    end: str
    current_a: float
    estimated: bool
    need: Need
    fuse: FuseChoice | None  # None: it needs none
    isolator: bool


def cable_runs(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> tuple[CableRun, ...]:
    """Every cable of the wiring, with the smallest standard sizes that serve, metric and AWG.

    A tracker's only string has one cable, to the controller. Parallel strings have one each to their
    joint at the gland, and one goes on from there. job.cable.most_drop_pct holds from string to
    controller and again from controller to battery; the hot operating voltage and the battery's nominal
    one are 100 %. Working currents are those at STC (Imp, else Isc) and the plan's charge current.
    Raises ValueError when the job has no battery or controllers, KeyError for a name that the job or the
    panels do not have.
    """
    found: list[CableRun] = []
    for load in wiring.controllers:
        strings = [s for s in wiring.strings if s.controller == load.controller]
        if not strings:
            continue
        for tracker in dict.fromkeys(s.tracker for s in strings):
            found += _tracker_runs(job, panels, wiring, [s for s in strings if s.tracker == tracker])
        battery = _battery_draft(job, wiring, load)
        found += _sized([battery], None, job.cable.most_drop_pct, partial(_battery_for, job.battery))
    return tuple(replace(run, run=f"R{number}") for number, run in enumerate(found, 1))


def roof_laid(job: Job, wiring: Wiring) -> Laid:
    """How the cables on the roof lie: HOT_ROOF_K above the job's ambient, else above the hottest air."""
    inside = inside_laid(job, wiring)
    return replace(inside, ambient_c=inside.ambient_c + HOT_ROOF_K)


def inside_laid(job: Job, wiring: Wiring) -> Laid:
    """How the cables under the roof lie: in the job's ambient, else in the hottest air."""
    cable, hottest_c = job.cable, wiring.temperatures.hottest_air_c
    ambient_c = hottest_c if cable.ambient_c is None else cable.ambient_c
    return Laid(ambient_c, cable.insulation_c, cable.bundled)


def _tracker_runs(
    job: Job, panels: Sequence[PlacedPanel], wiring: Wiring, strings: Sequence[PanelString]
) -> list[CableRun]:
    joint = f"{_input(strings[0])} joint" if len(strings) > 1 else None
    drafts = [_string_draft(job, panels, wiring, s, strings, joint) for s in strings]
    array = None if joint is None else _array_draft(job, wiring, strings, drafts, joint)
    limits_v = [limit_v(job, wiring, s) for s in strings]
    return _sized(drafts, array, job.cable.most_drop_pct, partial(_series_for, strings, limits_v))


def _input(string: PanelString) -> str:
    return f"{string.controller} tracker {string.tracker}"


def _string_draft(
    job: Job,
    panels: Sequence[PlacedPanel],
    wiring: Wiring,
    string: PanelString,
    strings: Sequence[PanelString],
    joint: str | None,
) -> Draft:
    """The cable of one string, to the joint or to the controller.

    Beside its own current it carries what protects it (its fuse), or without a fuse what the other
    strings can feed into it (IEC 62548, from memory).
    """
    model = job.panel_models()[string.model]
    by_name = {p.panel: p for p in panels}
    length = roof_run(job, [by_name[name] for name in string.panels])
    if joint is None:
        length = _sum(length, gland_to_controller(job))
    others_isc_a = [s.isc_a for s in strings if s is not string]
    fuse = string_fuse(string.isc_a, model.max_series_fuse_a) if needs_fuse(model, others_isc_a) else None
    beside_a = feed_a(others_isc_a) if fuse is None or fuse.size_a is None else fuse.size_a
    current_a = design_isc_a(string.isc_a)
    return Draft(
        kind="string",
        start=string.string,
        end=joint or _input(string),
        current_a=current_a,
        estimated=length.estimated,
        need=Need(
            carry_a=max(current_a, beside_a),
            working_a=working_a(model, 1),
            length_mm=length.mm,
            voltage_v=string.vmp_hot_v,
            laid=roof_laid(job, wiring),
        ),
        fuse=fuse,
        isolator=joint is None,
    )


def _array_draft(
    job: Job, wiring: Wiring, strings: Sequence[PanelString], drafts: Sequence[Draft], joint: str
) -> Draft:
    """The cable from the joint of parallel strings to their controller."""
    current_a = sum(d.current_a for d in drafts)
    length = gland_to_controller(job)
    need = Need(
        carry_a=current_a,
        working_a=sum(d.need.working_a for d in drafts),
        length_mm=length.mm,
        voltage_v=min(s.vmp_hot_v for s in strings),
        laid=inside_laid(job, wiring),
    )
    return Draft("array", joint, _input(strings[0]), current_a, length.estimated, need, None, True)


def _battery_draft(job: Job, wiring: Wiring, load: ControllerLoad) -> Draft:
    """The cable from a controller to the battery, with the fuse at the battery."""
    if job.battery is None or job.controllers is None:
        raise ValueError("the job has no battery or no controllers")
    model = job.controller_models()[load.model]
    fuse = battery_fuse(model.max_charge_a)
    length = controller_to_battery(job)
    current_a = CONTINUOUS_FACTOR * model.max_charge_a
    need = Need(
        carry_a=max(current_a, fuse.size_a or 0.0),
        working_a=load.charge_a,
        length_mm=length.mm,
        voltage_v=job.battery.nominal_v,
        laid=inside_laid(job, wiring),
    )
    return Draft("battery", load.controller, "battery", current_a, length.estimated, need, fuse, True)


def _series_for(strings: Sequence[PanelString], limits_v: Sequence[float | None], times: float) -> str:
    """How many panels in series lose so many times less, in words; nothing where that is beyond a limit."""
    now = {s.in_series for s in strings}
    if len(now) > 1:
        return ""
    in_series = math.ceil(strings[0].in_series * times * (1.0 - TOLERANCE))
    for s, most_v in zip(strings, limits_v, strict=True):
        if most_v is None or s.voc_cold_v / s.in_series * in_series > most_v * (1.0 + TOLERANCE):
            return ""
    return f"with {in_series} in series instead of {strings[0].in_series}"


def _battery_for(battery: Battery | None, times: float) -> str:
    """The battery at which as many watts lose so many times less, in words: the voltage counts squared."""
    if battery is None:
        return ""
    enough_v = battery.nominal_v * math.sqrt(times) * (1.0 - TOLERANCE)
    higher_v = next((v for v in BATTERIES_V if v >= enough_v), None)
    return "" if higher_v is None else f"with a battery of {higher_v:g} V instead of {battery.nominal_v:g} V"


def _sized(
    drafts: Sequence[Draft], array: Draft | None, most_pct: float, raised: Callable[[float], str]
) -> list[CableRun]:
    """The cables that share a voltage drop, each with its sizes; an array's comes last.

    Parallel strings get one size, the largest that one of them needs, so that a shop buys one.
    raised: words for a higher voltage, as for change.
    """
    needs, last = [d.need for d in drafts], None if array is None else array.need
    metric_pct, awg_pct = (shares_pct(sizes, needs, last, most_pct) for sizes in (METRIC, AWG))
    thickest, thickest_awg = _thickest(METRIC, needs, metric_pct[0]), _thickest(AWG, needs, awg_pct[0])
    found = []
    for draft in [*drafts, *([] if array is None else [array])]:
        part = 1 if draft is array else 0
        pct = metric_pct[part]
        metric, awg = smallest(METRIC, draft.need, pct), smallest(AWG, draft.need, awg_pct[part])
        reason = why(METRIC, metric, draft.need, pct, _fuse_a(draft))
        if draft is not array:
            if metric is not None and thickest is not metric:
                reason = f"as the other strings of this tracker, of which one needs {thickest.label}"
            metric, awg = metric and thickest, awg and thickest_awg
        if metric is None:
            reason = f"{reason}; {change(METRIC, draft.need, needs, last, most_pct, raised)}"
        if draft.fuse is not None and draft.fuse.size_a is None:
            reason = f"{reason}; {draft.fuse.why}"
        found.append(_run(draft, metric, awg, reason))
    return found


def _thickest(sizes: Sequence[Size], needs: Sequence[Need], allowed_pct: float) -> Size:
    """The largest of the sizes that the cables need, those left out that none serves."""
    own = [smallest(sizes, need, allowed_pct) for need in needs]
    return sizes[max((sizes.index(size) for size in own if size is not None), default=0)]


def _run(draft: Draft, metric: Size | None, awg: Size | None, reason: str) -> CableRun:
    need = draft.need
    return CableRun(
        run="",
        kind=draft.kind,
        start=draft.start,
        end=draft.end,
        current_a=draft.current_a,
        length_mm=need.length_mm,
        estimated=draft.estimated,
        size_mm2=None if metric is None else metric.mm2,
        size_awg=None if awg is None else awg.awg,
        carries_a=None if metric is None else capacity_a(metric, need.laid),
        drop_v=None if metric is None else _lost_v(metric, need),
        drop_pct=None if metric is None else drop_pct(metric, need),
        fuse_a=_fuse_a(draft),
        isolator=draft.isolator,
        why=reason,
        carries_awg_a=None if awg is None else capacity_a(awg, need.laid),
        drop_awg_v=None if awg is None else _lost_v(awg, need),
        drop_awg_pct=None if awg is None else drop_pct(awg, need),
    )


def _lost_v(size: Size, need: Need) -> float:
    return drop_v(size, need.length_mm, need.working_a, need.laid.insulation_c)


def _fuse_a(draft: Draft) -> float | None:
    return None if draft.fuse is None else draft.fuse.size_a


def _sum(one: Length, other: Length) -> Length:
    return Length(one.mm + other.mm, one.estimated or other.estimated)
