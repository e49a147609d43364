"""Points said one from another are the same programme: beside scipy's linprog with every point for itself."""

from __future__ import annotations

import time
from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog
from small_choices import a_point_each, case, choice_of

from rooflayout.packing.chain import ALONE, before_all, before_near, less, paid, said, said_sparsely
from rooflayout.packing.choice import Choice

SEEDS = range(24)


def plainly(choice: Choice, barred: np.ndarray, groups: list[np.ndarray]) -> float:
    """The programme's value (grains), written out: -inf where there is no solution."""
    places, others = choice.columns, choice.others
    columns = len(places)
    cost = -np.concatenate([np.array(choice.exact.worth), choice.worth[places]])
    rows, limits = [], []
    for row in choice.exact.rows:
        values = np.zeros(others)
        for j, v in row.others:
            values[j] += v
        line = np.concatenate([values, row.per_kind[choice.kind[places]]])
        for sign, limit in ((1.0, row.high), (-1.0, -row.low)):
            if np.isfinite(limit):
                rows.append(sign * line)
                limits.append(limit)
    for covers in choice.covers[:, places]:
        rows.append(np.concatenate([np.zeros(others), covers]))
        limits.append(1.0)
    for members in groups:
        rows.append(np.concatenate([np.zeros(others), -members[places].astype(float)]))
        limits.append(-1.0)
    top = np.concatenate([np.array(choice.exact.most), choice.open_columns(barred).astype(float)])
    found = linprog(
        cost, np.array(rows).reshape(-1, others + columns), limits, bounds=[(0.0, most) for most in top]
    )
    return -np.inf if found.status == 2 else -found.fun


@pytest.mark.parametrize("seed", SEEDS)
def test_the_same_value_while_it_grows(seed: int) -> None:
    problem, random = case(seed)[0], Random(seed)
    choice = choice_of(problem, a_point_each(random, problem))
    shape, count = problem[1].shape, len(choice.keep)
    barred, groups, numbers = np.zeros(count, dtype=bool), [], []
    for turn in range(6):
        choice.bar(barred)
        choice.programme.ask_for(np.array(numbers, dtype=np.int64))
        value = choice.programme.solve(time.monotonic() + 20, first=turn == 0)
        assert value == pytest.approx(plainly(choice, barred, groups), abs=1e-5)
        basis = choice.programme.basis()
        if turn == 2:
            number, members = choice.group(int(random.choice(choice.columns.tolist())))
            groups, numbers = [*groups, members], [number]
        elif turn == 4:
            barred = np.array([random.random() < 0.2 for _ in range(count)])
        else:
            choice.add_points([(random.randrange(shape[0]), random.randrange(shape[1])) for _ in range(3)])
        choice.programme.begin_from(basis)


@pytest.mark.parametrize("seed", SEEDS)
def test_prices_of_points_are_those_of_the_programme_written_out(seed: int) -> None:
    """Strong duality: no place is worth more than it pays, and the prices sum up to the value."""
    problem, random = case(seed)[0], Random(seed)
    choice = choice_of(problem, a_point_each(random, problem))
    value = choice.programme.solve(time.monotonic() + 20)
    exact, points, _ = choice.programme.duals()
    assert points.min(initial=0.0) >= -1e-7
    earned = choice.worth[choice.columns] - points @ choice.covers[:, choice.columns]
    limits = np.array(
        [row.high if dual > 0 else row.low for row, dual in zip(choice.exact.rows, exact, strict=True)]
    )
    others = np.array(choice.exact.worth, dtype=np.float64)
    for row, dual in zip(choice.exact.rows, exact, strict=True):
        earned -= dual * row.per_kind[choice.kind[choice.columns]]
        for j, v in row.others:
            others[j] -= dual * v
    rest = np.maximum(0.0, earned).sum() + (np.maximum(0.0, others) * np.array(choice.exact.most)).sum()
    used = exact != 0.0
    assert value == pytest.approx(points.sum() + exact[used] @ limits[used] + rest, abs=1e-5)


def random_covers(random: Random) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Points in order of family, y, x; some panels of 20 by 14 that they may lie under."""
    count = random.choice((0, 1, 2, 30, 150))
    order = sorted((random.randrange(2), random.randrange(60), random.randrange(60)) for _ in range(count))
    family, y, x = np.array(order, dtype=np.int64).reshape(-1, 3).T
    left = np.array([random.randrange(50) for _ in range(40)])
    low = np.array([random.randrange(50) for _ in range(40)])
    inside = (x[:, None] >= left) & (x[:, None] < left + 20) & (y[:, None] >= low) & (y[:, None] < low + 14)
    return inside, family, x, y


@pytest.mark.parametrize("seed", SEEDS)
def test_every_point_is_said_from_an_earlier_one_of_its_family_or_alone(seed: int) -> None:
    covers, family, x, y = random_covers(Random(seed))
    for before in (before_near(np.packbits(covers, axis=1), family, x, y), before_all(covers, family, 0)):
        linked = np.nonzero(before != ALONE)[0]
        assert np.all(before[linked] < linked)
        assert np.all(family[before[linked]] == family[linked])
        entries = np.count_nonzero(said(covers, before), axis=1)
        assert np.all(entries[linked] < covers[linked].sum(axis=1))  # else it would be said for itself
        chain = np.eye(len(covers))
        chain[linked, before[linked]] -= 1.0
        assert np.array_equal(chain @ covers, said(covers, before))
        duals = np.arange(len(covers), dtype=np.float64)
        assert np.array_equal(chain @ duals, less(duals, before))
        assert np.array_equal(chain.T @ duals, paid(duals, before))


def test_what_is_looked_at_nearby_is_mostly_as_good_as_looking_at_all() -> None:
    near = everywhere = alone = 0
    for seed in SEEDS:
        covers, family, x, y = random_covers(Random(seed))
        near += np.count_nonzero(said(covers, before_near(np.packbits(covers, axis=1), family, x, y)))
        everywhere += np.count_nonzero(said(covers, before_all(covers, family, 0)))
        alone += np.count_nonzero(covers)
    assert everywhere <= near <= 1.2 * everywhere
    assert near < 0.7 * alone


@pytest.mark.parametrize("seed", SEEDS)
def test_said_sparsely_is_what_is_said_where_it_is_not_nothing(seed: int) -> None:
    covers, family, x, y = random_covers(Random(seed))
    bits = np.packbits(covers, axis=1)
    before = before_near(bits, family, x, y)
    point, place, value = said_sparsely(bits, before)
    written_out = np.zeros(covers.shape)
    written_out[point, place] = value
    assert np.array_equal(written_out, said(covers, before))
    assert len(value) == np.count_nonzero(said(covers, before))
