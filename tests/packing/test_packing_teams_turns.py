"""Teams take turns: one whose proof takes long does not keep the others from being looked at."""

from __future__ import annotations

import pytest
from small_random_jobs import clock_of, rectangle

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing import teams as room
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Packing, Search


def test_a_team_that_is_never_settled_does_not_hide_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first team opened, C with 4 x 99 W, is made to come to no end; the others are looked at."""
    models = (
        PanelModel("A", 1000, 500, 100),
        PanelModel("B", 700, 400, 60),
        PanelModel("C", 980, 480, 99),
    )
    job = Job("t", (rectangle("m", 2000, 980),), PanelRules(models, most_models=1))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), None)
    fields = (field_of(job, job.facets[0]),)
    settle, stuck = Search.settle, []

    def slow(self: Search, rounds: int | None = None) -> Packing | None:
        first = stuck and stuck[0] is self
        if not stuck or first:
            stuck[:] = [self]
            return None
        return settle(self, rounds)

    monkeypatch.setattr(Search, "settle", slow)
    found = room.search(fields, rules, clock_of(3.0)).packing
    assert found.watts == 3000  # five of B, or three of A; the team of C was never settled
    assert found.bound == 4 * 990  # and still counts
