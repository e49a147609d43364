"""The muted colours and the light hatches that tell strings, and what charges a battery, apart.

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


ROOF_PANELS = StringMark("#b3cbe6", "#3b6ea5", "#3b6ea5", (), 2.6)
PORTABLE_PANELS = StringMark("#fbe6d4", "#b3592b", "#c98a5c", (45.0,), 1.8)
DRIVING = StringMark("#e9edcc", "#647022", "#8b9650", (0.0, 90.0), 2.2)
CHARGE_BAND = "#d9efe6"
CHARGE_LINE = "#23785a"


@dataclass(frozen=True, slots=True)
class ShadeStep:
    """Cells from so much loss on have this fill; darker with every step, in black and white too."""

    from_pct: float
    fill: str


SHADE_STEPS = (
    ShadeStep(0.0, "#ffffff"),
    ShadeStep(2.0, "#e4e9f0"),
    ShadeStep(5.0, "#c6d0de"),
    ShadeStep(10.0, "#a0b0c6"),
    ShadeStep(20.0, "#7489a6"),
    ShadeStep(40.0, "#465b7a"),
)
