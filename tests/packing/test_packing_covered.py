"""What covers the same points and what covers more: told from tight boxes as from every pair of covers."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from relaxed_by_hand import Problem, problem_of
from scipy.optimize import linprog
from small_random_jobs import random_job

from rooflayout.packing import interior
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.covered import alike, needed, tight_boxes
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.interior import NO_FAMILY, Relaxation

SEEDS = range(30)


def some_of(seed: int) -> tuple[Problem, Ints, Ints, Bools]:
    """A small problem, some points, the candidates that cover one at least, and what they cover."""
    random = Random(seed)
    while True:
        problem = problem_of(random_job(random, 100, random.choice((1, 2)), cells=40))
        candidates, grid, _ = problem
        if len(candidates) >= 10:
            break
    every = [(p, q) for p in range(grid.shape[0]) for q in range(grid.shape[1])]
    points = np.array(random.sample(every, min(len(every), random.randint(2, 30))))
    covers = grid.covers(points, np.arange(len(candidates)))
    which = np.nonzero(covers.any(axis=0))[0]
    return problem, points, which, covers[:, which]


@pytest.mark.parametrize("seed", SEEDS)
def test_as_every_pair_of_covers_says(seed: int) -> None:
    (candidates, grid, _), points, which, covers = some_of(seed)
    kind = candidates.kind[which]
    boxes = tight_boxes(grid, points, which)
    first, sort = alike(boxes, kind)
    sets = [(int(k), frozenset(np.nonzero(c)[0].tolist())) for k, c in zip(kind, covers.T, strict=True)]
    for i, one in enumerate(sets):
        assert [one == other for other in sets] == (sort == sort[i]).tolist()
        assert first[sort[i]] == sets.index(one)
    more = [any(a[0] == b[0] and b[1] < a[1] for b in sets) for a in (sets[i] for i in first)]
    assert needed(boxes[first], kind[first]).tolist() == [not m for m in more]


def test_many_are_alike_and_many_cover_more() -> None:
    """So the others have something to tell."""
    same, over, all_ = 0, 0, 0
    for seed in SEEDS:
        (candidates, grid, _), points, which, _ = some_of(seed)
        kind, boxes = candidates.kind[which], tight_boxes(grid, points, which)
        first, _ = alike(boxes, kind)
        same += len(which) - len(first)
        over += int((~needed(boxes[first], kind[first])).sum())
        all_ += len(which)
    assert same > all_ / 20
    assert over > all_ / 20


@pytest.mark.parametrize("seed", SEEDS)
def test_the_relaxation_is_that_of_all_columns(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its value beside scipy's with all of them; alike ones have alike values, what covers more has none."""
    monkeypatch.setattr(interior, "FEW_KINDS", 0)
    (candidates, grid, rules), points, which, covers = some_of(seed)
    kind = candidates.kind[which]
    watts = np.array([k.watts for k in rules.kinds], dtype=np.float64)[candidates.kind]
    free = Auxiliary(rules)
    rows = [row for row in free.rows if not row.auxiliary]
    if len(rows) < len(free.rows) or free.families:
        pytest.skip("only rules without switches are written out here")
    relaxation = Relaxation(grid, candidates.kind, watts, free)
    assert relaxation.merges
    asked = np.column_stack([np.full(len(points), NO_FAMILY), points])
    found = relaxation.solve(which, asked, 1e-7, 20.0)
    assert found is not None
    sums = np.array([np.array(row.per_kind)[kind] for row in rows]).reshape(len(rows), len(which))
    limits = np.concatenate([np.ones(len(points)), [row.limit for row in rows]])
    exact = linprog(-watts[which], A_ub=np.vstack([covers, sums]), b_ub=limits, bounds=(0.0, None))
    assert watts[which] @ found.values == pytest.approx(-exact.fun, rel=1e-5)
    first, sort = alike(tight_boxes(grid, points, which), kind)
    assert found.values == pytest.approx(found.values[first][sort])
    over = ~needed(tight_boxes(grid, points, which)[first], kind[first])
    assert not found.values[over[sort]].any()


@pytest.mark.parametrize("seed", SEEDS)
def test_where_watts_differ_within_a_kind_each_has_its_own_column(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(interior, "FEW_KINDS", 0)
    (candidates, grid, rules), points, which, covers = some_of(seed)
    chance = np.random.default_rng(seed)
    watts = chance.uniform(500.0, 3000.0, len(candidates))
    bare = replace(rules, caps=(), most_models=None)
    free = Auxiliary(bare)
    if free.families or free.rows:
        pytest.skip("only points are written out here")
    asked = np.column_stack([np.full(len(points), NO_FAMILY), points])
    found = Relaxation(grid, candidates.kind, watts, free).solve(which, asked, 1e-7, 20.0)
    exact = linprog(-watts[which], A_ub=covers, b_ub=np.ones(len(points)), bounds=(0.0, None))
    assert found is not None
    assert watts[which] @ found.values == pytest.approx(-exact.fun, rel=1e-5)


def test_what_covers_no_point_is_never_taken_for_one_that_does() -> None:
    seen = 0
    for seed in SEEDS:
        (candidates, grid, _), points, which, _ = some_of(seed)
        every = np.arange(len(candidates))
        bare = np.setdiff1d(every, which)
        boxes, kind = tight_boxes(grid, points, every), candidates.kind
        first, sort = alike(boxes, kind)
        assert not set(sort[bare].tolist()) & set(sort[which].tolist())
        stands = first[needed(boxes[first], kind[first])]
        for k in np.unique(kind[which]):
            if not np.any(kind[bare] == k):
                assert np.any(kind[stands] == k)
        seen += len(bare) > 0
    assert seen > len(SEEDS) // 4


def test_boxes_of_many_take_little_time() -> None:
    """Looking at every pair of 200 000 would take hours."""
    problem, points, which, _ = some_of(0)
    begun = time.monotonic()
    boxes = tight_boxes(problem[1], points, np.resize(which, 200_000))
    assert len(np.unique(boxes, axis=0)) > 1
    assert time.monotonic() - begun < 5.0
