"""The smallest standard size that serves a cable, and what set it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rooflayout.wiring.conductors import Laid, Size, capacity_a, drop_v, terminal_a
from rooflayout.wiring.limits import TOLERANCE

SIDE_BY_SIDE = (2, 3)  # equal cables that share a current: common practice, no source


@dataclass(frozen=True, slots=True)
class Need:
    """What a cable must do: carry a current for good, and lose little voltage at its working current."""

    carry_a: float  # the design current, or the fuse that protects the cable where that is larger
    working_a: float
    length_mm: float  # one way
    voltage_v: float  # that the drop is a share of
    laid: Laid
    least_mm2: float = 0.0  # no thinner conductor, for its strength
    terminals_a: float = 0.0  # what terminals of an AWG size must take, where that is more than carry_a


def lost_v(size: Size, need: Need) -> float:
    """Voltage drop in V, with the conductor as hot as its insulation stands."""
    return drop_v(size, need.length_mm, need.working_a, need.laid.insulation_c)


def drop_pct(size: Size, need: Need) -> float:
    """Voltage drop in % of need.voltage_v."""
    return 100.0 * lost_v(size, need) / need.voltage_v


def carries(size: Size, need: Need) -> bool:
    """True when the size carries the current where it lies, and its terminals what they must."""
    if size.awg is not None and need.terminals_a > terminal_a(size) * (1.0 + TOLERANCE):
        return False
    return need.carry_a <= capacity_a(size, need.laid) * (1.0 + TOLERANCE)


def within_drop(size: Size, need: Need, allowed_pct: float) -> bool:
    """True when the size loses at most allowed_pct."""
    return drop_pct(size, need) <= allowed_pct * (1.0 + TOLERANCE)


def strong(size: Size, need: Need) -> bool:
    """True when the conductor is as thick as is asked for its strength."""
    return thick_as(size, need.least_mm2)


def thick_as(size: Size, least_mm2: float) -> bool:
    """True when the size has at least so much copper."""
    return size.area_mm2 >= least_mm2 * (1.0 - TOLERANCE)


def smallest(sizes: Sequence[Size], need: Need, allowed_pct: float) -> Size | None:
    """The first of the sizes, thin to thick, that serves; None when none does."""
    serving = (s for s in sizes if strong(s, need) and carries(s, need) and within_drop(s, need, allowed_pct))
    return next(serving, None)


def shares_pct(
    sizes: Sequence[Size], strings: Sequence[Need], array: Need | None, most_pct: float
) -> tuple[float, float]:
    """What of most_pct each string's cable and the cable from their joint may lose: (string, array).

    Shared by length, so that a metre of the longest string and of the array loses the same: a longer
    cable is then never thinner. Where the array would have to be thicker than any size, it gets the
    thickest and the strings what is left: if a string fails then, no standard sizes serve at all.
    """
    if array is None:
        return most_pct, 0.0
    longest_mm = max(s.length_mm for s in strings)
    whole_mm = longest_mm + array.length_mm
    string_pct, array_pct = most_pct, 0.0
    if whole_mm > 0:
        string_pct, array_pct = most_pct * longest_mm / whole_mm, most_pct * array.length_mm / whole_mm
    thickest_pct = drop_pct(sizes[-1], array)
    if array_pct < thickest_pct < most_pct:
        return most_pct - thickest_pct, thickest_pct
    return string_pct, array_pct


def why(
    sizes: Sequence[Size], size: Size | None, need: Need, allowed_pct: float, fuse_a: float | None = None
) -> str:
    """What set the size, or which limit leaves none, in words; fuse_a is the fuse that protects the cable."""
    at = f"at {need.laid.ambient_c:.0f} °C"
    if size is None:
        last = sizes[-1]
        if not carries(last, need):
            able_a = capacity_a(last, need.laid)
            if able_a == 0.0:
                return f"no size: insulation for {need.laid.insulation_c:g} °C stands no current {at}"
            return f"no size: {last.label} carries {able_a:.1f} A {at}, {need.carry_a:.1f} A needed"
        return f"no size: {last.label} drops {drop_pct(last, need):.2f} %, {allowed_pct:.2f} % allowed"
    weak = replace(need, least_mm2=0.0)
    if smallest(sizes, weak, allowed_pct) is not size:
        return f"strength: no conductor here below {need.least_mm2:g} mm²"
    by_current = next(s for s in sizes if carries(s, need))
    if by_current is not size:
        return f"voltage drop: {drop_pct(size, need):.2f} %, {allowed_pct:.2f} % allowed"
    able = f"{need.carry_a:.1f} A of {capacity_a(size, need.laid):.1f} A"
    cause = "current" if fuse_a is None or fuse_a < need.carry_a else "fuse"
    return f"{cause} {at}: {able}"


def change(
    sizes: Sequence[Size],
    need: Need,
    strings: Sequence[Need],
    array: Need | None,
    most_pct: float,
    raised: Callable[[float], str] = lambda times: "",
) -> str:
    """What would let a size serve where none does, each by itself, in words.

    strings and array: all the cables that share most_pct, need among them. raised: words for a voltage so
    high that a loss so many times too large is allowed; empty where there is none.
    """
    last = sizes[-1]
    if carries(last, need):
        return _less_lost(last, need, strings, array, most_pct, raised)
    ways = []
    for to_c in (to_c for _, to_c in last.classes_c if to_c > need.laid.insulation_c):
        if carries(last, replace(need, laid=replace(need.laid, insulation_c=to_c))):
            ways.append(f"insulation that stands {to_c:g} °C would let one carry it")
            break
    if carries(last, replace(need, laid=replace(need.laid, bundled=1))):
        ways.append("laid apart from other cables one would carry it")
    together = next((n for n in SIDE_BY_SIDE if carries(last, _one_of(need, n))), None)
    if together is not None:
        ways.append(f"{together} x {last.label} side by side would carry it")
    return ", or ".join(ways) or "divide it among more controllers, or lay the cable in a cooler place"


def _one_of(need: Need, cables: int) -> Need:
    """What one of so many equal cables does that lie side by side, touching, and share a current."""
    laid = replace(need.laid, bundled=max(1, need.laid.bundled) * cables)
    return replace(need, carry_a=need.carry_a / cables, working_a=need.working_a / cables, laid=laid)


def _less_lost(
    thickest: Size,
    need: Need,
    strings: Sequence[Need],
    array: Need | None,
    most_pct: float,
    raised: Callable[[float], str],
) -> str:
    """How short need's way, how large the drop, how high the voltage, how many of the thickest size."""
    after_pct = 0.0 if array is None else drop_pct(thickest, array)
    worst = max(strings, key=lambda s: drop_pct(thickest, s))
    whole_pct = drop_pct(thickest, worst) + after_pct
    reach_m = math.floor(need.length_mm * most_pct / whole_pct / 100.0) / 10.0
    alike = " and the rest of the way shortened alike" if array is not None and array.length_mm > 0.0 else ""
    together = math.ceil(whole_pct / most_pct * (1.0 - TOLERANCE))
    ways = [
        f"{thickest.label} would do for {reach_m:.1f} m instead of {need.length_mm / 1000:g} m{alike}",
        f"where {math.ceil(whole_pct * 10.0) / 10.0:.1f} % may be lost",
        raised(whole_pct / most_pct),
        f"{together} x {thickest.label} side by side all the way" if together in SIDE_BY_SIDE else "",
    ]
    return ", or ".join(way for way in ways if way)
