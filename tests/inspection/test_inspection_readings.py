"""Meter readings: what a plan states, against the data sheet's coefficients."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_plan import JOB, READINGS, the_cabled_plan, with_reading
from hand_made import NAN, codes, texts, with_wiring

from rooflayout.job import Bench

GOOD = the_cabled_plan()


def test_each_string_has_a_reading() -> None:
    assert texts(JOB, with_wiring(GOOD, readings=READINGS[1:])) == [
        "0 meter readings are stated for S1; 1 must be"
    ]
    assert codes(JOB, with_wiring(GOOD, readings=(*READINGS, READINGS[0]))) == {"reading-missing"}
    assert codes(JOB, with_wiring(GOOD, readings=())) == set()


def test_where_the_job_gives_sun_or_cells_there_must_be_readings() -> None:
    none = with_wiring(GOOD, readings=())
    for bench in (Bench(800.0, None), Bench(None, 45.0)):
        assert texts(replace(JOB, bench=bench), none) == [
            "the job has [bench]; the plan states no meter readings of the strings at all"
        ]
    assert codes(replace(JOB, bench=Bench(800.0, 45.0)), GOOD) == set()
    unwired = with_wiring(none, strings=(), controllers=(), runs=())
    assert "reading-missing" not in codes(replace(JOB, bench=Bench(800.0, 45.0)), unwired)


def test_readings_are_for_the_jobs_sun_and_cells() -> None:
    assert codes(replace(JOB, bench=Bench(800.0, 45.0)), GOOD) == set()
    assert codes(replace(JOB, bench=Bench(750.0, None)), GOOD) == {"reading-conditions"}
    assert codes(replace(JOB, bench=Bench(None, 44.0)), GOOD) == {"reading-conditions"}


@pytest.mark.parametrize(
    ("share", "breach"), [(1.0, False), (0.967, False), (1.033, False), (0.96, True), (1.04, True)]
)
def test_voc(share: float, breach: bool) -> None:
    """45.71 V by hand; within 3 % and 3 % for each e-fold of sun: 3.67 %."""
    changed = with_reading(0, voc_v=45.71 * share)
    assert codes(JOB, changed) == ({"reading"} if breach else set())


@pytest.mark.parametrize(
    ("share", "breach"), [(1.0, False), (0.981, False), (1.019, False), (0.975, True), (1.025, True)]
)
def test_isc(share: float, breach: bool) -> None:
    changed = with_reading(0, isc_a=8.322 * share)
    assert codes(JOB, changed) == ({"reading"} if breach else set())


def test_the_text_names_stated_and_right() -> None:
    wild = with_reading(0, voc_v=60.0, voc_low_v=57.0, voc_high_v=63.0)
    assert texts(JOB, wild) == ["S1 states voc_v 60 V; at 800 W/m² and cells at 45 °C it is 45.71 V"]


@pytest.mark.parametrize(("sun", "cell_c"), [(1000.0, 45.0), (800.0, 25.0), (400.0, 45.0)])
def test_other_conditions_give_other_readings(sun: float, cell_c: float) -> None:
    assert codes(JOB, with_reading(1, irradiance_w_m2=sun, cell_c=cell_c)) == {"reading"}


@pytest.mark.parametrize(
    ("changes", "breach"),
    [
        ({"voc_low_v": 45.72}, True),
        ({"voc_low_v": 38.84}, True),
        ({"voc_low_v": 38.87}, False),
        ({"voc_high_v": 45.70}, True),
        ({"voc_high_v": 52.6}, True),
        ({"isc_low_a": 7.0}, True),
        ({"isc_low_a": 8.4}, True),
        ({"isc_high_a": 8.3}, True),
        ({"isc_high_a": 9.6}, True),
        ({"isc_high_a": 9.56}, False),
    ],
)
def test_the_range_that_is_in_order(changes: dict[str, float], breach: bool) -> None:
    assert codes(JOB, with_reading(2, **changes)) == ({"reading-range"} if breach else set())


@pytest.mark.parametrize("field", ["voc_v", "isc_a", "voc_low_v", "isc_high_a", "irradiance_w_m2", "cell_c"])
def test_a_figure_that_is_not_stated_is_passed_over(field: str) -> None:
    assert codes(JOB, with_reading(0, **{field: NAN})) == set()


def test_no_sun_is_no_error() -> None:
    """Nothing is read in the dark; nothing can be worked out by the logarithm of nought."""
    assert codes(JOB, with_reading(0, irradiance_w_m2=0.0)) == set()
    assert codes(JOB, with_reading(0, irradiance_w_m2=5e-324)) == {"reading"}
