"""A plan.json, ours or made by hand, into a Plan: its types are checked, not whether it holds.

Names and places are needed. Figures that an inspection works out for itself (watts, volts, amperes,
temperatures) may be absent: they are then NaN, and the texts that go with them are empty.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import cast

from rooflayout.job import Job
from rooflayout.plan import (
    SEVERITIES,
    Layout,
    Note,
    PlacedPanel,
    Plan,
    Severity,
    Status,
    Temperatures,
    Wiring,
)
from rooflayout.survey.plan_details import (
    read_because,
    read_mismatch,
    read_mounted,
    read_portable,
    read_portable_readings,
    read_readings,
    read_runs,
)
from rooflayout.survey.plan_energy import read_balance, read_energy
from rooflayout.survey.plan_wiring import read_loads, read_strings
from rooflayout.survey.problems import Findings, Problem, ProblemsFound
from rooflayout.survey.spans import NUMBER, SIZE, ZERO_UP, Span
from rooflayout.survey.table import Source, Table, named_once, table, tables
from rooflayout.survey.text import UnreadableError, read_text
from rooflayout.survey.toml_lines import json_lines
from rooflayout.survey.toml_text import place_name
from rooflayout.survey.words import show

EXAMPLE = Path("plan.json")
STATUSES = ("proven", "best found", "nothing fits")
SCHEMA = Span("1, the only schema there is", 1, 1, whole=True)
WHOLE = Span("a whole number", whole=True)


def read_plan(path: Path, job: Job) -> Plan:
    """The plan in the file. `job` fills in what a hand-made plan may leave out.

    Raises ProblemsFound with everything that is of a wrong type, missing or named twice. A panel on
    an unknown facet, or of an unknown model, is read as it stands: that is for the inspection to say.
    """
    findings = Findings()
    top = _open_plan(path, findings)
    schema = top.number_or("schema", SCHEMA, 1)
    title = top.text("title", "a text in quotes")
    job_file = top.text("job", "the job file's name")
    seed = top.number_or("seed", WHOLE, 0)
    layout = _layout(top, job)
    wiring = _wiring(top, layout.panels, job)
    notes = _notes(top)
    energy, balance = read_energy(top), read_balance(top)
    findings.stop_if_any(str(path))
    return Plan(
        title=title or job.title,
        job_file=job_file or job.file_name,
        layout=layout,
        wiring=wiring,
        notes=notes,
        seed=int(seed),
        schema=int(schema),
        energy=energy,
        balance=balance,
    )


def _open_plan(path: Path, findings: Findings) -> Table:
    file = str(path)

    def stop(line: int | None, name: str, found: str, expected: str, hint: str = "") -> ProblemsFound:
        return ProblemsFound([Problem(file, line, name, found, expected, hint)])

    try:
        text = read_text(path, EXAMPLE)
    except UnreadableError as fault:
        raise stop(fault.line, "plan file", fault.found, fault.expected, fault.hint) from fault
    try:
        values = json.loads(text)
    except json.JSONDecodeError as error:
        written = show(text.split("\n")[error.lineno - 1].strip())
        expected = f"JSON ({error.msg[:1].lower()}{error.msg[1:]}, column {error.colno})"
        cut = error.pos >= len(text.rstrip()) - 1
        hint = "The file ends in the middle: was it cut off?" if cut else ""
        raise stop(error.lineno, "syntax", written, expected, hint) from error
    except (RecursionError, ValueError) as error:  # nested or long beyond what Python takes
        raise stop(None, "syntax", "lists or numbers beyond all measure", "a plan") from error
    if not isinstance(values, dict):
        raise stop(1, "plan file", show(values), "an object with a layout")
    lines = json_lines(text)
    for again in lines.repeated:
        found, expected = "it a second time", f"it once; the first is on line {again.first_line}"
        findings.problems.append(Problem(file, again.line, place_name(again.place), found, expected))
    return Table(Source(file, lines, findings, toml=False), values, (), "")


def _layout(top: Table, job: Job) -> Layout:
    layout = table(top, "layout")
    if layout is None:
        if top.values.get("layout") is None:
            top.missing("layout", "an object with a list of panels")
        return Layout(0.0, 0.0, "best found", 0.0, ())
    if layout.values.get("panels") is None:
        layout.missing("panels", "a list of panels")
    entries = tables(layout, "panels", "panel")
    named_once(entries, "panel")
    read = [_panel(entry, job) for entry in entries]
    panels = tuple(panel for panel in read if panel is not None)
    watts = layout.number_or("watts", ZERO_UP, math.nan)
    status = cast(Status, layout.choice("status", STATUSES) or "best found")
    bound = layout.number_or("bound_watts", ZERO_UP, math.nan)
    true_bound = layout.number_or("true_bound_watts", ZERO_UP, bound)
    harvest, bound_harvest = (layout.number(f"{key}harvest_wh_year", ZERO_UP) for key in ("", "bound_"))
    seconds = layout.number_or("seconds", ZERO_UP, 0.0)
    return Layout(watts, bound, status, seconds, panels, true_bound, harvest, bound_harvest)


def _panel(entry: Table, job: Job) -> PlacedPanel | None:
    name = entry.text("panel", 'a name such as "P1"', needed=True)
    facet = entry.text("facet", "the name of its facet", needed=True)
    model = entry.text("model", "the name of its model", needed=True)
    x, y = entry.number("x_mm", NUMBER, needed=True), entry.number("y_mm", NUMBER, needed=True)
    along_x = entry.number("along_x_mm", SIZE, needed=True)
    along_y = entry.number("along_y_mm", SIZE, needed=True)
    known = next((m for m in (*job.panels.models, *(k.model for k in job.kept)) if m.model == model), None)
    turned = entry.flag("turned", known is not None and along_x == known.width_mm != known.length_mm)
    watts = entry.number_or("watts", ZERO_UP, math.nan if known is None else known.power_w)
    there = {(k.facet, k.model.model, k.x_mm, k.y_mm) for k in job.kept}
    kept = entry.flag("kept", (facet, model, x, y) in there)
    if name is None or facet is None or model is None or x is None or y is None:
        return None
    if along_x is None or along_y is None:
        return None
    return PlacedPanel(name, facet, model, x, y, along_x, along_y, turned, watts, kept)


def _wiring(top: Table, panels: tuple[PlacedPanel, ...], job: Job) -> Wiring | None:
    wiring = table(top, "wiring")
    if wiring is None:
        return None
    for key in ("strings", "controllers"):
        if wiring.values.get(key) is None:
            wiring.missing(key, f"a list of {key}")
    strings, controllers = tables(wiring, "strings", "string"), tables(wiring, "controllers", "controller")
    named_once(strings, "string")
    named_once(controllers, "controller")
    unwired: tuple[str, ...] = ()
    if wiring.values.get("unwired"):
        unwired = tuple(wiring.texts("unwired", "a list of panel names") or ())
    return Wiring(
        strings=read_strings(strings, panels),
        controllers=read_loads(controllers),
        unwired=unwired,
        temperatures=_temperatures(wiring),
        because=read_because(wiring),
        runs=read_runs(wiring),
        readings=read_readings(wiring),
        mismatch=read_mismatch(wiring),
        mounted=read_mounted(wiring),
        portable=read_portable(wiring, job),
        portable_readings=read_portable_readings(wiring),
    )


def _temperatures(wiring: Table) -> Temperatures:
    given = table(wiring, "temperatures")
    if given is None:
        return Temperatures(math.nan, "", math.nan, math.nan, "")
    return Temperatures(
        coldest_cell_c=given.number_or("coldest_cell_c", NUMBER, math.nan),
        coldest_source=_source(given, "coldest_source"),
        hottest_air_c=given.number_or("hottest_air_c", NUMBER, math.nan),
        hottest_cell_c=given.number_or("hottest_cell_c", NUMBER, math.nan),
        hottest_source=_source(given, "hottest_source"),
    )


def _source(given: Table, key: str) -> str:
    return given.text(key, "a text in quotes") or "" if given.values.get(key) else ""


def _notes(top: Table) -> tuple[Note, ...]:
    notes = []
    for entry in tables(top, "notes", "note"):
        severity = entry.choice("severity", SEVERITIES, needed=True)
        code = entry.text("code", "a short name", needed=True)
        text = entry.text("text", "a text in quotes", needed=True)
        if severity is not None and code is not None and text is not None:
            notes.append(Note(cast(Severity, severity), code, text))
    return tuple(notes)
