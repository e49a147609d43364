"""A small stack of lettering that stands in a shape: which wording is the fullest that fits."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from .box import Box
from .lettering import DESCENT, LARGE, NORMAL, SMALL, em_mm, rise_em, width_mm, wrap
from .paper import INK, Paper

_BADGE_GAP = 1.4
_BADGE_PAD = 0.7  # beside the badge's text
_BADGE_RIM = 0.65  # above and below it
_NAME_PAD = 1.6


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a stack; a badge is a short mark in a frame behind the text."""

    text: str
    height_mm: float
    bold: bool = False
    badge: str = ""

    @property
    def pitch_mm(self) -> float:
        """How high the line is: close set, but clear of accents and of its badge's frame."""
        close = max(1.06, rise_em(self.text, self.bold) + DESCENT + 0.01) * em_mm(self.height_mm)
        return max(close, self.badge_height_mm + 2 * _BADGE_RIM + 0.2) if self.badge else close

    @property
    def badge_height_mm(self) -> float:
        return max(SMALL, 0.72 * self.height_mm)

    @property
    def badge_width_mm(self) -> float:
        return width_mm(self.badge, self.badge_height_mm, True) + 2 * _BADGE_PAD

    @property
    def width_mm(self) -> float:
        text = width_mm(self.text, self.height_mm, self.bold)
        return text + (_BADGE_GAP + self.badge_width_mm if self.badge else 0.0)


@dataclass(frozen=True, slots=True)
class Stack:
    """Centred lines; a vertical stack reads upwards."""

    lines: tuple[Line, ...]
    vertical: bool = False

    def size_mm(self) -> tuple[float, float]:
        """(along x, along y) as it stands on the paper."""
        long = max(line.width_mm for line in self.lines)
        high = sum(line.pitch_mm for line in self.lines)
        return (high, long) if self.vertical else (long, high)

    def box_at(self, x: float, y: float) -> Box:
        """The box of the stack centred on a point."""
        w, h = self.size_mm()
        return Box(x - w / 2, y - h / 2, x + w / 2, y + h / 2)


@dataclass(frozen=True, slots=True)
class PanelWords:
    """What may be written in a panel, in the drawing's wording."""

    number: str
    badge: str  # the string, or empty
    kept: bool
    model: str
    size: str
    watts: str


def _layouts(words: PanelWords, first: float, rest: float, room: float) -> list[list[list[Line]]]:
    """Wordings from the fullest down, in groups of equal content; the same shape for all panels.

    A model whose words do not fit the room whole is left out: the table has it.
    """
    number = f"{words.number} kept" if words.kept else words.number
    head = Line(number, first, True, words.badge)
    model = [Line(t, rest) for t in wrap(words.model, rest, room)]
    whole = all(width_mm(word, rest) <= room for word in words.model.split())
    size, watts = Line(words.size, rest), Line(words.watts, rest)
    both = Line(f"{words.size}  {words.watts}", rest)
    # The badge on a line of its own, for panels too narrow for both.
    apart = [Line(number, rest, True)] + ([Line("", rest, True, words.badge)] if words.badge else [])

    def one_line(*parts: str) -> list[Line]:
        return [Line("  ".join((number, *parts)), rest, False, words.badge)]

    full = [
        [head, *model, size, watts],
        [head, *model, both],
        [head, Line(f"{words.model}  {words.size}  {words.watts}", rest)],
        one_line(words.model, words.size, words.watts),
    ]
    without_size = [
        [head, *model, watts],
        [*apart, *model, watts],
        [head, Line(f"{words.model}  {words.watts}", rest)],
        [*one_line(words.watts), *model],
    ]
    return [
        full if whole else [],
        without_size if whole else [],
        [[head, size, watts], [head, both], one_line(words.size, words.watts)],
        [[head, watts], [*apart, watts], one_line(words.watts)],
        [[head], apart],
        [[Line(words.number, rest, True)]],
    ]


_SIZES = ((LARGE, NORMAL), (NORMAL, NORMAL), (NORMAL, SMALL), (SMALL, SMALL))
_PANEL_PAD = 1.4
_GROUPS = 6


def _wordings(words: PanelWords, width: float, height: float) -> Iterator[Stack]:
    """Every way to write a panel's label, the fullest first; the order is the same for all panels.

    Along the longer side, or level; never upright in a panel that lies.
    """
    ways = (False,) if width >= height else (False, True) if width >= 0.6 * height else (True, False)
    for group in range(_GROUPS):
        for first, rest in _SIZES:
            for vertical in ways:
                room = max((height if vertical else width) - _PANEL_PAD, 1.0)
                for lines in _layouts(words, first, rest, room)[group]:
                    yield Stack(tuple(lines), vertical)


def panel_stacks(words: Sequence[PanelWords], width: float, height: float) -> list[Stack] | None:
    """The fullest wording that fits all of some panels drawn so wide and high [mm of paper].

    None when not even the number fits every one of them.
    """
    first, *others = words
    for index, stack in enumerate(_wordings(first, width, height)):
        if not _fits_panel(stack, width, height):
            continue
        stacks = [stack, *(next(islice(_wordings(one, width, height), index, None)) for one in others)]
        if all(_fits_panel(one, width, height) for one in stacks[1:]):
            return stacks
    return None


def _fits_panel(stack: Stack, width: float, height: float) -> bool:
    w, h = stack.size_mm()
    return w <= width - _PANEL_PAD and h <= height - _PANEL_PAD


def name_stacks(names: Iterable[str], width: float, height: float) -> list[Stack]:
    """Ways to write one of some names in a room so wide and high [mm of paper], best first."""
    found: list[Stack] = []
    for name in names:
        for size in (NORMAL, SMALL):
            for vertical in (False, True):
                room = (height if vertical else width) - _NAME_PAD
                if room < size or any(width_mm(w, size) > room for w in name.split()):
                    continue
                stack = Stack(tuple(Line(t, size) for t in wrap(name, size, room)), vertical)
                w, h = stack.size_mm()
                if w <= width - _NAME_PAD and h <= height - 0.6:
                    found.append(stack)
    return found


def draw_stack(
    paper: Paper, stack: Stack, x: float, y: float, badge_colour: str = INK, colour: str = INK
) -> None:
    """Draw a stack centred on a point."""
    high = sum(line.pitch_mm for line in stack.lines)
    place: Callable[[float, float], tuple[float, float]]
    if stack.vertical:
        place = lambda along, up: (x - up, y + along)  # noqa: E731
    else:
        place = lambda along, up: (x + along, y + up)  # noqa: E731
    up = high / 2
    for line in stack.lines:
        up -= line.pitch_mm
        base = up + (line.pitch_mm - line.height_mm) / 2
        start = -line.width_mm / 2
        px, py = place(start, base)
        if line.text:
            paper.text(
                px, py, line.text, line.height_mm, vertical=stack.vertical, bold=line.bold, colour=colour
            )
        if line.badge:
            _draw_badge(paper, line, start, base, stack.vertical, place, badge_colour)


def _draw_badge(
    paper: Paper,
    line: Line,
    start: float,
    base: float,
    vertical: bool,
    place: Callable[[float, float], tuple[float, float]],
    colour: str,
) -> None:
    height = line.badge_height_mm
    left = start + line.width_mm - line.badge_width_mm
    base += (line.height_mm - height) / 2
    low, high = base - _BADGE_RIM, base + height + _BADGE_RIM
    right = left + line.badge_width_mm
    paper.polygon(
        [place(left, low), place(right, low), place(right, high), place(left, high)],
        fill="white",
        width_mm=0.35,
        colour=colour,
    )
    px, py = place(left + _BADGE_PAD, base)
    paper.text(px, py, line.badge, height, vertical=vertical, bold=True)
