"""A cable gland that lies under a panel."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.job import Job
from rooflayout.plan import Note, PlacedPanel
from rooflayout.wiring.lengths import gland_facet


def gland_notes(job: Job, panels: Sequence[PlacedPanel]) -> tuple[Note, ...]:
    """Which panel lies over the gland; nothing where none does, or where no gland is given."""
    gland = job.cable.gland_mm
    if gland is None:
        return ()
    x, y = gland
    over = [
        p.panel
        for p in panels
        if p.facet == gland_facet(job)
        and p.x_mm < x < p.x_mm + p.along_x_mm
        and p.y_mm < y < p.y_mm + p.along_y_mm
    ]
    if not over:
        return ()
    text = (
        f"The cable gland (x {x:g}, y {y:g}) lies under {over[0]}: see that it and its cables have room "
        "below the panel, and fit it first. An obstacle there keeps panels off it."
    )
    return (Note("caution", "gland-under-panel", text),)
