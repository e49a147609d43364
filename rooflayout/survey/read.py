"""The job file and its catalogues into a Job, or every problem at once."""

from __future__ import annotations

import re
from pathlib import Path

from rooflayout.job import Job, KeptPanel
from rooflayout.plan import Note
from rooflayout.survey.bench import read_bench
from rooflayout.survey.cable import read_cable
from rooflayout.survey.charger import read_vehicle_charger
from rooflayout.survey.climate import read_climate
from rooflayout.survey.commas import commas_told_once
from rooflayout.survey.driving import read_driving
from rooflayout.survey.facets import read_facets
from rooflayout.survey.idle_controllers import note_idle_controllers
from rooflayout.survey.kept import place_kept_panels, read_kept_entries
from rooflayout.survey.loads import note_idle, read_inverter, read_loads
from rooflayout.survey.masses import note_roof_limits
from rooflayout.survey.obstacles import read_obstacles
from rooflayout.survey.panel_rules import read_panel_rules
from rooflayout.survey.portable import plug_in, read_portable_entries
from rooflayout.survey.power import (
    check_battery_is_served,
    check_wiring_is_whole,
    read_battery,
    read_controllers_table,
)
from rooflayout.survey.problems import Findings, Problem, ProblemsFound
from rooflayout.survey.site import note_bearings, read_site, read_spacing
from rooflayout.survey.table import Source, Table
from rooflayout.survey.text import UnreadableError, read_text
from rooflayout.survey.toml_text import Parsed, parse_toml
from rooflayout.survey.vehicle import read_mounts, read_vehicle
from rooflayout.survey.wiring_rules import read_mounting_space, read_wiring_rules

EXAMPLE = Path("caravan.toml")
NEW = "This writes one to begin from: rooflayout new FILE.toml"


def read_job(path: Path) -> tuple[Job, tuple[Note, ...]]:
    """The checked job and what is worth a note; catalogue paths count from the job file's folder.

    Raises ProblemsFound with all that is wrong in the job file and both catalogues.
    """
    findings = Findings()
    top, parsed = _open_job(path, findings)
    top.check_keys("")

    title = top.text("title", "a text in quotes")
    site, spacing = read_site(top), read_spacing(top)
    climate, site = read_climate(top, path.parent, site)
    facets = read_facets(top)
    note_bearings(top, site, facets.sound)
    obstacles = read_obstacles(top, facets)
    kept_entries = read_kept_entries(top, facets)
    kept_models = {entry.model for entry in kept_entries if entry.model is not None}
    wires = check_wiring_is_whole(top)
    portable_entries = read_portable_entries(top)
    portable_models = {entry.model for entry in portable_entries if entry.model is not None}
    panels = read_panel_rules(top, path.parent, kept_models, portable_models, wires)
    battery = read_battery(top)
    controllers = read_controllers_table(top, path.parent)
    if wires:
        check_battery_is_served(top, battery, controllers.controllers)
    charger = read_vehicle_charger(top, battery)
    wiring_rules, cable, bench = read_wiring_rules(top), read_cable(top, facets), read_bench(top)
    space = read_mounting_space(top)
    portable = plug_in(top, portable_entries, panels.catalogue, charger, controllers.catalogue)
    loads = read_loads(top)
    inverter, driving = read_inverter(top, loads), read_driving(top, battery)
    mounts, vehicle = read_mounts(top), read_vehicle(top)
    note_idle(top, battery)
    note_roof_limits(top, panels.rules, vehicle)
    kept: tuple[KeptPanel, ...] = ()
    if panels.catalogue is not None:
        kept = place_kept_panels(kept_entries, panels.catalogue, facets, obstacles, spacing)

    problems = [*parsed.problems, *(p for p in findings.problems if not parsed.tells_of(p))]
    findings.problems = commas_told_once(problems)
    if findings.problems and wires:
        models = (*panels.rules.models, *(k.model for k in kept))
        note_idle_controllers(findings, battery, controllers.controllers, models)
    findings.stop_if_any(str(path))
    job = Job(
        title=title or path.stem,
        facets=facets.sound,
        panels=panels.rules,
        obstacles=obstacles,
        spacing=spacing,
        kept=kept,
        site=site,
        battery=battery,
        controllers=controllers.controllers,
        wiring_rules=wiring_rules,
        cable=cable,
        bench=bench,
        mounting_space=space,
        portable=portable,
        climate=climate,
        loads=loads,
        inverter=inverter,
        driving=driving,
        mounts=mounts,
        vehicle=vehicle,
        file_name=path.name,
    )
    return job, tuple(findings.notes)


def _open_job(path: Path, findings: Findings) -> tuple[Table, Parsed]:
    """The top of the job file. Raises ProblemsFound when there is nothing to go on with."""
    try:
        text = read_text(path, EXAMPLE)
    except UnreadableError as fault:
        hint = fault.hint or (NEW if fault.found == "an empty file" else "")
        problem = Problem(str(path), fault.line, "job file", fault.found, fault.expected, hint)
        raise ProblemsFound([problem]) from fault
    found = _another_file(text)
    if found:
        hint = "The job file (TOML) comes first; it names its catalogues itself."
        raise ProblemsFound([Problem(str(path), None, "job file", found, "a job in TOML", hint)])
    parsed = parse_toml(text, str(path))
    if not parsed.whole:
        raise ProblemsFound(sorted(parsed.problems, key=lambda p: p.line or 0))
    return Table(Source(str(path), parsed.lines, findings), parsed.values, (), ""), parsed


def _another_file(text: str) -> str:
    """What other file of ours this is; empty where it may be a job."""
    first = text.lstrip().partition("\n")[0]
    if first.startswith("{"):
        return "what looks like JSON, as a plan.json is"
    if "model" in re.split(r"[,;\t]", first.strip().replace(" ", "")):
        return "what looks like a catalogue (CSV)"
    return ""
