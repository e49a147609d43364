"""Programmes by interior point against scipy's linprog, and a textbook's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from rooflayout.packing import central
from rooflayout.packing.central import Equations, State
from rooflayout.packing.clearance import Bools
from rooflayout.packing.grid import Floats

GAP, LACKS = 1e-6, 1e-6


def equations_of(matrix: Floats, worth: Floats, limit: Floats) -> Equations:
    row, column = np.nonzero(matrix)
    return Equations(row, column, matrix[row, column], worth, limit)


def with_room(matrix: Floats) -> Floats:
    """A column for the room to spare in each row."""
    return np.hstack([matrix, np.eye(len(matrix))])


def covering(seed: int, rows: int = 40, columns: int = 150) -> tuple[Floats, Floats, Floats]:
    """Columns that cover some rows each, none more than once: matrix, worth, limit."""
    random = np.random.default_rng(seed)
    covers = random.random((rows, columns)) < 0.15
    covers[random.integers(rows, size=columns), np.arange(columns)] = True
    worth = np.concatenate([np.round(covers.sum(axis=0) * random.uniform(5, 9, columns)), np.zeros(rows)])
    return with_room(covers.astype(float)), worth, np.ones(rows)


def to_the_end(equations: Equations, begin: State | None = None, gap: float = GAP) -> tuple[State, int]:
    """And how many states were looked at."""
    looked = 0

    def stop(state: State, lacks: float) -> bool:
        nonlocal looked
        looked += 1
        return state.gap() < gap and lacks < LACKS

    state = equations.follow(begin, stop)
    assert state is not None
    return state, looked


def best(matrix: Floats, worth: Floats, limit: Floats) -> float:
    """By scipy 1.17's linprog (HiGHS)."""
    return -float(linprog(-worth, A_eq=matrix, b_eq=limit, method="highs").fun)


@pytest.mark.parametrize("seed", range(12))
def test_value_and_prices_are_linprogs(seed: int) -> None:
    matrix, worth, limit = covering(seed)
    state, _ = to_the_end(equations_of(matrix, worth, limit))
    most = best(matrix, worth, limit)
    assert worth @ state.values == pytest.approx(most, abs=1e-4)
    assert limit @ state.prices == pytest.approx(most, abs=1e-4)
    assert matrix @ state.values == pytest.approx(limit, abs=1e-5)
    assert matrix.T @ state.prices - worth == pytest.approx(state.costs, abs=1e-5)
    assert state.values.min() > 0 < state.costs.min()


def test_a_textbooks_programme() -> None:
    """Hillier and Lieberman, Introduction to Operations Research, 3.1 (three plants), from memory."""
    matrix = with_room(np.array([[1.0, 0.0], [0.0, 2.0], [3.0, 2.0]]))
    worth, limit = np.array([3.0, 5.0, 0.0, 0.0, 0.0]), np.array([4.0, 12.0, 18.0])
    state, _ = to_the_end(equations_of(matrix, worth, limit))
    assert worth @ state.values == pytest.approx(36.0, abs=1e-4)
    assert state.values[:2] == pytest.approx([2.0, 6.0], abs=1e-4)
    assert state.prices == pytest.approx([0.0, 1.5, 1.0], abs=1e-4)


def test_of_two_equally_good_it_finds_the_middle() -> None:
    """Where the simplex method finds one or the other."""
    matrix, worth, limit = with_room(np.ones((1, 2))), np.array([1.0, 1.0, 0.0]), np.ones(1)
    state, _ = to_the_end(equations_of(matrix, worth, limit))
    assert state.values[:2] == pytest.approx([0.5, 0.5], abs=1e-3)


def without(matrix: Floats, seed: int, share: float = 2 / 3) -> Bools:
    """Such a share of the columns and all room to spare."""
    rows, columns = matrix.shape
    open_ = np.random.default_rng(seed).random(columns) < share
    open_[columns - rows :] = True
    return open_


@pytest.mark.parametrize("seed", range(12))
def test_without_some_columns_it_is_the_same_as_made_anew(seed: int) -> None:
    matrix, worth, limit = covering(seed)
    open_ = without(matrix, seed)
    some = equations_of(matrix, worth, limit).only(open_)
    state, _ = to_the_end(some)
    assert worth[open_] @ state.values == pytest.approx(best(matrix[:, open_], worth[open_], limit), abs=1e-4)
    again = some.only(np.ones(int(open_.sum()), dtype=bool))
    assert again.of_rows(state.values).tolist() == some.of_rows(state.values).tolist()
    assert some.of_columns(state.prices) == pytest.approx(matrix[:, open_].T @ state.prices)


def test_the_matrix_of_some_columns_is_that_of_their_entries() -> None:
    """Matrix times scale times matrix', its lower triangle."""
    matrix, worth, limit = covering(3)
    open_, whole = without(matrix, 3), equations_of(matrix, worth, limit)
    for some, dense in ((whole, matrix), (whole.only(open_), matrix[:, open_])):
        scale = np.random.default_rng(4).uniform(0.1, 3.0, dense.shape[1])
        assert np.tril(some._squares.sum(scale)) == pytest.approx(np.tril(dense * scale @ dense.T))


def test_begun_near_the_end_it_takes_fewer_steps() -> None:
    """As a node of the search tree does, when a twentieth of the columns is gone."""
    steps = [0, 0]
    for seed in range(12):
        matrix, worth, limit = covering(seed)
        whole = equations_of(matrix, worth, limit)
        early = whole.follow(None, lambda state, lacks: state.gap() < 10.0 and lacks < 1e-2)
        assert early is not None
        open_ = without(matrix, seed, 0.95)
        values = np.where(open_, early.values, 0.0)
        values[-len(limit) :] += matrix[:, ~open_] @ early.values[~open_]
        begun = State(values[open_], early.prices, early.costs[open_])
        most = best(matrix[:, open_], worth[open_], limit)
        for turn, begin in enumerate((None, begun)):
            state, looked = to_the_end(whole.only(open_), begin, 0.1)
            assert most - 0.2 < worth[open_] @ state.values < most + 1e-3
            steps[turn] += looked
    assert steps[1] < 0.8 * steps[0]


def test_corrections_save_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = []
    for corrections in (0, 4):
        monkeypatch.setattr(central, "CORRECTIONS", corrections)
        steps.append(sum(to_the_end(equations_of(*covering(seed)))[1] for seed in range(12)))
    assert steps[1] < steps[0]


def test_what_cannot_be_comes_to_no_end() -> None:
    """Two rows that ask for different sums of the same columns."""
    matrix = np.ones((2, 3))
    equations = equations_of(matrix, np.ones(3), np.array([1.0, 2.0]))
    assert equations.follow(None, lambda state, lacks: state.gap() < GAP and lacks < LACKS) is None


def test_it_stops_where_it_is_told() -> None:
    equations = equations_of(*covering(0))
    told: list[State] = []

    def stop(state: State, lacks: float) -> bool:
        told.append(state)
        return len(told) == 3

    assert equations.follow(None, stop) is told[2]
