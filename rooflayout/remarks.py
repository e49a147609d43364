"""What a plan's reader should know beside its figures, one function a remark."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.job import Job
from rooflayout.plan import Note, Plan, Temperatures
from rooflayout.wiring.notes import wiring_notes
from rooflayout.wiring.options import Supply
from rooflayout.wiring.reasons import why_not
from rooflayout.wiring.temperatures import design_temperatures

FACTOR_PCT_PER_K = 0.4  # what the cold factors of NEC 690.7(A) come to
TIGHT_PCT = 2.5  # headroom under a voltage limit that nine degrees of cold would use up


def remarks(job: Job, plan: Plan, *, sampled: bool, supply: Supply | None) -> tuple[Note, ...]:
    """All remarks on a finished plan, most pressing first."""
    notes = [
        *_nothing_fits(job, plan, supply),
        *_wiring_notes(job, plan),
        *_proof(plan, sampled),
        *_rounded(job),
    ]
    order = {"warning": 0, "caution": 1, "info": 2}
    return tuple(sorted(notes, key=lambda n: order[n.severity]))


def _nothing_fits(job: Job, plan: Plan, supply: Supply | None) -> Iterator[Note]:
    """Why there is no new panel, and which models cannot be wired."""
    unwireable = supply is not None and not supply.options
    if job.wants_wiring:
        temperatures = design_temperatures(job.site)
        severity = "warning" if unwireable else "info"
        code = "nothing-fits-wiring" if unwireable else "model-not-wireable"
        for reason in why_not(job, temperatures):
            yield Note("warning" if severity == "warning" else "info", code, reason)
    if plan.layout.status == "nothing fits" and not unwireable:
        smallest = min(job.panels.models, key=lambda m: m.length_mm * m.width_mm)
        size = f"{smallest.length_mm:g} x {smallest.width_mm:g} mm"
        yield Note(
            "warning",
            "nothing-fits-space",
            f"no free place takes a panel, not even the smallest, {smallest.model} ({size}), "
            "with these obstacles, clearances, edge distances, stock and limits.",
        )


def _wiring_notes(job: Job, plan: Plan) -> Iterator[Note]:
    wiring = plan.wiring
    if wiring is None or not wiring.strings:
        return
    yield from _temperature_notes(job, wiring.temperatures)
    yield from wiring_notes(job, wiring, plan.layout.panels)
    yield from _tight(job, plan)
    highest = max(s.voc_cold_v for s in wiring.strings)
    if highest > 120:
        text = (
            f"a string reaches {highest:.0f} V: above 120 V DC, a deadly voltage; for qualified hands only."
        )
        yield Note("warning", "above-120-v", text)
    elif highest > 60:
        text = f"a string reaches {highest:.0f} V: above 60 V DC, dangerous to touch even when dry."
        yield Note("caution", "above-60-v", text)


def _temperature_notes(job: Job, temperatures: Temperatures) -> Iterator[Note]:
    given = (
        job.site.coldest_c if job.site else None,
        job.site.hottest_c if job.site else None,
    )
    lines = (
        ("coldest", given[0], temperatures.coldest_cell_c, temperatures.coldest_source),
        ("hottest", given[1], temperatures.hottest_air_c, temperatures.hottest_source),
    )
    for name, value, used, source in lines:
        if value is None:
            text = f"{name} temperature {used:g} °C is {source}; give [site] {name} if you know better."
            yield Note("caution", f"{name}-not-given", text)


def _tight(job: Job, plan: Plan) -> Iterator[Note]:
    """A string close under a voltage limit: a few degrees colder and it is over."""
    wiring = plan.wiring
    if wiring is None or job.controllers is None:
        return
    limits = {c.model: c.max_pv_v for c in (*job.controllers.catalogue, *job.controllers.fitted)}
    controllers = {load.controller: load.model for load in wiring.controllers}
    models = {m.model: m for m in (*job.panels.models, *(k.model for k in job.kept))}
    given = job.site is not None and job.site.coldest_c is not None
    coldest = wiring.temperatures.coldest_cell_c
    for string in wiring.strings:
        limit = limits[controllers[string.controller]]
        panel = models[string.model]
        if panel.voc_v is None or string.voc_cold_v <= limit * (1 - TIGHT_PCT / 100):
            continue
        per_k = string.in_series * panel.voc_v * abs(panel.voc_pct_per_k or FACTOR_PCT_PER_K) / 100
        over_c = coldest - (limit - string.voc_cold_v) / per_k
        text = (
            f"{string.string} reaches {string.voc_cold_v:.1f} V of {limit:g} V at {coldest:g} °C"
            f"{'' if given else ' (not given in the job)'}; below {over_c:.1f} °C it is over the limit."
        )
        yield Note("caution" if given else "warning", "tight-cold-voltage", text)


def _proof(plan: Plan, sampled: bool) -> Iterator[Note]:
    if sampled and plan.layout.status == "proven":
        text = (
            "the roof has round or slanted lines, along which not every touching position can be tried: "
            "the proof holds over the positions tried."
        )
        yield Note("info", "proof-over-positions-tried", text)
    if plan.layout.status == "best found":
        text = (
            f"the search ended before the proof; no layout can have more than {plan.layout.bound_watts:g} W."
        )
        yield Note("caution", "not-proven", text)


def _rounded(job: Job) -> Iterator[Note]:
    """Lengths that are no whole millimetres are rounded up, which the proof then rests on."""
    lengths = [job.spacing.between_panels_mm]
    lengths += [side for m in job.panels.models for side in (m.length_mm, m.width_mm)]
    if any(length != round(length) for length in lengths):
        text = "panel sides and gaps are rounded up to whole millimetres; the proof holds for those."
        yield Note("info", "whole-millimetres", text)
