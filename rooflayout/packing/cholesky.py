"""Equations with a symmetric positive definite matrix, block by block.

numpy's own factorisation takes half as long again and has no way to solve with what it found; scipy's keeps
Python's lock, so that two threads would wait for one another, and takes as long to load as ten programmes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.grid import Floats

BLOCK = 64

Matrix = NDArray[np.float64]


class Factor:
    """Of a matrix, of which the lower triangle is used and overwritten.

    Raises numpy.linalg.LinAlgError where it is not positive definite.
    """

    def __init__(self, matrix: Matrix) -> None:
        self._lower, size = matrix, len(matrix)
        self._blocks = [slice(a, min(size, a + BLOCK)) for a in range(0, size, BLOCK)]
        self._inverse: list[Matrix] = []  # of the blocks on the diagonal
        for own in self._blocks:
            self._factor(own)

    def _factor(self, own: slice) -> None:
        lower, left = self._lower, slice(0, own.start)
        lower[own.start :, own] -= lower[own.start :, left] @ lower[own, left].T
        self._inverse.append(np.linalg.inv(np.linalg.cholesky(lower[own, own])))
        lower[own.stop :, own] = lower[own.stop :, own] @ self._inverse[-1].T

    def solve(self, right: Floats) -> Floats:
        """x of matrix x = right."""
        lower, half, found = self._lower, np.empty_like(right), np.empty_like(right)
        for own, inverse in zip(self._blocks, self._inverse, strict=True):
            half[own] = inverse @ (right[own] - lower[own, : own.start] @ half[: own.start])
        for own, inverse in zip(reversed(self._blocks), reversed(self._inverse), strict=True):
            found[own] = inverse.T @ (half[own] - lower[own.stop :, own].T @ found[own.stop :])
        return found
