"""The block by block factorisation against numpy's general equations."""

from __future__ import annotations

import numpy as np
import pytest

from rooflayout.packing.cholesky import BLOCK, Factor, Matrix


def positive(size: int, seed: int) -> Matrix:
    some = np.random.default_rng(seed).normal(size=(size, size))
    return some @ some.T + size / 10 * np.eye(size)


@pytest.mark.parametrize("size", [1, 2, BLOCK - 1, BLOCK, BLOCK + 1, 2 * BLOCK, 3 * BLOCK + 7])
def test_it_solves_as_numpy_does(size: int) -> None:
    matrix = positive(size, size)
    right = np.random.default_rng(0).normal(size=size)
    found = Factor(matrix.copy()).solve(right)
    assert found == pytest.approx(np.linalg.solve(matrix, right), rel=1e-9, abs=1e-12)


def test_what_is_above_the_diagonal_is_not_read() -> None:
    matrix = positive(150, 1)
    right = np.arange(150.0)
    lower = np.where(np.tri(150, dtype=bool), matrix, np.nan)
    assert Factor(lower).solve(right) == pytest.approx(np.linalg.solve(matrix, right), rel=1e-9)


def test_what_is_not_positive_definite_is_refused() -> None:
    matrix = positive(100, 2)
    matrix[80, 80] = -1.0
    with pytest.raises(np.linalg.LinAlgError):
        Factor(matrix)
