"""The best stack of rows against reckoning it height by height."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from rooflayout.packing.bands import best_first_rows, row_at


def stacked(worth: list[list[int]], pitch: list[int]) -> int:
    """Watts of the best stack, by the definition: nothing here, or a row of some kind and what fits above."""
    best = [0] * (len(worth) + max(pitch) + 1)
    for at in range(len(worth) - 1, -1, -1):
        rows = [watts + best[at + p] for watts, p in zip(worth[at], pitch, strict=True)]
        best[at] = max(best[at + 1], *rows)
    return best[0]


@pytest.mark.parametrize("seed", range(60))
def test_the_rows_chosen_have_the_watts_of_the_best_stack(seed: int) -> None:
    random = Random(seed)
    kinds, size = random.randint(1, 4), random.randint(1, 60)
    pitch = [random.randint(1, 12) for _ in range(kinds)]
    worth = [[random.choice((0, 0, random.randint(1, 40))) for _ in pitch] for _ in range(size)]
    choice = best_first_rows(np.array(worth), np.array(pitch))
    at = watts = 0
    while at < size:
        k = int(choice[at])
        watts += worth[at][k] if k >= 0 else 0
        at += pitch[k] if k >= 0 else 1
    assert watts == stacked(worth, pitch)


def test_of_equal_stacks_the_higher_start_and_the_first_kind() -> None:
    """Two kinds alike: the first. A row that may start at 0 or at 1 with the same watts starts at 1."""
    assert best_first_rows(np.array([[5, 5], [5, 5]]), np.array([2, 2])).tolist() == [-1, 0]


def test_a_row_may_start_from_the_first_to_the_last_of_its_heights() -> None:
    """The fullest of those that may, of equally full ones the first."""
    rows = np.array([0, 3, 3]), np.array([4, 6, 5]), [[10, 20], [11, 21, 31], [12, 22, 32]]
    assert [row_at(rows, y) for y in (-1, 0, 2)] == [[], [10, 20], [10, 20]]
    assert [row_at(rows, y) for y in (3, 4, 5, 6)] == 4 * [[11, 21, 31]]
    assert row_at(rows, 7) == []
    assert row_at((rows[0], rows[1], [[10, 20], [11], [12]]), 4) == [10, 20]
