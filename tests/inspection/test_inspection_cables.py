"""Runs and their sizes: a plan worked out by hand holds, and one thing changed is noticed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_plan import (
    ARRAY,
    BATTERY,
    FUSED,
    JOB,
    JOINT,
    RUNS,
    SINGLE,
    STRING,
    the_cabled_plan,
    with_cable,
    with_rating,
    with_run,
)
from hand_made import NAN, codes, texts, with_wiring

from rooflayout.inspection.copper import bunched
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Cable, PanelRules
from rooflayout.needs import Vehicle
from rooflayout.plan import Plan

GOOD = the_cabled_plan()


def test_the_plan_worked_out_by_hand_holds() -> None:
    assert inspect_plan(JOB, GOOD) == []


def test_a_plan_without_runs_and_readings_holds_where_the_job_asks_for_none() -> None:
    bare = with_wiring(GOOD, runs=(), readings=())
    assert inspect_plan(replace(JOB, cable=Cable()), bare) == []
    assert texts(JOB, bare) == ["the job has [cable]; the plan states no cable runs at all"]
    assert codes(JOB, bare) == {"run-missing"}
    assert codes(replace(JOB, cable=Cable(controller_to_battery_mm=900)), bare) == {"run-missing"}


def test_where_nothing_is_wired_no_runs_are_asked_for() -> None:
    none = with_wiring(GOOD, runs=(), readings=(), strings=(), controllers=())
    assert "run-missing" not in codes(JOB, none)


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_a_run_left_out(index: int) -> None:
    left = with_wiring(GOOD, runs=RUNS[:index] + RUNS[index + 1 :])
    assert codes(JOB, left) == {"run-missing"}
    start, end = RUNS[index].start, RUNS[index].end
    assert texts(JOB, left) == [f"0 runs go from {start} to {end}; 1 must"]


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_a_run_twice(index: int) -> None:
    assert codes(JOB, with_wiring(GOOD, runs=(*RUNS, replace(RUNS[index], run="R9")))) == {"run-twice"}


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_a_run_to_the_wrong_end(index: int) -> None:
    assert codes(JOB, with_run(index, end="C1 tracker 3")) == {"run-end"}


def test_an_array_run_from_nowhere() -> None:
    stray = replace(RUNS[ARRAY], run="R9", start="C1 tracker 2 joint")
    assert codes(JOB, with_wiring(GOOD, runs=(*RUNS, stray))) >= {"run-start"}


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_the_current_that_a_run_is_sized_for(index: int) -> None:
    right = RUNS[index].current_a
    for share, breach in ((0.996, False), (1.004, False), (0.99, True), (1.01, True)):
        assert codes(JOB, with_run(index, current_a=right * share)) == ({"stated-value"} if breach else set())
    assert codes(JOB, with_run(index, current_a=NAN)) == set()


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_a_run_shorter_than_the_job_says(index: int) -> None:
    """Its drop is that of the length, so both are stated too small."""
    run, given = RUNS[index], RUNS[index].length_mm
    assert run.drop_v is not None
    assert run.drop_pct is not None
    cut = {"length_mm": 0.9 * given, "drop_v": 0.9 * run.drop_v, "drop_pct": 0.9 * run.drop_pct}
    assert codes(JOB, with_run(index, **cut)) == {"run-length"}
    opened = with_cable(roof_run_mm=None, gland_to_controller_mm=None, controller_to_battery_mm=None)
    assert codes(opened, with_run(index, **cut)) == set()
    assert codes(JOB, with_run(index, length_mm=given - 0.9)) == set()
    assert codes(JOB, with_run(index, length_mm=NAN)) == set()


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_a_thinner_size(index: int) -> None:
    """Of all figures only the size is changed: its drop, and what it carries, do not fit."""
    found = codes(JOB, with_run(index, size_mm2=0.75))
    assert found >= {"run-drop", "run-most-drop"}
    assert found & {"run-current", "run-capacity"}


def test_sizes_are_of_the_rows() -> None:
    assert "run-size" in codes(JOB, with_run(STRING, size_mm2=5.5))
    assert codes(JOB, with_run(STRING, size_awg="9")) == {"run-size"}
    assert codes(JOB, with_run(STRING, size_awg=None)) == set()
    no_metric = {"size_mm2": None, "carries_a": None, "drop_v": None, "drop_pct": None}
    assert codes(JOB, with_run(STRING, **no_metric)) == set()


def test_an_awg_size_is_checked_too() -> None:
    """Fuse of 16 A: No. 14 carries 35 A x sqrt(27/60) = 23.5 A on the roof, terminals take 20 A. Over 5 m it
    loses 2 x 5 x 0.01724/2.081 x 1.275 x 9.8 V, 3.4 %. No. 18 carries 13.4 A, terminals take 10 A."""
    assert codes(JOB, with_run(STRING, size_awg="14")) == {"run-most-drop"}
    assert codes(JOB, with_run(STRING, size_awg="18")) == {"run-most-drop", "run-current", "run-terminal"}
    assert codes(JOB, with_run(BATTERY, size_awg="14")) >= {"run-current"}


@pytest.mark.parametrize(
    ("index", "needed_a"), [(STRING, 20.0), (ARRAY, 38.63), (SINGLE, 12.88), (BATTERY, 50.0)]
)
def test_what_a_run_carries(index: int, needed_a: float) -> None:
    """The fuse where that is more than the design current."""
    assert codes(JOB, with_run(index, carries_a=needed_a)) == set()
    assert "run-current" in codes(JOB, with_run(index, carries_a=needed_a - 0.1))
    assert codes(JOB, with_run(index, carries_a=None)) == set()


def test_what_the_awg_size_is_stated_to_carry() -> None:
    """No. 8 on the roof at 30 + 33 °C: 70 A (33 CFR 183.425 table 5, 90 °C, read) x sqrt(27/60) = 46.96 A;
    by another table 3 % more."""
    assert codes(JOB, with_run(STRING, carries_awg_a=20.0)) == set()
    assert texts(JOB, with_run(STRING, carries_awg_a=19.0)) == [
        "R1 states that it carries 19 A in its AWG size; it must carry 20 A"
    ]
    assert codes(JOB, with_run(STRING, carries_awg_a=48.3)) == set()
    assert codes(JOB, with_run(STRING, carries_awg_a=48.6)) == {"run-capacity"}


def test_what_the_awg_size_is_stated_to_lose() -> None:
    """NEC chapter 9 table 8 (read): No. 8 coated 0.809 ohm per 1000 ft at 75 °C; at 90 °C x 1.2751/1.2162,
    2.783 ohm/km: 2 x 5 m x 9.8 A = 0.273 V, 0.89 % of 30.54 V. Solid copper of 8.37 mm² loses 0.257 V."""
    assert codes(JOB, with_run(STRING, drop_awg_v=0.273, drop_awg_pct=0.89)) == set()
    assert texts(JOB, with_run(STRING, drop_awg_v=0.2)) == [
        "R1 states drop_awg_v 0.2 V; 8 AWG loses 0.26 to 0.32 V over 5 m"
    ]
    assert codes(JOB, with_run(STRING, drop_awg_v=0.35)) == {"run-drop"}
    assert codes(JOB, with_run(STRING, drop_awg_pct=0.7)) == {"run-drop"}
    assert codes(JOB, with_run(STRING, drop_awg_pct=1.2)) == {"run-drop"}


@pytest.mark.parametrize(("index", "right"), [(STRING, 9.8), (ARRAY, 29.4), (SINGLE, 9.8), (BATTERY, 40.0)])
def test_the_current_at_which_a_run_works(index: int, right: float) -> None:
    assert codes(JOB, with_run(index, working_a=right)) == set()
    assert codes(JOB, with_run(index, working_a=right * 1.01)) == {"stated-value"}
    assert codes(JOB, with_run(index, working_a=None)) == set()


def test_without_a_fuse_it_carries_what_the_others_feed_in() -> None:
    """Two others of 12.88 A: 25.75 A. With a panel made for a series fuse of 30 A no fuse is needed."""
    job = with_rating(30.0)
    assert codes(job, with_run(STRING, fuse_a=None, carries_a=25.75)) == set()
    assert codes(job, with_run(STRING, fuse_a=None, carries_a=25.6)) == {"run-current"}


def test_the_air_that_the_job_gives_and_that_of_a_cupboard() -> None:
    """Given 30 °C; else 40 °C outside, 10 K more inside (common practice, no source), 33 K on the roof."""
    for index, given_c, assumed_c in ((ARRAY, 30, 50), (BATTERY, 30, 50), (SINGLE, 63, 73)):
        thin = with_run(index, size_mm2=1.5, size_awg=None, drop_v=None, drop_pct=None, carries_a=None)
        for ambient_c, air_c in ((30.0, given_c), (None, assumed_c)):
            told = texts(with_cable(ambient_c=ambient_c, bundled=6), thin)
            assert any("carries at most" in t and t.endswith(f"in air of {air_c} °C") for t in told), told


def test_no_size_carries_more_than_the_table() -> None:
    """6 mm² lies between No. 10 (5.26 mm², 55 A) and No. 8 (8.37 mm², 70 A): 58.9 A, and 3 % for tables.

    On the roof, at 30 + 33 °C, sqrt((90 - 63)/(90 - 30)) = 0.671 of it is left: 39.5 A or 40.7 A.
    """
    assert codes(JOB, with_run(SINGLE, carries_a=40.5)) == set()
    assert codes(JOB, with_run(SINGLE, carries_a=41.0)) == {"run-capacity"}
    assert codes(JOB, with_run(ARRAY, carries_a=102.0)) == set()  # inside: 16 mm², 106 A
    hot = with_cable(ambient_c=47.0)  # sqrt((90 - 80)/(90 - 30)) = 0.408, so 24.0 A or 24.8 A
    assert "run-capacity" in codes(hot, with_run(SINGLE, carries_a=25.5))
    assert not [t for t in texts(hot, with_run(SINGLE, carries_a=24.5)) if t.startswith("R5")]


def test_bundles_leave_less() -> None:
    """IEC 60364-5-52 table B.52.17 (from memory): 0.8 of two circuits, 0.7 of three. 39.5 A on the roof, 3 %
    for tables: 32.6 A and 28.5 A."""
    assert [bunched(n) for n in (0, 1, 2, 3, 4, 6, 18, 20, 40, 99)] == [
        1,
        1,
        1,
        0.8,
        0.8,
        0.7,
        0.5,
        0.5,
        0.38,
        0.38,
    ]
    for conductors, amps in ((4, 32.6), (6, 28.5)):
        job = with_cable(bundled=conductors)
        told = texts(job, with_run(SINGLE, carries_a=amps + 0.3))
        assert any(f"R5 states that 6.0 mm² carries {amps + 0.3:g} A" in text for text in told)
        assert not [t for t in texts(job, with_run(SINGLE, carries_a=amps - 0.1)) if t.startswith("R5")]
    assert "run-current" in codes(with_cable(bundled=40), with_run(ARRAY, size_mm2=10.0, carries_a=None))


@pytest.mark.parametrize(("least_mm2", "breaches"), [(None, 0), (6.0, 0), (8.0, 4), (10.0, 8)])
def test_conductors_on_the_roof_are_as_thick_as_the_job_asks(least_mm2: float | None, breaches: int) -> None:
    """R1, R2, R3 and R5: 6 mm² or 8 AWG, 8.37 mm²; the runs inside do not count."""
    found = [b for b in inspect_plan(with_cable(least_roof_mm2=least_mm2), GOOD) if b.code == "run-strength"]
    assert len(found) == breaches
    assert {b.where for b in found} <= {"R1", "R2", "R3", "R5"}


@pytest.mark.parametrize("index", range(len(RUNS)))
def test_the_stated_drop(index: int) -> None:
    """Against 1.14 times solid copper; the rows of class 5 tinned lie 1 to 4 % above that."""
    run = RUNS[index]
    for name in ("drop_v", "drop_pct"):
        right = getattr(run, name)
        for share, breach in ((0.95, False), (1.04, False), (0.85, True), (1.2, True)):
            found = codes(JOB, with_run(index, **{name: right * share}))
            assert ("run-drop" in found) is breach, (name, share)
        assert codes(JOB, with_run(index, **{name: None})) == set()


def test_a_path_keeps_to_the_drop() -> None:
    """1.39 % and 0.91 % to the joint and on; 2.22 % of the single string; 1.01 % to the battery."""
    for most_pct, starts in (
        (2.31, []),
        (2.28, ["R1 and R4", "R2 and R4", "R3 and R4"]),
        (2.20, ["R1 and R4", "R2 and R4", "R3 and R4", "R5"]),
        (0.99, ["R1 and R4", "R2 and R4", "R3 and R4", "R5", "R6"]),
    ):
        said = [
            t.partition(" lose ")[0] for t in texts(with_cable(most_drop_pct=most_pct), GOOD) if "met" in t
        ]
        assert said == starts


def test_a_drop_that_is_not_stated_counts_as_in_solid_copper() -> None:
    """1.5 mm² over 8 m: 2 x 8 x 0.017241/1.5 x 1.2751 x 9.8 = 2.298 V of 30.54 V, 7.52 %."""
    thin = with_run(SINGLE, size_mm2=1.5, carries_a=17.0, drop_v=None, drop_pct=None)
    assert codes(JOB, thin) == {"run-most-drop"}
    assert any("lose 7.52 %" in text for text in texts(JOB, thin))


def test_no_conductor_on_a_boat_is_thinner_than_16_awg() -> None:
    """33 CFR 183.425, READ."""
    boat = replace(JOB, vehicle=Vehicle("boat"))
    thin = with_run(SINGLE, size_awg="18", drop_awg_v=None)
    assert "run-strength" in codes(boat, thin)
    assert "R5 has 18 AWG; on a boat no conductor is thinner than 16 AWG" in texts(boat, thin)
    assert "run-strength" not in codes(boat, with_run(SINGLE, size_awg="16"))
    assert "run-strength" not in codes(replace(JOB, vehicle=Vehicle("motor")), thin)
    assert "run-strength" in codes(boat, with_run(SINGLE, size_mm2=1.0))


def test_a_working_current_that_the_catalogue_leaves_blank_is_isc() -> None:
    """10.3 A instead of 9.8 A: 5 % more, within what strands are allowed."""
    blank = replace(JOB, panels=PanelRules((replace(FUSED, imp_a=None),)))
    assert codes(blank, GOOD) == set()
    stronger: Plan = with_run(SINGLE, drop_v=0.678 * 1.1, drop_pct=2.22 * 1.1)
    assert "run-drop" in codes(JOB, stronger)
    assert "run-drop" not in codes(blank, stronger)


def test_names_that_stand_for_nothing_are_no_error() -> None:
    """Other rules report them."""
    assert "run-start" in codes(JOB, with_run(STRING, start="S9"))
    assert "run-start" in codes(JOB, with_run(ARRAY, start=f"no {JOINT}"))
    assert "run-start" in codes(JOB, with_run(BATTERY, start="C9"))
