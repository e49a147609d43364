"""The prices' bound: the relaxation's optimum when it has converged, and never too low before."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import cache
from itertools import count
from random import Random

import numpy as np
import pytest
from exhaustive_roofs import best, ranks
from relaxed_by_hand import Problem, problem_of, relaxed_watts
from small_random_jobs import random_job, random_supply, rectangle

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing.prices import CLOSE, Prices, PriceSearch
from rooflayout.wiring.options import Supply

SEEDS = range(24)
LEAST_PLACES = 8  # with fewer the first solution says it all


@cache
def case(seed: int) -> tuple[Job, int, Supply | None, Problem]:
    random = Random(seed)
    while True:
        facets = random.choice((1, 1, 2))
        job = random_job(random, 100, facets, cells=30 // facets)
        supply = random_supply(random, job, random.randint(1, 4)) if seed % 2 else None
        problem = problem_of(job, supply)
        if len(problem[0]) >= LEAST_PLACES:
            return job, 100, supply, problem


@cache
def relaxed_alone(seed: int) -> float:
    return relaxed_watts(case(seed)[3])


def priced(problem: Problem, rounds: int | None = None, seconds: float = 60.0, stop: bool = False) -> Prices:
    search = PriceSearch(*problem)
    start = np.arange(0, len(problem[0]), 7)
    asked = count()  # once a round
    stopped = lambda: stop or (rounds is not None and next(asked) >= rounds)  # noqa: E731
    return search.run(start, time.monotonic() + seconds, stopped)


@pytest.mark.parametrize("seed", SEEDS)
def test_converged_it_is_the_relaxation(seed: int) -> None:
    _, _, _, problem = case(seed)
    prices = priced(problem)
    assert prices.converged
    exact = relaxed_alone(seed)
    assert exact - 1e-6 <= prices.bound <= exact + CLOSE * problem[2].grain() + 1e-3


@pytest.mark.parametrize("how", ["at once", "no time", "no rounds", "one round", "two rounds"])
def test_stopped_early_it_is_still_true(how: str) -> None:
    """On a quarter of the roofs at least it is not yet the relaxation's own."""
    early = 0
    for seed in SEEDS:
        _, _, _, problem = case(seed)
        prices = {
            "at once": lambda of: priced(of, stop=True),
            "no time": lambda of: priced(of, seconds=-1.0),
            "no rounds": lambda of: priced(of, rounds=0),
            "one round": lambda of: priced(of, rounds=1),
            "two rounds": lambda of: priced(of, rounds=2),
        }[how](problem)
        exact = relaxed_alone(seed)
        assert prices.bound >= exact - 1e-6, seed
        early += prices.bound > exact + 1.0
    assert early >= len(SEEDS) // 4, early


@pytest.mark.parametrize("seed", SEEDS)
def test_never_below_the_best_layout(seed: int) -> None:
    job, raster_mm, supply, problem = case(seed)
    kept_w = 0.0 if supply else sum(k.model.power_w for k in job.kept)
    watts = (best(ranks(job, raster_mm, supply)).watts - kept_w) * 10
    assert priced(problem).bound >= watts - 1e-6


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("rounds", [0, None])
def test_no_layout_with_a_candidate_beats_bound_plus_reduced_cost(seed: int, rounds: int | None) -> None:
    _, _, _, problem = case(seed)
    prices = priced(problem, rounds)
    assert np.all(prices.reduced_cost <= 0)
    for candidate in Random(seed).sample(range(len(problem[0])), min(4, len(problem[0]))):
        with_it = relaxed_watts(problem, fixed=candidate)
        assert with_it <= prices.bound + prices.reduced_cost[candidate] + 1e-3


def test_reduced_costs_tell_good_places_from_bad_ones() -> None:
    """Two 500 x 400 panels fill 1000 x 400; a candidate of the poor model costs the difference."""
    good, poor = (
        PanelModel("A", 500, 400, 100.0, turnable=False),
        PanelModel("B", 500, 400, 70.0, turnable=False),
    )
    problem = problem_of(Job("x", (rectangle("main", 1000, 400),), PanelRules((good, poor))))
    prices = priced(problem)
    assert prices.bound == pytest.approx(2000, abs=1e-3)
    of = problem[0].kind
    assert prices.reduced_cost[of == 0] == pytest.approx(0, abs=1e-3)
    assert prices.reduced_cost[of == 1] == pytest.approx(-300, abs=1e-3)


def test_the_same_prices_every_time() -> None:
    _, _, _, problem = case(4)
    one, other = priced(problem), priced(problem)
    assert one.bound == other.bound
    assert np.array_equal(one.reduced_cost, other.reduced_cost)
    assert one.rows == other.rows


def test_whoever_watches_may_end_it() -> None:
    _, _, _, problem = case(1)
    search, told = PriceSearch(*problem), []

    def watch(bound: float, value: float, prices: Callable[[], Prices]) -> bool:
        told.append((bound, value, prices().bound))
        return len(told) == 2

    start = np.arange(0, len(problem[0]), 7)
    found = search.run(start, time.monotonic() + 60, lambda: False, watch=watch)
    assert len(told) == 2
    assert found.converged
    assert found.bound == told[1][0] == told[1][2]
    assert all(bound >= relaxed_alone(1) - 1e-6 for bound, _, _ in told)
