"""Labels to cut out: each conductor at both its ends, and warnings for joints, isolators and controllers."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ..plan import CableRun, Plan
from .arrange import upper_box
from .blocks import HEADING, draw_heading
from .box import Box
from .cables_sheet import size_words
from .contents import settings
from .leaf import Leaf
from .lettering import LARGE, NORMAL, SMALL, clean, line_mm, number, shorten, width_mm, wrap
from .paper import A4, Paper
from .portable_leads import has_cables, label_texts, warning_lines
from .warning import draw_warning_triangle

_ACROSS = 4
_HEIGHT = 19.0
_PAD = 2.0
_YELLOW = "#f7e27a"


@dataclass(frozen=True, slots=True)
class Label:
    """A bold head, lines under it; a warning has a triangle and a yellow ground."""

    head: str
    lines: tuple[str, ...]
    warning: bool = False


def label_leaves(plan: Plan) -> list[Leaf]:
    """The sheets of labels; none where there are no cables."""
    if plan.wiring is None or not has_cables(plan):
        return []
    labels = [label for run in plan.wiring.runs for label in cable_labels(run)]
    labels += [Label(head, lines) for p in plan.wiring.portable for head, lines in label_texts(p)]
    labels += warning_labels(plan)
    box = _grid_box()
    each = _ACROSS * int(box.height // _HEIGHT)
    return [Leaf("Labels", _drawing(labels[k : k + each])) for k in range(0, len(labels), each)]


def cable_labels(run: CableRun) -> tuple[Label, ...]:
    """Four labels for a run: its + and its − conductor, each at both ends; the fuse is in the + one."""
    ends = f"{clean(run.start)} → {clean(run.end)}"
    size = " / ".join(size_words(run))
    fuse = "" if run.fuse_a is None else f"fuse {number(run.fuse_a, 1)} A"
    about = {"+": ", ".join(word for word in (size, fuse) if word), "−": size}
    return tuple(
        Label(f"{run.run}  {pole}", tuple(t for t in (ends, f"this end: {clean(at)}", about[pole]) if t))
        for pole in ("+", "−")
        for at in (run.start, run.end)
    )


def warning_labels(plan: Plan) -> list[Label]:
    """Warnings that common practice asks for; common practice, no source."""
    assert plan.wiring is not None
    labels = [
        Label("SOLAR: LIVE IN DAYLIGHT", (f"{s.string}: up to {math.ceil(s.voc_cold_v)} V DC",), True)
        for s in plan.wiring.strings
    ]
    labels += [Label("SOLAR: LIVE IN DAYLIGHT", warning_lines(p), True) for p in plan.wiring.portable]
    for run in plan.wiring.runs:
        ends = f"{run.run}: {clean(run.start)} → {clean(run.end)}"
        if run.isolator:
            labels.append(Label("ISOLATE HERE", (ends,), True))
        if run.fuse_a is not None:
            labels.append(Label(f"FUSE {number(run.fuse_a, 1)} A", (ends, "do not pull under load"), True))
    carry = {s.controller for s in plan.wiring.strings}
    for c in plan.wiring.controllers:
        if c.controller in carry:
            text = "panels and battery: isolate both, panels first"
            labels.append(Label(f"{c.controller}: TWO SOURCES", (text,), True))
    for name, amps in settings(plan).items():
        text = "largest charge current, for the battery's sake"
        labels.append(Label(f"{name}: SET TO {amps}", (text,), True))
    return labels


def _grid_box() -> Box:
    box = upper_box(A4)
    return Box(box.x0, box.y0, box.x1, box.y1 - HEADING - line_mm(NORMAL))


def _drawing(labels: Sequence[Label]) -> Callable[[Paper], None]:
    def draw(paper: Paper) -> None:
        whole, box = upper_box(paper.size), _grid_box()
        draw_heading(paper, "Labels to cut out", whole.x0, whole.y1, whole.width)
        paper.text(
            whole.x0,
            whole.y1 - HEADING - NORMAL,
            "Cut along the dashes; fix under clear shrink tube or film that stands sun and weather.",
            NORMAL,
        )
        wide = box.width / _ACROSS
        for index, label in enumerate(labels):
            x = box.x0 + (index % _ACROSS) * wide
            top = box.y1 - (index // _ACROSS) * _HEIGHT
            _draw_label(paper, label, Box(x, top - _HEIGHT, x + wide, top))

    return draw


def _draw_label(paper: Paper, label: Label, box: Box) -> None:
    left = box.x0 + _PAD
    if label.warning:
        paper.box(box.grown(-0.8), _YELLOW, 0)
        draw_warning_triangle(paper, left, box.y0 + _HEIGHT / 2 - 5.0, 11.0)
        left += 13.0
    paper.polygon(box.corners, None, 0.18, dashes="dashed")
    room = box.x1 - _PAD - left
    head_height = LARGE if width_mm(label.head, LARGE, True) <= room else NORMAL
    heads = wrap(label.head, head_height, room, True)
    words = [(line, head_height, True) for line in shorten(heads, 2, head_height, room * 0.9)]
    most = 4 - len(words)
    spare = most - len(label.lines[:most])
    for line in label.lines[:most]:
        parts = wrap(line, NORMAL, room)
        if len(parts) <= 1 + spare:
            spare -= len(parts) - 1
            words.extend((part, NORMAL, False) for part in parts)
        else:
            words.append((shorten(wrap(line, SMALL, room), 1, SMALL, room)[0], SMALL, False))
    high = sum(line_mm(height) for _, height, _ in words)
    y = (box.y0 + box.y1 + high) / 2
    for text, height, bold in words:
        y -= line_mm(height)
        paper.text(left, y + 0.22 * line_mm(height), text, height, bold=bold)
