"""Fuses, isolators and terminals: right ones hold, and each that breaks a rule is noticed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_plan import (
    ARRAY,
    BATTERY,
    JOB,
    RUNS,
    SINGLE,
    STRING,
    the_cabled_plan,
    with_rating,
    with_run,
)
from hand_made import codes, texts, with_wiring


def test_no_awg_size_carries_more_than_terminals_take() -> None:
    """8 AWG: 50 A, NEC table 310.16 by 110.14(C), from memory; its insulation stands 70 A."""
    assert codes(JOB, with_run(BATTERY, size_awg="8")) == set()
    assert texts(JOB, with_run(BATTERY, size_awg="8", fuse_a=60.0)) == [
        "R6 must carry 60 A; terminals for 75 °C take 50 A with 8 AWG"
    ]


@pytest.mark.parametrize("index", [0, 1, 2])
def test_a_string_fuse(index: int) -> None:
    """From 1.5625 x 10.3 = 16.09 A (NEC 690.9(B), from memory) to the panel's 20 A."""
    for fuse_a, breach in ((16.0, True), (20.0, False), (15.0, True), (25.0, True), (18.0, True)):
        assert codes(JOB, with_run(index, fuse_a=fuse_a)) == ({"run-fuse"} if breach else set()), fuse_a
    assert codes(JOB, with_run(index, fuse_a=None)) == {"run-no-fuse"}


def test_a_string_fuse_where_no_size_keeps_both_rules() -> None:
    """The panel stands 16 A, 1.553 times Isc: IEC 62548 is content from 15.45 A on."""
    for fuse_a, breach in ((16.0, False), (15.0, True), (20.0, True)):
        runs = tuple(replace(r, fuse_a=fuse_a) if r.fuse_a == 20 else r for r in RUNS)
        found = codes(with_rating(16.0), with_wiring(the_cabled_plan(), runs=runs))
        assert found == ({"run-fuse"} if breach else set()), fuse_a


def test_a_string_fuse_is_at_most_so_many_times_isc() -> None:
    """2.4 x 10.3 = 24.7 A, whatever larger fuse the panel stands."""
    assert codes(with_rating(30.0), with_run(STRING, fuse_a=20.0)) == set()
    assert codes(with_rating(30.0), with_run(STRING, fuse_a=25.0)) == {"run-fuse"}


@pytest.mark.parametrize(("rated_a", "needed"), [(25.7, True), (25.8, False), (None, True), (15.0, False)])
def test_when_strings_need_fuses(rated_a: float | None, needed: bool) -> None:
    """25.75 A from two others; of three strings without a rating each; none serves between 15.45 and 15 A."""
    bare = with_wiring(
        the_cabled_plan(), runs=tuple(replace(r, fuse_a=None) if r.kind == "string" else r for r in RUNS)
    )
    assert ("run-no-fuse" in codes(with_rating(rated_a), bare)) is needed


def test_terminals_of_metric_sizes() -> None:
    """70 °C, IEC 60364-5-52 523.1 from memory: 6 mm² 45 A, 10 mm² 65 A; 50 A go to the battery."""
    small = {"drop_v": None, "drop_pct": None, "carries_a": None}
    assert "run-terminal" in codes(JOB, with_run(BATTERY, size_mm2=6.0, **small))
    assert codes(JOB, with_run(BATTERY, size_mm2=10.0, **small)) == set()
    told = [t for t in texts(JOB, with_run(BATTERY, size_mm2=6.0, **small)) if "terminals" in t]
    assert told == ["R6 must carry 50 A; terminals for 70 °C take 45 A with 6.0 mm²"]


def test_a_battery_fuse() -> None:
    """From 1.25 x 40 = 50 A to the 140 A that the cable carries; with 4 AWG terminals take 85 A."""
    for fuse_a, breach in ((50.0, set()), (80.0, set()), (40.0, {"run-fuse"}), (82.0, {"run-fuse"})):
        assert codes(JOB, with_run(BATTERY, fuse_a=fuse_a)) == breach
    assert codes(JOB, with_run(BATTERY, fuse_a=100.0)) == {"run-terminal"}
    assert codes(JOB, with_run(BATTERY, fuse_a=100.0, size_awg=None)) == set()
    assert codes(JOB, with_run(BATTERY, fuse_a=200.0)) == {"run-fuse", "run-current", "run-terminal"}
    assert codes(JOB, with_run(BATTERY, fuse_a=None)) == {"run-no-fuse"}


@pytest.mark.parametrize(
    ("index", "needed"), [(STRING, False), (ARRAY, True), (SINGLE, True), (BATTERY, True)]
)
def test_isolators(index: int, needed: bool) -> None:
    assert codes(JOB, with_run(index, isolator=False)) == ({"run-isolator"} if needed else set())
    assert codes(JOB, with_run(index, isolator=True)) == set()
