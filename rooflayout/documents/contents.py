"""What stands in the sheet's tables and texts, made from the job and the plan."""

from __future__ import annotations

from collections import Counter

from ..job import Battery, ControllerModel, Job, Obstacle
from ..plan import ControllerLoad, Layout, Plan
from ..vehicle.notes import OVER, tells_limit_passed
from ..wiring.of_plan import limit_v, worst_tracker_a
from .blocks import TextBlock
from .lettering import clean, fixed, millimetres, number
from .palette import StringMark, string_mark
from .shapes import is_upright_rectangle
from .table import Column, Row, TableBlock

CAUTIONS = (
    "Panels are live in daylight: cover or isolate them before connecting anything.",
    "Fit fuses and isolators first; size cables and fuses by the local wiring rules.",
    "Measure each string's voltage and polarity before it meets its controller.",
    "Connect a controller to its battery first, unless its maker says otherwise.",
    "Work at height: use fall protection; do not step on panels or skylights.",
    "Check that roof structure and mass limits bear the panels and the wind on them.",
    "Verify all dimensions, and what lies under the skin, on site before drilling.",
    "Local codes and licensed practice rule over this drawing.",
)


OVER_LIMIT = f"{OVER}: not to be built like this."


def marks_of(plan: Plan) -> dict[str, StringMark]:
    """How each string of the plan is drawn."""
    if plan.wiring is None:
        return {}
    return {s.string: string_mark(index) for index, s in enumerate(plan.wiring.strings)}


def strings_of(plan: Plan) -> dict[str, str]:
    """Which string each panel belongs to."""
    if plan.wiring is None:
        return {}
    return {panel: s.string for s in plan.wiring.strings for panel in s.panels}


def proof_line(plan: Plan) -> str:
    """The watts, and what is known about doing better; before it whether a limit of the vehicle is passed."""
    over = any(tells_limit_passed(note) for note in plan.notes)
    return f"{OVER_LIMIT} {_proof(plan)}" if over else _proof(plan)


def _proof(plan: Plan) -> str:
    """What is known about doing better, whatever the vehicle bears."""
    layout = plan.layout
    watts = f"{number(layout.watts, 1)} W."
    if layout.harvest_wh_year is not None and layout.status != "nothing fits":
        return _harvest_line(layout, layout.harvest_wh_year)
    can_be_wired = " that can be wired" if plan.wiring is not None and plan.wiring.controllers else ""
    if layout.status == "proven":
        if layout.sampled:
            return (
                f"{watts} Proven over the positions tried (see the notes); no arrangement"
                f"{can_be_wired or ' whatever'} gives more than {number(layout.ceiling_watts, 1)} W."
            )
        return f"{watts} Proven: no arrangement of these panels under these rules gives more."
    if layout.status == "best found":
        return f"{watts} Best found; no layout{can_be_wired} can exceed {number(layout.ceiling_watts, 1)} W."
    return "Nothing may be fitted on this roof under these rules; the notes say why."


def _harvest_line(layout: Layout, harvest_wh_year: float) -> str:
    """The same where the year's watt-hours are what was packed for: the bound is theirs, not the watts'."""
    kwh = fixed(harvest_wh_year / 1000.0, 1)
    given = f"{number(layout.watts, 1)} W, {kwh} kWh a year before the controllers."
    if layout.status == "proven":
        return f"{given} Proven over the positions tried: no other arrangement gives more in a year."
    bound = layout.bound_harvest_wh_year
    if bound is None:
        return f"{given} Best found."
    return f"{given} Best found; no layout of the positions tried can exceed {fixed(bound / 1000.0, 1)} kWh."


def parts_lines(job: Job, plan: Plan) -> tuple[str, ...]:
    """How many of which panel to fit, what stays, and the mass where it is known."""
    panels = plan.layout.panels
    lines: list[str] = []
    for label, kept in (("To fit", False), ("Kept", True)):
        counts = Counter(clean(p.model) for p in panels if p.kept is kept)
        if counts:
            lines.append(f"{label}: " + ", ".join(f"{n} × {m}" for m, n in counts.items()) + ".")
    known = {m.model: m.mass_kg for m in (*job.panels.models, *(k.model for k in job.kept))}
    masses = [known.get(p.model) for p in panels]
    given = [m for m in masses if m is not None]
    if panels and len(given) == len(masses):
        lines.append(f"Mass of all panels {number(sum(given), 1)} kg, without mounts and cables.")
    if plan.wiring is None and panels and not job.wants_wiring:
        lines.append("Not wired: the job names no battery and controllers.")
    return tuple(lines)


def setting_out_table(plan: Plan) -> TableBlock | None:
    """A row a panel: where its corner nearest the datum lies."""
    if not plan.layout.panels:
        return None
    strings, marks = strings_of(plan), marks_of(plan)
    facets = list(dict.fromkeys(p.facet for p in plan.layout.panels))
    rows: list[Row] = []
    for facet in facets:
        if len(facets) > 1:
            rows.append(Row((clean(facet),), banner=True))
        for p in plan.layout.panels:
            if p.facet != facet:
                continue
            string = strings.get(p.panel, "")
            cells = (
                p.panel,
                clean(p.model) + (" (kept)" if p.kept else ""),
                millimetres(p.x_mm),
                millimetres(p.y_mm),
                millimetres(p.along_x_mm),
                millimetres(p.along_y_mm),
                "yes" if p.turned else "–",
                string or "–",
                number(p.watts, 1),
            )
            rows.append(Row(cells, mark=marks.get(string)))
    columns = (
        Column(("panel",), "left"),
        Column(("model",), "left", flexible=True),
        Column(("x",)),
        Column(("y",)),
        Column(("along", "x")),
        Column(("along", "y")),
        Column(("turned",), "center"),
        Column(("string",), "center"),
        Column(("W",)),
    )
    notes = ("x, y: corner nearest the datum, in the facet's plane. Turned: length along y.",)
    return TableBlock("Setting out from the datum, mm", columns, tuple(rows), notes)


def string_table(job: Job, plan: Plan) -> TableBlock | None:
    """A row a string, with the temperatures that its voltages hold at."""
    wiring = plan.wiring
    if wiring is None:
        return None
    marks = marks_of(plan)
    rows = []
    for s in wiring.strings:
        limit = limit_v(job, wiring, s)
        cells = (
            s.string,
            f"{s.controller} / {s.tracker}",
            " → ".join(s.panels),
            str(s.in_series),
            fixed(s.voc_cold_v, 1),
            "–" if limit is None else number(limit, 1),
            fixed(s.vmp_hot_v, 1),
            fixed(s.isc_a, 2),
            number(s.power_w, 1),
        )
        rows.append(Row(cells, mark=marks.get(s.string)))
    columns = (
        Column(("string",), "left"),
        Column(("controller", "/ tracker"), "left"),
        Column(("panels in order", "of connection"), "left", flexible=True),
        Column(("in", "series"), "center"),
        Column(("Voc", "cold V")),
        Column(("limit", "V")),
        Column(("Vmp", "hot V")),
        Column(("Isc", "A")),
        Column(("W",)),
    )
    t = wiring.temperatures
    notes = [
        f"Cold: cell at {number(t.coldest_cell_c, 1)} °C ({clean(t.coldest_source)}).",
        f"Hot: air at {number(t.hottest_air_c, 1)} °C, cell at {number(t.hottest_cell_c, 1)} °C"
        f" ({clean(t.hottest_source)}).",
        "Strings on one tracker are in parallel. Isc and W of one string at standard test conditions.",
    ]
    if wiring.unwired:
        notes.append(f"Not wired, no controller can take it: {', '.join(wiring.unwired)}.")
    return TableBlock("Strings", columns, tuple(rows), tuple(notes))


def controller_table(job: Job, plan: Plan) -> TableBlock | None:
    """A row a controller: what it carries and what its charge limit cuts off."""
    wiring = plan.wiring
    if wiring is None:
        return None
    rows = []
    for load in wiring.controllers:
        cells = (
            load.controller,
            clean(load.model),
            *load_figures(job, plan, load),
            number(load.clipped_w, 1),
            fixed(load.clipped_pct, 1),
        )
        rows.append(Row(cells))
    columns = (
        Column(("controller",), "left"),
        Column(("model",), "left", flexible=True),
        Column(("panels", "W")),
        Column(("Isc ×", "1.25 A")),
        Column(("limit,", "tracker")),
        Column(("charge", "A")),
        Column(("limit", "A")),
        Column(("cut off", "W")),
        Column(("cut off", "%")),
    )
    notes = () if job.battery is None else (f"{battery_words(job.battery)}.",)
    return TableBlock("Controllers", columns, tuple(rows), (*notes, *settings_note(plan)))


def load_figures(job: Job, plan: Plan, load: ControllerLoad) -> tuple[str, str, str, str, str]:
    """Watts of panels, then the currents of a tracker and of the charge, each before its limit."""
    model = controller_model(job, load.model)
    return (
        number(load.power_w, 1),
        "–" if plan.wiring is None else fixed(worst_tracker_a(plan.wiring, load.controller), 1),
        "–" if model is None else number(model.max_pv_isc_a, 1),
        fixed(load.charge_a, 1),
        "–" if model is None else number(model.max_charge_a, 1),
    )


def settings(plan: Plan) -> dict[str, str]:
    """By controller, the charge current that its limit is set down to for the battery's sake, in words."""
    loads = () if plan.wiring is None else plan.wiring.controllers
    return {c.controller: f"{fixed(c.set_a, 1)} A" for c in loads if c.set_a is not None}


def settings_note(plan: Plan) -> tuple[str, ...]:
    """The settings in a sentence, or nothing: cables and fuses count on them."""
    each = ", ".join(f"{name} to {amps}" for name, amps in settings(plan).items())
    return (f"Set the charge current down before charging: {each}.",) if each else ()


def battery_words(battery: Battery) -> str:
    """Its voltages, in words and without a full stop."""
    return f"Battery {number(battery.nominal_v, 1)} V nominal, charged at {number(battery.charge_v, 2)} V"


def obstacle_table(job: Job) -> TableBlock | None:
    """A row an obstacle, as measured."""
    if not job.obstacles:
        return None
    rows: list[Row] = []
    for facet in job.facets:
        standing = job.obstacles_on(facet.name)
        if standing and len(job.facets) > 1:
            rows.append(Row((clean(facet.name),), banner=True))
        rows.extend(_obstacle_row(o) for o in standing)
    columns = (
        Column(("obstacle",), "left", flexible=True),
        Column(("nearest corner", "or centre x, y"), "left"),
        Column(("size",), "left"),
        Column(("clear-", "ance")),
        Column(("height",)),
        Column(("lid opens,", "reach"), "left"),
    )
    notes = tuple(_corners_line(job, o) for f in job.facets for o in job.obstacles_on(f.name) if _slanted(o))
    return TableBlock("Obstacles as measured, mm: check on site", columns, tuple(rows), notes)


def _slanted(o: Obstacle) -> bool:
    """True for an outline that its place and size do not tell."""
    return o.outline_mm is not None and not is_upright_rectangle(o.outline_mm)


def _corners_line(job: Job, o: Obstacle) -> str:
    """All corners of an outlined obstacle, with its facet where there are several."""
    facet = f" on {clean(o.facet)}" if len(job.facets) > 1 else ""
    corners = "; ".join(f"{millimetres(x)}, {millimetres(y)}" for x, y in o.outline_mm or ())
    return f"{clean(o.name)}{facet}, corners x, y: {corners}."


def _obstacle_row(o: Obstacle) -> Row:
    x0, y0, x1, y1 = o.bounds_mm()
    if o.outline_mm is not None:
        place = "corners below" if _slanted(o) else f"{millimetres(x0)}, {millimetres(y0)}"
        size = f"{millimetres(x1 - x0)} × {millimetres(y1 - y0)}"
    else:
        place = f"centre {millimetres((x0 + x1) / 2)}, {millimetres((y0 + y1) / 2)}"
        size = f"⌀ {millimetres(x1 - x0)}"
    opens = "–" if o.opens is None else f"{o.opens.replace('-', '−')}, {millimetres(o.reach_mm)}"
    height = "–" if o.height_mm is None else millimetres(o.height_mm)
    return Row((clean(o.name), place, size, millimetres(o.clearance_mm), height, opens))


def cautions_block() -> TextBlock:
    """What every installer must mind."""
    return TextBlock("Cautions", tuple((str(i + 1), text) for i, text in enumerate(CAUTIONS)))


def controller_model(job: Job, model: str) -> ControllerModel | None:
    """The catalogue row of a controller's model, or None."""
    return job.controller_models().get(model)
