"""Strings that share shade, against every way to share the panels out."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest

from rooflayout.wiring.neighbours import split_into_strings
from rooflayout.wiring.shaded import LEAST, dark_strings, lost


def test_dark_panels_come_together() -> None:
    loss, centres = [0.2, 0.0, 0.2, 0.0], [(float(i), 0.0) for i in range(4)]
    assert [sorted(s) for s in dark_strings([[0, 1], [2, 3]], loss, centres)] == [[0, 2]]
    slight = [0.004, 0.0, 0.004, 0.0]
    assert dark_strings([[0, 1], [2, 3]], slight, centres) == []  # not worth the cable


def test_a_string_is_filled_up_from_beside() -> None:
    loss, centres = [0.0, 0.0, 0.3, 0.0, 0.0, 0.0], [(float(i), 0.0) for i in range(6)]
    found = dark_strings([[0, 1, 2, 3], [4, 5]], loss, centres)
    assert [sorted(s) for s in found] == [[1, 2]]


@pytest.mark.parametrize("seed", range(40))
def test_no_way_loses_less(seed: int) -> None:
    random = Random(seed)
    loss = [random.choice((0.0, 0.0, random.random() / 3)) for _ in range(6)]
    size = random.choice((1, 2, 3))
    strings = [list(range(size)), list(range(size, 6))]
    centres = [(1000.0 * i, 0.0) for i in range(6)]
    found = split_into_strings(centres, [(size, 1), (6 - size, 1)], loss)
    shared = [s for tracker in found for s in tracker]
    assert sorted(len(s) for s in shared) == sorted(len(s) for s in strings)
    assert sorted(i for s in shared for i in s) == list(range(6))
    best = min(lost([list(p[:size]), list(p[size:])], loss) for p in permutations(range(6)))
    assert lost(shared, loss) <= best + 6 * LEAST


def test_a_row_of_four_with_shade_at_both_ends() -> None:
    """Without shade neighbours are joined; with it the two ends, which are far apart."""
    centres = [(0.0, 0.0), (1000.0, 0.0), (2000.0, 0.0), (3000.0, 0.0)]
    alone = split_into_strings(centres, [(2, 1), (2, 1)])
    assert sorted(sorted(s) for tracker in alone for s in tracker) == [[0, 1], [2, 3]]
    shaded = split_into_strings(centres, [(2, 1), (2, 1)], [0.3, 0.0, 0.0, 0.3])
    assert sorted(sorted(s) for tracker in shaded for s in tracker) == [[0, 3], [1, 2]]
