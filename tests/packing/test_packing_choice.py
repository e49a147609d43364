"""Which places get columns, who speaks for the others, and that nothing is lost by it."""

from __future__ import annotations

import time
from random import Random

import numpy as np
import pytest
from small_choices import a_point_each, by_hand, case, choice_of

from rooflayout.packing import programme
from rooflayout.packing.choice import undominated
from rooflayout.packing.programme import Programme
from rooflayout.packing.tree import Tree

SEEDS = range(24)


@pytest.mark.parametrize("seed", range(60))
def test_undominated_against_every_pair(seed: int) -> None:
    random = Random(seed)
    points, places = random.randint(1, 12), random.randint(1, 30)
    share = random.choice((0.2, 0.5, 0.8))
    covers = np.array([[random.random() < share for _ in range(places)] for _ in range(points)])
    kind = np.array([random.randrange(3) for _ in range(places)])
    columns, speaker = undominated(covers, kind)
    sets = [(int(kind[i]), frozenset(np.nonzero(covers[:, i])[0].tolist())) for i in range(places)]
    least = {a for a in sets if not any(a[0] == b[0] and b[1] < a[1] for b in sets)}
    assert sorted(map(hash, least)) == sorted(hash(sets[i]) for i in columns)
    for i, s in enumerate(speaker.tolist()):
        assert s in columns
        assert sets[s][0] == sets[i][0]
        assert sets[s][1] <= sets[i][1]


@pytest.mark.parametrize("seed", SEEDS)
def test_every_place_has_a_column_or_one_that_covers_no_more(seed: int) -> None:
    problem, random = case(seed)[0], Random(seed)
    choice = choice_of(problem, a_point_each(random, problem))
    for turn in range(6):
        for place, speaker in enumerate(choice._speaker.tolist()):
            assert speaker in choice.columns
            assert choice.kind[speaker] == choice.kind[place]
            assert not np.any(choice.covers[:, speaker] & ~choice.covers[:, place])
        assert len(set(choice.columns.tolist())) == len(choice.columns)
        solver, points = choice.programme.solver, len(choice.covers)
        assert solver.getNumCol() == choice.others + len(choice.columns) + points
        assert solver.getNumRow() == len(choice.exact.rows) + points
        shape = problem[1].shape
        choice.add_points([(random.randrange(shape[0]), random.randrange(shape[1])) for _ in range(turn)])


@pytest.mark.parametrize("seed", SEEDS)
def test_its_value_is_a_bound_however_few_the_points(seed: int) -> None:
    problem, most = case(seed)
    choice = choice_of(problem, a_point_each(Random(seed), problem))
    value = choice.programme.solve(time.monotonic() + 20, first=True)
    assert value is not None
    assert value >= most - 1e-6
    ceilings = choice.ceilings(value)
    chosen = Tree(choice.copy(), 0.0, lambda which: which, time.monotonic() + 20, lambda: False).run().chosen
    assert chosen is not None
    assert ceilings[chosen].min() >= most - 1e-6  # the places in a best layout


def test_ceilings_rule_out_what_no_good_layout_holds() -> None:
    """On one roof in four at least some place is seen to be in no best layout."""
    seen = 0
    for seed in SEEDS:
        problem, most = case(seed)
        choice = choice_of(problem, a_point_each(Random(seed), problem))
        value = choice.programme.solve(time.monotonic() + 20, first=True)
        assert value is not None
        seen += bool(choice.ceilings(value).min() < most - 0.5)
    assert seen >= len(SEEDS) // 4, seen


@pytest.mark.parametrize("seed", SEEDS)
def test_too_full_points_are_covered_twice_and_all_are_found(seed: int) -> None:
    problem, random = case(seed)[0], Random(seed)
    choice = choice_of(problem, a_point_each(random, problem))
    values = np.array([random.choice((0.0, 0.0, 0.4, 0.7)) for _ in choice.columns])
    cover = problem[1].cover(choice.keep[choice.columns], values)
    found = choice.too_full(values, 60)
    assert all(cover[p] > 1.0 for p in found)
    assert bool(found) == bool(cover.max() > 1.0 + 1e-3)


def test_places_that_cover_no_point_asked_for_may_be_used_together() -> None:
    problem = by_hand([("A", 100.0, 1.0)], 9.0, [("A", 0, 0), ("A", 500, 0)])
    value = choice_of(problem, []).programme.solve(time.monotonic() + 20)
    assert value is not None
    assert value >= 2


@pytest.mark.parametrize("seed", SEEDS)
def test_what_a_copy_comes_to_the_other_does_not_notice(seed: int) -> None:
    problem, random = case(seed)[0], Random(seed)
    choice = choice_of(problem, a_point_each(random, problem))
    value = choice.programme.solve(time.monotonic() + 20, first=True)
    basis = choice.programme.basis()
    before = choice.columns.tolist(), choice.covers.tolist(), choice._speaker.tolist()
    other = choice.copy()
    shape = problem[1].shape
    other.add_points([(random.randrange(shape[0]), random.randrange(shape[1])) for _ in range(5)])
    other.add_group(np.array([random.random() < 0.5 for _ in other.keep]))
    other.bar(np.ones(len(other.keep), dtype=bool))
    assert (choice.columns.tolist(), choice.covers.tolist(), choice._speaker.tolist()) == before
    assert choice.programme.solve(time.monotonic() + 20) == pytest.approx(value)
    again = choice.copy()
    again.programme.begin_from(basis)
    assert again.programme.solve(time.monotonic() + 20) == pytest.approx(value)
    assert np.array_equal(again.programme.values() > 0.5, choice.programme.values() > 0.5)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_simplex_method_that_is_given_up_comes_to_the_same(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a step allowed it is solved from nothing; points and barred places as where it may go on."""
    problem, random = case(seed)[0], Random(seed)
    plain = choice_of(problem, a_point_each(random, problem))
    given_up = plain.copy()
    shape, end = problem[1].shape, time.monotonic() + 20
    first = [choice.programme.solve(end, first=True) for choice in (plain, given_up)]
    assert first[0] == pytest.approx(first[1])
    forgot: list[bool] = []
    forget = Programme._forget
    for _ in range(3):
        points = [(random.randrange(shape[0]), random.randrange(shape[1]))]
        barred = np.array([random.random() < 0.3 for _ in plain.keep])
        values = []
        for choice, most in ((plain, programme.STALLED), (given_up, 0)):
            choice.add_points(points)
            choice.bar(barred)
            with monkeypatch.context() as patched:
                patched.setattr(programme, "STALLED", most)
                patched.setattr(Programme, "_forget", lambda own: forgot.append(True) or forget(own))
                values.append(choice.programme.solve(end))
        assert values[0] == pytest.approx(values[1])
        assert given_up.programme.finished()
    assert forgot
