"""A roof's two ends: what mattered in them is a good beginning for the whole, and no more than that."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest
from relaxed_by_hand import problem_of, relaxed_watts
from small_random_jobs import clock_of, random_job, random_supply, rectangle
from watched_layouts import Watched

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing.asked import Asked
from rooflayout.packing.ends import Mattered, _ends, layout_of, priced_by_ends
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.interior import Relaxation
from rooflayout.packing.prices import CLOSE, PriceSearch, no_prices
from rooflayout.packing.stock import nearest

SEEDS = range(24)  # every other one is wired


@cache
def case(seed: int) -> Watched:
    random = Random(seed)
    while True:
        job = random_job(random, 100, random.choice((1, 2)), cells=30)
        problem = problem_of(job, random_supply(random, job, random.randint(1, 4)) if seed % 2 else None)
        if len(problem[0]):
            return Watched(problem)


def unpriced(found: Watched, workers: int = 2) -> Asked:
    """The same with nothing known of its prices, and no layout."""
    asked, inc = found.asked, replace(found.incumbent, clock=clock_of(20, workers), places=None, watts=0)
    return replace(asked, prices=no_prices(len(asked.candidates)), incumbent=inc)


def ends_of(seed: int, workers: int = 2) -> Mattered:
    return priced_by_ends(unpriced(case(seed), workers), time.monotonic() + 20)


def length_of(facets: int, length_mm: int, width_mm: int) -> Asked:
    """Two models on roofs of such a size."""
    models = (PanelModel("A", 500, 300, 100.0), PanelModel("B", 700, 400, 190.0))
    roofs = tuple(rectangle(f"f{n}", length_mm, width_mm) for n in range(facets))
    return Watched(problem_of(Job("ends", roofs, PanelRules(models)))).asked


@pytest.mark.parametrize("seed", SEEDS)
def test_begun_from_them_the_relaxation_is_what_scipy_finds(seed: int) -> None:
    """linprog over all candidates and all points (relaxed_by_hand.py)."""
    asked, ends = case(seed).asked, ends_of(seed)
    search = PriceSearch(asked.candidates, asked.grid, asked.rules)
    search.lay_out(ends.points_mm)
    prices = search.run(ends.columns, time.monotonic() + 20, lambda: False)
    exact = relaxed_watts((asked.candidates, asked.grid, asked.rules))
    assert prices.converged
    assert exact - 1e-6 <= prices.bound <= exact + CLOSE * asked.rules.grain() + 1e-3


def test_what_matters_is_a_part_of_all_and_the_best_a_part_of_that() -> None:
    """Of so few candidates most matter; not on all roofs."""
    fewer = better = 0
    for seed in SEEDS:
        asked, ends = case(seed).asked, ends_of(seed)
        assert np.isin(ends.best, ends.columns).all()
        assert np.array_equal(ends.columns, np.unique(ends.columns))
        assert all(asked.grid.point_at(x, y) is not None for _, x, y in ends.points_mm)
        fewer += len(ends.columns) < len(asked.candidates)
        better += len(ends.best) < len(ends.columns)
    assert fewer > len(SEEDS) // 3, fewer
    assert better > len(SEEDS) // 6, better


@pytest.mark.parametrize("seed", SEEDS)
def test_they_are_the_same_with_one_worker_as_with_two(seed: int) -> None:
    one, two = ends_of(seed, 1), ends_of(seed, 2)
    assert one.points_mm == two.points_mm
    assert np.array_equal(one.columns, two.columns)
    assert np.array_equal(one.best, two.best)


@pytest.mark.parametrize(
    ("facets", "length_mm", "width_mm"), [(1, 2500, 900), (1, 900, 2500), (2, 900, 2500)]
)
def test_they_lie_along_the_roof_or_along_its_facets(facets: int, length_mm: int, width_mm: int) -> None:
    asked = length_of(facets, length_mm, width_mm)
    one, other = _ends(asked)
    everyone = np.arange(len(asked.candidates))
    assert abs(len(one) - len(other)) <= 2
    assert abs(len(one) - 0.7 * len(everyone)) <= 2
    assert np.array_equal(np.union1d(one, other), everyone)
    kinds, of = asked.kinds, asked.candidates.kind
    along_x = facets > 1 or length_mm > width_mm
    pitch = np.array([k.pitch_x_mm if along_x else k.pitch_y_mm for k in kinds])[of]
    middle = (asked.grid.x_mm if along_x else asked.grid.y_mm) + pitch / 2
    assert middle[one].max() <= middle[np.setdiff1d(everyone, one)].min()
    assert middle[np.setdiff1d(everyone, other)].max() <= middle[other].min()
    if facets > 1:
        facet = np.array([k.facet for k in kinds])[of]
        assert np.isin(everyone[facet == 0], one).all()
        assert np.isin(everyone[facet == 1], other).all()


def test_where_all_middles_are_on_one_line_neither_is_empty() -> None:
    asked = length_of(1, 700, 2500)
    first = asked.candidates.kind == asked.candidates.kind[0]
    across = asked.candidates.take(first & (asked.candidates.x_mm == asked.candidates.x_mm[0]))
    assert len(across) > 1
    strip = replace(asked, candidates=across, grid=PointGrid(across, asked.kinds))
    ends = _ends(strip)
    assert [len(end) > 0 for end in ends] == [True, True]


def test_their_best_make_a_layout_that_keeps_all_rules() -> None:
    """Seldom the best one, for an end knows nothing of the other."""
    watts = most = 0
    for seed in SEEDS:
        watched, ends = case(seed), ends_of(seed)
        asked = unpriced(watched)
        layout_of(asked, ends)
        watched.layouts = (
            [] if asked.incumbent.places is None else [(asked.incumbent.watts, asked.incumbent.places)]
        )
        watched.check()
        watts += asked.incumbent.watts
        most += watched.incumbent.bound
    assert 0.7 * most < watts <= most


def test_begun_from_them_the_whole_takes_fewer_solutions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the whole alone, on three roofs together; and it is the ends' points and candidates that do it."""
    solved: list[int] = []
    solve = Relaxation.solve
    monkeypatch.setattr(Relaxation, "solve", lambda own, *how: solved.append(1) or solve(own, *how))
    rounds = {"nothing": 0, "columns": 0, "both": 0}
    for length_mm in (3000, 3500, 4000):
        asked = length_of(1, length_mm, 1500)
        ends = priced_by_ends(asked, time.monotonic() + 20)
        for begun in rounds:
            search = PriceSearch(asked.candidates, asked.grid, asked.rules)
            if begun == "both":
                search.lay_out(ends.points_mm)
            start = nearest([], asked.candidates) if begun == "nothing" else ends.columns
            solved.clear()
            search.run(start, time.monotonic() + 20, lambda: False)
            rounds[begun] += len(solved)
    assert rounds["both"] < rounds["columns"] < rounds["nothing"]


@pytest.mark.parametrize("how", ["stopped", "late"])
def test_they_end_after_a_round_when_stopped_or_late(how: str, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = length_of(1, 3500, 1500)
    clock = replace(clock_of(20, 2), stopped=lambda: how == "stopped")
    asked = replace(asked, incumbent=replace(asked.incumbent, clock=clock))
    solved: list[int] = []
    solve = Relaxation.solve
    monkeypatch.setattr(Relaxation, "solve", lambda own, *how: solved.append(1) or solve(own, *how))
    priced_by_ends(asked, time.monotonic() + (20 if how == "stopped" else -1))
    assert len(solved) == 2  # one each
