"""Conservative scales against every sum of small sizes: what they refuse does not fit."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from test_packing_sets import pieces_and_rules, small_roof

from rooflayout.packing.scales import Scale, Scales, functions, large, plain, shares, steps


def sums_within(length: int, least: int = 1) -> Iterator[tuple[int, ...]]:
    """Every choice of sizes, none below the least, that stay together within a length."""
    yield ()
    for size in range(least, length + 1):
        for rest in sums_within(length - size, size):
            yield (size, *rest)


def is_dual_feasible(scale: Scale, length: int) -> bool:
    return all(sum(map(scale, sizes)) <= scale(length) for sizes in sums_within(length))


@pytest.mark.parametrize("length", range(1, 15))
def test_scaled_sizes_within_a_length_stay_within_the_scaled_length(length: int) -> None:
    scales = [plain, *(shares(length, k) for k in range(1, 9))]
    scales += [make(length, k) for k in range(1, length // 2 + 1) for make in (large, steps)]
    assert all(is_dual_feasible(scale, length) for scale in scales)


def test_a_scale_that_is_not_dual_feasible_is_told_apart() -> None:
    assert not is_dual_feasible(lambda size: size + 1, 6)


def test_functions_differ_on_the_sizes() -> None:
    sizes = (3, 5, 8)
    rows = [tuple(f(s) for s in (*sizes, 10)) for f in functions(10, sizes)]
    assert len(set(rows)) == len(rows)
    assert rows[0] == (3, 5, 8, 10)


def test_two_panels_over_half_of_both_sides_break_a_scale_though_their_area_would_fit() -> None:
    pieces, _ = pieces_and_rules(small_roof())
    assert pieces is not None
    scales = Scales(pieces)
    assert 3 * 2 + 3 * 3 <= 5 * 4
    assert scales.broken([1, 0, 1, 0], 5)  # 3 x 2 and 3 x 3 on 5 x 4
    assert not scales.broken([0, 1, 1, 1], 5)  # these three fit
