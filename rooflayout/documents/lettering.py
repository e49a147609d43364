"""Lettering on paper: how wide a text runs, where its box lies, how it wraps.

Heights are those of the capital letters in millimetres of paper (ISO 3098: nominal sizes 1.8, 2.5,
3.5, 5 mm). The font is DejaVu Sans, which comes with matplotlib, so every machine draws alike.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Literal

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from .box import Box

SMALL, NORMAL, LARGE = 1.8, 2.5, 3.5
FAMILY = "DejaVu Sans"
POINTS_PER_MM = 72 / 25.4

# Measures of DejaVu Sans in ems: capitals, and the line above and below the baseline.
CAPITAL, ASCENT, DESCENT = 0.729, 0.765, 0.245

Align = Literal["left", "center", "right"]


def em_mm(height_mm: float) -> float:
    """The em of lettering whose capitals are so high [mm]."""
    return height_mm / CAPITAL


def line_mm(height_mm: float) -> float:
    """Distance from one line to the next [mm]."""
    return 1.17 * em_mm(height_mm)


def font_points(height_mm: float) -> float:
    """The font size that gives capitals of this height [pt]."""
    return em_mm(height_mm) * POINTS_PER_MM


def clean(text: str) -> str:
    """The text on one line: control characters and runs of blanks become one blank."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


@lru_cache(maxsize=16)
def _font(bold: bool) -> FontProperties:
    return FontProperties(family=FAMILY, weight="bold" if bold else "normal", size=100)


@lru_cache(maxsize=20000)
def _measured_em(text: str, bold: bool) -> tuple[float, float]:
    """How wide a text runs and how far it rises above its baseline."""
    width, height, descent = text_to_path.get_text_width_height_descent(text, _font(bold), False)
    return float(width) / 100, float(height - descent) / 100


def width_mm(text: str, height_mm: float, bold: bool = False) -> float:
    """How wide a text runs [mm]."""
    return _measured_em(text, bold)[0] * em_mm(height_mm) if text else 0.0


def rise_em(text: str, bold: bool) -> float:
    """How far a text rises above its baseline, in ems: accents on capitals stand above all else."""
    return _measured_em(text, bold)[1]


def text_box(
    x: float,
    y: float,
    text: str,
    height_mm: float,
    align: Align = "left",
    vertical: bool = False,
    bold: bool = False,
) -> Box:
    """The box of a text whose baseline starts, centres or ends at (x, y); vertical reads upwards."""
    width, em = width_mm(text, height_mm, bold), em_mm(height_mm)
    rise = max(ASCENT, rise_em(text, bold)) * em
    start = {"left": 0.0, "center": -width / 2, "right": -width}[align]
    if vertical:
        return Box(x - rise, y + start, x + DESCENT * em, y + start + width)
    return Box(x + start, y - DESCENT * em, x + start + width, y + rise)


# A space, but not that between a figure and its unit
_BETWEEN_WORDS = re.compile(r"(?<!\d) | (?!(?:%|°C|mm²|mm|m|A|V|W|Wh|kWh|W/m²|K|kg|Ah|AWG)(?![\w/]))")


def _pieces(word: str, height_mm: float, room_mm: float, bold: bool) -> list[str]:
    """A word cut where it would run out of room, after a hyphen where there is one."""
    pieces: list[str] = []
    while width_mm(word, height_mm, bold) > room_mm and len(word) > 1:
        cut = len(word) - 1
        while cut > 1 and width_mm(word[:cut], height_mm, bold) > room_mm:
            cut -= 1
        hyphen = word.rfind("-", 1, cut)
        if hyphen >= cut // 2:
            cut = hyphen + 1
        pieces.append(word[:cut])
        word = word[cut:]
    return [*pieces, word]


@lru_cache(maxsize=5000)
def wrap(text: str, height_mm: float, room_mm: float, bold: bool = False) -> tuple[str, ...]:
    """The text in lines no wider than the room [mm], a figure and its unit on one; words too long are cut."""
    lines: list[str] = []
    line, about_mm = "", 0.0
    space_mm = width_mm("x x", height_mm, bold) - 2 * width_mm("x", height_mm, bold)
    for word in _BETWEEN_WORDS.split(clean(text)):
        longer = f"{line} {word}" if line else word
        about_mm += width_mm(word, height_mm, bold) + space_mm
        if about_mm + em_mm(height_mm) <= room_mm or width_mm(longer, height_mm, bold) <= room_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, height_mm, room_mm, bold)
        about_mm = width_mm(line, height_mm, bold) + space_mm
        lines.extend(full)
    return (*lines, line)


def shorten(
    lines: tuple[str, ...], most: int, height_mm: float, room_mm: float, bold: bool = False
) -> tuple[str, ...]:
    """At most so many lines, the last one ending in an ellipsis where something was left out."""
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and width_mm(last + "…", height_mm, bold) > room_mm:
        last = last[:-1]
    return (*lines[: most - 1], last + "…")


def number(value: float, digits: int = 0) -> str:
    """A number with at most so many decimals and no trailing noughts, with a true minus sign."""
    text = f"{value:.{digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text.replace("-", "−")


def fixed(value: float, digits: int) -> str:
    """A number with so many decimals, for figures that stand one under the other."""
    return f"{value:.{digits}f}".replace("-", "−")


def millimetres(value: float) -> str:
    """A length as written on the drawing: whole millimetres, else to a tenth."""
    return number(value, 1)
