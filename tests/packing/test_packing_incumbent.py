"""The best layout so far with its bound, the clock, and the candidates nearest to a layout."""

from __future__ import annotations

import time
from random import Random

import numpy as np
import pytest

from rooflayout.packing.closure import Candidates, free_standing
from rooflayout.packing.incumbent import Clock, Incumbent, Place, places_of
from rooflayout.packing.stock import FIRST_COLUMNS, nearest

A: Place = (0, 10, 20)
B: Place = (1, 500, 20)


def incumbent(floor: int = 0, bound: int = 1000, grain: int = 10) -> tuple[Incumbent, list[tuple[int, int]]]:
    told: list[tuple[int, int]] = []
    clock = Clock(time.monotonic() + 20, lambda: False, lambda watts, bound: told.append((watts, bound)))
    return Incumbent(clock, grain, 0, floor, bound), told


def test_the_first_layout_is_taken_and_then_better_ones_only() -> None:
    inc, told = incumbent(floor=300)
    assert inc.least() == 300  # as much as the floor is enough
    inc.better(300, [A])
    assert (inc.watts, inc.places, inc.least()) == (300, (A,), 310)
    inc.better(300, [B])
    inc.better(290, [B])
    assert inc.places == (A,)
    inc.better(310, [A, B])
    assert inc.watts == 310
    assert inc.places is not None
    assert list(inc.places) == [A, B]
    assert told == [(300, 1000), (310, 1000)]


def test_near_is_a_layout_within_a_share_of_the_bound_and_no_floor() -> None:
    inc, _ = incumbent(floor=990)
    assert not inc.near(0.5)
    inc.better(990, [A])
    assert inc.near(0.01)
    assert not inc.near(0.009)


def test_an_empty_layout_is_a_layout() -> None:
    inc, _ = incumbent()
    inc.better(0, [])
    assert (inc.places, inc.least()) == ((), 10)


def test_bounds_only_come_down_to_what_a_layout_can_have() -> None:
    inc, told = incumbent()
    for bound, left in ((float("inf"), 1000), (2000.0, 1000), (899.9, 890), (895.0, 890), (879.9995, 880)):
        inc.lower(bound)
        assert inc.bound == left
    assert told[-1] == (0, 880)


@pytest.mark.parametrize("grain", [1, 7, 10, 250])
def test_floating_point_costs_no_layout(grain: int) -> None:
    inc, _ = incumbent(grain=grain)
    for n in range(200):
        assert inc.whole(n * grain) == inc.whole(n * grain - 1e-6) == inc.whole(n * grain + 1e-6) == n * grain
        assert inc.whole((n + 1) * grain - 0.01) == n * grain


@pytest.mark.parametrize(
    ("floor", "bound", "found", "settled"),
    [
        (0, 100, None, False),
        (100, 100, None, False),  # a layout of just the floor may be there
        (110, 100, None, True),  # no layout can reach the floor
        (0, 100, 90, False),
        (0, 100, 100, True),
        (0, 90, 100, True),
    ],
)
def test_settled(floor: int, bound: int, found: int | None, settled: bool) -> None:
    inc, _ = incumbent(floor, bound)
    if found is not None:
        inc.better(found, [A])
    assert inc.settled() is settled


@pytest.mark.parametrize(
    ("found", "floor", "watts", "places"),
    [
        (None, 200, 200, None),
        (None, 50, 100, None),  # it is never lowered
        (300, 200, 300, (A,)),
        (300, 300, 300, (A,)),
        (300, 310, 310, None),  # that layout does not matter any more
    ],
)
def test_raise_floor(found: int | None, floor: int, watts: int, places: tuple[Place, ...] | None) -> None:
    inc, _ = incumbent(floor=100)
    if found is not None:
        inc.better(found, [A])
    inc.raise_floor(floor)
    assert (inc.watts, inc.places) == (watts, places)


def test_the_clock_is_over_when_late_or_stopped() -> None:
    def clock(seconds: float, stop: bool) -> Clock:
        return Clock(time.monotonic() + seconds, lambda: stop, lambda watts, bound: None)

    assert not clock(20, False).over()
    assert clock(20, True).over()
    assert clock(-1, False).over()
    assert 19 < clock(20, False).left() <= 20


def random_candidates(random: Random, count: int) -> Candidates:
    kind, x, y = ([random.randint(0, top) for _ in range(count)] for top in (2, 3000, 1500))
    return free_standing(np.array(kind), np.array(x), np.array(y))


@pytest.mark.parametrize("seed", range(20))
def test_nearest_of_the_same_kind(seed: int) -> None:
    random = Random(seed)
    some = random_candidates(random, 30)
    rows = places_of(some, np.arange(30))
    places = [(random.randint(0, 3), random.randint(0, 3000), random.randint(0, 1500)) for _ in range(8)]
    found = nearest(places, some).tolist()
    assert found == sorted(set(found))
    wanted = set()
    for kind, x, y in places:
        far = [(abs(rx - x) + abs(ry - y), i) for i, (k, rx, ry) in enumerate(rows) if k == kind]
        wanted |= {min(far)[1]} if far else set()
    assert set(found) == wanted
    assert nearest(rows, some).tolist() == [i for i, row in enumerate(rows) if rows.index(row) == i]


@pytest.mark.parametrize("count", [0, 1, 30, 199, 200, 401, 5000])
def test_without_places_some_from_everywhere(count: int) -> None:
    found = nearest([], random_candidates(Random(1), count))
    assert len(found) >= min(count, FIRST_COLUMNS)
    assert len(found) < 2 * FIRST_COLUMNS
    assert np.all(np.diff(found) == max(1, count // FIRST_COLUMNS))
    assert count == 0 or count - 1 - found[-1] < max(1, count // FIRST_COLUMNS)


def test_no_candidates_are_near_nothing() -> None:
    nothing = np.zeros(0, dtype=np.int64)
    assert len(nearest([A, B], free_standing(nothing, nothing, nothing))) == 0
    only_kind_0 = free_standing(np.array([0]), np.array([0]), np.array([0]))
    assert nearest([B], only_kind_0).tolist() == []
    assert nearest([A, B], only_kind_0).tolist() == [0]
