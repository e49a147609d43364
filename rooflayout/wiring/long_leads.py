"""Panels of one string that stand farther apart than their own leads reach."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from rooflayout.plan import Note, PlacedPanel, Wiring

REACH_MM = 1200.0  # from edge to edge, leads of a metre each going round: common practice, no source


def lead_notes(panels: Sequence[PlacedPanel], wiring: Wiring) -> tuple[Note, ...]:
    """One note for all such neighbours in a string; none where there are none."""
    of_name = {panel.panel: panel for panel in panels}
    far = [
        f"{s.string} {a} to {b} {_apart_mm(of_name[a], of_name[b]) / 1000.0:.1f} m"
        for s in wiring.strings
        for a, b in pairwise(s.panels)
        if _apart_mm(of_name[a], of_name[b]) > REACH_MM
    ]
    if not far:
        return ()
    text = (
        "Panels next to one another in a string that stand farther apart than their own leads reach (about "
        f"a metre each: common practice), from edge to edge: {', '.join(far)}. Bring extension leads of the "
        "string's size."
    )
    return (Note("info", "long-leads", text),)


def _apart_mm(a: PlacedPanel, b: PlacedPanel) -> float:
    """From edge to edge, along x and y."""
    x = max(0.0, b.x_mm - a.x_mm - a.along_x_mm, a.x_mm - b.x_mm - b.along_x_mm)
    y = max(0.0, b.y_mm - a.y_mm - a.along_y_mm, a.y_mm - b.y_mm - b.along_y_mm)
    return x + y
