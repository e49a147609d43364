"""Layouts straight down from a large roof's relaxation: they hold, and are better than rows."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import pytest
from plans_of_packed import breaches_of
from small_random_jobs import rectangle, square_on
from test_packing_beside import prepared
from test_packing_large import VENT, as_packed

from rooflayout.job import Facet, Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import plunge as plunge_room
from rooflayout.packing.bands import row_layouts
from rooflayout.packing.incumbent import Place
from rooflayout.packing.mesh import mesh_of
from rooflayout.packing.plunge import plunges
from rooflayout.packing.relaxed import panels_by_area

BIG, LITTLE = PanelModel("Big", 1722, 1134, 430.0), PanelModel("Little", 1134, 1040, 240.0)
STANDING = tuple(
    square_on(f"O{n}", "roof", x, y, x + 780, y + 1180, clearance_mm=60)
    for n, (x, y) in enumerate(((2110, 1330), (6470, 2210)))
)
HUT = Job("hut", (rectangle("roof", 9030, 5010),), PanelRules((BIG, LITTLE)), STANDING, Spacing(20, 50))
ROUND = replace(HUT, obstacles=(*STANDING, replace(VENT, diameter_mm=200)))
TWO = replace(HUT, facets=(*HUT.facets, Facet("lean-to", ((0, 0), (4000, 0), (4000, 3000), (0, 3000)))))


def layouts_of(job: Job, monkeypatch: pytest.MonkeyPatch, count: int = 1) -> list[list[Place]]:
    """After fewer steps than usual."""
    monkeypatch.setattr(plunge_room, "STEPS", (300, 100))
    monkeypatch.setattr(plunge_room, "BETWEEN", 20)
    fields, rules = prepared(job)
    return list(islice(plunges(fields, rules.kinds, 60.0, lambda: False), count))


@pytest.mark.parametrize("job", [HUT, ROUND, TWO])
def test_they_hold_and_beat_rows(job: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    fields, rules = prepared(job)
    rows = max(sum(rules.kinds[k].watts for k, _, _ in row) for row in row_layouts(fields, rules.kinds))
    for layout in layouts_of(job, monkeypatch):
        assert breaches_of(job, as_packed(job, layout)) == []
        assert sum(rules.kinds[k].watts for k, _, _ in layout) > rows


def test_the_same_roof_has_the_same_layouts(monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = (layouts_of(HUT, monkeypatch, 2) for _ in range(2))
    assert first == second
    assert len(first) == 2


def test_it_ends_when_told() -> None:
    fields, rules = prepared(HUT)
    looks = iter([False] * 5 + [True] * 1000)
    assert list(plunges(fields, rules.kinds, 60.0, lambda: next(looks))) == []


def test_a_roof_with_too_many_places_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    fields, rules = prepared(HUT)
    monkeypatch.setattr(plunge_room, "mesh_of", lambda *asked: None)
    assert list(plunges(fields, rules.kinds, 60.0, lambda: False)) == []


def test_where_one_place_at_a_time_takes_too_long_more_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    fields, rules = prepared(HUT)
    mesh = mesh_of(fields[0], rules.kinds, range(4))
    assert mesh is not None
    a_step = mesh.shape[0] * mesh.shape[1] * 4
    panels = panels_by_area(fields, rules.kinds)
    for times, at_once in ((1.01, 1), (0.51, 2), (0.34, 3)):
        work = a_step * (plunge_room.STEPS[0] + times * plunge_room.BETWEEN * panels)
        monkeypatch.setattr(plunge_room, "MOST_WORK", work)
        assert plunge_room._at_once(fields, rules.kinds, [mesh]) == at_once
    monkeypatch.setattr(plunge_room, "MOST_WORK", a_step)
    assert list(plunges(fields, rules.kinds, 60.0, lambda: False)) == []
