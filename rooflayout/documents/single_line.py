"""The single-line diagram: strings, joints, isolators, controllers, fuses, battery, portable panels."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from ..job import Job
from ..plan import CableRun, PanelString, Plan
from .arrange import upper_box
from .blocks import HEADING, draw_heading
from .box import Box
from .diagram_rows import (
    PLACE_WIDE,
    Branch,
    Part,
    Plugged,
    Runs,
    draw_battery_side,
    draw_branch,
    draw_plugged,
)
from .leaf import Leaf
from .lettering import NORMAL, width_mm
from .paper import A3, A4, Paper, PaperSize
from .portable_leads import fuse_words, has_cables
from .symbols import (
    PLUG_LENGTH,
    PV_SIDE,
    draw_battery,
    draw_converter,
    draw_fuse,
    draw_isolator,
    draw_joint,
    draw_plug,
    draw_pv_generator,
)

_PITCH, _LEAST_PITCH = 15.0, 10.5
_KEY = 13.0


def diagram_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """The sheets of the diagram, a controller whole on one of them where it can be, portable panels last.

    None where the plan has no runs for its strings, and none where there is nothing to draw.
    """
    if plan.wiring is None or not has_cables(plan):
        return []
    branches = branches_of(plan)
    runs = runs_of(plan)
    size = A4 if all(b.rows <= _most_rows(A4) for b in branches) else A3
    parts: list[Part] = [part for whole in branches for part in _parts(whole, _most_rows(size))]
    parts += [Plugged(p) for p in plan.wiring.portable]
    sheets: list[list[Part]] = []
    for part in parts:
        if not sheets or sum(p.rows for p in (*sheets[-1], part)) > _most_rows(size):
            sheets.append([])
        sheets[-1].append(part)
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
        next((r for r in runs if r.kind == "main"), None),
    )


def _room(size: PaperSize) -> Box:
    box = upper_box(size)
    return Box(box.x0, box.y0 + _KEY, box.x1, box.y1 - HEADING - 2.0)


def _most_rows(size: PaperSize) -> int:
    return int(_room(size).height // _LEAST_PITCH)


def _drawing(job: Job, parts: Sequence[Part], runs: Runs) -> Callable[[Paper], None]:
    def draw(paper: Paper) -> None:
        whole, room = upper_box(paper.size), _room(paper.size)
        draw_heading(paper, "Single-line diagram", whole.x0, whole.y1, whole.width)
        rows = sum(p.rows for p in parts)
        pitch = min(_PITCH, room.height / rows)
        left = room.x0 + (room.width - PLACE_WIDE) / 2
        y = room.y1 - pitch / 2
        outs: list[float] = []
        plugged: list[float] = []
        for part in parts:
            if isinstance(part, Branch):
                outs.append(draw_branch(paper, part, runs, left, y, pitch))
            else:
                plugged.append(
                    draw_plugged(paper, part.portable, fuse_words(job, part.portable), left, y, pitch)
                )
            y -= pitch * part.rows
        draw_battery_side(paper, job, left, outs, plugged, runs.main if outs else None)
        _draw_key(paper, whole, parts, _estimated(parts, runs))

    return draw


def _estimated(parts: Sequence[Part], runs: Runs) -> bool:
    """Whether a length on the sheet is estimated, and so has its asterisk."""
    shown: list[CableRun | None] = [runs.main]
    for part in (p for p in parts if isinstance(p, Branch)):
        name = part.load.controller
        shown.append(runs.of_battery.get(name))
        for number_, strings in part.trackers:
            shown += [runs.of_tracker.get((name, number_)), *(runs.of_string.get(s.string) for s in strings)]
    return any(run is not None and run.estimated for run in shown)


def _draw_key(paper: Paper, whole: Box, parts: Sequence[Part], estimated: bool) -> None:
    """What the symbols and the asterisk mean, in a row."""
    x, y, width = whole.x0, whole.y0, whole.width
    branches = [p for p in parts if isinstance(p, Branch)]
    plugs = len(branches) < len(parts)
    trackers = ", trackers 1, 2" if any(len(b.trackers) > 1 for b in branches) else ""
    controller = ("controller" if plugs else "controller (DC/DC converter)") + trackers
    if estimated:
        paper.text(x + width, y + _KEY - 1.5, "* length estimated", NORMAL, "right")
    paper.line([(x, y + _KEY - 2.5), (x + width, y + _KEY - 2.5)], 0.25)
    middle = y + 4.5
    entries: tuple[tuple[Callable[[Paper, float, float], float | None], float, str], ...] = (
        (draw_pv_generator, PV_SIDE, "string of panels"),
        (draw_joint, 1.5, "joint"),
        (draw_fuse, 9.0, "fuse"),
        (draw_isolator, 10.0, "isolator"),
        *(((draw_plug, PLUG_LENGTH, "plug and socket"),) if plugs else ()),
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
