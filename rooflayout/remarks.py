"""What a plan's reader should know beside its figures, one function a remark."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from rooflayout.bare_facets import bare_facet_notes
from rooflayout.barred import barred_by_limits
from rooflayout.job import Job, PanelModel
from rooflayout.packing.ground import EDGE
from rooflayout.packing.kinds import in_whole_millimetres
from rooflayout.plan import SEVERITIES, Layout, Note, Plan, Severity, Temperatures, Wiring
from rooflayout.vehicle.notes import tells_limit_passed
from rooflayout.wiring import limits
from rooflayout.wiring.design import design_notes
from rooflayout.wiring.enough import as_the_battery_takes
from rooflayout.wiring.long_leads import lead_notes
from rooflayout.wiring.notes import unknown_charge, wiring_notes
from rooflayout.wiring.options import Supply, shortest_strings
from rooflayout.wiring.reasons import why_not
from rooflayout.wiring.strain import EXTRA_LOW_V, TOUCH_V
from rooflayout.wiring.temperatures import design_temperatures
from rooflayout.wiring.under_panel import gland_notes

ABSOLUTE_ZERO_C = -273
TIGHT_PCT = 2.5  # headroom under a voltage limit that nine degrees of cold would use up


def remarks(job: Job, plan: Plan, *, supply: Supply | None) -> tuple[Note, ...]:
    """All remarks on a finished plan, most pressing first."""
    notes = [
        *_nothing_fits(job, plan, supply),
        *_wiring_notes(job, plan),
        *(design_notes(job, plan.wiring) if plan.wiring is not None else ()),
        *(lead_notes(plan.layout.panels, plan.wiring) if plan.wiring is not None else ()),
        *gland_notes(job, plan.layout.panels),
        *_proof(job, plan),
        *bare_facet_notes(job, plan, supply),
        *_near_misses(plan),
        *_datum(job),
        *_rounded(job, plan),
    ]
    return in_order(notes)


def in_order(notes: Iterable[Note]) -> tuple[Note, ...]:
    """The gravest first; among warnings, limits of the vehicle that are passed."""
    return tuple(sorted(notes, key=lambda n: (SEVERITIES.index(n.severity), not tells_limit_passed(n))))


def _nothing_fits(job: Job, plan: Plan, supply: Supply | None) -> Iterator[Note]:
    """Why there is no new panel, and which models cannot be wired."""
    unwireable = supply is not None and not supply.options
    if job.wants_wiring:
        temperatures = design_temperatures(job.site)
        severity = "warning" if unwireable else "info"
        code = "nothing-fits-wiring" if unwireable else "model-not-wireable"
        wiring = plan.wiring
        planned = {load.model for load in wiring.controllers} if wiring else set()
        off = wiring.unwired if wiring and wiring.strings else ()  # wiring_notes tells why
        besides = {p.model for p in plan.layout.panels if p.panel in off}
        eased = as_the_battery_takes(job, plan.layout.watts)
        for reason in why_not(eased, temperatures, besides, planned):
            yield Note("warning" if severity == "warning" else "info", code, reason)
    barred = barred_by_limits(job, supply) if plan.layout.status == "nothing fits" else None
    if barred is not None:
        yield Note("warning", "nothing-fits-limits", barred)
    elif plan.layout.status == "nothing fits" and not unwireable:
        under = "with these obstacles, clearances, edge distances, stock and limits"
        yield Note("warning", "nothing-fits-space", f"{_too_little_space(job, supply)}, {under}.")


def _too_little_space(job: Job, supply: Supply | None) -> str:
    """Not even the smallest panel fits; or, where controllers need strings, not even a shortest string."""
    if supply is not None and min(o.in_series for o in supply.options) > 1:
        shortest = shortest_strings(supply.options)
        strings = " or ".join(f"{n} x {model}" for model, n in shortest.items())
        return f"No facet takes the panels of a string that the controllers accept, at least {strings}"
    smallest = min(job.panels.models, key=lambda m: m.length_mm * m.width_mm)
    size = f"{smallest.length_mm:g} x {smallest.width_mm:g} mm"
    place = "No free place" if in_whole_millimetres(job) else "No free place on whole millimetres"
    return f"{place} takes a panel, not even the smallest, {smallest.model} ({size})"


def _wiring_notes(job: Job, plan: Plan) -> Iterator[Note]:
    wiring = plan.wiring
    if wiring is None or not (wiring.strings or wiring.portable):
        return
    yield from _temperature_notes(job, wiring.temperatures)
    if not wiring.strings:
        return
    yield from wiring_notes(job, wiring, plan.layout.panels)
    yield from unknown_charge(job, wiring)
    yield from _tight(job, plan)
    yield from dangerous(wiring)


def dangerous(wiring: Wiring) -> Iterator[Note]:
    """The strings above 120 V DC, and those above 60 V DC, with the highest voltage that they reach."""
    classes: tuple[tuple[float, float, Severity, str], ...] = (
        (EXTRA_LOW_V, math.inf, "warning", "a deadly voltage; for qualified hands only"),
        (TOUCH_V, EXTRA_LOW_V, "caution", "dangerous to touch even when dry"),
    )
    for above_v, up_to_v, severity, words in classes:
        own = [s for s in wiring.strings if above_v < s.voc_cold_v <= up_to_v]
        if own:
            names = ", ".join(s.string for s in own)
            highest_v = max(s.voc_cold_v for s in own)
            reach = f"{names} {'reaches' if len(own) == 1 else 'reach'} up to {_over(highest_v, above_v)} V"
            yield Note(severity, f"above-{above_v:g}-v", f"{reach}: above {above_v:g} V DC, {words}.")


def _over(value: float, limit: float) -> str:
    """In whole volts, or in tenths where those would not show that it is above the limit."""
    return f"{value:.0f}" if round(value) > limit else f"{math.ceil(value * 10.0) / 10.0:.1f}"


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
            text = f"{name.capitalize()} temperature {used:g} °C is {source}; "
            text += f"give [site] {name} if you know better."
            yield Note("caution", f"{name}-not-given", text)


def _tight(job: Job, plan: Plan) -> Iterator[Note]:
    """A string close under a voltage limit: a few degrees colder and it is over."""
    wiring = plan.wiring
    if wiring is None or job.controllers is None:
        return
    models = job.panel_models()
    on = job.controller_models()
    controllers = {load.controller: on[load.model] for load in wiring.controllers}
    given = job.site is not None and job.site.coldest_c is not None
    coldest = wiring.temperatures.coldest_cell_c
    for string in wiring.strings:
        panel = models[string.model]
        limit = limits.string_limit_v(panel, controllers[string.controller])
        if panel.voc_v is None or string.voc_cold_v <= limit * (1 - TIGHT_PCT / 100):
            continue
        over_c = _too_cold_c(panel, string.in_series, limit, coldest)
        text = (
            f"{string.string} reaches {string.voc_cold_v:.1f} V of {limit:g} V at {coldest:g} °C"
            f"{'' if given else ' (not given in the job)'}; at {over_c:g} °C it would be over the limit."
        )
        yield Note("caution" if given else "warning", "tight-cold-voltage", text)


def _too_cold_c(panel: PanelModel, in_series: int, limit_v: float, coldest_c: float) -> float:
    """The first whole degree below the coldest at which a string would be over its limit, °C."""
    over_c = math.ceil(coldest_c) - 1
    while over_c > ABSOLUTE_ZERO_C and in_series * limits.cold_voc_v(panel, over_c) <= limit_v:
        over_c -= 1
    return float(over_c)


def _proof(job: Job, plan: Plan) -> Iterator[Note]:
    layout = plan.layout
    layouts = "layout that these controllers can take" if job.wants_wiring else "layout whatever"
    if layout.harvest_wh_year is not None:
        yield from _harvest_proof(layout)
    elif layout.sampled and layout.status == "proven":
        why = "The roof has round or slanted lines, along which not every touching position can be tried"
        if not in_whole_millimetres(job):
            why += ", or lengths (of a round obstacle: half its diameter) that are no whole millimetres"
        text = (
            f"{why}: the proof holds over the positions tried. No {layouts} has more than "
            f"{layout.ceiling_watts:g} W."
        )
        yield Note("info", "proof-over-positions-tried", text)
    elif layout.status == "best found":
        text = f"The search ended before the proof; no {layouts} has more than {layout.ceiling_watts:g} W"
        text += (
            f", none of the positions tried more than {layout.bound_watts:g} W." if layout.sampled else "."
        )
        text += " Near misses may have been looked for right beside it only."
        yield Note("caution", "not-proven", text)


def _harvest_proof(layout: Layout) -> Iterator[Note]:
    """Of a layout that was packed for harvest: its bound is one of Wh a year."""
    if layout.status != "best found":
        return
    text = "The search ended before the proof"
    if layout.bound_harvest_wh_year is not None:
        kwh = layout.bound_harvest_wh_year / 1000.0
        text += f"; no layout of the positions tried gives more than {kwh:.1f} kWh a year "
        text += "before the controllers"
    yield Note("caution", "not-proven", f"{text}.")


def _near_misses(plan: Plan) -> Iterator[Note]:
    """What a few millimetres more would carry."""
    for m in plan.near_misses:
        panels = ", ".join(f"{count} x {model}" for model, count in m.panels)
        one, other = m.between  # from low to high along the axis
        low, high = "the near edge" if one == EDGE else one, "the far edge" if other == EDGE else other
        where = "between the two edges" if one == other == EDGE else f"between {low} and {high}"
        text = (
            f"{m.short_mm} mm more on {m.facet} along {m.axis}, {where}, would carry {m.watts:g} W more "
            f"({panels})."
        )
        yield Note("info", "near-miss", text)


def _datum(job: Job) -> Iterator[Note]:
    """Facets whose datum lies in the air: nobody can hook a tape there."""
    for facet in job.facets:
        if _on_edge(facet.outline_mm):
            continue
        xs, ys = zip(*facet.outline_mm, strict=True)
        text = (
            f"The datum of {facet.name}, x = 0 and y = 0, is no point of its edge: strike the lines x = 0 "
            f"and y = 0 first (the outline runs from x {min(xs):g} to {max(xs):g} and from y {min(ys):g} "
            f"to {max(ys):g}), or measure the outline from one of its corners."
        )
        yield Note("caution", "datum-off-edge", text)


def _on_edge(outline_mm: tuple[tuple[float, float], ...]) -> bool:
    """Whether (0, 0) lies on one of the outline's edges."""
    for (x0, y0), (x1, y1) in zip(outline_mm, outline_mm[1:] + outline_mm[:1], strict=True):
        across = x0 * (y1 - y0) - y0 * (x1 - x0)
        if abs(across) < 1e-6 and min(x0, x1) <= 0 <= max(x0, x1) and min(y0, y1) <= 0 <= max(y0, y1):
            return True
    return False


def _rounded(job: Job, plan: Plan) -> Iterator[Note]:
    """Lengths that are no whole millimetres: corners stand on whole ones, which the proof then rests on."""
    if not in_whole_millimetres(job):
        text = (
            "Panels are rounded up to whole millimetres and stand on whole millimetres; some lengths of this "
            "job have parts of a millimetre"
        )
        held = plan.layout.status == "proven" and not plan.layout.sampled
        text += "." if held else ", and the proof holds for whole millimetres only."
        yield Note("info", "whole-millimetres", text)
