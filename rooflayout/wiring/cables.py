"""The cables of a wiring: from, to, length, size, voltage drop, fuse and isolator."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rooflayout.job import Battery, Job
from rooflayout.plan import CableRun, PanelString, PlacedPanel, Wiring
from rooflayout.wiring.cable_notes import cable_notes
from rooflayout.wiring.conductors import AWG, METRIC, Size, capacity_a
from rooflayout.wiring.drafts import (
    BUSBAR,
    Draft,
    array_draft,
    battery_draft,
    input_of,
    main_draft,
    string_draft,
)
from rooflayout.wiring.hot_drop import thick_enough
from rooflayout.wiring.limits import TOLERANCE
from rooflayout.wiring.of_plan import limit_v, needed_v
from rooflayout.wiring.sizing import Need, change, drop_pct, lost_v, shares_pct, smallest, why

__all__ = ["cable_notes", "cable_runs"]

BATTERIES_V = (12.0, 24.0, 48.0)  # nominal: common practice, no source


@dataclass(frozen=True, slots=True)
class _Sized:
    """A cable with its sizes, None where none of the row serves, and what set the metric one."""

    draft: Draft
    metric: Size | None
    awg: Size | None
    why: str


def cable_runs(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> tuple[CableRun, ...]:
    """Every cable of the wiring, with the smallest standard sizes that serve, metric and AWG.

    A tracker's only string has one cable, to the controller. Parallel strings have one each to their
    joint at the gland, and one goes on from there. job.cable.most_drop_pct holds from string to
    controller and again from controller to battery; the hot operating voltage and the battery's nominal
    one are 100 %. Less is allowed where a controller would get less than it needs in the heat (hot_drop.py).
    Several controllers join at a busbar beside the battery, from where one cable goes on with the main fuse;
    each goes to the battery by itself where no standard fuse or size serves that one.
    Working currents are those at STC (Imp, else Isc) and the plan's charge current.
    Raises ValueError when the job has no battery or controllers, KeyError for a name that the job or the
    panels do not have.
    """
    found: list[CableRun] = []
    to_battery = {s.draft.start: _run(s) for s in _battery_side(job, wiring)}
    for load in wiring.controllers:
        strings = [s for s in wiring.strings if s.controller == load.controller]
        if not strings:
            continue
        for tracker in dict.fromkeys(s.tracker for s in strings):
            found += _tracker_runs(job, panels, wiring, [s for s in strings if s.tracker == tracker])
        found.append(to_battery.pop(load.controller))
    found += to_battery.values()  # the cable from the busbar
    return tuple(replace(run, run=f"R{number}") for number, run in enumerate(found, 1))


def _tracker_runs(
    job: Job, panels: Sequence[PlacedPanel], wiring: Wiring, strings: Sequence[PanelString]
) -> list[CableRun]:
    joint = f"{input_of(strings[0])} joint" if len(strings) > 1 else None
    drafts = [string_draft(job, panels, wiring, s, strings, joint) for s in strings]
    array = None if joint is None else array_draft(job, wiring, strings, drafts, joint)
    limits_v = [limit_v(job, wiring, s) for s in strings]
    sized = _sized(drafts, array, job.cable.most_drop_pct, partial(_series_for, strings, limits_v))
    least_v = needed_v(job, wiring, strings[0])
    return [_run(s) for s in (sized if least_v is None else _kept_up(strings, least_v, sized))]


def _battery_side(job: Job, wiring: Wiring) -> list[_Sized]:
    """The cables of all controllers with strings: to one busbar, whose own cable comes last, where several
    can join; else each to the battery by itself."""
    strung = {s.controller for s in wiring.strings}
    loads = [load for load in wiring.controllers if load.controller in strung]
    most_pct, raised = job.cable.most_drop_pct, partial(_battery_for, job.battery)
    alone = [_sized([battery_draft(job, wiring, load)], None, most_pct, raised)[0] for load in loads]
    if len(loads) < 2:
        return alone
    main = main_draft(job, wiring, loads)
    drafts = [battery_draft(job, wiring, load, BUSBAR) for load in loads]
    joined = _sized(drafts, main, most_pct, raised, alike=False)
    unserved = _unserved(joined) - _unserved(alone)
    return alone if unserved or _fuse_a(main) is None else joined  # and bar_notes tells of it


def _unserved(sized: Sequence[_Sized]) -> set[str]:
    """The rows in which some of the cables have no size."""
    metric, awg = any(s.metric is None for s in sized), any(s.awg is None for s in sized)
    return {row for row, lacking in (("metric", metric), ("AWG", awg)) if lacking}


def _kept_up(strings: Sequence[PanelString], least_v: float, sized: list[_Sized]) -> list[_Sized]:
    """A tracker's cables, thicker where its strings would bring less than least_v in the heat."""
    needs = [s.draft.need for s in sized[: len(strings)]]
    array = sized[-1].draft if len(sized) > len(strings) else None
    spare_v = [s.vmp_hot_v - least_v for s in strings]

    def kept(row: Sequence[Size], now: list[Size | None]) -> list[Size | None] | None:
        first = now[0]
        if first is None or None in now:
            return now
        ends = first, None if array is None else now[-1]
        found = thick_enough(row, ends, needs, None if array is None else array.need, spare_v)
        return None if found is None else [found[1] if s.draft is array else found[0] for s in sized]

    metric = kept(METRIC, [s.metric for s in sized])
    awg = kept(AWG, [s.awg for s in sized])
    if metric is None or awg is None:
        return sized  # and hot_drop_notes tells of it
    why = f"heat: thinner leaves {strings[0].controller} less than {least_v:.1f} V"
    return [
        _Sized(s.draft, mm2, gauge, s.why if mm2 is s.metric else why)
        for s, mm2, gauge in zip(sized, metric, awg, strict=True)
    ]


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
    drafts: Sequence[Draft],
    array: Draft | None,
    most_pct: float,
    raised: Callable[[float], str],
    alike: bool = True,
) -> list[_Sized]:
    """The cables that share a voltage drop, each with its sizes; that behind the others' joint comes last.

    alike: parallel strings get one size, the largest that one of them needs, so that a shop buys one.
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
        if alike and draft is not array:
            if metric is not None and thickest is not metric:
                reason = f"as the tracker's other strings: one needs {thickest.label}"
            metric, awg = metric and thickest, awg and thickest_awg
        if metric is None:
            reason = f"{reason}; {change(METRIC, draft.need, needs, last, most_pct, raised)}"
        if draft.fuse is not None and draft.fuse.size_a is None:
            reason = f"{reason}; {draft.fuse.why}"
        found.append(_Sized(draft, metric, awg, reason))
    return found


def _thickest(sizes: Sequence[Size], needs: Sequence[Need], allowed_pct: float) -> Size:
    """The largest of the sizes that the cables need, those left out that none serves."""
    own = [smallest(sizes, need, allowed_pct) for need in needs]
    return sizes[max((sizes.index(size) for size in own if size is not None), default=0)]


def _run(sized: _Sized) -> CableRun:
    draft, metric, awg = sized.draft, sized.metric, sized.awg
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
        drop_v=None if metric is None else lost_v(metric, need),
        drop_pct=None if metric is None else drop_pct(metric, need),
        fuse_a=_fuse_a(draft),
        isolator=draft.isolator,
        why=sized.why,
        carries_awg_a=None if awg is None else capacity_a(awg, need.laid),
        drop_awg_v=None if awg is None else lost_v(awg, need),
        drop_awg_pct=None if awg is None else drop_pct(awg, need),
        working_a=need.working_a,
    )


def _fuse_a(draft: Draft) -> float | None:
    return None if draft.fuse is None else draft.fuse.size_a
