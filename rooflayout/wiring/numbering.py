"""Reading order: panels are numbered as the drawing is read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.job import Job
from rooflayout.plan import PlacedPanel

SAME_ROW = 0.5  # share of the lower panel's side along y that two panels of a row overlap by


def number_panels(job: Job, panels: Sequence[PlacedPanel]) -> tuple[PlacedPanel, ...]:
    """The panels named in reading order: new ones P1, P2 ..., then kept ones K1, K2 ...

    The result does not depend on the order or the names that the panels come with.
    """
    ordered = in_reading_order(job, panels)
    new = [p for p in ordered if not p.kept]
    kept = [p for p in ordered if p.kept]
    return (
        *(replace(p, panel=f"P{number}") for number, p in enumerate(new, 1)),
        *(replace(p, panel=f"K{number}") for number, p in enumerate(kept, 1)),
    )


def in_reading_order(job: Job, panels: Sequence[PlacedPanel]) -> list[PlacedPanel]:
    """Facets in the job's order; on each, rows from the top of the drawing, left to right."""
    facets = {facet.name: number for number, facet in enumerate(job.facets)}
    found: list[PlacedPanel] = []
    for name in sorted({p.facet for p in panels}, key=lambda name: (facets.get(name, len(facets)), name)):
        for row in rows([p for p in panels if p.facet == name]):
            found += row
    return found


def rows(panels: Sequence[PlacedPanel]) -> list[list[PlacedPanel]]:
    """The panels of one facet in rows, top row (large y) first.

    The highest panel that is left leads a row; whoever overlaps it along y by SAME_ROW belongs to it.
    """
    left = sorted(panels, key=lambda p: (-_top_mm(p), p.x_mm, p.y_mm, p.model, p.kept))
    found = []
    while left:
        row = [p for p in left if _beside(p, left[0])]
        left = [p for p in left if p not in row]
        found.append(sorted(row, key=lambda p: (p.x_mm, -_top_mm(p))))
    return found


def _beside(panel: PlacedPanel, leader: PlacedPanel) -> bool:
    overlap_mm = min(_top_mm(panel), _top_mm(leader)) - max(panel.y_mm, leader.y_mm)
    return panel is leader or overlap_mm >= SAME_ROW * min(panel.along_y_mm, leader.along_y_mm)


def _top_mm(panel: PlacedPanel) -> float:
    return panel.y_mm + panel.along_y_mm
