"""The relaxation by interior point against scipy, and bounds from any prices against the relaxation."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray
from relaxed_by_hand import Problem, problem_of, relaxed_watts
from small_random_jobs import random_job, random_supply

from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.interior import NO_FAMILY, Relaxation, Solution
from rooflayout.packing.sound import Pricer

SEEDS = range(16)
LEAST_PLACES = 6  # with fewer any prices will do
EXACT = 1e-7
Points = NDArray[np.int64]


@cache
def case(seed: int) -> Problem:
    """With caps, most_models, kept panels, and every other one with wiring; some panels fit."""
    random = Random(seed)
    while True:
        facets = random.choice((1, 1, 2))
        job = random_job(random, 100, facets, cells=36 // facets)
        job = replace(job, panels=replace(job.panels, most_models=random.choice((None, 1, 2))))
        supply = random_supply(random, job, random.randint(1, 4), seed % 6 == 5) if seed % 2 else None
        problem = problem_of(job, supply)
        if len(problem[0]) >= LEAST_PLACES:
            return problem


def watts_of(problem: Problem) -> NDArray[np.float64]:
    return np.array([k.watts for k in problem[2].kinds], dtype=np.float64)[problem[0].kind]


def all_points(problem: Problem) -> Points:
    """Every point of the grid, for any panel and for each family."""
    _, grid, rules = problem
    families = range(NO_FAMILY, len(Auxiliary(rules).families))
    rows = [(f, p, q) for f in families for p in range(grid.shape[0]) for q in range(grid.shape[1])]
    return np.array(rows, dtype=np.int64).reshape(-1, 3)


def solved(
    problem: Problem, columns: NDArray[np.int64], points: Points, seconds: float = 20.0
) -> Solution | None:
    candidates, grid, rules = problem
    relaxation = Relaxation(grid, candidates.kind, watts_of(problem), Auxiliary(rules))
    return relaxation.solve(columns, points, EXACT, seconds)


@pytest.mark.parametrize("seed", SEEDS)
def test_over_all_points_it_is_what_scipy_finds(seed: int) -> None:
    problem = case(seed)
    candidates, _, rules = problem
    aux = Auxiliary(rules)
    random = Random(seed)
    columns = np.array(sorted(random.sample(range(len(candidates)), random.randint(1, len(candidates)))))
    some = candidates.take(columns.astype(np.int64))
    found = solved(problem, columns.astype(np.int64), all_points(problem))
    assert found is not None
    value = float(found.values @ watts_of((some, problem[1], rules)) + found.switches @ np.array(aux.watts))
    assert value == pytest.approx(
        relaxed_watts((some, PointGrid(some, rules.kinds), rules)), rel=1e-5, abs=0.01
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_its_prices_are_right_and_come_in_the_order_of_the_points(seed: int) -> None:
    """Worth as much as the panels, and no candidate worth more than it costs: so both are the best."""
    problem = case(seed)
    candidates, grid, rules = problem
    points = all_points(problem)
    Random(seed).shuffle(order := list(range(len(points))))
    points = points[order]
    found = solved(problem, np.arange(len(candidates)), points)
    assert found is not None
    aux = Auxiliary(rules)
    value = float(found.point_duals[points[:, 0] == NO_FAMILY].sum())
    value += sum(d * row.limit for d, row in zip(found.static_duals, aux.rows, strict=True))
    assert value == pytest.approx(relaxed_watts(problem), rel=1e-5, abs=0.01)
    for i, watts in enumerate(watts_of(problem)):
        kind = int(candidates.kind[i])
        cost = sum(d * row.per_kind[kind] for d, row in zip(found.static_duals, aux.rows, strict=True))
        for (family, p, q), dual in zip(points.tolist(), found.point_duals, strict=True):
            mine = family == NO_FAMILY or kind in aux.families[family].kinds
            inside = grid.left[i] <= p < grid.right[i] and grid.low[i] <= q < grid.high[i]
            cost += dual if mine and inside else 0.0
        assert cost >= watts - 0.01


def random_prices(random: Random, problem: Problem) -> tuple[Points, Solution]:
    """Any prices, many of them zero: from far too low to far too high."""
    every, statics = all_points(problem), len(Auxiliary(problem[2]).rows)
    some = np.array(sorted(random.sample(range(len(every)), random.randint(0, len(every)))), dtype=np.int64)
    points = every[some]

    def prices(count: int) -> NDArray[np.float64]:
        top, zero = random.choice((0.0, 1.0, 100.0, 1500.0, 5000.0)), random.random()
        return np.array([0.0 if random.random() < zero else random.uniform(0, top) for _ in range(count)])

    nothing = np.zeros(0)
    return points, Solution(nothing, nothing, prices(statics), prices(len(points)), nothing)


def pricer(problem: Problem) -> Pricer:
    candidates, grid, rules = problem
    return Pricer(grid, candidates.kind, watts_of(problem), Auxiliary(rules))


@pytest.mark.parametrize("seed", SEEDS)
def test_any_prices_give_a_true_bound(seed: int) -> None:
    problem, random = case(seed), Random(seed)
    exact = relaxed_watts(problem)
    picked = random.sample(range(len(problem[0])), min(3, len(problem[0])))
    with_it = [relaxed_watts(problem, fixed=i) for i in picked]
    for _ in range(25):
        pricing = pricer(problem).price(*random_prices(random, problem))
        assert pricing.bound >= exact - 1e-6 * max(1.0, exact)
        assert np.all(pricing.reduced <= 0)
        for i, watts in zip(picked, with_it, strict=True):
            assert pricing.bound + pricing.reduced[i] >= watts - 1e-6 * max(1.0, exact)


@pytest.mark.parametrize("seed", SEEDS)
def test_right_prices_give_the_relaxation_itself(seed: int) -> None:
    problem = case(seed)
    found = solved(problem, np.arange(len(problem[0])), points := all_points(problem))
    assert found is not None
    assert pricer(problem).price(points, found).bound == pytest.approx(
        relaxed_watts(problem), rel=1e-4, abs=0.1
    )


def test_without_any_prices_nothing_false_is_said() -> None:
    problem = case(0)
    none = np.zeros(0)
    statics = np.zeros(len(Auxiliary(problem[2]).rows))
    pricing = pricer(problem).price(
        np.zeros((0, 3), dtype=np.int64), Solution(none, none, statics, none, none)
    )
    assert pricing.bound >= relaxed_watts(problem)
    assert pricing.value == 0.0
