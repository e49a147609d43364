"""The bench sheet: what a meter should read on each string, and blanks for what it did read."""

from __future__ import annotations

from ..job import Job
from ..plan import MeterReading, PanelString, Plan
from .contents import settings
from .leaf import Leaf, stacked_leaves
from .lettering import NORMAL, clean, fixed, number
from .portable_leads import readings_of
from .table import Column, Row, TableBlock

# Voc falls by a ln 2 where the sun halves: 2 to 3.5 % where Voc is 20 to 35 times a (see wiring/curves.py).
_HALF_SUN = "With half the sun Voc is some 3 % lower, within its range."
_AT_THE_PLUG = "Portable panels: at their plug, not plugged in; first make sure which pole is +."
_WRITING_ROW = 8.5  # a row that a hand can write in

# The order of IEC 62446-1 (from memory): documents and inspection, continuity, polarity, open-circuit
# voltage, short-circuit current, function, insulation. Resistances and test voltages from memory too.
STEPS = (
    "Documents at hand: roof drawing, string and cable schedules, data sheets of panels and controllers.",
    "By eye: panels sound, plugs of one make and locked, cables clipped and off sharp edges, glands tight,"
    " labels at both ends, fuses and cables as in the schedule.",
    "Continuity of bonding and earth conductors, from each metal frame and rail (where there are any) to the"
    " earth bar (ohms).",
    "Polarity of every string at its end, controller not connected; + and − labelled.",
    "Joints: fuses out, every string's + on the + side, voltages of like strings in parallel within 5 %.",
    "Open-circuit voltage of every string: into the table; outside its range, find out why first.",
    "Short-circuit current of every string, through a meter or switch made to break direct current.",
    "Insulation resistance, + and − each to earth, controller not connected: at least 0.5 MΩ at 250 V where"
    " the string stays under 120 V, at least 1 MΩ at 500 V above.",
    "Battery side first: polarity read at each controller's terminals{bars} before any fuse goes"
    " in; then its fuses, charge voltage and battery kind set in the controller{set}.",
    "Isolators closed; each controller charges, its watts agree with the sun; the panels' isolators (not the"
    " battery's) break under load.",
)


def bench_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """The sheets for the day of testing; none where the plan has no readings."""
    table = readings_block(job, plan)
    return [] if table is None else stacked_leaves("Bench sheet", [table, steps_block(plan)])


def readings_block(job: Job, plan: Plan) -> TableBlock | None:
    """A row a string and a set of portable panels: what to expect, and blanks for what is measured."""
    wiring = plan.wiring
    if wiring is None:
        return None
    strings = {s.string: s for s in wiring.strings}
    portable = readings_of(job, plan)
    readings = [*wiring.readings, *(reading for reading, _ in portable)]
    if not readings:
        return None
    slopes = [voc_per_k(job, strings[r.string]) if r.string in strings else None for r in wiring.readings]
    slopes += [slope for _, slope in portable]
    with_slope = any(slope is not None for slope in slopes)
    rows = [Row(_cells(r, s, with_slope)) for r, s in zip(readings, slopes, strict=True)]
    columns = (
        Column(("string",), "left", flexible=bool(portable)),
        Column(("Voc", "V"), "right"),
        Column(("from – to", "V"), "center"),
        *((Column(("Voc V", "per K")),) if with_slope else ()),
        Column(("Isc", "A")),
        Column(("from – to", "A"), "center"),
        Column(("sun", "W/m²"), "center", least_mm=18.0),
        Column(("cell", "°C"), "center", least_mm=15.0),
        Column(("polarity", "right"), "center", least_mm=18.0),
        Column(("Voc read", "V"), "center", least_mm=22.0),
        Column(("Isc read", "A"), "center", least_mm=22.0),
        Column(("+ to earth", "MΩ"), "center", least_mm=22.0),
        Column(("− to earth", "MΩ"), "center", least_mm=22.0),
        Column(("remark",), "left", flexible=True),
    )
    return TableBlock(
        "What a meter should read, and what it does",
        columns,
        tuple(rows),
        (*_notes(job, tuple(readings), with_slope), *((_AT_THE_PLUG,) if portable else ())),
        NORMAL,
        _WRITING_ROW,
        True,
    )


def _cells(r: MeterReading, slope: float | None, with_slope: bool) -> tuple[str, ...]:
    slope_words = "–" if slope is None else fixed(slope, 2)
    return (
        clean(r.string),
        fixed(r.voc_v, 1),
        f"{fixed(r.voc_low_v, 1)} – {fixed(r.voc_high_v, 1)}",
        *((slope_words,) if with_slope else ()),
        fixed(r.isc_a, 2),
        f"{fixed(r.isc_low_a, 2)} – {fixed(r.isc_high_a, 2)}",
        *("",) * 8,
    )


def voc_per_k(job: Job, string: PanelString) -> float | None:
    """How much a string's open-circuit voltage changes with each K of cell temperature [V], or None."""
    for panel in (*job.panels.models, *(k.model for k in job.kept)):
        if panel.model == string.model and panel.voc_v is not None and panel.voc_pct_per_k is not None:
            return string.in_series * panel.voc_v * panel.voc_pct_per_k / 100.0
    return None


def source_words(job: Job, sun_w_m2: float, cell_c: float) -> str:
    """Whether the job gives this sun and cell temperature or they are assumed."""
    sun_given, cell_given = job.bench.irradiance_w_m2 == sun_w_m2, job.bench.cell_c == cell_c
    if sun_given and cell_given:
        return "both given in the job"
    if sun_given or cell_given:
        return f"{'cells' if sun_given else 'sun'} assumed, not given in the job"
    return "both assumed, not given in the job"


def _notes(job: Job, readings: tuple[MeterReading, ...], with_slope: bool) -> tuple[str, ...]:
    conditions = list(dict.fromkeys((r.irradiance_w_m2, r.cell_c) for r in readings))
    notes = []
    for sun, cell in conditions:
        which = "" if len(conditions) == 1 else _names(readings, sun, cell)
        notes.append(
            f"Expected{which} at {number(sun)} W/m² in the panels' plane and cells at {number(cell, 1)} °C"
            f" ({source_words(job, sun, cell)})."
        )
        notes.append(f"With other sun: Isc and its range × measured W/m² ÷ {number(sun)}. {_HALF_SUN}")
    if with_slope:
        notes.append("With other cells: Voc and its range + V per K × (measured °C − expected °C).")
    notes.append("Measure in steady sun above 400 W/m²; cells on the back of a panel, under its middle.")
    return tuple(notes)


def _names(readings: tuple[MeterReading, ...], sun: float, cell: float) -> str:
    mine = [r.string for r in readings if (r.irradiance_w_m2, r.cell_c) == (sun, cell)]
    return f" of {clean(', '.join(mine))}"


def steps_block(plan: Plan) -> TableBlock:
    """The steps in order, with blanks; which charge currents are to be set down, where any is."""
    columns = (
        Column(("step",), "center"),
        Column(("in this order",), "left", flexible=True),
        Column(("found",), "left", least_mm=50.0),
        Column(("in order", "(yes / no)"), "center", least_mm=22.0),
    )
    each = ", ".join(f"{name} {amps}" for name, amps in settings(plan).items())
    joined = plan.wiring is not None and any(run.kind == "main" for run in plan.wiring.runs)
    words = {
        "set": f", and its charge current: {each}" if each else "",
        "bars": " and at the busbars" if joined else "",
    }
    steps = [text.format(**words) for text in STEPS]
    rows = [Row((str(number_), text, "", "")) for number_, text in enumerate(steps, 1)]
    who = "  ".join(f"{word}: {'_' * 24}" for word in ("Meter", "Sun meter", "Date", "Name"))
    return TableBlock("Tests", columns, tuple(rows), (who,), NORMAL, _WRITING_ROW, True)
