"""String fuses and battery fuses: when, and which standard size."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import FINCH
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.wiring import limits
from rooflayout.wiring.protection import (
    BATTERY_FUSES_A,
    STRING_FUSES_A,
    battery_fuse,
    feed_a,
    needs_fuse,
    string_fuse,
)

RATINGS_A = st.none() | st.floats(1.0, 40.0)


@pytest.mark.parametrize(
    ("in_parallel", "isc_a", "rating_a", "needed"),
    [(2, 10.3, 20.0, False), (3, 10.3, 20.0, True), (3, 5.7, 15.0, False)],
    ids=["fuse-2", "fuse-3", "fuse-3-exempt"],
)
def test_examples(in_parallel: int, isc_a: float, rating_a: float, needed: bool) -> None:
    """fuse-2: a trade magazine's sidebar, READ; fuse-3, fuse-3-exempt: the rule, MEMORY.

    They come out the same with the 1.25 that NEC puts into the sum and without it.
    """
    panel = replace(FINCH, isc_a=isc_a, max_series_fuse_a=rating_a)
    assert needs_fuse(panel, [isc_a] * (in_parallel - 1)) is needed
    assert ((in_parallel - 1) * isc_a > rating_a) is needed


@given(st.floats(0.5, 20.0), RATINGS_A, st.integers(1, 8))
def test_like_strings_as_the_limits_say(isc_a: float, rating_a: float | None, in_parallel: int) -> None:
    panel = replace(FINCH, isc_a=isc_a, max_series_fuse_a=rating_a)
    assert needs_fuse(panel, [isc_a] * (in_parallel - 1)) == limits.needs_string_fuses(panel, in_parallel)


def test_a_small_panel_without_a_rating_beside_a_large_one_needs_a_fuse() -> None:
    """2.4 times its own Isc counts: 16.75 A from a panel of 13.4 A are far above 4.9 A."""
    small = replace(FINCH, isc_a=2.05, max_series_fuse_a=None)
    assert needs_fuse(small, [13.4])
    assert not needs_fuse(small, [2.05])
    assert needs_fuse(small, [2.05, 2.05])


def test_what_unlike_strings_feed_in() -> None:
    """isc-1.25 (an installers' mailing list, so common practice, no source): 12.5 A for 10 A."""
    assert feed_a([10.0]) == 12.5
    panel = replace(FINCH, max_series_fuse_a=15.0)
    assert not needs_fuse(panel, [12.0])
    assert needs_fuse(panel, [12.0, 0.1])


@given(st.floats(0.3, 25.0), RATINGS_A)
def test_string_fuse_is_the_smallest_in_the_window(isc_a: float, rating_a: float | None) -> None:
    """1.5 Isc <= In <= 2.4 Isc and In <= the panel's rating (IEC 62548), In >= 1.5625 Isc (NEC 690.9(B)):
    from memory. Where both cannot be kept, the largest that keeps the first."""
    serving = [
        size
        for size in STRING_FUSES_A
        if 1.5 * isc_a <= size <= 2.4 * isc_a and (rating_a is None or size <= rating_a)
    ]
    both = [size for size in serving if size >= 1.5625 * isc_a]
    choice = string_fuse(isc_a, rating_a)
    assert choice.size_a == (both[0] if both else serving[-1] if serving else None)
    assert bool(choice.why) is not bool(both)


def test_string_fuse_by_the_reference() -> None:
    """isc-1.25: 15.625 A for 10 A, so the next size is 16 A (an installers' mailing list: common practice,
    no source); 690.8(B) and 690.9(B) by a textbook's 156 %, READ."""
    assert string_fuse(10.0, 20.0).size_a == 16.0
    assert string_fuse(10.0, None).size_a == 16.0


def test_string_fuse_in_words() -> None:
    assert string_fuse(10.35, 20.0).size_a == 20.0  # 16 A would be 1.55 times
    span = "from 15.5 A (1.5 times Isc) to 15.0 A (the panel's largest series fuse)"
    assert string_fuse(10.35, 15.0).why == f"no standard string fuse {span}"
    assert string_fuse(0.3, None).why.endswith("to 0.7 A (2.4 times Isc)")


@pytest.mark.parametrize("rating_a", [16.0, 16.1])
def test_string_fuse_between_the_two_rules(rating_a: float) -> None:
    """The panel's 16 A are 1.546 times 10.35 A."""
    choice = string_fuse(10.35, rating_a)
    assert choice.size_a == 16.0
    assert choice.why == (
        "16 A is 1.55 times Isc, enough by IEC 62548 (1.5), too little by NEC 690.9(B) (1.56): no standard "
        "size is up to the panel's largest series fuse"
    )


@pytest.mark.parametrize(
    ("charge_a", "size_a"), [(10, 15), (20, 25), (30, 40), (60, 80), (80, 100), (100, 125)]
)
def test_battery_fuse(charge_a: float, size_a: float) -> None:
    """The next size from 1.25 times the current: by hand from the row."""
    assert battery_fuse(charge_a).size_a == size_a


@given(st.floats(0.1, 600.0))
def test_battery_fuse_is_the_next_size(charge_a: float) -> None:
    serving = [size for size in BATTERY_FUSES_A if size >= 1.25 * charge_a]
    choice = battery_fuse(charge_a)
    assert choice.size_a == (serving[0] if serving else None)
    assert ("the largest is 500 A" in choice.why) is not bool(serving)
