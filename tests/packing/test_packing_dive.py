"""A dive ends with panels that do not overlap; the layouts taken of it keep to all rules."""

from __future__ import annotations

import time
from random import Random

import numpy as np
import pytest
from small_choices import a_point_each, case, choice_of
from watched_layouts import Watched

from rooflayout.packing.dive import dive
from rooflayout.packing.diving import dive_roughly

SEEDS = range(40)


@pytest.mark.parametrize("at_once", [1, 2])
@pytest.mark.parametrize("seed", SEEDS)
def test_no_two_panels_overlap(seed: int, at_once: int) -> None:
    problem, _ = case(seed)
    grid = problem[1]
    choice = choice_of(problem, a_point_each(Random(seed), problem))
    chosen = dive(Watched(problem).asked, choice, at_once)
    assert chosen is not None
    a, b, c, d = (v[chosen] for v in (grid.left, grid.right, grid.low, grid.high))
    over = (a[:, None] < b) & (a < b[:, None]) & (c[:, None] < d) & (c < d[:, None])
    assert int(over.sum()) == len(chosen)  # each overlaps itself alone


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_taken_keeps_to_every_rule_and_has_no_more_than_fits(seed: int) -> None:
    problem, most = case(seed)
    watched = Watched(problem)
    dive_roughly(watched.asked, 1000)
    watched.check()
    assert watched.incumbent.watts - watched.incumbent.kept <= most * problem[2].grain()


def test_most_dives_end_with_the_best_layout() -> None:
    """Forty small roofs; the best of each is known from the tree's own tests."""
    best = 0
    for seed in SEEDS:
        problem, most = case(seed)
        watched = Watched(problem)
        dive_roughly(watched.asked, 1000)
        best += watched.incumbent.watts - watched.incumbent.kept == most * problem[2].grain()
    assert best >= 30, best


def test_nothing_is_begun_when_time_is_up() -> None:
    problem, _ = case(1)
    choice = choice_of(problem, a_point_each(Random(1), problem))
    watched = Watched(problem, stop=True)
    assert dive(watched.asked, choice, 1) is None


def test_interior_point_only_where_nothing_was_solved_before() -> None:
    """With a basis there its memory was corrupted: asked for again it is the simplex method."""
    problem, _ = case(2)
    choice = choice_of(problem, a_point_each(Random(2), problem))
    values = [choice.programme.solve(time.monotonic() + 5, first=True) for _ in range(3)]
    assert values[0] == pytest.approx(values[1]) == pytest.approx(values[2])
    assert choice.programme.solver.getOptionValue("solver")[1] == "simplex"
    assert np.isfinite(values[0] or np.inf)
