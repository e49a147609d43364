"""The string schedule: strings, controllers, portable panels, and why they are wired so."""

from __future__ import annotations

from collections.abc import Sequence

from ..job import Job
from ..plan import PanelString, Plan, Temperatures
from ..wiring.of_plan import hot_at_controller_v, limit_v, needed_v
from ..wiring.portable import in_free_air
from .blocks import Block, TextBlock
from .contents import battery_words, load_figures, marks_of, settings_note
from .leaf import Leaf, stacked_leaves
from .lettering import NORMAL, clean, fixed, number
from .table import Column, Row, TableBlock

WIRING_CAUTIONS = (
    "Panels are live in daylight and cannot be switched off: cover them or work at dusk.",
    "Fuses and isolators are fitted, and isolators open, before anything is connected.",
    "Connect the battery side of a controller first, then the panels. Disconnect the panels first, then the"
    " battery, unless the controller's maker says otherwise.",
    "Never part a plug or pull a fuse under load: an arc of direct current does not go out by itself.",
    "Measure polarity and open-circuit voltage of each string before it meets its controller.",
    "Work at height: use fall protection; do not step on panels or skylights.",
    "Local codes and licensed practice rule over these sheets: who signs for them checks every size.",
)


def string_leaves(job: Job, plan: Plan, last: Sequence[Block] = ()) -> list[Leaf]:
    """The sheets of the string schedule and what comes last under it; none where no string is wired."""
    if plan.wiring is None or not (plan.wiring.strings or plan.wiring.portable):
        return []
    tables = [strings_block(job, plan), controllers_block(job, plan), portable_block(plan)]
    texts = (because_block(plan), mismatch_block(plan))
    return stacked_leaves(
        "String schedule", [t for t in tables if t is not None], [t for t in texts if t is not None], last
    )


def strings_block(job: Job, plan: Plan) -> TableBlock | None:
    """A row a string: panels from its + end to its - end, voltages beside what limits them."""
    wiring = plan.wiring
    if wiring is None or not wiring.strings:
        return None
    marks = marks_of(plan)
    rows = []
    for s in wiring.strings:
        most_v, least_v = limit_v(job, wiring, s), needed_v(job, wiring, s)
        cells = (
            s.string,
            f"{s.controller} / {s.tracker}",
            clean(s.facet),
            clean(s.model),
            in_order(s),
            str(s.in_series),
            fixed(s.voc_cold_v, 1),
            "–" if most_v is None else number(most_v, 1),
            "–" if most_v is None else fixed(most_v - s.voc_cold_v, 1),
            fixed(s.vmp_hot_v, 1),
            "–" if s.vmp_hot_at_controller_v is None else fixed(s.vmp_hot_at_controller_v, 1),
            "–" if least_v is None else fixed(least_v, 1),
            "–" if least_v is None else fixed(hot_at_controller_v(s) - least_v, 1),
            fixed(s.isc_a, 2),
            number(s.power_w, 1),
        )
        rows.append(Row(cells, mark=marks.get(s.string)))
    columns = (
        Column(("string",), "left"),
        Column(("controller", "/ tracker"), "left"),
        Column(("facet",), "left", flexible=True),
        Column(("model",), "left", flexible=True),
        Column(("panels from", "+ end to − end"), "left", flexible=True),
        Column(("in", "series"), "center"),
        Column(("Voc", "cold V")),
        Column(("limit", "V")),
        Column(("head-", "room V")),
        Column(("Vmp", "hot V")),
        Column(("at con-", "troller V")),
        Column(("needs", "V")),
        Column(("head-", "room V")),
        Column(("Isc", "A")),
        Column(("power", "W")),
    )
    return TableBlock("Strings", columns, tuple(rows), _string_notes(plan), NORMAL)


def _string_notes(plan: Plan) -> tuple[str, ...]:
    assert plan.wiring is not None
    notes = [
        "The first panel's + and the last panel's − are the string's ends; each panel's − goes to the next"
        " one's +. Strings on one tracker are in parallel.",
        _temperatures_note(plan.wiring.temperatures),
        "Limit: the least of what tracker, panels and installer allow. At controller: Vmp hot behind the"
        " cables. Needs: for it to charge. Isc, power: at STC.",
    ]
    if plan.wiring.unwired:
        notes.append(f"Not wired, no controller can take it: {', '.join(plan.wiring.unwired)}.")
    return tuple(notes)


def _temperatures_note(t: Temperatures) -> str:
    """At which temperatures the voltages are, and where those are from."""
    return (
        f"Voc cold: cells at {number(t.coldest_cell_c, 1)} °C ({clean(t.coldest_source)}). Vmp hot: cells at"
        f" {number(t.hottest_cell_c, 1)} °C, air at {number(t.hottest_air_c, 1)} °C"
        f" ({clean(t.hottest_source)})."
    )


def in_order(string: PanelString) -> str:
    """The panels in order of connection between the string's ends."""
    return f"+{' → '.join(string.panels)}−"


def controllers_block(job: Job, plan: Plan) -> TableBlock | None:
    """A row a controller: watts, currents beside their limits, and what is cut off."""
    wiring = plan.wiring
    if wiring is None or not wiring.controllers:
        return None
    rows = []
    for load in wiring.controllers:
        cells = (
            load.controller,
            clean(load.model),
            " ".join(s.string for s in wiring.strings if s.controller == load.controller) or "–",
            *load_figures(job, plan, load),
            _clipped(load.clipped_w, load.clipped_pct),
        )
        rows.append(Row(cells))
    columns = (
        Column(("controller",), "left"),
        Column(("model",), "left", flexible=True),
        Column(("strings",), "left", flexible=True),
        Column(("panels", "W")),
        Column(("Isc × 1.25", "A")),
        Column(("limit of a", "tracker A")),
        Column(("charge", "A")),
        Column(("limit", "A")),
        Column(("clipped W", "in full sun")),
    )
    notes: tuple[str, ...] = ()
    if job.battery is not None:
        most = job.battery.most_charge_a
        shared = "" if most is None else f"; it takes {number(most, 1)} A at most from all controllers"
        notes = (f"{battery_words(job.battery)}{shared}.",)
    return TableBlock("Controllers", columns, tuple(rows), (*notes, *settings_note(plan)), NORMAL)


def _clipped(watts: float, pct: float) -> str:
    return f"{number(watts, 1)} ({fixed(pct, 1)} %)" if watts > 0 else "nothing"


def portable_block(plan: Plan) -> TableBlock | None:
    """A row a set of portable panels, as they are plugged in; the temperatures where no string tells them."""
    if plan.wiring is None or not plan.wiring.portable:
        return None
    free = in_free_air(plan.wiring.temperatures)
    cells = f"Vmp hot: cells at {number(free.hottest_cell_c, 1)} °C, in free air."
    notes = (cells,) if plan.wiring.strings else (_temperatures_note(free),)
    rows = [
        Row(
            (
                clean(p.name),
                clean(p.model),
                clean(p.into) + (" (its own)" if p.own_controller else ""),
                str(p.in_series),
                str(p.in_parallel),
                fixed(p.voc_cold_v, 1),
                fixed(p.vmp_hot_v, 1),
                fixed(p.isc_a, 2),
                number(p.power_w, 1),
                fixed(p.charge_a, 1),
                f"{number(p.clipped_w, 1)} W" if p.clipped_w > 0 else "nothing",
            )
        )
        for p in plan.wiring.portable
    ]
    columns = (
        Column(("portable",), "left", flexible=True),
        Column(("model",), "left", flexible=True),
        Column(("plugs into",), "left", flexible=True),
        Column(("in", "series"), "center"),
        Column(("in", "parallel"), "center"),
        Column(("Voc", "cold V")),
        Column(("Vmp", "hot V")),
        Column(("Isc", "A")),
        Column(("power", "W")),
        Column(("charge", "A")),
        Column(("clipped",)),
    )
    return TableBlock("Portable panels, set up beside the vehicle", columns, tuple(rows), notes, NORMAL)


def because_block(plan: Plan) -> TextBlock | None:
    """Why each controller is wired as it is."""
    if plan.wiring is None or not plan.wiring.because:
        return None
    return TextBlock("Why wired so", tuple((c, clean(why)) for c, why in plan.wiring.because), NORMAL)


def mismatch_block(plan: Plan) -> TextBlock | None:
    """What unlike strings on one tracker lose together."""
    if plan.wiring is None or not plan.wiring.mismatch:
        return None
    paragraphs = tuple(
        (
            f"{m.controller} / {m.tracker}",
            f"{', '.join(m.strings)} in parallel are not alike: together they lose {fixed(m.loss_pct, 1)} %"
            " beside each on a tracker of its own.",
        )
        for m in plan.wiring.mismatch
    )
    return TextBlock("Mismatch", paragraphs, NORMAL)


def cautions_block() -> TextBlock:
    """What everyone who wires must mind; common practice, no source."""
    return TextBlock("Cautions", tuple((str(i), text) for i, text in enumerate(WIRING_CAUTIONS, 1)), NORMAL)
