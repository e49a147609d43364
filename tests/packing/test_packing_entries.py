"""Matrices of few entries, beside scipy's."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from scipy import sparse

from rooflayout.packing.entries import lines_of


@pytest.mark.parametrize("seed", range(20))
def test_the_same_lines_as_scipy_makes(seed: int) -> None:
    random = Random(seed)
    lines, width = random.randrange(1, 8), random.randrange(1, 12)
    places = [(i, j) for i in range(lines) for j in range(width) if random.random() < 0.3]
    random.shuffle(places)
    line, across = np.array(places, dtype=np.int64).reshape(-1, 2).T
    values = np.array([random.choice((-1.0, 1.0, 2.5)) for _ in places])
    ours = lines_of(line, across, values, lines)
    theirs = sparse.csr_matrix((values, (line, across)), shape=(lines, width))
    theirs.sort_indices()
    assert len(ours) == theirs.nnz
    assert np.array_equal(ours.starts, theirs.indptr)
    assert np.array_equal(ours.index, theirs.indices)
    assert np.array_equal(ours.values, theirs.data)
