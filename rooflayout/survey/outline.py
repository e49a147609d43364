"""Is a list of corners a simple polygon, counter-clockwise? In the words of whoever measured it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.job import Point, signed_area_mm2
from rooflayout.survey.words import number_text


@dataclass(frozen=True, slots=True)
class OutlineFault:
    """What was found, what was expected, a hint; `corner` counts from 1 where one is to blame."""

    found: str
    expected: str
    hint: str = ""
    corner: int | None = None


def outline_fault(corners: Sequence[Point]) -> OutlineFault | None:
    """The first fault of an outline (x right, y up, in mm), or None for a sound one."""
    return (
        too_few(corners)
        or repeated_corner(corners)
        or no_area(corners)
        or doubling_back(corners)
        or crossing(corners)
        or clockwise(corners)
    )


def too_few(corners: Sequence[Point]) -> OutlineFault | None:
    """An outline needs three corners."""
    if len(corners) < 3:
        noun = "corner" if len(corners) == 1 else "corners"
        return OutlineFault(f"{len(corners)} {noun}", "at least 3 corners")
    return None


def repeated_corner(corners: Sequence[Point]) -> OutlineFault | None:
    """No corner is listed twice, not even to close the outline."""
    seen: dict[Point, int] = {}
    for number, corner in enumerate(corners, 1):
        if corner in seen:
            found = f"corner {number} on corner {seen[corner]} at {_text(corner)}"
            closes = number == len(corners) and seen[corner] == 1
            hint = "The outline closes by itself: leave the last corner out." if closes else ""
            return OutlineFault(found, "every corner once", hint, number)
        seen[corner] = number
    return None


def no_area(corners: Sequence[Point]) -> OutlineFault | None:
    """The corners do not all lie on one line."""
    if all(_turn(corners[0], corners[1], corner) == 0 for corner in corners[2:]):
        return OutlineFault("all corners on one line", "an outline with an area")
    return None


def doubling_back(corners: Sequence[Point]) -> OutlineFault | None:
    """No side runs back along the side before it."""
    for i, corner in enumerate(corners):
        before, after = corners[i - 1], corners[(i + 1) % len(corners)]
        ahead = (corner[0] - before[0]) * (after[0] - corner[0]) + (corner[1] - before[1]) * (
            after[1] - corner[1]
        )
        if _turn(before, corner, after) == 0 and ahead < 0:
            found = f"the outline running back on itself at corner {i + 1}, {_text(corner)}"
            return OutlineFault(found, "an outline that does not touch itself", "", i + 1)
    return None


def crossing(corners: Sequence[Point]) -> OutlineFault | None:
    """No two sides cross or touch, but for neighbours in their common corner."""
    count = len(corners)
    for i in range(count):
        for j in range(i + 2, count):
            if i == 0 and j == count - 1:
                continue
            if _meet(corners[i], corners[i + 1], corners[j], corners[(j + 1) % count]):
                found = f"the side {_side(i, count)} meeting the side {_side(j, count)}"
                return OutlineFault(
                    found,
                    "an outline that does not cross or touch itself",
                    "List the corners in the order in which they follow round the outline.",
                    i + 1,
                )
    return None


def clockwise(corners: Sequence[Point]) -> OutlineFault | None:
    """The corners run counter-clockwise."""
    if signed_area_mm2(corners) < 0:
        return OutlineFault(
            "corners running clockwise",
            "corners running counter-clockwise",
            "List the corners counter-clockwise; seen from above, y points to the left of x.",
        )
    return None


def _meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the closed segments ab and cd have a point in common."""
    c_side, d_side = _turn(a, b, c), _turn(a, b, d)
    a_side, b_side = _turn(c, d, a), _turn(c, d, b)
    if c_side * d_side < 0 and a_side * b_side < 0:
        return True
    return (
        (c_side == 0 and _within(a, b, c))
        or (d_side == 0 and _within(a, b, d))
        or (a_side == 0 and _within(c, d, a))
        or (b_side == 0 and _within(c, d, b))
    )


def _turn(a: Point, b: Point, c: Point) -> int:
    """1 when c lies to the left of the line from a to b, -1 to the right, 0 on it."""
    turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return (turn > 0) - (turn < 0)


def _within(a: Point, b: Point, c: Point) -> bool:
    """Whether c, known to lie on the line ab, lies between a and b."""
    return min(a[0], b[0]) <= c[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= c[1] <= max(a[1], b[1])


def _side(start: int, count: int) -> str:
    return f"{start + 1}-{(start + 1) % count + 1}"


def _text(corner: Point) -> str:
    return f"[{number_text(corner[0])}, {number_text(corner[1])}]"
