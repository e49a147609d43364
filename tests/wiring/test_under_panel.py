"""A gland under a panel is told, one beside it or on another facet is not."""

from __future__ import annotations

import pytest

from rooflayout.job import Cable, Facet, Job, PanelRules, Point
from rooflayout.plan import PlacedPanel
from rooflayout.wiring.under_panel import gland_notes

SQUARE = ((0, 0), (2000, 0), (2000, 2000), (0, 2000))
FACETS = (Facet("main", SQUARE), Facet("slope", SQUARE))
PANEL = PlacedPanel("P1", "main", "Reed 160", 100.0, 200.0, 1000.0, 500.0, False, 160.0)


@pytest.mark.parametrize(
    ("facet", "gland_mm", "told"),
    [
        (None, (600.0, 400.0), True),  # the first facet where none is named
        ("main", (1099.0, 699.0), True),
        ("slope", (600.0, 400.0), False),
        ("main", (1100.0, 400.0), False),  # at its edge
        ("main", (600.0, 150.0), False),
        (None, None, False),
    ],
)
def test_only_a_gland_under_a_panel_is_told(facet: str | None, gland_mm: Point | None, told: bool) -> None:
    job = Job("x", FACETS, PanelRules(()), cable=Cable(gland_facet=facet, gland_mm=gland_mm))
    notes = gland_notes(job, (PANEL,))
    assert [n.code for n in notes] == ["gland-under-panel"] * told
    assert all("lies under P1" in n.text for n in notes)
