"""Conductors: the tables in order, and capacity that falls with heat, bundles and poorer insulation."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.wiring.conductors import (
    AWG,
    AWG_TERMINAL_A,
    METRIC,
    Laid,
    ambient_factor,
    bundle_factor,
    capacity_a,
    cfr_bundle_factor,
    drop_v,
    insulation_a,
)

ROWS = [METRIC, AWG]
SIZES = st.sampled_from([*METRIC, *AWG])
AIRS_C = st.floats(-20.0, 120.0)
INSULATIONS_C = st.floats(40.0, 220.0)


@pytest.mark.parametrize("row", ROWS, ids=["metric", "AWG"])
def test_thicker_loses_less_and_carries_more(row: tuple[object, ...]) -> None:
    sizes = METRIC if row is METRIC else AWG
    for thin, thick in pairwise(sizes):
        assert thick.ohm_per_km_20c < thin.ohm_per_km_20c
        assert all(a < b for a, b in zip(thin.table_a, thick.table_a, strict=True))
        assert all(a <= b for a, b in pairwise(thick.table_a))
        assert len(thick.table_a) == len(thick.classes_c)


def test_labels() -> None:
    assert [METRIC[0].label, METRIC[2].label, AWG[4].label, AWG[-1].label] == [
        "1.5 mm²",
        "4 mm²",
        "10 AWG",
        "4/0 AWG",
    ]


@given(SIZES, AIRS_C, AIRS_C, INSULATIONS_C, st.integers(1, 50))
def test_hotter_air_never_carries_more(a_size, air_c, other_c, insulation_c, bundled) -> None:  # type: ignore[no-untyped-def]
    cool_c, hot_c = sorted((air_c, other_c))
    hot_a = capacity_a(a_size, Laid(hot_c, insulation_c, bundled))
    assert hot_a <= capacity_a(a_size, Laid(cool_c, insulation_c, bundled))
    assert hot_a <= max(a_size.table_a)


@given(SIZES, AIRS_C, INSULATIONS_C, INSULATIONS_C)
def test_better_insulation_never_carries_less(a_size, air_c, insulation_c, other_c) -> None:  # type: ignore[no-untyped-def]
    poor_c, good_c = sorted((insulation_c, other_c))
    assert capacity_a(a_size, Laid(air_c, poor_c)) <= capacity_a(a_size, Laid(air_c, good_c)) * (1 + 1e-12)


@given(st.integers(1, 100))
def test_fuller_bundles_never_carry_more(bundled: int) -> None:
    assert 0.0 < bundle_factor(bundled + 1) <= bundle_factor(bundled) <= 1.0


def test_insulation_below_every_table_carries_nothing() -> None:
    assert capacity_a(METRIC[3], Laid(20.0, 55.0)) == 0.0


def test_air_as_hot_as_the_insulation_stands_carries_nothing() -> None:
    assert capacity_a(METRIC[3], Laid(90.0, 90.0)) == 0.0
    assert capacity_a(METRIC[3], Laid(95.0, 90.0)) == 0.0


def test_cool_air_gives_no_more_than_the_table() -> None:
    assert insulation_a(METRIC[3], Laid(0.0, 90.0)) == 50.0


def test_insulation_between_classes_counts_as_the_lower() -> None:
    assert capacity_a(METRIC[3], Laid(50.0, 100.0)) == capacity_a(METRIC[3], Laid(50.0, 90.0))
    assert capacity_a(METRIC[3], Laid(50.0, 85.0)) < capacity_a(METRIC[3], Laid(50.0, 90.0))


def test_no_ambient_factor_for_copper_as_cool_as_the_base() -> None:
    with pytest.raises(ValueError, match="gives off no heat"):
        ambient_factor(30.0, 20.0)


def test_drop_goes_with_length_and_current() -> None:
    one_v = drop_v(METRIC[2], 1000.0, 1.0, 90.0)
    assert drop_v(METRIC[2], 7000.0, 3.0, 90.0) == pytest.approx(21 * one_v)


def test_awg_bundles_by_their_own_rule_where_it_is_stricter() -> None:
    """33 CFR 183.425 and ABYC E-11, from memory: 0.7 for three, 0.6 to six, 0.5 to 24 conductors."""
    assert [cfr_bundle_factor(n) for n in (1, 2, 3, 4, 6, 7, 24, 25)] == [1, 1, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4]
    alone, four = (insulation_a(AWG[4], Laid(30.0, 90.0, n)) for n in (1, 4))
    assert four == pytest.approx(0.6 * alone)


def test_awg_sizes_carry_what_terminals_for_75_c_take() -> None:
    """NEC 110.14(C) with table 310.16, from memory: 6 AWG 65 A, though its insulation for 90 °C stands 100 A
    (33 CFR 183.425, READ) in air of 30 °C. In hot air insulation decides."""
    six = AWG[6]
    assert (six.awg, insulation_a(six, Laid(30.0, 90.0)), capacity_a(six, Laid(30.0, 90.0))) == ("6", 100, 65)
    assert (
        capacity_a(six, Laid(80.0, 90.0))
        == insulation_a(six, Laid(80.0, 90.0))
        == pytest.approx(100 / 6**0.5)
    )


def test_metric_sizes_carry_what_terminals_for_70_c_take() -> None:
    """IEC 60364-5-52 523.1 with ISO 10133, both from memory: 4 mm² is no cable for a fuse of 40 A, though
    insulation for 90 °C stands it."""
    four, sixteen = METRIC[2], METRIC[5]
    assert (insulation_a(four, Laid(25.0, 90.0)), capacity_a(four, Laid(25.0, 90.0))) == (40, 35)
    assert (insulation_a(sixteen, Laid(30.0, 90.0)), capacity_a(sixteen, Laid(30.0, 90.0))) == (100, 90)
    assert capacity_a(four, Laid(60.0, 90.0)) == insulation_a(four, Laid(60.0, 90.0))


def test_thin_awg_sizes_carry_no_more_than_their_fuse_may_be() -> None:
    """NEC 240.4(D), from memory: 14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A, however much the copper could."""
    by_name = {s.name: capacity_a(s, Laid(30.0, 90.0)) for s in AWG}
    assert [by_name[name] for name in ("18", "16", "14", "12", "10")] == [7, 10, 15, 20, 30]


def test_terminals_take_more_of_thicker_sizes_and_no_more_than_the_us_law() -> None:
    """The column from memory beside the one for 75 °C of 33 CFR 183.425, READ, for conductors in free air."""
    taken = [AWG_TERMINAL_A[s.name] for s in AWG]
    assert taken == sorted(taken)
    assert all(AWG_TERMINAL_A[s.name] <= s.table_a[1] for s in AWG)


def test_areas() -> None:
    """ASTM B258, from memory, beside circular mils (0.506707e-3 mm²) of NEC chapter 9 table 8, READ."""
    areas = {s.name: s.area_mm2 for s in (*METRIC, *AWG)}
    assert areas["10"] == pytest.approx(10380 * 0.506707e-3, rel=0.001)
    assert areas["4/0"] == pytest.approx(211600 * 0.506707e-3, rel=0.001)
    assert METRIC[2].area_mm2 == 4.0
