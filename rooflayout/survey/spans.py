"""What a number may be, and how to say so to the person who typed it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

LARGEST_MM = 200_000.0  # no roof for this tool is longer than 200 m
LARGEST_METRES = 20.0  # a place with parts of a millimetre, all below this, was likely measured in metres
SMALLEST_SIDE_MM = 10.0  # a smaller panel or facet was measured in metres


@dataclass(frozen=True, slots=True)
class Span:
    """Finite numbers from low to high; `above` leaves low itself out; `whole` wants integers."""

    says: str
    low: float = -math.inf
    high: float = math.inf
    above: bool = False
    whole: bool = False
    too_high: str = ""  # said instead when only the upper end is passed
    hint: str = ""
    per_cent: bool = False  # a number below 1 that fits as a hundredfold was meant as a share of 1
    celsius: bool = False  # a number too high that fits as °F was likely measured so
    turns: bool = False  # whole turns of 360 degrees more or less mean the same

    def holds(self, number: float) -> bool:
        """True for a number within the span."""
        if not math.isfinite(number) or (self.whole and number != int(number)):
            return False
        return (number > self.low if self.above else number >= self.low) and number <= self.high

    def expected(self, number: float | None) -> str:
        """What to tell someone who gave this number (None: not a number at all)."""
        if self.too_high and number is not None and math.isfinite(number) and number > self.high:
            return self.too_high
        return self.says

    def hint_for(self, number: float) -> str:
        """The minus sign of a number that fits without it, the whole numbers next to a broken one, degrees
        from others, the per cent of a share; else the hint, unless it is 0, far too high or no finite number.
        """
        if not math.isfinite(number):
            return ""
        if number < 0 <= self.low and self.holds(-number):
            return f"Without the minus sign: {-number:.10g}{', or 0 for none' if self.holds(0) else ''}."
        if self.whole and number != int(number) and self.holds(math.ceil(number)):
            either = [n for n in (math.floor(number), math.ceil(number)) if self.holds(n)]
            return f"Whole numbers only: {' or '.join(str(n) for n in either)}."
        if self.celsius and number > self.high and self.holds((number - 32.0) / 1.8):
            return f"°F typed for °C? {number:.10g} °F are {(number - 32.0) / 1.8:.0f} °C."
        if self.turns and not self.holds(number) and self.holds(number % 360.0):
            return f"Without whole turns: {number % 360.0:.10g}."
        below = self.low > 0 >= number or (self.above and number == self.low)
        if self.per_cent and 0.0 < number < 1.0 and self.holds(100.0 * number):
            return f"In per cent: {100.0 * number:.10g}, not {number:.10g}."
        beyond = bool(self.too_high) and number > self.high
        return "" if below or beyond else self.hint


def as_number(value: Any) -> float | None:
    """The value as a float; None for anything but an int or a float (a boolean is no number)."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return float(value)
    except OverflowError:
        return math.inf if value > 0 else -math.inf


def count_hint(value: Any, axes: Sequence[str]) -> str:
    """The hint for numbers that are too few or too many; nothing for what are no numbers."""
    given = value if isinstance(value, list) else [value]
    if not given or any(as_number(item) is None for item in given):
        return ""
    there = "is 1 number" if len(given) == 1 else f"are {len(given)} numbers"
    return f"There {there}; it takes {len(axes)} in brackets, along {' and '.join(axes)}."


def likely_metres(place: tuple[float, ...]) -> bool:
    """True for a place that was likely typed in metres: no roof is measured to parts of a millimetre."""
    return any(number % 1 > 0 for number in place) and max(map(abs, place)) < LARGEST_METRES


NUMBER = Span("a finite number")
ZERO_UP = Span("a number of 0 or more", 0.0)
LENGTH = Span("a length of 0 mm or more", 0.0, LARGEST_MM, too_high="a length of at most 200 m")
SIZE = Span("a length above 0 mm", 0.0, LARGEST_MM, above=True, too_high="a length of at most 200 m")
COORDINATE = Span("a coordinate in mm, within 200 m of the origin", -LARGEST_MM, LARGEST_MM)
SLOPE = Span("a slope from 0 to 90 degrees", 0.0, 90.0, hint="0 is flat, 90 upright.")
BEARING = Span("a bearing from 0 to 360 degrees", 0.0, 360.0, turns=True)
COUNT = Span("a whole number of 1 or more", 1.0, whole=True)
STOCK = Span("a whole number of 0 or more", 0.0, whole=True)
WATTS = Span("watts above 0", 0.0, 1e5, above=True, too_high="watts below 100000")
PANEL_WATTS = Span("watts from 0.1 up", 0.1, 1e5, too_high="watts below 100000")  # counted in tenths
VOLTS = Span("volts above 0", 0.0, 1e5, above=True, too_high="volts below 100000")
AMPERES = Span("amperes above 0", 0.0, 1e5, above=True, too_high="amperes below 100000")
MASS = Span("a mass of 0 kg or more", 0.0)
MONEY = Span("an amount of 0 or more", 0.0)
PER_CENT = Span("a percentage from 0 to 100", 0.0, 100.0)
HOURS_A_DAY = Span("hours a day from 0 to 24", 0.0, 24.0, hint="A week's hours are to be divided by 7.")
