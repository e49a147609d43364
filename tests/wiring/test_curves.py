"""Curves of panels and strings: what a diode, a bypass diode and a data sheet demand of them."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from wired_roofs import DUCK, GOOSE, HERON, PANELS, SWAN, panel

from rooflayout.job import PanelModel
from rooflayout.wiring.curves import (
    BYPASS_DIODE_V,
    USUAL_VOC_PCT_PER_K,
    Curve,
    LitPanel,
    best_power_w,
    five_parameters,
    open_circuit_v,
    panel_curve,
    parallel_curve,
    parameters_of,
    short_circuit_a,
    string_curve,
)


def volts_at(curve: Curve, current_a: float) -> float:
    return float(np.interp(current_a, curve.current_a[::-1], curve.voltage_v[::-1]))


def amps_at(curve: Curve, voltage_v: float) -> float:
    return float(np.interp(voltage_v, curve.voltage_v, curve.current_a))


@pytest.mark.parametrize("model", PANELS, ids=lambda m: m.model)
def test_curve_has_the_data_sheet_in_it(model: PanelModel) -> None:
    lit = LitPanel(model)
    assert model.vmp_v is not None
    assert model.imp_a is not None
    assert open_circuit_v(lit) == pytest.approx(model.voc_v, rel=1e-3)
    assert short_circuit_a(lit) == pytest.approx(model.isc_a, rel=1e-3)
    assert best_power_w(panel_curve(lit)) == pytest.approx(model.vmp_v * model.imp_a, rel=5e-3)
    assert amps_at(panel_curve(lit), model.vmp_v) == pytest.approx(model.imp_a, rel=2e-3)


@given(
    vmp_part=st.floats(0.78, 0.88),
    imp_part=st.floats(0.90, 0.975),
    voc_pct=st.floats(-0.45, -0.2),
    isc_pct=st.floats(0.0, 0.1),
)
@settings(max_examples=200, deadline=None)
def test_any_usual_panel_can_be_fitted(
    vmp_part: float, imp_part: float, voc_pct: float, isc_pct: float
) -> None:
    """Ranges as wide as 5 to 95 % of the 20 946 crystalline panels that pvlib carries (computed): Vmp 0.787
    to 0.836 of Voc, Imp 0.902 to 0.960 of Isc, coefficients of Voc -0.40 to -0.28 %/K, of Isc 0.02 to 0.09;
    and wider towards newer cells."""
    model = panel(
        "x",
        vmp_part * 40.0 * imp_part * 10.0,
        40.0,
        10.0,
        vmp_v=vmp_part * 40.0,
        imp_a=imp_part * 10.0,
        voc_pct_per_k=voc_pct,
        isc_pct_per_k=isc_pct,
    )
    diode = parameters_of(model)
    assert diode.r_s_ohm >= 0.0
    assert diode.r_sh_ohm > 0.0
    assert open_circuit_v(LitPanel(model)) == pytest.approx(40.0, rel=5e-3)
    assert short_circuit_a(LitPanel(model)) == pytest.approx(10.0, rel=5e-3)
    assert best_power_w(panel_curve(LitPanel(model))) == pytest.approx(model.power_w, rel=0.02)
    per_k = (open_circuit_v(LitPanel(model, cell_c=30.0)) - open_circuit_v(LitPanel(model, cell_c=20.0))) / 10
    assert 100 * per_k / 40.0 == pytest.approx(voc_pct, abs=0.01)


@pytest.mark.parametrize(
    ("changes", "voc_v", "isc_a"),
    [
        ({"vmp_v": 36.0, "imp_a": 9.6}, 40.0, 10.0),  # squarer than a diode with this coefficient can be
        ({"vmp_v": 40.0, "imp_a": 10.0}, 40.0, 10.0),  # no diode at all
        ({"vmp_v": 22.0, "imp_a": 9.9}, 40.0, 10.0),
    ],
)
def test_rows_that_no_diode_has_still_get_a_curve(
    changes: dict[str, Any], voc_v: float, isc_a: float
) -> None:
    """Voc, Isc and the coefficient of Voc hold; the most power, which none can meet, within 6 % below."""
    model = panel("odd", 300.0, voc_v, isc_a, **changes)
    assert open_circuit_v(LitPanel(model)) == pytest.approx(voc_v, rel=1e-3)
    assert short_circuit_a(LitPanel(model)) == pytest.approx(isc_a, rel=1e-3)
    warm_v, cool_v = (open_circuit_v(LitPanel(model, cell_c=c)) for c in (30.0, 20.0))
    assert 10 * (warm_v - cool_v) / voc_v == pytest.approx(-0.26, abs=0.01)
    assert best_power_w(panel_curve(LitPanel(model))) > 0.94 * changes["vmp_v"] * changes["imp_a"]


def test_blank_coefficients_are_the_usual_ones() -> None:
    blank = replace(DUCK, voc_pct_per_k=None, isc_pct_per_k=None)
    usual = replace(DUCK, voc_pct_per_k=USUAL_VOC_PCT_PER_K, isc_pct_per_k=0.05)
    assert parameters_of(blank) == parameters_of(usual)


def test_blank_imp_is_power_over_vmp() -> None:
    assert DUCK.vmp_v is not None
    filled = replace(DUCK, imp_a=DUCK.power_w / DUCK.vmp_v)
    assert parameters_of(replace(DUCK, imp_a=None)) == parameters_of(filled)


@pytest.mark.parametrize("name", ["voc_v", "vmp_v", "isc_a"])
def test_blank_figures_are_named(name: str) -> None:
    with pytest.raises(ValueError, match=name):
        parameters_of(replace(DUCK, **{name: None}))


@pytest.mark.parametrize("sun", [50.0, 400.0, 1000.0])
@pytest.mark.parametrize("cell_c", [-20.0, 25.0, 80.0])
def test_points_of_the_curve_solve_the_diode_equation(sun: float, cell_c: float) -> None:
    """Solved point by point with scipy's brentq, in the form I = IL - I0 (e^(Vd/a) - 1) - Vd / Rsh."""
    photo, saturation, r_s, r_sh, a = five_parameters(GOOSE, sun, cell_c)
    curve = panel_curve(LitPanel(GOOSE, sun, cell_c))

    def rest(amps: float, volts: float) -> float:
        diode_v = volts + amps * r_s
        return photo - saturation * math.expm1(diode_v / a) - diode_v / r_sh - amps

    for volts in np.linspace(0.0, 26.0, 14):
        exact = brentq(rest, -200.0, 20.0, args=(volts,), xtol=1e-12)
        assert amps_at(curve, volts) == pytest.approx(exact, abs=1e-3 * abs(exact) + 5e-3)


def test_no_sun_no_voltage_no_current() -> None:
    dark = LitPanel(SWAN, 0.0)
    assert open_circuit_v(dark) == pytest.approx(0.0, abs=1e-9)
    assert short_circuit_a(dark) == pytest.approx(0.0, abs=1e-9)
    assert best_power_w(panel_curve(dark)) == 0.0


def test_alike_panels_in_series_add_their_voltages() -> None:
    one, three = panel_curve(LitPanel(GOOSE)), string_curve([LitPanel(GOOSE)] * 3)
    assert best_power_w(three) == pytest.approx(3 * best_power_w(one), rel=1e-12)
    assert volts_at(three, 5.0) == pytest.approx(3 * volts_at(one, 5.0), rel=1e-12)


@pytest.mark.parametrize("diodes", [1, 3])
def test_a_panel_forced_above_its_current_is_bypassed(diodes: int) -> None:
    """At 9 A, above a Duck's 5.5 A: the two Geese less 0.5 V for each bypass diode of the Duck."""
    string = string_curve([LitPanel(GOOSE), LitPanel(DUCK), LitPanel(GOOSE)], diodes)
    geese = 2 * volts_at(panel_curve(LitPanel(GOOSE)), 9.0)
    assert volts_at(string, 9.0) == pytest.approx(geese - diodes * BYPASS_DIODE_V, abs=1e-3)
    assert volts_at(string, 1.0) > geese  # below its current the Duck adds its voltage


def test_order_in_a_string_does_not_matter() -> None:
    lit = [LitPanel(GOOSE), LitPanel(DUCK, 300.0), LitPanel(HERON, cell_c=60.0)]
    assert best_power_w(string_curve(lit)) == pytest.approx(best_power_w(string_curve(lit[::-1])), rel=1e-12)


def test_alike_strings_in_parallel_add_their_currents() -> None:
    one = string_curve([LitPanel(GOOSE)] * 2)
    assert best_power_w(parallel_curve([one] * 3)) == pytest.approx(3 * best_power_w(one), rel=1e-12)


def test_without_blocking_diodes_the_lower_string_takes_current() -> None:
    """At 40 V, far above a Duck's 23 V: a Heron's current alone, and less than that without diodes."""
    curves = [string_curve([LitPanel(HERON)]), string_curve([LitPanel(DUCK)])]
    heron = amps_at(curves[0], 40.0)
    assert amps_at(parallel_curve(curves, blocking_diodes=True), 40.0) == pytest.approx(heron, rel=1e-3)
    assert amps_at(parallel_curve(curves), 40.0) < 0.0 < heron


def test_nothing_has_no_curve() -> None:
    with pytest.raises(ValueError, match="panel"):
        string_curve([])
    with pytest.raises(ValueError, match="parallel"):
        parallel_curve([])
