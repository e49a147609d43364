"""The muted colours and the light hatches that tell strings apart.

Colours after Paul Tol's light and muted qualitative schemes, made for colour-blind readers; a string
also carries its name in a frame and a hatch of its own, so that a black-and-white print reads as well.
"""

from __future__ import annotations

from dataclasses import dataclass

UNWIRED_FILL = "#f1f1ee"
OBSTACLE_FILL = "#e6e6e6"


@dataclass(frozen=True, slots=True)
class StringMark:
    """How the panels of a string are filled, framed and hatched."""

    fill: str
    edge: str
    hatch: str
    angles_deg: tuple[float, ...]
    pitch_mm: float


_COLOURS = (
    ("#dbe7f5", "#3b6ea5", "#b3cbe6"),
    ("#fbe6d4", "#b3592b", "#efc29c"),
    ("#d9efe6", "#23785a", "#a9d6c4"),
    ("#f6eec6", "#86731a", "#dfcf86"),
    ("#ecdff0", "#7a4a8c", "#cfb3d8"),
    ("#d6f0f5", "#1f7f92", "#a3d6e0"),
    ("#f8dde3", "#a8435c", "#e6b0bd"),
    ("#e9edcc", "#647022", "#c5cd8c"),
)
_HATCHES: tuple[tuple[tuple[float, ...], float], ...] = (
    ((), 4.0),
    ((0.0,), 2.6),
    ((90.0,), 2.6),
    ((135.0,), 2.6),
    ((0.0, 90.0), 4.0),
    ((30.0,), 2.6),
    ((45.0, 135.0), 4.0),
)


def string_mark(index: int) -> StringMark:
    """The mark of the string with this place in the schedule, from 0; repeats after 56."""
    fill, edge, hatch = _COLOURS[index % len(_COLOURS)]
    angles, pitch = _HATCHES[index % len(_HATCHES)]
    return StringMark(fill, edge, hatch, angles, pitch)
