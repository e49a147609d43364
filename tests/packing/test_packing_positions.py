"""The candidate positions lose no set of panels, whatever the threshold, and every one is allowed."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from exhaustive_roofs import largest_sets
from rows_by_hand import Paper
from small_random_jobs import random_job, rectangle, square_on

from rooflayout.job import Facet, Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import positions
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import Kind, kinds_of
from rooflayout.packing.positions import Candidates, allowed, candidates_of, sums_of
from rooflayout.packing.rules import models_of


def fine_job(seed: int) -> Job:
    """A random roof of a few millimetres, so that a raster of one millimetre is small."""
    return random_job(Random(seed), 1, cells=50)


def found_on(job: Job) -> tuple[Candidates, tuple[Kind, ...]]:
    kinds = kinds_of(job, models_of(job))
    return candidates_of(field_of(job, job.facets[0]), kinds, list(range(len(kinds)))), kinds


def as_places(found: Candidates, kinds: tuple[Kind, ...]) -> set[tuple[int, bool, int, int]]:
    rows = zip(found.kind.tolist(), found.x_mm.tolist(), found.y_mm.tolist(), strict=True)
    return {(kinds[k].model, kinds[k].turned, x, y) for k, x, y in rows}


@pytest.mark.parametrize("share", [(0.0, 0.0), (0.2, 0.7), (0.42, 0.40), (0.5, 0.5), (1.0, 1.0)])
@pytest.mark.parametrize("seed", range(8))
def test_closure_loses_no_set_of_panels(
    seed: int, share: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(positions, "THRESHOLDS", (share,))
    job = fine_job(seed)
    facet, models = job.facets[0], models_of(job)
    found, kinds = found_on(job)
    squares = {m for m, model in enumerate(models) if model.length_mm == model.width_mm}
    places = as_places(found, kinds)
    places |= {(m, True, x, y) for m, _, x, y in places if m in squares}
    everywhere = largest_sets(job, facet, models, 1)
    assert sorted(largest_sets(job, facet, models, 1, places)) == sorted(everywhere)


@pytest.mark.parametrize("seed", range(30, 42))
def test_every_candidate_is_allowed_and_appears_once(seed: int) -> None:
    job = fine_job(seed)
    found, kinds = found_on(job)
    paper = Paper(job, job.facets[0])
    rows = list(zip(found.kind.tolist(), found.x_mm.tolist(), found.y_mm.tolist(), strict=True))
    assert len(set(rows)) == len(rows)
    assert all(paper.may_lie((x, y, x + kinds[k].w_mm, y + kinds[k].h_mm)) for k, x, y in rows)


def vehicle_roof() -> Job:
    sizes = ((1210, 541), (1485, 668), (760, 352), (1020, 580), (655, 505))
    models = tuple(PanelModel(f"M{i}", a, b, a * b / 6000) for i, (a, b) in enumerate(sizes))
    hatch = square_on("hatch", "main", 1503, 611, 2007, 1108, clearance_mm=30)
    return Job("x", (rectangle("main", 4010, 1990),), PanelRules(models), (hatch,), Spacing(15, 30))


def test_far_fewer_candidates_than_places() -> None:
    job = vehicle_roof()
    found, kinds = found_on(job)
    field = field_of(job, job.facets[0])
    xs, ys = np.arange(0, 4010, 3), np.arange(0, 1990, 3)
    places = 9 * sum(int(allowed(field, kind, xs, ys).sum()) for kind in kinds)
    assert 0 < len(found) < places / 500


def test_the_threshold_that_leaves_fewest_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    job = vehicle_roof()
    taken = len(found_on(job)[0])
    assert taken >= 1000  # otherwise the first one would do and nothing is compared
    alone = []
    for share in positions.THRESHOLDS:
        monkeypatch.setattr(positions, "THRESHOLDS", (share,))
        alone.append(len(found_on(job)[0]))
    assert len(set(alone)) > 1
    assert taken == min(alone)


def test_slanted_lines_are_tried_on_a_raster() -> None:
    panel = PanelModel("A", 300, 200, 50.0)
    nose = Facet("main", ((0, 0), (1000, 0), (1200, 400), (1000, 800), (0, 800)))
    job = Job("x", (nose,), PanelRules((panel,)))
    found, kinds = found_on(job)
    paper = Paper(job, nose)
    rows = list(zip(found.kind.tolist(), found.x_mm.tolist(), found.y_mm.tolist(), strict=True))
    assert rows
    assert all(paper.may_lie((x, y, x + kinds[k].w_mm, y + kinds[k].h_mm)) for k, x, y in rows)
    not_turned = [x for k, x, y in rows if not kinds[k].turned and y == 300]
    last = 1150 - 300  # at y = 300 to 500 the nose is 1150 mm long
    assert max(not_turned) == last  # touching places are found exactly in each row


@pytest.mark.parametrize("size", [(299, 500), (300, 199)])
def test_no_room_is_no_candidate(size: tuple[int, int]) -> None:
    panel = PanelModel("A", 300, 200, 50.0, turnable=False)
    job = Job("x", (rectangle("main", *size),), PanelRules((panel,)))
    assert len(found_on(job)[0]) == 0
    fits = replace(job, facets=(rectangle("main", 300, 200),))
    assert len(found_on(fits)[0]) == 1


@pytest.mark.parametrize("seed", range(30))
def test_sums_are_those_that_counting_finds(seed: int) -> None:
    random = Random(seed)
    starts = {random.randrange(-50, 400) for _ in range(random.randrange(4))}
    pitches = {random.randrange(20, 90) for _ in range(random.randrange(1, 4))}
    most = random.randrange(-60, 500)
    counted = {s for s in starts if s <= most}
    waiting = list(counted)
    while waiting:
        at = waiting.pop()
        new = {at + p for p in pitches if at + p <= most} - counted
        counted |= new
        waiting += new
    assert sums_of(starts, pitches, most).tolist() == sorted(counted)
