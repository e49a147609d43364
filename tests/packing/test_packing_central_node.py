"""The search tree by solutions in the middle, against exhaustive search and CP-SAT's set packing."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from random import Random
from threading import Condition

import numpy as np
import pytest
from ortools.sat.python import cp_model
from relaxed_by_hand import Problem, problem_of
from small_choices import a_point_each, case, choice_of
from small_random_jobs import rectangle, square_on

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing import central, central_node, middle, tree
from rooflayout.packing.central import Equations, State
from rooflayout.packing.central_node import ExpandingCentrally, is_central
from rooflayout.packing.choice import Choice, reaches
from rooflayout.packing.expand import Expanded, Expanding, Node
from rooflayout.packing.grid import Floats
from rooflayout.packing.hands import Meter
from rooflayout.packing.middle import Middle
from rooflayout.packing.questions import NOBODY
from rooflayout.packing.tree import Found, Tree

PLAIN = [seed for seed in range(48) if not choice_of(case(seed)[0], []).others][:16]


def begun(seed: int) -> Choice:
    problem = case(seed)[0]
    return choice_of(problem, a_point_each(Random(seed), problem))


@cache
def larger(seed: int) -> tuple[Problem, int]:
    """A roof with an obstacle, of some hundred places of models of nearly the same density; its best grains.

    By CP-SAT of ortools 9.15: each point is covered at most once.
    """
    random = Random(seed)
    models = tuple(
        PanelModel(f"M{n}", w * 50.0, h * 50.0, float(w * h * 2 + random.randint(0, 4)), mass_kg=5.0)
        for n, (w, h) in enumerate((random.randint(7, 13), random.randint(6, 9)) for _ in range(4))
    )
    x, y = random.randint(8, 20) * 50, random.randint(2, 12) * 50
    obstacle = square_on("hatch", "main", x, y, x + 350, y + 300)
    roof = rectangle("main", 2100.0 + 50 * random.randint(0, 8), 1350.0)
    problem = problem_of(Job("x", (roof,), PanelRules(models), obstacles=(obstacle,)))
    candidates, grid, rules = problem
    model, everyone = cp_model.CpModel(), np.arange(len(candidates))
    used = [model.new_bool_var("") for _ in everyone]
    for p in np.unique(grid.left).tolist():
        for q in np.unique(grid.low).tolist():
            model.add_at_most_one(used[i] for i in grid.at((p, q), everyone).tolist())
    watts = [rules.kinds[k].watts // rules.grain() for k in candidates.kind.tolist()]
    model.maximize(sum(w * u for w, u in zip(watts, used, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers, solver.parameters.linearization_level = 1, 2
    assert solver.solve(model) == cp_model.OPTIMAL
    return problem, round(solver.objective_value)


LARGER = (0, 1, 2, 4)


def tree_of(choice: Choice, low: float, workers: int = 1, end: float = np.inf) -> Tree:
    return Tree(choice, low, lambda which: which, end, lambda: False, workers)


@pytest.fixture
def every_node(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Expanded]]:
    """However small; what nodes came to."""
    monkeypatch.setattr(central_node, "LEAST", 1)
    seen: list[Expanded] = []
    expand = ExpandingCentrally.expand

    def told(self: ExpandingCentrally, by_corners: bool = False) -> Expanded:
        seen.append(expand(self, by_corners))
        return seen[-1]

    monkeypatch.setattr(ExpandingCentrally, "expand", told)
    yield seen
    assert seen


def proves(found: Found, seed: int) -> None:
    (candidates, grid, rules), most = case(seed)
    assert found.chosen is not None
    assert (found.value, found.bound, found.finished) == (most, most, True)
    assert grid.overlaps(found.chosen) == []
    counts = np.bincount(candidates.kind[found.chosen], minlength=len(rules.kinds))
    assert all(counts @ np.array(cap.per_kind) <= max(0, cap.limit) for cap in rules.caps)


@pytest.mark.parametrize("below", [0, 3, 10_000])
@pytest.mark.parametrize("seed", PLAIN)
def test_it_finds_and_proves_the_best(seed: int, below: int, every_node: list[Expanded]) -> None:
    proves(tree_of(begun(seed), case(seed)[1] - below).run(), seed)


@pytest.mark.parametrize("above", [1, 50])
@pytest.mark.parametrize("seed", PLAIN)
def test_what_no_layout_reaches_is_ruled_out(seed: int, above: int, every_node: list[Expanded]) -> None:
    low = case(seed)[1] + above
    found = tree_of(begun(seed), low).run()
    assert (found.chosen, found.finished) == (None, True)
    assert found.bound == low - 1


@pytest.mark.parametrize("below", [0, 8])
@pytest.mark.parametrize("seed", LARGER)
def test_it_finds_and_proves_the_best_of_more_places(
    seed: int, below: int, every_node: list[Expanded]
) -> None:
    problem, most = larger(seed)
    found = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), most - below).run()
    assert (found.value, found.bound, found.finished) == (most, most, True)
    assert found.chosen is not None
    assert problem[1].overlaps(found.chosen) == []


def test_most_nodes_come_to_an_answer_so(every_node: list[Expanded]) -> None:
    """Else these tests would try expand.py only."""
    for seed in LARGER:
        problem, most = larger(seed)
        tree_of(choice_of(problem, a_point_each(Random(seed), problem)), most - 2).run()
    forks = sum(len(found.below) == 2 for found in every_node)
    shared = sum(found.node.early is not None for found in every_node)
    anew = sum(len(found.below) == 1 and not found.below[0].by_corners for found in every_node)
    cut = sum(found.solved and not found.below for found in every_node)
    assert min(forks, shared, anew, cut) >= 5


@pytest.mark.parametrize("seed", PLAIN)
def test_the_same_nodes_and_layout_with_two_workers(seed: int, every_node: list[Expanded]) -> None:
    came_to = []
    for workers in (1, 2):
        search = tree_of(begun(seed), case(seed)[1] - 3, workers)
        found = search.run()
        assert found.chosen is not None
        came_to.append((found.value, found.bound, found.chosen.tolist(), search.nodes))
    assert came_to[0] == came_to[1]


@pytest.mark.parametrize("nodes", [1, 2, 5])
@pytest.mark.parametrize("seed", PLAIN[:10])
def test_with_few_nodes_its_bound_is_true(seed: int, nodes: int, every_node: list[Expanded]) -> None:
    assert tree_of(begun(seed), case(seed)[1] - 3).run(nodes).bound >= case(seed)[1]


@pytest.mark.parametrize("near", [0.001, 20.0])
def test_its_bound_is_true_however_rough_its_solutions(
    near: float, every_node: list[Expanded], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(middle, "NEAR", near)
    monkeypatch.setattr(middle, "RIGHT", near)
    for seed in LARGER:
        problem, most = larger(seed)
        found = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), most - 2).run()
        assert (found.value, found.bound, found.finished) == (most, most, True)


def test_what_comes_to_no_end_is_looked_at_by_corners(
    every_node: list[Expanded], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(central, "MOST_STEPS", 2)
    for seed in PLAIN:
        proves(tree_of(begun(seed), case(seed)[1] - 3).run(), seed)
    assert all(node.by_corners for found in every_node for node in found.below)


def test_with_more_points_than_that_it_stays_what_it_is(
    every_node: list[Expanded], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nodes that share a choice are never looked at by corners, which would change it."""
    monkeypatch.setattr(central_node, "MOST_POINTS", 60)
    shared: list[bool] = []
    expand = Expanding.expand

    def told(self: Expanding) -> Expanded:
        shared.append(self._node.middle is not None)
        return expand(self)

    monkeypatch.setattr(Expanding, "expand", told)
    for seed in LARGER:
        problem, most = larger(seed)
        came_to = []
        for workers in (1, 2):
            choice = choice_of(problem, a_point_each(Random(seed), problem))
            search = tree_of(choice, most - 2, workers)
            found = search.run()
            came_to.append((found.value, found.bound, found.finished, search.nodes))
        assert came_to[0][:3] == (most, most, True)
        assert came_to[0] == came_to[1]
    assert not any(shared)


@pytest.mark.parametrize("workers", [1, 2])
def test_after_so_many_nodes_the_rest_is_looked_at_by_corners(
    workers: int, every_node: list[Expanded], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tree, "MOST_CENTRAL", 3)
    for seed in LARGER:
        problem, most = larger(seed)
        found = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), most - 2, workers).run()
        assert (found.value, found.bound, found.finished) == (most, most, True)
    handed_over = [found for found in every_node if found.below and found.below[0].by_corners]
    assert len(handed_over) >= len(LARGER)


def test_a_solution_that_is_no_number_proves_nothing(
    every_node: list[Expanded], monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_number(self: Equations) -> State:
        nothing = np.full(len(self.worth), np.nan)
        return State(nothing, np.full(len(self.limit), np.nan), nothing)

    monkeypatch.setattr(Equations, "_from_nothing", no_number)
    problem, most = larger(0)
    found = tree_of(choice_of(problem, a_point_each(Random(0), problem)), most - 2).run()
    assert (found.value, found.bound, found.finished) == (most, most, True)


def test_prices_below_nothing_are_none(every_node: list[Expanded], monkeypatch: pytest.MonkeyPatch) -> None:
    """However wrong, prices that are none below nothing bound all layouts."""
    prices, chance = Middle._prices, np.random.default_rng(0)

    def worse(self: Middle, state: State) -> tuple[Floats, Floats]:
        exact, points = prices(self, state)
        assert min(exact.min(initial=0.0), points.min(initial=0.0)) >= 0.0
        return exact * chance.uniform(0, 1.5, len(exact)), points * chance.uniform(0.7, 1.2, len(points))

    monkeypatch.setattr(Middle, "_prices", worse)
    for seed in PLAIN:
        proves(tree_of(begun(seed), case(seed)[1] - 3).run(), seed)


def test_a_node_begins_with_rows_that_are_kept() -> None:
    """What columns that are gone leave is room to spare."""
    problem, _ = larger(0)
    choice = choice_of(problem, a_point_each(Random(0), problem))
    shared = Middle(choice)
    every = np.ones(len(choice.columns), dtype=bool)
    solved = shared.solve(every, None, 0.0, np.inf)
    assert solved is not None
    use = np.ones(len(shared._equations.worth), dtype=bool)
    use[shared._places[::3]] = False
    state = shared._begun(solved.early, use)
    some = shared._equations.only(use)
    assert some.of_rows(state.values) == pytest.approx(some.limit, abs=1e-2)
    assert state.values.min() > 0 < state.costs.min()


def test_out_of_time_its_bound_is_true(every_node: list[Expanded]) -> None:
    """Within a node, too."""
    unsolved = 0
    for seed in PLAIN:
        problem, most = case(seed)
        choice = choice_of(problem, a_point_each(Random(seed), problem))
        node = Node(choice, np.inf, np.zeros(len(choice.keep), dtype=bool), NOBODY, ())
        late = time.monotonic() - 1
        found = ExpandingCentrally(
            node, most - 3, lambda which: which, late, Meter(0.0, Condition())
        ).expand()
        unsolved += not found.solved
        assert node.bound >= most
        assert not found.solved or found.below or not reaches(node.bound, most - 3)
    assert unsolved > len(PLAIN) // 2


def test_its_bound_is_that_of_corners(every_node: list[Expanded]) -> None:
    """As near as it is solved, with the same points."""
    for seed in LARGER:
        problem, _ = larger(seed)
        choice = choice_of(problem, a_point_each(Random(seed), problem))
        node = Node(choice, np.inf, np.zeros(len(choice.keep), dtype=bool), NOBODY, ())
        ExpandingCentrally(node, 0.0, lambda which: which, np.inf, Meter(0.0, Condition())).expand()
        corner = choice.programme.solve(np.inf, first=True)
        assert corner is not None
        assert corner - 1e-6 <= node.bound <= corner + 2 * middle.NEAR


def test_none_that_is_wired_and_none_that_is_small() -> None:
    wired = next(seed for seed in range(1, 50, 2) if choice_of(case(seed)[0], []).others)
    nothing = np.zeros(len(begun(wired).keep), dtype=bool)
    assert not is_central(Node(begun(wired), np.inf, nothing, NOBODY, ()))
    choice = begun(PLAIN[0])
    node = Node(choice, np.inf, np.zeros(len(choice.keep), dtype=bool), NOBODY, ())
    assert not is_central(node)
    assert len(choice.columns) < central_node.LEAST


def test_a_place_that_is_barred_is_in_no_layout_that_reaches_low(every_node: list[Expanded]) -> None:
    """By asking for the best with it: its kinds' places but its own neighbours are ruled out."""
    tried = 0
    for seed in PLAIN:
        (candidates, grid, rules), most = case(seed)
        choice = begun(seed)
        node = Node(choice, np.inf, np.zeros(len(choice.keep), dtype=bool), NOBODY, ())
        ExpandingCentrally(node, most, lambda which: which, np.inf, Meter(0.0, Condition())).expand()
        for place in np.nonzero(node.barred)[0][:3].tolist():
            keep = np.nonzero(~grid.over(place) | (np.arange(len(grid)) == place))[0]
            problem = candidates.take(keep), type(grid)(candidates.take(keep), rules.kinds), rules
            with_it = tree_of(choice_of(problem, a_point_each(Random(seed), problem)), 1.0)
            found = with_it.run()
            if found.chosen is not None and place in keep[found.chosen]:
                tried += 1
                assert found.value < most
    assert tried > 5


def test_a_rule_of_mass_binds(every_node: list[Expanded]) -> None:
    (candidates, grid, rules), _ = case(PLAIN[0])
    most = 1
    caps = tuple(replace(cap, per_kind=(1,) * len(rules.kinds), limit=most) for cap in rules.caps[:1])
    problem = candidates, grid, replace(rules, caps=caps)
    found = tree_of(choice_of(problem, a_point_each(Random(0), problem)), 1.0).run()
    assert found.chosen is not None
    assert len(found.chosen) <= most
