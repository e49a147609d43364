"""What a meter should read, and how far off it may be."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import pytest
from cabled_roofs import FINCH, wired
from scipy.optimize import brentq

from rooflayout.job import Bench, KeptPanel, PanelModel, PanelRules
from rooflayout.plan import MeterReading
from rooflayout.wiring.bench import (
    BLANK_VOC_PCT_PER_K,
    USUAL_CELL_C,
    USUAL_SUN_W_M2,
    bench_conditions,
    isc_tolerance_pct,
    meter_readings,
    voc_tolerance_pct,
)
from rooflayout.wiring.curves import LitPanel, five_parameters, open_circuit_v

JOB, PANELS, WIRING = wired([[[(FINCH, 1)], [(FINCH, 2), (FINCH, 2)]]])  # S1 alone; S2 and S3 in parallel


def readings(sun: float = 800.0, cell_c: float = 45.0) -> tuple[MeterReading, ...]:
    return meter_readings(JOB, WIRING, sun, cell_c)


def test_at_standard_test_conditions_the_data_sheet_is_read() -> None:
    one, two, three = readings(1000.0, 25.0)
    assert one.voc_v == pytest.approx(24.0, rel=1e-3)
    assert two.voc_v == three.voc_v == pytest.approx(48.0, rel=1e-3)
    assert [r.isc_a for r in (one, two, three)] == pytest.approx([10.0] * 3, rel=1e-3)


def test_conditions_are_stated_and_the_usual_ones_are_800_and_45() -> None:
    assert meter_readings(JOB, WIRING) == readings(800.0, 45.0)
    assert {(r.irradiance_w_m2, r.cell_c) for r in readings(650.0, 31.0)} == {(650.0, 31.0)}
    assert [r.string for r in readings()] == ["S1", "S2", "S3"]


@pytest.mark.parametrize("sun", [200.0, 800.0, 1100.0])
@pytest.mark.parametrize("cell_c", [0.0, 45.0, 70.0])
def test_isc_goes_with_the_sun_and_its_coefficient(sun: float, cell_c: float) -> None:
    """IEC 60891 (from memory): Isc x G / 1000 x (1 + 0.00045 x (T - 25)); within 0.2 %."""
    by_hand = 10.0 * sun / 1000.0 * (1.0 + 0.00045 * (cell_c - 25.0))
    assert readings(sun, cell_c)[0].isc_a == pytest.approx(by_hand, rel=2e-3)


@pytest.mark.parametrize("cell_c", [0.0, 45.0, 70.0])
def test_voc_goes_with_its_coefficient(cell_c: float) -> None:
    """By hand: 24 V x (1 - 0.0026 x (T - 25)); the diode's curve bends a little, within 0.5 %."""
    assert readings(1000.0, cell_c)[0].voc_v == pytest.approx(24 * (1 - 0.0026 * (cell_c - 25)), rel=5e-3)


def test_voc_goes_with_the_logarithm_of_the_sun() -> None:
    """Each halving costs a x ln 2, beside what little the shunt resistance changes."""
    a_v = five_parameters(FINCH, 1000.0, 45.0)[4]
    full, half, quarter = (readings(sun)[0].voc_v for sun in (1000.0, 500.0, 250.0))
    assert full - half == pytest.approx(a_v * math.log(2), rel=0.02)
    assert half - quarter == pytest.approx(a_v * math.log(2), rel=0.02)


@pytest.mark.parametrize(("sun", "cell_c"), [(800.0, 45.0), (300.0, 10.0), (1050.0, 68.0)])
def test_readings_solve_the_diode_equation(sun: float, cell_c: float) -> None:
    """With scipy's brentq: no current at Voc, no voltage at Isc."""
    photo, saturation, r_s, r_sh, a = five_parameters(FINCH, sun, cell_c)

    def amps(diode_v: float) -> float:
        return photo - saturation * math.expm1(diode_v / a) - diode_v / r_sh

    voc_v = brentq(amps, 0.0, 30.0, xtol=1e-12)
    isc_a = amps(brentq(lambda diode_v: diode_v - amps(diode_v) * r_s, 0.0, 30.0, xtol=1e-12))
    one, two, _ = readings(sun, cell_c)
    assert (one.voc_v, one.isc_a) == pytest.approx((voc_v, isc_a), rel=1e-9)
    assert (two.voc_v, two.isc_a) == pytest.approx((2 * voc_v, isc_a), rel=1e-9)


def test_ranges_are_the_tolerances() -> None:
    (one, *_) = readings()
    voc_pct, isc_pct = voc_tolerance_pct(FINCH, 800.0, 45.0), isc_tolerance_pct()
    assert (one.voc_low_v, one.voc_high_v) == pytest.approx(
        (one.voc_v * (1 - voc_pct / 100), one.voc_v * (1 + voc_pct / 100))
    )
    assert (one.isc_low_a, one.isc_high_a) == pytest.approx(
        (one.isc_a * (1 - isc_pct / 100), one.isc_a * (1 + isc_pct / 100))
    )


def test_tolerances() -> None:
    """Isc: the root of 3² + 2² + 5² is 6.16 %. Voc: 3, 1, some 0.2 (sun) and 1.4 (5 K) % make less than 5."""
    assert isc_tolerance_pct() == pytest.approx(6.164, abs=1e-3)
    assert voc_tolerance_pct(FINCH, 800.0, 45.0) == 5.0
    assert voc_tolerance_pct(FINCH, 0.0, 45.0) == 5.0


def test_a_blank_coefficient_widens_the_range_where_it_matters() -> None:
    blank = replace(FINCH, voc_pct_per_k=None)
    assert voc_tolerance_pct(blank, 1000.0, 25.0) == 5.0
    far_c = 105.0
    assert voc_tolerance_pct(blank, 1000.0, far_c) > math.hypot(3.0, 1.0, BLANK_VOC_PCT_PER_K * 80.0) > 5.0


def test_a_missing_panel_is_outside_the_range() -> None:
    one, two, _ = readings()
    assert one.voc_high_v < two.voc_low_v
    assert two.voc_v - one.voc_v < two.voc_low_v


def test_kept_panels_have_readings_too() -> None:
    job = replace(JOB, panels=PanelRules(()), kept=(KeptPanel(FINCH, "main", 0, 0),))
    assert meter_readings(job, WIRING) == readings()


def test_no_sun_and_less() -> None:
    assert readings(0.0)[0].voc_v == pytest.approx(0.0, abs=1e-9)
    with pytest.raises(ValueError, match="below zero"):
        readings(-1.0)


def test_conditions_are_the_jobs_else_the_usual_ones() -> None:
    assert bench_conditions(JOB) == (USUAL_SUN_W_M2, USUAL_CELL_C)
    assert bench_conditions(replace(JOB, bench=Bench(650.0))) == (650.0, USUAL_CELL_C)
    given = replace(JOB, bench=Bench(650.0, 31.0))
    assert meter_readings(given, WIRING) == readings(650.0, 31.0)
    assert meter_readings(given, WIRING, 800.0, 45.0) == readings()


def test_half_the_sun_lowers_voc_by_some_three_per_cent() -> None:
    """What the bench sheet says; 2 to 3.5 % for the invented catalogues of the examples, by their curves."""
    path = Path(__file__).parents[2] / "roofs" / "catalogue" / "panels.csv"
    with path.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            panel = PanelModel(
                row["model"], 1000, 500, float(row["power_w"]),
                voc_v=float(row["voc_v"]), vmp_v=float(row["vmp_v"]),
                isc_a=float(row["isc_a"]), imp_a=float(row["imp_a"]),
                voc_pct_per_k=float(row["voc_pct_per_k"]) if row["voc_pct_per_k"] else None,
            )  # fmt: skip
            full, half = (open_circuit_v(LitPanel(panel, sun, 45.0)) for sun in (800.0, 400.0))
            assert 0.02 <= 1.0 - half / full <= 0.035, row["model"]
