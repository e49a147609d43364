"""The shade map: its steps, its cells, and each panel with its loss."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from rooflayout.documents.energy_set import energy_leaves
from rooflayout.documents.palette import SHADE_STEPS
from rooflayout.documents.shade_picture import runs_of, step_of, step_words
from rooflayout.documents.shade_view import loss_words, shade_view
from rooflayout.yields import ShadeMap

from .energy_samples import WITH_ENERGY
from .opened_sheets import energy_sheets


@pytest.mark.parametrize("name", ["trailer", "three_controllers"])
def test_names_on_the_shade_map_mind_its_own_lettering(name: str) -> None:
    """What stands in the way of a name is the panels' number and loss, not the drawing's longer words."""
    job, plan = WITH_ENERGY[name]()
    for facet in job.facets:
        view = shade_view(job, plan, facet, 25, 250.0, {})
        assert view.labels
        assert view.names.panels == view.labels
        assert all(len(line.text) <= 12 for stack in view.labels.values() for line in stack.lines)


def test_shade_steps_darken_in_grey() -> None:
    # Rec. ITU-R BT.601 luma, from memory: 0.299 R + 0.587 G + 0.114 B.
    lumas = [float(np.dot(to_rgb(step.fill), (0.299, 0.587, 0.114))) for step in SHADE_STEPS]
    assert all(a - b > 0.07 for a, b in pairwise(lumas))
    assert len(step_words()) == len(SHADE_STEPS)


def test_cells_go_to_their_step_and_those_side_by_side_join() -> None:
    map_ = ShadeMap("roof", 100.0, 200.0, 50.0, ((None, 1.9, 2.0, 4.9, 5.0), (41.0, 41.0, None, 0.0, 20.0)))
    found = {step.from_pct: cells for step, cells in runs_of(map_).items() if cells}
    assert found == {
        2.0: [(200.0, 200.0, 300.0, 250.0)],
        5.0: [(300.0, 200.0, 350.0, 250.0)],
        40.0: [(100.0, 250.0, 200.0, 300.0)],
        20.0: [(300.0, 250.0, 350.0, 300.0)],
    }
    assert step_of(0.0) is SHADE_STEPS[0]
    assert step_of(100.0) is SHADE_STEPS[-1]


@pytest.mark.parametrize("name", ["trailer", "sixty_panels", "crowded", "long_names"])
def test_the_shade_map_names_every_panel_with_its_loss(name: str) -> None:
    job, plan = WITH_ENERGY[name]()
    assert plan.energy is not None
    lettering = [
        t.text
        for leaf, texts in zip(energy_leaves(job, plan), energy_sheets(name)[1], strict=True)
        if leaf.document_type == "Shade map"
        for t in texts
    ]
    words = " ".join(lettering)
    for shade in plan.energy.shade:
        loss = loss_words(shade.loss_pct)
        assert any(f"{shade.panel}{gap}{loss}" in words for gap in (" ", "  ")), shade.panel


def test_small_losses_are_told_from_none() -> None:
    assert [loss_words(v) for v in (0.0, 0.03, 0.6, 14.4)] == ["0 %", "< 1 %", "1 %", "14 %"]
