"""The rows of the single-line diagram: strings to their controller, portable panels, the battery's side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..job import Job
from ..plan import CableRun, ControllerLoad, PanelString, PortableString
from .box import Box
from .cables_sheet import length_m, size_words
from .lettering import NORMAL, SMALL, clean, number, shorten, width_mm
from .paper import Paper
from .symbols import (
    FUSE_LENGTH,
    PV_SIDE,
    draw_battery,
    draw_converter,
    draw_fuse,
    draw_isolator,
    draw_joint,
    draw_plug,
    draw_pv_generator,
)

_LINE = 0.35

# Where things stand along the line [mm from the left].
_STRING_WORDS = PV_SIDE + 2.0
_STRING_FUSE = 72.0
_JOINT = 85.0
_ARRAY_WORDS = 87.5
_PV_ISOLATOR = 126.0
_PLUG = 128.0
_CONTROLLER, _CONTROLLER_WIDE = 141.0, 17.0
_OUT_WORDS = _CONTROLLER + _CONTROLLER_WIDE + 2.0
_OUT_ISOLATOR = 216.0
_OUT_FUSE = 227.0
_BUS = 240.0
BATTERY_AT = 244.0
PLACE_WIDE = 261.0  # all of it
_NEARER = 14.0  # by so much stands nearer what is before a busbar with a cable of its own
_MAIN_FUSE = 228.5
_MAIN_WORDS = 242.5


@dataclass(frozen=True, slots=True)
class Branch:
    """A controller with its strings, tracker by tracker."""

    load: ControllerLoad
    trackers: tuple[tuple[int, tuple[PanelString, ...]], ...]

    @property
    def rows(self) -> int:
        return sum(len(strings) for _, strings in self.trackers)


@dataclass(frozen=True, slots=True)
class Plugged:
    """Portable panels with what they plug into: a row of their own."""

    portable: PortableString

    @property
    def rows(self) -> int:
        return 1


Part = Branch | Plugged


@dataclass(frozen=True, slots=True)
class Runs:
    """The plan's runs by what they begin or end at."""

    of_string: dict[str, CableRun]
    of_tracker: dict[tuple[str, int], CableRun]
    of_battery: dict[str, CableRun]
    main: CableRun | None = None  # from the busbar to the battery

    @property
    def nearer_mm(self) -> float:
        """How much nearer the bar and what is before it stand, for the main fuse behind it."""
        return 0.0 if self.main is None else _NEARER


def draw_branch(paper: Paper, branch: Branch, runs: Runs, left: float, y: float, pitch: float) -> float:
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
            _run_words(paper, run, left + _ARRAY_WORDS, middle, _PV_ISOLATOR - _ARRAY_WORDS, 2)
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
    _draw_out(paper, branch, runs.of_battery.get(name), left, out_y, runs.nearer_mm)
    return out_y


def draw_plugged(paper: Paper, own: PortableString, fuse: str, left: float, y: float, pitch: float) -> float:
    """Portable panels, their plug, what they plug into and its fuse; returns the height of its line out."""
    start = draw_pv_generator(paper, left, y)
    room = _PLUG - _STRING_WORDS - 1.0
    name = "" if own.name == own.model else f"{clean(own.name)}  "
    words = f"{name}{own.in_series * own.in_parallel} × {clean(own.model)}"
    _words(paper, words, left + _STRING_WORDS, y + 1.2, room, bold=True)
    joined = f"{own.in_series} in series, {own.in_parallel} in parallel; portable"
    _words(paper, joined, left + _STRING_WORDS, y - 1.2 - NORMAL, room)
    _line_through(paper, start, left + _CONTROLLER, y, [(left + _PLUG, draw_plug)])
    half = min(5.0, pitch / 2 - 0.8)
    draw_converter(paper, Box(left + _CONTROLLER, y - half, left + _CONTROLLER + _CONTROLLER_WIDE, y + half))
    _words(paper, clean(own.into), left + _OUT_WORDS, y + 1.2, _OUT_FUSE - _OUT_WORDS - 2.0, bold=True)
    whose = "their own" if own.own_controller else "its solar input"
    room = _BUS - _OUT_WORDS - width_mm(fuse, NORMAL) - 4.0
    _words(paper, f"{whose}, {number(own.charge_a, 1)} A", left + _OUT_WORDS, y - 1.2 - NORMAL, room)
    paper.text(left + _BUS - 1.5, y - 2.2 - NORMAL, fuse, NORMAL, "right")
    fused = [(left + _OUT_FUSE, draw_fuse)]
    _line_through(paper, left + _CONTROLLER + _CONTROLLER_WIDE, left + _BUS, y, fused)
    return y


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


def _draw_out(
    paper: Paper, branch: Branch, run: CableRun | None, left: float, y: float, nearer_mm: float
) -> None:
    isolator, fuse = left + _OUT_ISOLATOR - nearer_mm, left + _OUT_FUSE - nearer_mm
    room = _OUT_ISOLATOR - nearer_mm - _OUT_WORDS - 1.0
    words = f"{branch.load.controller}  {clean(branch.load.model)}"
    _words(paper, words, left + _OUT_WORDS, y + 1.2, room, bold=True)
    symbols: list[tuple[float, Callable[[Paper, float, float], float]]] = []
    if run is not None:
        _run_words(paper, run, left + _OUT_WORDS, y, room)
        if run.isolator:
            symbols.append((isolator, draw_isolator))
        if run.fuse_a is not None:
            symbols.append((fuse, draw_fuse))
            _fuse_words(paper, run.fuse_a, fuse, y - 2.2 - NORMAL)
    _line_through(paper, left + _CONTROLLER + _CONTROLLER_WIDE, left + _BUS - nearer_mm, y, symbols)


def _fuse_words(paper: Paper, fuse_a: float, x: float, y: float) -> None:
    paper.text(x + FUSE_LENGTH / 2, y, f"{number(fuse_a, 1)} A", NORMAL, "center")


def draw_battery_side(
    paper: Paper,
    job: Job,
    left: float,
    outs: Sequence[float],
    plugged: Sequence[float] = (),
    main: CableRun | None = None,
) -> None:
    """The bar and the battery. outs, plugged: heights of the lines of controllers, and of what portable
    panels plug into; the latter go past a bar that has a cable of its own, to the battery."""
    if main is None or not outs:
        outs, plugged = [*outs, *plugged], []
    middle = (outs[0] + outs[-1]) / 2
    bar = left + _BUS - (_NEARER if main is not None else 0.0)
    if main is not None or len(outs) > 1:
        paper.line([(bar, outs[0]), (bar, outs[-1])], 0.7)
        for y in outs:
            draw_joint(paper, bar, y)
    symbols = []
    if main is not None and main.fuse_a is not None:
        symbols = [(left + _MAIN_FUSE, draw_fuse)]
        _fuse_words(paper, main.fuse_a, left + _MAIN_FUSE, middle - 2.2 - NORMAL)
    _line_through(paper, bar, left + BATTERY_AT, middle, symbols)
    if plugged:
        x = left + _BUS
        paper.line([(x, middle), (x, plugged[-1])], _LINE)
        for y in (middle, *plugged):
            draw_joint(paper, x, y)
    end = draw_battery(paper, left + BATTERY_AT, middle)
    centre = (left + BATTERY_AT + end) / 2
    paper.text(centre + 1.0, middle + 4.4, "battery", NORMAL, "center", bold=True)
    if job.battery is not None:
        paper.text(centre, middle - 4.4 - NORMAL, f"{number(job.battery.nominal_v, 1)} V", NORMAL, "center")
    if main is not None:
        paper.text(bar, outs[0] + 1.6, "busbar", SMALL, "center")
        lines = [main.run, *(size_words(main) or ["no size serves"]), f"{length_m(main)} m"]
        for number_, words in enumerate(lines, 1):
            room = PLACE_WIDE - _MAIN_WORDS
            _words(paper, words, left + _MAIN_WORDS, middle - 4.4 - NORMAL - number_ * (1.2 + NORMAL), room)


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


def _run_words(paper: Paper, run: CableRun | None, x: float, y: float, room: float, most: int = 1) -> None:
    """A run's name, both its sizes and its length under its line, in so many lines at most."""
    for text in () if run is None else run_words(run, room, most):
        y -= 1.2 + NORMAL
        _words(paper, text, x, y, room)


def run_words(run: CableRun, room: float, most: int = 1) -> tuple[str, ...]:
    """What fits the room [mm]: the length goes to a second line or into smaller letters, and is left to the
    schedule before one of the two sizes is."""
    size = " / ".join(size_words(run)) or "no size serves"
    full, short = f"{run.run}  {size}  {length_m(run)} m", f"{run.run}  {size}"
    if most > 1 and width_mm(full, NORMAL) > room:
        return short, f"{length_m(run)} m"
    return (full,) if width_mm(full, SMALL) <= room else (short,)


def _words(paper: Paper, text: str, x: float, y: float, room: float, bold: bool = False) -> None:
    """One line in a room: smaller where it must be, cut off where even that is too wide."""
    height = NORMAL if width_mm(text, NORMAL, bold) <= room else SMALL
    if width_mm(text, height, bold) > room:
        text = shorten((text, ""), 1, height, room * (0.88 if bold else 1.0))[0]
    paper.text(x, y, text, height, bold=bold)
