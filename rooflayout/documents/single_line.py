"""The single-line diagram: strings, joints, isolators, controllers, fuses, battery."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..job import Job
from ..plan import CableRun, ControllerLoad, PanelString, Plan
from .arrange import upper_box
from .blocks import HEADING, draw_heading
from .box import Box
from .cables_sheet import length_m
from .leaf import Leaf
from .lettering import NORMAL, SMALL, clean, number, shorten, width_mm
from .paper import A3, A4, Paper, PaperSize
from .symbols import (
    FUSE_LENGTH,
    PV_SIDE,
    draw_battery,
    draw_converter,
    draw_fuse,
    draw_isolator,
    draw_joint,
    draw_pv_generator,
)

_LINE = 0.35
_PITCH, _LEAST_PITCH = 15.0, 10.5
_KEY = 13.0

# Where things stand along the line [mm from the left].
_STRING_WORDS = PV_SIDE + 2.0
_STRING_FUSE = 72.0
_JOINT = 85.0
_ARRAY_WORDS = 87.5
_PV_ISOLATOR = 126.0
_CONTROLLER, _CONTROLLER_WIDE = 141.0, 17.0
_OUT_WORDS = _CONTROLLER + _CONTROLLER_WIDE + 2.0
_OUT_ISOLATOR = 216.0
_OUT_FUSE = 227.0
_BUS = 240.0
_BATTERY = 244.0


@dataclass(frozen=True, slots=True)
class Branch:
    """A controller with its strings, tracker by tracker."""

    load: ControllerLoad
    trackers: tuple[tuple[int, tuple[PanelString, ...]], ...]

    @property
    def rows(self) -> int:
        return sum(len(strings) for _, strings in self.trackers)


@dataclass(frozen=True, slots=True)
class Runs:
    """The plan's runs by what they begin or end at."""

    of_string: dict[str, CableRun]
    of_tracker: dict[tuple[str, int], CableRun]
    of_battery: dict[str, CableRun]


def diagram_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """The sheets of the diagram, a controller whole on one of them where it can be.

    None where the plan has no runs.
    """
    if plan.wiring is None or not plan.wiring.runs:
        return []
    branches = branches_of(plan)
    runs = runs_of(plan)
    size = A4 if all(b.rows <= _most_rows(A4) for b in branches) else A3
    sheets: list[list[Branch]] = []
    for branch in (part for whole in branches for part in _parts(whole, _most_rows(size))):
        if not sheets or sum(b.rows for b in (*sheets[-1], branch)) > _most_rows(size):
            sheets.append([])
        sheets[-1].append(branch)
    return [Leaf("Single-line diagram", _drawing(job, sheet, runs), size=size) for sheet in sheets]


def branches_of(plan: Plan) -> list[Branch]:
    """The controllers that have strings, in the plan's order."""
    assert plan.wiring is not None
    found = []
    for load in plan.wiring.controllers:
        mine = [s for s in plan.wiring.strings if s.controller == load.controller]
        numbers = sorted({s.tracker for s in mine})
        trackers = tuple((n, tuple(s for s in mine if s.tracker == n)) for n in numbers)
        if trackers:
            found.append(Branch(load, trackers))
    return found


def _parts(branch: Branch, most: int) -> list[Branch]:
    """A controller with more strings than a sheet can show, in equal parts; else the controller itself."""
    sheets = math.ceil(branch.rows / most)
    each = math.ceil(branch.rows / sheets)
    rows = [(number_, string) for number_, strings in branch.trackers for string in strings]
    parts = []
    for first in range(0, len(rows), each):
        mine: dict[int, list[PanelString]] = {}
        for number_, string in rows[first : first + each]:
            mine.setdefault(number_, []).append(string)
        parts.append(Branch(branch.load, tuple((n, tuple(strings)) for n, strings in mine.items())))
    return parts


def runs_of(plan: Plan) -> Runs:
    """Which run belongs to which string, tracker and controller."""
    assert plan.wiring is not None
    runs = plan.wiring.runs
    trackers = {(s.controller, s.tracker) for s in plan.wiring.strings}
    arrays = {
        (c, t): r for r in runs if r.kind == "array" for c, t in trackers if r.end == f"{c} tracker {t}"
    }
    return Runs(
        {r.start: r for r in runs if r.kind == "string"},
        arrays,
        {r.start: r for r in runs if r.kind == "battery"},
    )


def _room(size: PaperSize) -> Box:
    box = upper_box(size)
    return Box(box.x0, box.y0 + _KEY, box.x1, box.y1 - HEADING - 2.0)


def _most_rows(size: PaperSize) -> int:
    return int(_room(size).height // _LEAST_PITCH)


def _drawing(job: Job, branches: Sequence[Branch], runs: Runs) -> Callable[[Paper], None]:
    def draw(paper: Paper) -> None:
        whole, room = upper_box(paper.size), _room(paper.size)
        draw_heading(paper, "Single-line diagram", whole.x0, whole.y1, whole.width)
        rows = sum(b.rows for b in branches)
        pitch = min(_PITCH, room.height / rows)
        left = room.x0 + (room.width - (_BATTERY + 17.0)) / 2
        y = room.y1 - pitch / 2
        outs = []
        for branch in branches:
            outs.append(_draw_branch(paper, branch, runs, left, y, pitch))
            y -= pitch * branch.rows
        _draw_battery_side(paper, job, left, outs)
        _draw_key(paper, whole, any(len(b.trackers) > 1 for b in branches))

    return draw


def _draw_branch(paper: Paper, branch: Branch, runs: Runs, left: float, y: float, pitch: float) -> float:
    """One controller from its strings to the battery's bar; returns the height of its outgoing line."""
    name = branch.load.controller
    top, ends = y, []
    for number_, strings in branch.trackers:
        first = y
        joined = len(strings) > 1 or (name, number_) in runs.of_tracker
        for string in strings:
            _draw_string(paper, string, runs.of_string.get(string.string), left, y, joined)
            y -= pitch
        middle = (first + y + pitch) / 2
        run = runs.of_tracker.get((name, number_))
        if joined:
            paper.line([(left + _JOINT, first), (left + _JOINT, y + pitch)], _LINE)
            draw_joint(paper, left + _JOINT, middle)
            _run_words(paper, run, left + _ARRAY_WORDS, middle, _PV_ISOLATOR - _ARRAY_WORDS)
        else:
            run = runs.of_string.get(strings[0].string)
        _line_through(
            paper,
            left + _JOINT,
            left + _CONTROLLER,
            middle,
            [(left + _PV_ISOLATOR, draw_isolator)] if run is not None and run.isolator else [],
        )
        if len(branch.trackers) > 1:
            paper.text(left + _CONTROLLER - 0.8, middle + 1.2, str(number_), NORMAL, "right")
        ends.append(middle)
    half = min(5.0, pitch / 2 - 0.8)
    box = Box(left + _CONTROLLER, ends[-1] - half, left + _CONTROLLER + _CONTROLLER_WIDE, ends[0] + half)
    draw_converter(paper, box)
    out_y = (top + y + pitch) / 2
    _draw_out(paper, branch, runs.of_battery.get(name), left, out_y)
    return out_y


def _draw_string(
    paper: Paper, string: PanelString, run: CableRun | None, left: float, y: float, joined: bool
) -> None:
    start = draw_pv_generator(paper, left, y)
    words = f"{string.string}  {string.in_series} × {clean(string.model)}"
    fused = run is not None and run.fuse_a is not None
    room = (_STRING_FUSE if joined or fused else _PV_ISOLATOR) - _STRING_WORDS - 1.0
    _words(paper, words, left + _STRING_WORDS, y + 1.2, room, bold=True)
    _run_words(paper, run, left + _STRING_WORDS, y, room)
    _line_through(paper, start, left + _JOINT, y, [(left + _STRING_FUSE, draw_fuse)] if fused else [])
    if run is not None and run.fuse_a is not None:
        _fuse_words(paper, run.fuse_a, left + _STRING_FUSE, y + 2.3)
    if joined:
        draw_joint(paper, left + _JOINT, y)


def _draw_out(paper: Paper, branch: Branch, run: CableRun | None, left: float, y: float) -> None:
    room = _OUT_ISOLATOR - _OUT_WORDS - 1.0
    words = f"{branch.load.controller}  {clean(branch.load.model)}"
    _words(paper, words, left + _OUT_WORDS, y + 1.2, room, bold=True)
    symbols: list[tuple[float, Callable[[Paper, float, float], float]]] = []
    if run is not None:
        _run_words(paper, run, left + _OUT_WORDS, y, room)
        if run.isolator:
            symbols.append((left + _OUT_ISOLATOR, draw_isolator))
        if run.fuse_a is not None:
            symbols.append((left + _OUT_FUSE, draw_fuse))
            _fuse_words(paper, run.fuse_a, left + _OUT_FUSE, y - 2.2 - NORMAL)
    _line_through(paper, left + _CONTROLLER + _CONTROLLER_WIDE, left + _BUS, y, symbols)


def _fuse_words(paper: Paper, fuse_a: float, x: float, y: float) -> None:
    paper.text(x + FUSE_LENGTH / 2, y, f"{number(fuse_a, 1)} A", NORMAL, "center")


def _draw_battery_side(paper: Paper, job: Job, left: float, outs: Sequence[float]) -> None:
    middle = (outs[0] + outs[-1]) / 2
    if len(outs) > 1:
        paper.line([(left + _BUS, outs[0]), (left + _BUS, outs[-1])], 0.7)
        for y in outs:
            draw_joint(paper, left + _BUS, y)
    paper.line([(left + _BUS, middle), (left + _BATTERY, middle)], _LINE)
    end = draw_battery(paper, left + _BATTERY, middle)
    centre = (left + _BATTERY + end) / 2
    paper.text(centre + 1.0, middle + 4.4, "battery", NORMAL, "center", bold=True)
    if job.battery is not None:
        paper.text(centre, middle - 4.4 - NORMAL, f"{number(job.battery.nominal_v, 1)} V", NORMAL, "center")


def _line_through(
    paper: Paper,
    start: float,
    end: float,
    y: float,
    symbols: Sequence[tuple[float, Callable[[Paper, float, float], float]]],
) -> None:
    """A line with symbols in it, from the left."""
    at = start
    for x, draw in symbols:
        paper.line([(at, y), (x, y)], _LINE)
        at = draw(paper, x, y)
    paper.line([(at, y), (end, y)], _LINE)


def _run_words(paper: Paper, run: CableRun | None, x: float, y: float, room: float) -> None:
    """A run's name, size and length under its line."""
    if run is None:
        return
    size = "no size serves" if run.size_mm2 is None else f"{number(run.size_mm2, 2)} mm²"
    awg = "" if run.size_awg is None else f" / AWG {run.size_awg}"
    full = f"{run.run}  {size}{awg}  {length_m(run)} m"
    short = f"{run.run}  {size}  {length_m(run)} m"
    fits = next((w for w in (full, short) if width_mm(w, NORMAL) <= room), f"{run.run}  {size}")
    _words(paper, fits, x, y - 1.2 - NORMAL, room)


def _words(paper: Paper, text: str, x: float, y: float, room: float, bold: bool = False) -> None:
    """One line in a room: smaller where it must be, cut off where even that is too wide."""
    height = NORMAL if width_mm(text, NORMAL, bold) <= room else SMALL
    if width_mm(text, height, bold) > room:
        text = shorten((text, ""), 1, height, room * (0.88 if bold else 1.0))[0]
    paper.text(x, y, text, height, bold=bold)


def _draw_key(paper: Paper, whole: Box, several_trackers: bool) -> None:
    """What the symbols mean, in a row."""
    x, y, width = whole.x0, whole.y0, whole.width
    controller = "controller (DC/DC converter)" + (", trackers 1, 2" if several_trackers else "")
    paper.line([(x, y + _KEY - 2.5), (x + width, y + _KEY - 2.5)], 0.25)
    middle = y + 4.5
    entries: tuple[tuple[Callable[[Paper, float, float], float | None], float, str], ...] = (
        (draw_pv_generator, PV_SIDE, "string of panels"),
        (draw_joint, 1.5, "joint"),
        (draw_fuse, 9.0, "fuse"),
        (draw_isolator, 10.0, "isolator"),
        (_small_converter, 12.0, controller),
        (draw_battery, 9.0, "battery"),
    )
    used = sum(wide + 2.0 + width_mm(words, NORMAL) for _, wide, words in entries)
    gap = (width - used) / len(entries)
    for draw, wide, words in entries:
        draw(paper, x + (0.8 if wide < 2 else 0.0), middle)
        paper.text(x + wide + 2.0, middle - NORMAL / 2, words, NORMAL)
        x += wide + 2.0 + width_mm(words, NORMAL) + gap


def _small_converter(paper: Paper, x: float, y: float) -> None:
    draw_converter(paper, Box(x, y - 4.0, x + 12.0, y + 4.0))
