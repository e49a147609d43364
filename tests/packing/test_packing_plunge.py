"""Layouts straight down from a large roof's relaxation: they hold, and are better than rows."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import pytest
from plans_of_packed import breaches_of
from test_packing_beside import prepared
from test_packing_large import BARN, VENT, as_packed

from rooflayout.job import Facet, Job
from rooflayout.packing import plunge as plunge_room
from rooflayout.packing.bands import row_layouts
from rooflayout.packing.incumbent import Place
from rooflayout.packing.plunge import plunges

ROUND = replace(BARN, obstacles=(*BARN.obstacles, VENT))
TWO = replace(BARN, facets=(*BARN.facets, Facet("lean-to", ((0, 0), (7000, 0), (7000, 3000), (0, 3000)))))


def layouts_of(job: Job, monkeypatch: pytest.MonkeyPatch, count: int = 1) -> list[list[Place]]:
    """After fewer steps than usual."""
    monkeypatch.setattr(plunge_room, "STEPS", (200, 50))
    monkeypatch.setattr(plunge_room, "BETWEEN", 5)
    fields, rules = prepared(job)
    return list(islice(plunges(fields, rules.kinds, lambda: False), count))


@pytest.mark.parametrize("job", [BARN, ROUND, TWO])
def test_they_hold_and_beat_rows(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    fields, rules = prepared(job)
    rows = max(sum(rules.kinds[k].watts for k, _, _ in row) for row in row_layouts(fields, rules.kinds))
    for layout in layouts_of(job, monkeypatch):
        assert breaches_of(job, as_packed(job, layout)) == []
        assert sum(rules.kinds[k].watts for k, _, _ in layout) > rows


def test_the_same_roof_has_the_same_layouts(monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = (layouts_of(BARN, monkeypatch, 2) for _ in range(2))
    assert first == second
    assert len(first) == 2


def test_it_ends_when_told() -> None:
    fields, rules = prepared(BARN)
    looks = iter([False] * 5 + [True] * 1000)
    assert list(plunges(fields, rules.kinds, lambda: next(looks))) == []


def test_a_roof_with_too_many_places_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    fields, rules = prepared(BARN)
    monkeypatch.setattr(plunge_room, "mesh_of", lambda *asked: None)
    assert list(plunges(fields, rules.kinds, lambda: False)) == []
