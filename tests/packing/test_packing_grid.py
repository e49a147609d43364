"""The point grid against looking at every pair of rectangles."""

from __future__ import annotations

from itertools import combinations
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from rooflayout.packing.closure import free_standing
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import Kind

Box = tuple[int, int, int, int, int]  # facet, x0, y0, x1, y1


def random_grid(seed: int, count: int = 25) -> tuple[PointGrid, list[Box], Random]:
    random = Random(seed)
    kinds = []
    for _ in range(4):
        w, h = random.randint(2, 9), random.randint(2, 9)
        kinds.append(Kind(random.randint(0, 1), 0, False, w, h, w + 1, h + 1, 10))
    chosen = [random.randrange(4) for _ in range(count)]
    xs = [random.randint(-20, 30) for _ in chosen]
    ys = [random.randint(-20, 20) for _ in chosen]
    boxes = [
        (kinds[k].facet, x, y, x + kinds[k].pitch_x_mm, y + kinds[k].pitch_y_mm)
        for k, x, y in zip(chosen, xs, ys, strict=True)
    ]
    return PointGrid(free_standing(np.array(chosen), np.array(xs), np.array(ys)), kinds), boxes, random


def overlap(a: Box, b: Box) -> bool:
    return a[0] == b[0] and a[1] < b[3] and b[1] < a[3] and a[2] < b[4] and b[2] < a[4]


def points_of(grid: PointGrid, i: int) -> set[tuple[int, int]]:
    return {(p, q) for p in range(grid.left[i], grid.right[i]) for q in range(grid.low[i], grid.high[i])}


@pytest.mark.parametrize("seed", range(12))
def test_two_overlap_exactly_when_they_share_a_point(seed: int) -> None:
    grid, boxes, _ = random_grid(seed)
    shared = {(i, j): points_of(grid, i) & points_of(grid, j) for i, j in combinations(range(len(boxes)), 2)}
    assert all(bool(points) == overlap(boxes[i], boxes[j]) for (i, j), points in shared.items())


@pytest.mark.parametrize("seed", range(12))
def test_overlaps_names_a_common_point_of_each_pair(seed: int) -> None:
    grid, boxes, random = random_grid(seed)
    which = np.array(sorted(random.sample(range(len(boxes)), 12)))
    found = set(grid.overlaps(which))
    pairs = [(i, j) for i, j in combinations(which.tolist(), 2) if overlap(boxes[i], boxes[j])]
    assert all(found & points_of(grid, i) & points_of(grid, j) for i, j in pairs)
    assert all(any(p in points_of(grid, i) & points_of(grid, j) for i, j in pairs) for p in found)


@pytest.mark.parametrize("seed", range(12))
def test_cover_sums_and_at(seed: int) -> None:
    grid, boxes, random = random_grid(seed)
    which = np.array(sorted(random.sample(range(len(boxes)), 10)))
    weights = np.array([random.random() for _ in which])
    plain: NDArray[np.float64] = np.zeros(grid.shape)
    for i, weight in zip(which.tolist(), weights, strict=True):
        for point in points_of(grid, i):
            plain[point] += weight
    assert np.allclose(grid.cover(which, weights), plain)
    everyone = np.arange(len(boxes))
    points = np.array([(random.randrange(grid.shape[0]), random.randrange(grid.shape[1])) for _ in range(15)])
    values = np.array([random.random() for _ in points])
    sums = [
        sum(v for p, v in zip(points.tolist(), values, strict=True) if tuple(p) in points_of(grid, i))
        for i in everyone.tolist()
    ]
    assert np.allclose(grid.sums(points, values), sums)
    assert np.allclose(grid.sums(points, values, which), np.array(sums)[which])
    assert np.allclose(grid.sums(points[:0], values[:0]), 0)
    for p in points.tolist():
        assert grid.at((p[0], p[1]), which).tolist() == [i for i in which if tuple(p) in points_of(grid, i)]
    for i in everyone.tolist():
        inside = [n for n, p in enumerate(points.tolist()) if tuple(p) in points_of(grid, i)]
        assert np.nonzero(grid.covers(points, np.array([i]))[:, 0])[0].tolist() == inside


def test_a_point_covered_twice_is_counted_twice() -> None:
    grid, _, _ = random_grid(3)
    twice = grid.cover(np.array([4, 4]), np.array([1.0, 1.0]))
    assert np.array_equal(twice, 2 * grid.cover(np.array([4]), np.array([1.0])))


@pytest.mark.parametrize("seed", range(12))
def test_packed_or_not_the_same_points_are_covered(seed: int) -> None:
    grid, boxes, random = random_grid(seed)
    points = np.array([[random.randrange(n) for n in grid.shape] for _ in range(40)])
    which = np.array(random.sample(range(len(boxes)), 19))
    covers = [[tuple(point) in points_of(grid, i) for i in which.tolist()] for point in points.tolist()]
    assert np.array_equal(grid.covers(points, which), covers)
    assert np.array_equal(grid.covers_packed(points, which), np.packbits(covers, axis=1))
