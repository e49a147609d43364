"""Closure against looking at every pair of places again and again until nothing changes."""

from __future__ import annotations

from dataclasses import fields
from random import Random

import numpy as np
import pytest

from rooflayout.packing.closure import Candidates, closed, free_standing, joined
from rooflayout.packing.kinds import Kind

Box = tuple[int, int, int, int, int]  # facet, x0, y0, x1, y1


def random_kinds(random: Random) -> list[Kind]:
    """Two sizes on each of two facets; pitches are a little more than the sides."""
    sides = [(random.randint(1, 3), random.randint(1, 3)) for _ in range(2)]
    return [Kind(facet, 0, False, w, h, w + 1, h + 1, 10) for facet in (0, 1) for w, h in sides]


def random_candidates(random: Random, kinds: list[Kind], count: int, held: float) -> Candidates:
    """Crowded, so that many touch; held: the share of those that the roof holds."""

    def bools(share: float) -> list[bool]:
        return [random.random() < share for _ in range(count)]

    where = [[random.randint(-8, 8) for _ in range(count)] for _ in range(2)]
    kind = [random.randrange(len(kinds)) for _ in range(count)]
    flags = (bools(0.5), bools(0.5), bools(held), bools(held))
    return Candidates(np.array(kind), *(np.array(v) for v in (*where, *flags)))


def box_of(some: Candidates, kinds: list[Kind], i: int) -> Box:
    kind, x, y = kinds[some.kind[i]], int(some.x_mm[i]), int(some.y_mm[i])
    return kind.facet, x, y, x + kind.pitch_x_mm, y + kind.pitch_y_mm


def holds(a: Box, b: Box, axis: int, low: bool) -> bool:
    """Does a stop b, pushed low (towards the origin) or high, along this axis?"""
    touch = a[3 + axis] == b[1 + axis] if low else a[1 + axis] == b[3 + axis]
    across = 1 - axis
    return a[0] == b[0] and touch and a[1 + across] < b[3 + across] and b[1 + across] < a[3 + across]


def closed_by_hand(some: Candidates, kinds: list[Kind], which: list[int]) -> list[int]:
    boxes = {i: box_of(some, kinds, i) for i in which}
    left = set(which)
    while True:
        gone = set()
        for axis, (lows, helds) in enumerate(((some.low_x, some.held_x), (some.low_y, some.held_y))):
            for i in left:
                alike = [j for j in left if j != i and lows[j] == lows[i]]
                if not helds[i] and not any(holds(boxes[j], boxes[i], axis, bool(lows[i])) for j in alike):
                    gone.add(i)
        if not gone:
            return sorted(left)
        left -= gone


@pytest.mark.parametrize("held", [0.15, 0.4, 0.7])
@pytest.mark.parametrize("seed", range(20))
def test_the_same_places_stay(seed: int, held: float) -> None:
    random = Random(seed)
    kinds = random_kinds(random)
    some = random_candidates(random, kinds, 120, held)
    which = sorted(random.sample(range(120), random.choice((120, 90))))
    found = closed(some, kinds, np.array(which)).tolist()
    assert found == closed_by_hand(some, kinds, which)


def test_the_seeds_drop_some_at_once_some_later_and_keep_some() -> None:
    """Or the comparison above would say nothing."""
    random = Random(3)
    kinds = random_kinds(random)
    some = random_candidates(random, kinds, 120, 0.4)
    once_more = [i for i in range(120) if some.held_x[i] and some.held_y[i]]
    found = closed(some, kinds, np.arange(120)).tolist()
    assert set(once_more) < set(found) < set(range(120))


def chain(facets: tuple[int, int, int], held_first: bool = True) -> tuple[Candidates, list[Kind]]:
    """Three in a row along x, each touching the one before; along y the roof holds them all."""
    kinds = [Kind(facet, 0, False, 10, 10, 10, 10, 10) for facet in (0, 1)]
    yes = np.ones(3, dtype=bool)
    held_x = np.array([held_first, False, False])
    x, y = np.array([0, 10, 20]), np.zeros(3, dtype=np.int64)
    return Candidates(np.array(facets), x, y, yes, yes, held_x, yes), kinds


@pytest.mark.parametrize(
    ("facets", "held_first", "which", "expected"),
    [
        ((0, 0, 0), True, [0, 1, 2], [0, 1, 2]),
        ((0, 0, 0), False, [0, 1, 2], []),  # the first falls, then what leans on it
        ((0, 0, 0), True, [0, 2], [0]),  # what is not among them holds nothing
        ((0, 0, 0), True, [], []),
        ((0, 1, 0), True, [0, 1, 2], [0]),  # another facet is no support
        ((0, 1, 1), True, [0, 1, 2], [0]),
        ((1, 1, 1), True, [0, 1, 2], [0, 1, 2]),
    ],
)
def test_a_chain(
    facets: tuple[int, int, int], held_first: bool, which: list[int], expected: list[int]
) -> None:
    some, kinds = chain(facets, held_first)
    assert closed(some, kinds, np.array(which, dtype=np.int64)).tolist() == expected


def test_a_corner_alone_is_no_support() -> None:
    kinds = [Kind(0, 0, False, 10, 10, 10, 10, 10)]
    yes = np.ones(2, dtype=bool)
    for y, stays in ((10, [0]), (9, [0, 1]), (-10, [0]), (-9, [0, 1])):
        some = Candidates(
            np.zeros(2, dtype=np.int64), np.array([0, 10]), np.array([0, y]), yes, yes, yes.copy(), yes
        )
        some.held_x[1] = False
        assert closed(some, kinds, np.arange(2)).tolist() == stays


def test_free_standing_needs_nothing_and_parts_stay_in_order() -> None:
    random = Random(5)
    kinds = random_kinds(random)
    loose = random_candidates(random, kinds, 10, 0.0)
    free = free_standing(np.array([0, 3]), np.array([500, 900]), np.array([7, -7]))
    both = joined([loose, free])
    assert len(both) == 12
    assert closed(both, kinds, np.arange(12)).tolist()[-2:] == [10, 11]
    for part, rows in ((loose, np.arange(10)), (free, np.arange(12) >= 10)):
        back = both.take(rows)
        assert all(np.array_equal(getattr(back, f.name), getattr(part, f.name)) for f in fields(Candidates))
