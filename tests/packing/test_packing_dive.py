"""A dive ends with panels that do not overlap; the layouts taken of it keep to all rules."""

from __future__ import annotations

import time
from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
import pytest
from relaxed_by_hand import problem_of
from small_choices import a_point_each, case, choice_of
from small_random_jobs import rectangle
from watched_layouts import Watched

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing import closing, diving
from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Ints
from rooflayout.packing.dive import dive
from rooflayout.packing.diving import dive_roughly
from rooflayout.packing.incumbent import Clock, Incumbent

SEEDS = range(24)
WINDOWS = (0, 2)


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
    """Of two dozen small roofs; the best of each is known from the tree's own tests."""
    best = 0
    for seed in SEEDS:
        problem, most = case(seed)
        watched = Watched(problem)
        dive_roughly(watched.asked, 1000)
        best += watched.incumbent.watts - watched.incumbent.kept == most * problem[2].grain()
    assert best >= 18, best


@cache
def window(seed: int) -> Asked:
    """The places of a roof of three models with nothing but geometry to mind, with their prices."""
    random = Random(seed)
    models = tuple(
        PanelModel(f"M{n}", random.randrange(500, 900), random.randrange(300, 600), 100.0 + 50 * n)
        for n in range(3)
    )
    return Watched(problem_of(Job("w", (rectangle("main", 2500, 1500),), PanelRules(models)))).asked


def both_dived(seed: int, workers: int, slow: int) -> tuple[object, ...]:
    """What two dives at once come to, where the one that takes so many places at once is the last to end."""
    asked = window(seed)
    told: list[tuple[int, object]] = []
    clock = Clock(time.monotonic() + 20, lambda: False, lambda watts, bound: told.append((watts, bound)))
    inc = Incumbent(replace(clock, workers=workers), asked.rules.grain(), 0, 0, asked.incumbent.bound)
    choice = choice_of((asked.candidates, asked.grid, asked.rules), [])
    dived: dict[int, list[list[int] | None]] = {at_once: [] for at_once in diving.DIVES}

    def slowly(asked: Asked, own: Choice, at_once: int) -> Ints | None:
        chosen = dive(asked, own, at_once)
        time.sleep(0.05 if at_once == slow else 0.0)
        dived[at_once].append(None if chosen is None else chosen.tolist())
        return chosen

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(diving, "dive", slowly)
        diving.dive_both(replace(asked, incumbent=inc), choice)
    return told, inc.places, dived, choice.covers.tolist()


@pytest.mark.parametrize("slow", diving.DIVES)
@pytest.mark.parametrize("seed", WINDOWS)
def test_two_dives_at_once_come_to_the_same_with_one_worker_and_with_two(seed: int, slow: int) -> None:
    """Whichever ends first: the same places in each dive, and the same layouts in the same order."""
    told, places, dived, covers = both_dived(seed, 1, slow)
    assert both_dived(seed, 2, slow) == (told, places, dived, covers)
    assert told
    assert places
    assert dived[1] != dived[2]  # type: ignore[index]  # else nothing is seen of whose comes first


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


def rounds_of_dives(growing: int) -> int:
    """How often both were made where so many rounds find points that were too full, and no layout."""
    asked = window(0)
    choice = choice_of((asked.candidates, asked.grid, asked.rules), [])
    free = [(p, q) for p in range(asked.grid.shape[0]) for q in range(asked.grid.shape[1])]
    made = dict.fromkeys(diving.DIVES, 0)

    def in_vain(_: Asked, own: Choice, at_once: int) -> Ints | None:
        made[at_once] += 1
        if made[at_once] <= growing:
            own.add_points([free[made[at_once]]])
        return None

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(diving, "dive", in_vain)
        diving.dive_both(asked, choice)
    assert len(set(made.values())) == 1
    return made[diving.DIVES[0]]


def test_small_programmes_are_dived_into_again_as_long_as_points_are_found() -> None:
    assert rounds_of_dives(0) == 1
    assert rounds_of_dives(4) == 5
    assert rounds_of_dives(1000) == diving.SMALL_DIVES_EACH


def test_large_programmes_are_dived_into_again_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(diving, "MUCH", -1)
    assert rounds_of_dives(1000) == diving.DIVES_EACH


@pytest.mark.parametrize("most", [5, 40])
def test_of_a_wide_window_the_most_promising_are_dived_into(
    most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = window(0)
    choice = choice_of((asked.candidates, asked.grid, asked.rules), [])
    monkeypatch.setattr(closing, "MOST_DIVED", most)
    some = closing._promising(asked, choice)
    cost = asked.prices.reduced_cost
    assert len(some.keep) == most < len(choice.keep)
    left = np.setdiff1d(choice.keep, some.keep)
    assert cost[some.keep].min() >= cost[left].max()
    monkeypatch.setattr(closing, "MOST_DIVED", len(choice.keep))
    assert closing._promising(asked, choice) is choice
