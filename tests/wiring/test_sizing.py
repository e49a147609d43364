"""The smallest size that serves one cable, how a drop is shared, and the words for it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.wiring.conductors import AWG, METRIC, Laid, Size, capacity_a
from rooflayout.wiring.sizing import Need, carries, change, drop_pct, shares_pct, smallest, why, within_drop

COOL = Laid(30.0, 90.0)
NEEDS = st.builds(
    Need,
    carry_a=st.floats(1.0, 300.0),
    working_a=st.floats(1.0, 200.0),
    length_mm=st.floats(0.0, 50_000.0),
    voltage_v=st.floats(10.0, 120.0),
    laid=st.builds(
        Laid, st.floats(20.0, 85.0), st.sampled_from([60.0, 75.0, 90.0, 105.0]), st.integers(1, 8)
    ),
)
ROWS = st.sampled_from([METRIC, AWG])


@given(ROWS, NEEDS, st.floats(0.1, 10.0))
def test_every_thinner_size_fails_and_every_thicker_serves(
    sizes: tuple[Size, ...], need: Need, allowed_pct: float
) -> None:
    chosen = smallest(sizes, need, allowed_pct)
    serving = [
        s
        for s in sizes
        if need.carry_a <= capacity_a(s, need.laid) * (1 + 1e-9)
        and drop_pct(s, need) <= allowed_pct * (1 + 1e-9)
    ]
    assert serving == ([] if chosen is None else list(sizes[sizes.index(chosen) :]))


def need(
    carry_a: float, working_a: float, length_mm: float, voltage_v: float = 12.0, laid: Laid = COOL
) -> Need:
    return Need(carry_a, working_a, length_mm, voltage_v, laid)


def test_an_equality_serves() -> None:
    exact = need(45.0, 10.0, 1000.0)  # terminals for 70 °C
    assert carries(METRIC[3], exact)
    assert within_drop(METRIC[3], exact, drop_pct(METRIC[3], exact))
    assert not carries(METRIC[3], need(45.001, 10.0, 1000.0))


def test_a_lone_string_may_lose_it_all() -> None:
    assert shares_pct(METRIC, [need(12.5, 10.0, 5000.0)], None, 3.0) == (3.0, 0.0)


def test_shared_by_length() -> None:
    strings = [need(12.5, 10.0, 6000.0), need(12.5, 10.0, 2000.0)]
    assert shares_pct(METRIC, strings, need(25.0, 20.0, 3000.0), 3.0) == pytest.approx((2.0, 1.0))
    nothing = [need(12.5, 10.0, 0.0)]
    assert shares_pct(METRIC, nothing, need(25.0, 20.0, 0.0), 3.0) == (3.0, 0.0)


def test_an_array_too_thick_gets_the_thickest_and_the_strings_the_rest() -> None:
    array = need(100.0, 100.0, 5000.0)
    thickest_pct = drop_pct(METRIC[-1], array)
    string_pct, array_pct = shares_pct(METRIC, [need(12.5, 10.0, 200.0)], array, thickest_pct + 0.05)
    assert (string_pct, array_pct) == pytest.approx((0.05, thickest_pct))


def test_words() -> None:
    by_current = need(35.0, 1.0, 1000.0)
    assert (
        why(METRIC, smallest(METRIC, by_current, 3.0), by_current, 3.0)
        == "current at 30 °C: 35.0 A of 35.0 A"
    )
    assert why(METRIC, METRIC[2], by_current, 3.0, 35.0) == "fuse at 30 °C: 35.0 A of 35.0 A"
    huge = need(500.0, 1.0, 1000.0)
    assert why(METRIC, None, huge, 3.0) == "no size: 95 mm² carries 310.0 A at 30 °C, 500.0 A needed"


def test_changes_that_let_a_cable_carry() -> None:
    bundle = need(290.0, 1.0, 1.0, laid=Laid(30.0, 105.0, 6))
    told = change(METRIC, bundle, [bundle], None, 3.0)
    assert told.startswith("laid apart from other cables one would carry it, or 2 x 95 mm² side by side ")
    better = need(280.0, 1.0, 1.0, laid=Laid(30.0, 90.0, 4))
    assert change(METRIC, better, [better], None, 3.0).startswith("insulation that stands 105 °C would")
    beyond = need(900.0, 1.0, 1.0)
    assert change(METRIC, beyond, [beyond], None, 3.0).startswith("divide it among more controllers")


def test_each_way_out_of_too_much_drop_is_said() -> None:
    """By hand: 95 mm² loses 4.5 % where 3 % is allowed: two thirds of the way, half again the volts, two."""
    far = need(10.0, 10.0, 1000.0)
    long = need(10.0, 10.0, 1000.0 * 4.5 / drop_pct(METRIC[-1], far))
    told = change(METRIC, long, [long], None, 3.0, lambda times: f"at {times:.2f} times the voltage")
    metres = long.length_mm / 1000
    assert told == (
        f"95 mm² would do for {int(metres * 20 / 3) / 10:.1f} m instead of {metres:g} m, "
        "or where 4.5 % may be lost, or at 1.50 times the voltage, or 2 x 95 mm² side by side all the way"
    )


def test_the_length_told_is_the_runs_own() -> None:
    """A string of 190 m and 4.4 m from the joint on, at the same current: each may keep the same share."""
    string, array = need(10.0, 10.0, 190_000.0), need(10.0, 10.0, 4_400.0)
    whole_pct = drop_pct(METRIC[-1], need(10.0, 10.0, 194_400.0))
    for own, metres in ((string, 190.0), (array, 4.4)):
        told = change(METRIC, own, [string], array, 3.0)
        reach_m = int(10 * metres * 3.0 / whole_pct) / 10
        alike = "and the rest of the way shortened alike"
        assert told.startswith(f"95 mm² would do for {reach_m:.1f} m instead of {metres:g} m {alike}, or ")


def test_no_more_than_three_cables_side_by_side() -> None:
    far = need(10.0, 10.0, 1000.0)
    for times, words in ((2.9, "3 x 95 mm² side by side all the way"), (3.1, None)):
        long = need(10.0, 10.0, 1000.0 * 3.0 * times / drop_pct(METRIC[-1], far))
        told = change(METRIC, long, [long], None, 3.0)
        assert told.endswith(words) if words else "side by side" not in told


@given(NEEDS, st.integers(2, 3))
def test_cables_side_by_side_carry_what_is_said(need_of: Need, together: int) -> None:
    """Each has its share, in a bundle that is so many times larger."""
    served = carries(METRIC[-1], need_of)
    told = "" if served else change(METRIC, need_of, [need_of], None, 3.0)
    if served or f"{together} x 95 mm² side by side" not in told:
        return
    bundled = Laid(need_of.laid.ambient_c, need_of.laid.insulation_c, need_of.laid.bundled * together)
    assert need_of.carry_a <= together * capacity_a(METRIC[-1], bundled) * (1 + 1e-9)
