"""The search tree against exhaustive search on small roofs."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import count
from random import Random
from threading import Condition

import numpy as np
import pytest
from small_choices import a_point_each, at, by_hand, case, choice_of

from rooflayout.packing import expand
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Ints
from rooflayout.packing.closure import closed
from rooflayout.packing.hands import Meter
from rooflayout.packing.programme import Programme
from rooflayout.packing.questions import NOBODY
from rooflayout.packing.tree import Found, Tree

SEEDS = range(24)
LEAST_CUT = 5  # of these are cut off before the best is found, else nothing is tried


def tree_of(choice: Choice, low: float) -> Tree:
    return Tree(choice, low, lambda which: which, time.monotonic() + 20, lambda: False)


def run(seed: int, below: int) -> Found:
    """From a low so much below the best."""
    problem, most = case(seed)
    return tree_of(choice_of(problem, a_point_each(Random(seed), problem)), most - below).run()


@pytest.mark.parametrize("steps", [1, 80])
@pytest.mark.parametrize("below", [0, 3, 10_000])
@pytest.mark.parametrize("seed", SEEDS)
def test_it_finds_and_proves_the_best(
    seed: int, below: int, steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(expand, "STEPS", steps)
    (candidates, grid, rules), most = case(seed)
    found = run(seed, below)
    assert found.chosen is not None
    assert (found.value, found.bound, found.finished) == (most, most, True)
    assert grid.overlaps(found.chosen) == []
    counts = np.bincount(candidates.kind[found.chosen], minlength=len(rules.kinds))
    assert all(counts @ np.array(cap.per_kind) <= max(0, cap.limit) for cap in rules.caps)
    if not any(g.kept for g in rules.groups):
        assert sum(rules.kinds[k].watts for k in candidates.kind[found.chosen]) == most * rules.grain()


@pytest.mark.parametrize("below", [0, 3, 10_000])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_same_nodes_and_layout_with_two_workers_as_with_one(seed: int, below: int) -> None:
    problem, most = case(seed)
    came_to = []
    for workers in (1, 2):
        choice = choice_of(problem, a_point_each(Random(seed), problem))
        end = time.monotonic() + 20
        tree = Tree(choice, most - below, lambda which: which, end, lambda: False, workers)
        found = tree.run()
        assert found.chosen is not None
        came_to.append((found.value, found.bound, found.chosen.tolist(), tree.nodes))
    assert came_to[0] == came_to[1]


@pytest.mark.parametrize("workers", [1, 2])
def test_left_and_gone_on_with_it_does_no_node_twice(workers: int) -> None:
    """Two at a time: nearly as many nodes as at one go; what is known when one begins may differ."""
    often = 0
    for seed in SEEDS:
        problem, most = case(seed)
        points = a_point_each(Random(seed), problem)
        end = time.monotonic() + 20
        trees = [
            Tree(choice_of(problem, points), most - 3, lambda which: which, end, lambda: False, workers)
            for _ in range(2)
        ]
        once = trees[0].run()
        found, chosen = trees[1].run(2), None
        while not found.finished:
            often += 1
            assert found.bound >= most
            chosen = chosen if found.chosen is None else found.chosen
            found = trees[1].run(2)
        chosen = chosen if found.chosen is None else found.chosen
        assert chosen is not None
        assert problem[1].overlaps(chosen) == []
        assert (found.value, found.bound) == (once.value, once.bound) == (most, most)
        assert trees[1].nodes <= 1.5 * trees[0].nodes + 2
    assert often >= LEAST_CUT


@pytest.mark.parametrize("nodes", [0, 1, 3])
@pytest.mark.parametrize("seed", SEEDS)
def test_what_became_of_no_use_meanwhile_is_not_looked_for(seed: int, nodes: int) -> None:
    problem, most = case(seed)
    tree = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), 0.0)
    tree.run(nodes)
    tree.raise_low(most + 1)
    tree.raise_low(1)  # it never goes down
    found = tree.run()
    assert (found.chosen, found.bound, found.finished) == (None, most, True)


def test_what_could_not_be_solved_once_is_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """The bound is true in between, also where more than there is became of use only."""
    turn, solve = [0], Programme.solve

    def seldom(programme: Programme, *how: object, **more: object) -> float | None:
        turn[0] += 1
        return None if turn[0] == 3 else solve(programme, *how, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(Programme, "solve", seldom)
    again = 0
    for seed in SEEDS:
        for above in (0, 3):
            problem, most = case(seed)
            tree = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), most - 3)
            turn[0] = 0
            found = tree.run()
            again += not found.finished
            assert found.bound >= most
            tree.raise_low(most + above)
            found = tree.run()
            assert found.finished
            assert most <= found.bound <= most + max(0, above - 1)
    assert again > len(SEEDS) // 4


@pytest.mark.parametrize("above", [1, 2, 50])
@pytest.mark.parametrize("seed", SEEDS)
def test_what_no_layout_reaches_is_ruled_out(seed: int, above: int) -> None:
    found, low = run(seed, -above), case(seed)[1] + above
    assert (found.chosen, found.finished) == (None, True)
    assert low - above <= found.bound < low


@pytest.mark.parametrize("below", [-1.0, 20.0])
def test_stopped_or_late_before_it_begins_it_says_nothing(below: float) -> None:
    problem, _ = case(1)
    choice = choice_of(problem, a_point_each(Random(1), problem))
    end = time.monotonic() + below
    found = Tree(choice, 0.0, lambda which: which, end, lambda: below > 0).run()
    assert (found.bound, found.chosen, found.finished) == (np.inf, None, False)


def cut_off(seed: int, stopped: Callable[[], bool]) -> tuple[Found, int]:
    """What a search comes to that does not end by itself, its bound checked; and the most there is."""
    problem, most = case(seed)
    choice = choice_of(problem, a_point_each(Random(seed), problem))
    found = Tree(choice, 0.0, lambda which: which, time.monotonic() + 20, stopped).run()
    assert found.value <= most <= found.bound + 1e-6
    assert not found.finished or found.value == most == found.bound
    return found, most


@pytest.mark.parametrize("looks", [2, 4, 6, 10])
def test_stopped_on_the_way_its_bound_is_true(looks: int) -> None:
    """And says something: where nodes are open, it has come down from no bound at all."""
    cut = 0
    for seed in SEEDS:
        asked = count()
        found, most = cut_off(seed, lambda asked=asked: next(asked) >= looks)  # type: ignore[misc]
        assert found.bound < np.inf
        cut += not found.finished and found.value < most
    assert cut >= LEAST_CUT, cut


@pytest.mark.parametrize("solved", [2, 4, 8, 16])
def test_late_within_a_node_its_bound_is_true(solved: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """After so many solutions none comes to its end, as where time is up."""
    solve, cut = Programme.solve, 0
    for seed in SEEDS:
        done = count()

        def late(
            self: Programme, deadline: float, most_steps: int | None = None, first: bool = False,
            done: Iterator[int] = done,
        ) -> float | None:  # fmt: skip
            if next(done) < solved:
                return solve(self, deadline, most_steps, first)
            return None if most_steps is None else solve(self, deadline, 0)

        monkeypatch.setattr(Programme, "solve", late)
        found, most = cut_off(seed, lambda: False)
        cut += not found.finished and found.value < most and found.bound < np.inf
    assert cut >= LEAST_CUT, cut


@pytest.mark.parametrize("nodes", [1, 2, 3, 5])
@pytest.mark.parametrize("seed", SEEDS)
def test_with_few_nodes_its_bound_is_true(seed: int, nodes: int) -> None:
    problem, most = case(seed)
    found = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), 0.0).run(nodes)
    assert found.value <= most <= found.bound + 1e-6
    assert not found.finished or found.value == most == found.bound


@pytest.mark.parametrize("nodes", [1, 3, 1 << 30])
def test_a_bound_below_low_is_still_true(nodes: int) -> None:
    """Nodes that were cut off may have had more than those still open, or no node is left at all."""
    for seed in SEEDS:
        problem, most = case(seed)
        choice = choice_of(problem, a_point_each(Random(seed), problem))
        assert tree_of(choice, most + 1).run(nodes).bound >= most, seed


def test_a_guess_after_a_few_steps_rules_nothing_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Answers that are tried seem hopeless and come to no end: they are asked all the same."""
    solve, tried = Programme.solve, 0

    def hopeless(
        self: Programme, deadline: float, most_steps: int | None = None, first: bool = False
    ) -> float | None:
        nonlocal tried
        value = solve(self, deadline, most_steps, first)
        tried += most_steps is not None
        return value if most_steps is None else 0.0

    monkeypatch.setattr(Programme, "solve", hopeless)
    monkeypatch.setattr(Programme, "finished", lambda self: False)
    for seed in SEEDS:
        found, most = run(seed, 10_000), case(seed)[1]
        assert (found.value, found.bound, found.finished) == (most, most, True), seed
    assert tried > len(SEEDS)


def test_a_place_outlives_the_one_that_spoke_for_it() -> None:
    """The place at 1000 leans on D, which prices rule out; the place at 1005, which it speaks for, stays."""
    panels = [("A", 100.0, 3.0), ("B", 99.0, 2.0), ("D", 1.0, 3.0), ("E", 101.0, 3.0)]
    places = [("E", 0, 0), ("A", 1000, 0), ("A", 1005, 0), ("B", 2000, 0), ("B", 3000, 0), ("D", 500, 0)]
    problem = by_hand(panels, 6.0, places)
    flags = replace(problem[0], held_x=np.array([True, False, True, True, True, True]))

    def held(which: Ints) -> Ints:
        return closed(flags, problem[2].kinds, which)

    points = at(problem, (0, 0), (1005, 0), (2000, 0), (3000, 0), (500, 0))
    found = Tree(choice_of(problem, points), 201.0, held, time.monotonic() + 20, lambda: False).run()
    assert found.value == 201  # E and A, where E and B have 200 and two B 198


def test_a_place_that_is_found_late_is_not_lost_by_an_earlier_answer() -> None:
    """The first A speaks for the second until it is seen to overlap R; only the second goes with R."""
    panels = [("A", 100.0, 4.5), ("R", 122.0, 5.5), ("Y", 90.0, 3.0), ("Z", 104.0, 4.6)]
    places = [("A", 100, 0), ("A", 0, 0), ("R", 550, 0), ("Y", 700, 1000), ("Z", 2000, 0)]
    problem = by_hand(panels, 10.0, places)
    points = at(problem, (100, 0), (700, 0), (700, 1000), (2000, 0))
    assert tree_of(choice_of(problem, points), 111.0).run().value == 111  # grains of 2 W: A and R


@pytest.mark.parametrize("seed", range(10))
def test_a_solution_is_effort(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without what goes by the columns alone, what is left are the steps of the simplex method."""
    monkeypatch.setattr(expand, "AROUND", 0)
    problem = case(seed)[0]
    choice = choice_of(problem, a_point_each(Random(seed), problem))
    nothing = np.zeros(len(choice.keep), dtype=bool)
    meter = Meter(5.0, Condition())
    node = expand.Node(choice, np.inf, nothing, NOBODY, ())
    expand.Expanding(node, 0.0, lambda which: which, time.monotonic() + 20, meter).expand()
    assert meter.at >= 5.0 + choice.programme.effort() > 5.0
