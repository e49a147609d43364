"""The [wiring] and [mounting_space] tables."""

from __future__ import annotations

from rooflayout.job import MountingSpace, WiringRules
from rooflayout.survey.spans import LARGEST_MM, PER_CENT, SMALLEST_SIDE_MM, VOLTS, Span
from rooflayout.survey.table import Table, table
from rooflayout.survey.words import number_text

SPACE_SIDE = Span(
    f"a length of {SMALLEST_SIDE_MM:g} mm or more",
    SMALLEST_SIDE_MM,
    LARGEST_MM,
    too_high="a length of at most 200 m",
    hint="Lengths are millimetres: 0.4 m is 400.",
)
LEAST_PER_CENT = 0.1  # less was likely typed as a share of 1


def read_wiring_rules(top: Table) -> WiringRules:
    """Reads and checks [wiring]."""
    wiring = table(top, "wiring")
    if wiring is None:
        return WiringRules()
    wiring.check_keys("wiring")
    return WiringRules(
        most_string_v=wiring.number("most_string_v", VOLTS),
        most_mismatch_pct=per_cent_or(wiring, "most_mismatch_pct", PER_CENT, 2.0),
    )


def read_mounting_space(top: Table) -> MountingSpace | None:
    """Reads and checks [mounting_space]; None when there is none or a side is missing."""
    space = table(top, "mounting_space")
    if space is None:
        return None
    space.check_keys("mounting_space")
    width, height, depth = (
        space.number(side, SPACE_SIDE, needed=True) for side in ("width", "height", "depth")
    )
    clearance = space.length_or("clearance", 0.0)
    if width is None or height is None or depth is None:
        return None
    return MountingSpace(width, height, depth, clearance)


def per_cent_or(owner: Table, key: str, span: Span, default: float) -> float:
    """A percentage, or the default; notes one above 0 and so small that it is likely a share of 1."""
    number = owner.number_or(key, span, default)
    if 0 < number < LEAST_PER_CENT:
        text = f"{owner.name}, {key}: {number_text(number)} % is very little; it is in per cent: "
        text += f"{number_text(default)}, not {number_text(default / 100)}."
        owner.findings.note("warning", "per-cent-as-share", text)
    return number
