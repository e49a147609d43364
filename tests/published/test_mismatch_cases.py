"""Mismatch of unlike panels in series and in parallel: reference cases, and the same by brute force.

Reference: mismatch_reference_cases of the project's references/electrical/modules.json, COMPUTED there
with pvlib 0.16.1 (fit_desoto_batzelis, calcparams_desoto, v_from_i and i_from_v; 25 °C, 1000 W/m², three
bypass diodes of 0.5 V a panel), to 1 % of the power and 1 percentage point of the loss. Brute force: here,
point by point with pvlib's exact solutions, without a line of curves.py.
"""

from __future__ import annotations

import numpy as np
import pvlib
import pytest

from rooflayout.job import PanelModel
from rooflayout.wiring.curves import (
    LitPanel,
    best_power_w,
    panel_curve,
    parallel_curve,
    parameters_of,
    string_curve,
)
from rooflayout.wiring.mismatch import StringPart, loss_pct

VOC_PCT_PER_K, ISC_PCT_PER_K = -0.29, 0.05
BYPASS_DIODES = 3
# Vmp, Imp, Voc, Isc
MODULES = {
    "A": (18.6, 5.38, 22.3, 5.72),
    "B": (18.6, 9.68, 22.3, 10.3),
    "C": (20.6, 5.34, 24.7, 5.68),
    "D": (37.2, 5.38, 44.6, 5.72),
}
# how connected, (module, irradiance) of each, power W, loss %
CASES = [
    ("series", [("A", 1000), ("A", 1000)], 200.36, 0.0),
    ("series", [("A", 1000), ("B", 1000)], 214.91, 23.4),
    ("series", [("A", 1000), ("A", 1000), ("B", 1000)], 314.49, 17.4),
    ("series", [("A", 1000), ("B", 1000), ("B", 1000)], 346.03, 24.9),  # A is bypassed
    ("parallel", [("A", 1000), ("B", 1000)], 280.44, 0.0),
    ("parallel", [("A", 1000), ("C", 1000)], 205.28, 2.4),
    ("parallel", [("A", 1000), ("D", 1000)], 207.96, 30.8),
    ("series", [("A", 1000), ("A", 500)], 107.81, 28.2),
    ("parallel", [("A", 1000), ("A", 500)], 150.13, 0.0),
    ("series", [("A", 1000), ("A", 200)], 92.14, 23.0),  # one bypassed
    ("parallel", [("A", 1000), ("A", 200)], 119.51, 0.15),
    ("series", [("A", 1000), ("A", 1000), ("A", 1000), ("A", 500)], 292.49, 16.6),
]
Case = tuple[str, list[tuple[str, float]], float, float]


def panel(name: str) -> PanelModel:
    v_mp, i_mp, v_oc, i_sc = MODULES[name]
    return PanelModel(
        model=name,
        length_mm=1000,
        width_mm=500,
        power_w=v_mp * i_mp,
        voc_v=v_oc,
        vmp_v=v_mp,
        isc_a=i_sc,
        imp_a=i_mp,
        voc_pct_per_k=VOC_PCT_PER_K,
        isc_pct_per_k=ISC_PCT_PER_K,
    )


def five(name: str, irradiance: float, cell_c: float = 25.0) -> tuple[float, ...]:
    v_mp, i_mp, v_oc, i_sc = MODULES[name]
    fit = pvlib.ivtools.sdm.fit_desoto_batzelis(
        v_mp, i_mp, v_oc, i_sc, ISC_PCT_PER_K / 100 * i_sc, VOC_PCT_PER_K / 100 * v_oc
    )
    found: tuple[float, ...] = pvlib.pvsystem.calcparams_desoto(irradiance, cell_c, **fit)
    return found


def ours_w(how: str, panels: list[tuple[str, float]]) -> float:
    lit = [LitPanel(panel(name), sun) for name, sun in panels]
    if how == "series":
        return best_power_w(string_curve(lit, BYPASS_DIODES))
    return best_power_w(parallel_curve([string_curve([one], BYPASS_DIODES) for one in lit]))


def brute_force_w(how: str, panels: list[tuple[str, float]]) -> float:
    """The most of 40 001 points."""
    if how == "series":
        amps = np.linspace(0.0, 10.4, 40_001)
        volts = sum(
            np.maximum(pvlib.pvsystem.v_from_i(amps, *five(*one)), -0.5 * BYPASS_DIODES) for one in panels
        )
    else:
        volts = np.linspace(0.0, 45.0, 40_001)
        amps = sum(pvlib.pvsystem.i_from_v(volts, *five(*one)) for one in panels)
    return float(np.max(volts * amps))


def each_alone_w(panels: list[tuple[str, float]]) -> float:
    return sum(float(pvlib.pvsystem.singlediode(*five(*one))["p_mp"]) for one in panels)


@pytest.mark.parametrize(("how", "panels", "power_w", "loss"), CASES)
def test_reference_cases(how: str, panels: list[tuple[str, float]], power_w: float, loss: float) -> None:
    ours = ours_w(how, panels)
    assert ours == pytest.approx(power_w, rel=1e-3)  # the reference asks for 1 %
    assert 100 * (1 - ours / each_alone_w(panels)) == pytest.approx(loss, abs=0.1)
    if how == "parallel":
        parts = [StringPart(panel(name), 1, 1, sun) for name, sun in panels]
        assert loss_pct(parts, BYPASS_DIODES) == pytest.approx(loss, abs=0.1)


@pytest.mark.parametrize(("how", "panels", "power_w", "loss"), CASES)
def test_brute_force(how: str, panels: list[tuple[str, float]], power_w: float, loss: float) -> None:
    assert ours_w(how, panels) == pytest.approx(brute_force_w(how, panels), rel=1e-4)


@pytest.mark.parametrize("cell_c", [-20.0, 25.0, 85.0])
@pytest.mark.parametrize("sun", [30.0, 200.0, 1100.0])
@pytest.mark.parametrize("other", ["B", "C", "D"])
def test_parallel_loss_in_other_weather(other: str, sun: float, cell_c: float) -> None:
    """Two strings of three A beside one of the other: brute force at every sun and temperature."""
    volts = np.linspace(0.0, 100.0, 40_001)
    a_amps = pvlib.pvsystem.i_from_v(volts / 3, *five("A", sun, cell_c))
    b_amps = pvlib.pvsystem.i_from_v(volts, *five(other, sun, cell_c))
    alone = np.max(volts * 2 * a_amps) + np.max(volts * b_amps)
    expected = 100 * (1 - np.max(volts * (2 * a_amps + b_amps)) / alone)
    parts = [StringPart(panel("A"), 3, 2, sun, cell_c), StringPart(panel(other), 1, 1, sun, cell_c)]
    assert loss_pct(parts) == pytest.approx(expected, abs=0.02)


def test_fit_of_pvlibs_own_test() -> None:
    """Expected values of pvlib's test of fit_desoto_batzelis (READ, repository at 6382338a)."""
    module = PanelModel(
        model="test",
        length_mm=1,
        width_mm=1,
        power_w=15.27 * 42.57,
        voc_v=50.26,
        vmp_v=42.57,
        isc_a=15.98,
        imp_a=15.27,
        voc_pct_per_k=100 * -0.120624 / 50.26,
        isc_pct_per_k=100 * 0.007351 / 15.98,
    )
    diode = parameters_of(module)
    assert diode.a_v == pytest.approx(1.7257632483733483, rel=1e-6)
    assert diode.photocurrent_a == pytest.approx(15.985408866796396, rel=1e-6)
    assert diode.saturation_a == pytest.approx(3.594308384705643e-12, rel=1e-6)
    assert diode.r_sh_ohm == pytest.approx(389.4379947026243, rel=1e-6)
    assert diode.r_s_ohm == pytest.approx(0.13181590981241956, rel=1e-6)


@pytest.mark.parametrize(
    ("cell_c", "voc_v", "vmp_v", "imp_a", "power_w"),
    [(70.0, 19.346, 15.625, 5.413, 84.58), (-10.0, 24.531, 21.041, 5.314, 111.8)],
)
def test_panel_a_hot_and_cold(
    cell_c: float, voc_v: float, vmp_v: float, imp_a: float, power_w: float
) -> None:
    """ "temperature" of the same reference, COMPUTED with pvlib 0.16.1."""
    curve = panel_curve(LitPanel(panel("A"), cell_c=cell_c))
    watts = curve.voltage_v * curve.current_a
    best = int(np.argmax(watts))
    assert best_power_w(curve) == pytest.approx(power_w, rel=1e-3)
    assert curve.voltage_v[best] == pytest.approx(vmp_v, rel=5e-3)  # flat top: the next sample
    assert curve.current_a[best] == pytest.approx(imp_a, rel=5e-3)
    assert np.interp(0.0, curve.current_a[::-1], curve.voltage_v[::-1]) == pytest.approx(voc_v, rel=1e-3)
