"""A window narrowed by its own relaxation, and the trees below its nodes, lose no layout that matters."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from small_choices import a_point_each, case, choice_of
from watched_layouts import Watched

from rooflayout.packing import expand, interior, narrow
from rooflayout.packing.choice import Choice
from rooflayout.packing.narrow import VERY_DEAR, dearest, narrowed, with_dearest
from rooflayout.packing.tree import Tree

SEEDS = range(24)


@pytest.fixture(params=[False, True], ids=["narrow", "wide"])
def wide(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    """As windows of many places are narrowed."""
    if request.param:
        monkeypatch.setattr(narrow, "WIDE", 0)
        monkeypatch.setattr(interior, "FEW_KINDS", 0)
    return bool(request.param)


def test_wide_windows_are_narrowed_without_a_choice(wide: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Unless trackers open their points, or there are none for some place."""
    made: list[int] = []
    monkeypatch.setattr(narrow, "Choice", lambda *how: made.append(len(how[3])) or Choice(*how))
    for seed in SEEDS:
        problem, most = case(seed)
        asked = Watched(problem).asked
        narrowed(asked, np.arange(len(problem[0])), most, dearest(asked))
    assert (len(made) < 1.8 * len(SEEDS)) == wide


def test_wrong_prices_lose_no_layout(wide: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those that ask too little are raised, all of them, and the bound with them."""
    solve, chance, wrong = interior.Relaxation.solve, np.random.default_rng(1), [0]

    def wrongly(self: interior.Relaxation, *how: object, **more: object) -> interior.Solution | None:
        found = solve(self, *how, **more)  # type: ignore[arg-type]
        if found is None or "corner" not in more:
            return found
        wrong[0] += 1
        return replace(
            found, point_duals=found.point_duals * chance.uniform(0.4, 1.1, len(found.point_duals))
        )

    for seed in range(0, 80, 2):
        problem, most = case(seed)
        asked = Watched(problem).asked
        with monkeypatch.context() as patch:
            patch.setattr(interior.Relaxation, "solve", wrongly)
            found = narrowed(asked, np.arange(len(problem[0])), most, dearest(asked))
        assert found is not None
        ended = Tree(found[0], most, asked.held, time.monotonic() + 20, lambda: False).run()
        assert (ended.value, ended.bound, ended.finished) == (most, most, True)
    assert (wrong[0] > 10) == wide


@pytest.mark.parametrize("below", [0, 1, 10_000])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_best_layout_is_still_there_and_nothing_better(seed: int, below: int, wide: bool) -> None:
    problem, most = case(seed)
    asked = Watched(problem).asked
    everyone = np.arange(len(problem[0]))
    found = narrowed(asked, everyone, most - below, dearest(asked))
    assert found is not None
    choice, (points, family_points) = found
    # again from the points that bind, as the next window does
    again = narrowed(asked, everyone, most - below, (points, family_points))
    assert again is not None
    for some in (choice, again[0]):
        ended = Tree(some, most - below, asked.held, time.monotonic() + 20, lambda: False).run()
        assert (ended.value, ended.bound, ended.finished) == (most, most, True)


def test_most_windows_are_narrower_for_it(wide: bool) -> None:
    """At the best itself some places go; ten thousand grains below it all stay."""
    fewer = 0
    for seed in SEEDS:
        problem, most = case(seed)
        asked, everyone = Watched(problem).asked, np.arange(len(problem[0]))
        near, far = (narrowed(asked, everyone, low, dearest(asked)) for low in (most, most - 10_000))
        assert near is not None
        assert far is not None
        assert set(near[0].keep.tolist()) <= set(far[0].keep.tolist())
        fewer += len(near[0].keep) < len(far[0].keep)
    assert fewer >= len(SEEDS) // 2, fewer


@pytest.mark.parametrize("seed", SEEDS)
def test_what_no_layout_reaches_leaves_nothing_to_find(seed: int, wide: bool) -> None:
    problem, most = case(seed)
    asked = Watched(problem).asked
    found = narrowed(asked, np.arange(len(problem[0])), most + 1, dearest(asked))
    assert found is not None
    ended = Tree(found[0], most + 1, asked.held, time.monotonic() + 20, lambda: False).run()
    assert (ended.chosen, ended.finished) == (None, True)


@pytest.mark.parametrize("smaller", [0.0, 0.35, 10.0])
@pytest.mark.parametrize("seed", SEEDS)
def test_trees_of_their_own_below_nodes_find_the_same(
    seed: int, smaller: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(expand, "MUCH_SMALLER", smaller)
    problem, most = case(seed)
    choice = choice_of(problem, a_point_each(Random(seed), problem))
    found = Tree(choice, 0.0, lambda which: which, time.monotonic() + 20, lambda: False).run()
    assert (found.value, found.bound, found.finished) == (most, most, True)


@pytest.mark.parametrize("smaller", [0.0, 10.0])
@pytest.mark.parametrize("nodes", [1, 2, 4])
@pytest.mark.parametrize("seed", SEEDS)
def test_cut_short_below_a_node_the_bound_is_true(
    seed: int, nodes: int, smaller: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(expand, "MUCH_SMALLER", smaller)
    problem, most = case(seed)
    choice = choice_of(problem, a_point_each(Random(seed), problem))
    found = Tree(choice, 0.0, lambda which: which, time.monotonic() + 20, lambda: False).run(nodes)
    assert found.value <= most <= found.bound + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_nobody_outside_a_group_speaks_for_one_inside(seed: int) -> None:
    problem, random = case(seed)[0], Random(seed)
    choice = choice_of(problem, a_point_each(random, problem))
    members = np.array([random.random() < 0.5 for _ in choice.keep])
    choice.add_group(members)
    barred = ~members
    # with all others barred, each member still has a column that is one of them
    open_ = choice.columns[choice.open_columns(barred)]
    assert set(open_.tolist()) <= set(np.nonzero(members)[0].tolist())
    for place in np.nonzero(members)[0]:
        same = open_[choice.kind[open_] == choice.kind[place]]
        assert np.any(~np.any(choice.covers[:, same] & ~choice.covers[:, [place]], axis=0))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_next_window_begins_with_what_bound_the_last_one_and_the_dearest(seed: int) -> None:
    asked = Watched(case(seed)[0]).asked
    dear, of_families = dearest(asked)
    binding = dear[::2], of_families[:1]
    points, families = with_dearest(asked, binding)
    prices = dict(zip(asked.prices.rows, asked.prices.row_prices.tolist(), strict=True))
    most = max(prices.values(), default=0.0)
    assert len(set(points)) == len(points)
    assert set(points) == set(binding[0]) | {p for p, price in prices.items() if price > VERY_DEAR * most}
    assert families == of_families[:1]
