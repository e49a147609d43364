"""Teams take turns: one whose proof takes long does not keep the others from being looked at."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_random_jobs import CONTROLLER, clock_of, rectangle

from rooflayout.job import Facet, Job, PanelModel, PanelRules
from rooflayout.packing import teams as room
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.team_rules import teams_of
from rooflayout.wiring.options import StringOption, Supply, TrackerClass


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
    monkeypatch.setattr(Search, "rows_if_slow", lambda self: None)  # rows alone would find the best of C
    found = room.search(fields, rules, clock_of(3.0)).packing
    assert found.watts == 3000  # five of B, or three of A; the team of C was never settled
    assert found.bound == 4 * 990  # and still counts


def test_what_is_told_of_a_team_says_nothing_of_the_others() -> None:
    """Two of four models may be used; a roof found at random where the first team is not the best one."""
    sizes = ((1050, 300, 110), (950, 300, 80), (950, 650, 180), (800, 400, 50))
    models = tuple(PanelModel(f"M{n}", *size) for n, size in enumerate(sizes))
    job = Job("t", (rectangle("m", 2800, 1750),), PanelRules(models, most_models=2))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), None)
    told: list[tuple[int, int]] = []
    clock = replace(clock_of(20.0), tell=lambda watts, bound: told.append((watts, bound)))
    best = room.search((field_of(job, job.facets[0]),), rules, clock).packing
    assert (best.watts, best.proven) == (15300, True)
    assert len(told) > 2
    assert all(watts <= best.watts <= bound for watts, bound in told)


def test_where_teams_take_time_a_wired_layout_in_rows_comes_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slanted roof of 12 square metres, six models, one tracker: no team is opened, and panels stand."""
    models = tuple(PanelModel(f"M{i}", 1000 + 83 * i, 500 + 37 * i, 100.0 + 35 * i) for i in range(6))
    nose = Facet("roof", ((0, 0), (5400, 0), (5900, 450), (5900, 1800), (5400, 2250), (0, 2250)))
    job = Job("lorry", (nose,), PanelRules(models))
    monkeypatch.setattr(room.TeamSearch, "_first_bounds", _out_of_time)
    supply = Supply((TrackerClass(CONTROLLER, 1),), tuple(StringOption(m, 0, 2, 4) for m in models))
    own = models_of(job)
    rules = rules_of(job, own, kinds_of(job, own), supply)
    found = room.TeamSearch((field_of(job, nose),), rules, clock_of(), teams_of(rules) or [])
    with pytest.raises(TimeoutError):
        found.run()
    kinds = [rules.kinds[k].model for k, _, _ in found._best or ()]
    assert len(kinds) in (2, 4, 6, 8)
    assert len(set(kinds)) == 1


def _out_of_time(self: room.TeamSearch) -> None:
    raise TimeoutError
