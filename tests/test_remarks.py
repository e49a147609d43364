"""Remarks on a finished plan that no room of its own tests."""

from __future__ import annotations

import pytest

from rooflayout.job import Facet, Job, PanelModel, PanelRules
from rooflayout.planner import plan_job

SQUARE = ((0.0, 0.0), (900.0, 0.0), (900.0, 700.0), (0.0, 700.0))
NOTCHED = ((200.0, 0.0), (900.0, 0.0), (900.0, 700.0), (0.0, 700.0), (0.0, 100.0), (200.0, 100.0))
CHAMFERED = ((-100.0, 100.0), (100.0, -100.0), (900.0, -100.0), (900.0, 700.0), (-100.0, 700.0))
FROM_MIDDLE = ((-450.0, -350.0), (450.0, -350.0), (450.0, 350.0), (-450.0, 350.0))


@pytest.mark.parametrize(
    ("outline", "warned"), [(SQUARE, False), (NOTCHED, True), (CHAMFERED, False), (FROM_MIDDLE, True)]
)
def test_a_datum_that_no_tape_can_be_hooked_to_is_told(
    outline: tuple[tuple[float, float], ...], warned: bool
) -> None:
    job = Job("x", (Facet("main", outline),), PanelRules((PanelModel("Reed 40", 400, 300, 40.0),)))
    codes = {note.code for note in plan_job(job, time_limit_s=20).notes}
    assert ("datum-off-edge" in codes) == warned
