"""Gaps filled anew: never worse, always a layout, and the best on small roofs."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest
from exhaustive_roofs import best, ranks
from relaxed_by_hand import Problem, problem_of
from small_choices import case
from small_random_jobs import random_models, rectangle, square_on
from watched_layouts import Watched

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing.improve import FIRST_GAP, improve
from rooflayout.packing.incumbent import Place, places_of

SEEDS = range(24)
GAPS = 60


def improved(seed: int) -> tuple[Watched, int, int]:
    """From the best of a few random places; watts before and after."""
    problem, _ = case(seed)
    watched = Watched(problem)
    count = len(problem[0])
    watched.asked.answer(np.array(sorted(Random(seed).sample(range(count), (count + 1) // 2))), 1.0)
    before = watched.incumbent.watts
    improve(watched.asked, GAPS, 0.0)
    return watched, before, watched.incumbent.watts


@pytest.mark.parametrize("seed", SEEDS)
def test_it_never_gets_worse_and_leaves_layouts_only(seed: int) -> None:
    watched, before, after = improved(seed)
    assert before <= after <= case(seed)[1] * watched.rules.grain() + watched.incumbent.kept
    assert [w for w, _ in watched.layouts] == sorted(w for w, _ in watched.layouts)
    watched.check()


def row_of(problem: Problem, xs: tuple[int, ...], stop: bool = False) -> Watched:
    watched = Watched(problem, stop)
    places = tuple((0, x, 0) for x in xs)
    watched.incumbent.better(sum(watched.rules.kinds[0].watts for _ in xs), places)
    return watched


def row(length_mm: int, *more: PanelModel) -> Problem:
    panel = PanelModel("A", 500, 400, 100.0, turnable=False)
    return problem_of(Job("row", (rectangle("main", length_mm, 400),), PanelRules((panel, *more))))


@pytest.mark.parametrize("length_mm", [2500, 2600])
def test_panels_that_stand_where_no_candidate_does_are_moved_together(length_mm: int) -> None:
    watched = row_of(row(length_mm), (37, 600, 1217, 1871))
    improve(watched.asked, GAPS, 0.0)
    assert watched.incumbent.watts == 5000
    watched.check()


@pytest.mark.parametrize("gaps", [0, 1])
def test_no_more_gaps_than_allowed(gaps: int) -> None:
    watched = row_of(row(5000), (0, 625, 1250, 1875, 2500, 3125, 3750, 4375))
    improve(watched.asked, gaps, 0.0)
    assert len(watched.layouts) == 1 + gaps  # each gap here finds something
    watched.check()


def test_the_best_layout_and_a_stopped_clock_are_left_alone() -> None:
    for watched in (
        row_of(row(2000), (0, 500, 1000, 1500)),
        row_of(row(2500), (37, 600, 1217, 1871), stop=True),
    ):
        before = watched.incumbent.places
        improve(watched.asked, GAPS, 0.0)
        assert watched.incumbent.places == before
        assert len(watched.layouts) == 1


def test_a_better_model_takes_the_place_of_a_poorer_one() -> None:
    problem = row(2500, PanelModel("B", 500, 400, 130.0, turnable=False))
    watched = row_of(problem, (0, 500, 1000, 1500, 2000))
    improve(watched.asked, GAPS, 0.0)
    assert watched.incumbent.watts == 5 * 1300


def set_down(problem: Problem, order: list[int]) -> list[Place]:
    """One after the other, wherever it still goes."""
    chosen: list[int] = []
    for i in order:
        if not problem[1].overlaps(np.array([*chosen, i])):
            chosen.append(i)
    return places_of(problem[0], np.array(chosen))


@cache
def refilled(seed: int) -> tuple[int, int, int]:
    """A roof of small panels without other rules: watts set down at random, improved, and the best."""
    random = Random(seed)
    places: list[Place] = []
    while len(places) < FIRST_GAP:
        models = tuple(replace(m, stock=None) for m in random_models(random, 100, 2))
        obstacle = square_on("O", "main", 300, 200, 400, 300)
        job = Job("small", (rectangle("main", 900, 600),), PanelRules(models), (obstacle,))
        problem = problem_of(job)
        places = set_down(problem, random.sample(range(len(problem[0])), len(problem[0])))
    watched = Watched(problem)
    watched.incumbent.better(sum(problem[2].kinds[k].watts for k, _, _ in places), places)
    before = watched.incumbent.watts
    improve(watched.asked, GAPS, 0.0)
    watched.check()
    return before, watched.incumbent.watts, round(best(ranks(job, 100)).watts * 10)


@pytest.mark.parametrize("seed", range(16))
def test_small_roofs_come_near_the_best(seed: int) -> None:
    before, after, most = refilled(seed)
    assert before <= after <= most
    assert after >= 0.9 * most


def test_most_small_roofs_end_with_the_best_from_less() -> None:
    ends = [refilled(seed) for seed in range(16)]
    assert sum(before < after == most for before, after, most in ends) >= 8


def test_a_layout_of_few_panels_is_improved_too() -> None:
    watched = row_of(row(1500), (250,))
    improve(watched.asked, GAPS, 0.0)
    assert watched.incumbent.watts == 3000
