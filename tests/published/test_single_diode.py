"""Our straight-line voltages against pvlib's single-diode model (De Soto, fitted after Batzelis).

The line that standards use for Voc is a shade above the diode's curve in the cold, and our hot Vmp a
shade below it: both err to the safe side.
"""

from __future__ import annotations

import pytest

from rooflayout.job import PanelModel
from rooflayout.wiring import limits

pvlib = pytest.importorskip("pvlib")

VOC_PCT_PER_K, ISC_PCT_PER_K = -0.29, 0.05
VOC_WITHIN = 0.01  # of the diode's value, down to -40 °C
VMP_WITHIN = 0.05  # of the diode's value, up to 95 °C

# (Vmp, Imp, Voc, Isc) of three invented panels: small, wide, and with twice the cells
MODULES = [(18.6, 5.38, 22.3, 5.72), (18.6, 9.68, 22.3, 10.3), (37.2, 5.38, 44.6, 5.72)]


def diode(module: tuple[float, float, float, float], cell_c: float) -> dict[str, float]:
    """v_oc, v_mp and p_mp at cell_c in full sun."""
    v_mp, i_mp, v_oc, i_sc = module
    alpha, beta = ISC_PCT_PER_K / 100 * i_sc, VOC_PCT_PER_K / 100 * v_oc
    fit = pvlib.ivtools.sdm.fit_desoto_batzelis(v_mp, i_mp, v_oc, i_sc, alpha, beta)
    five = pvlib.pvsystem.calcparams_desoto(1000.0, cell_c, **fit)
    return {key: float(value) for key, value in pvlib.pvsystem.singlediode(*five).items()}


def panel(module: tuple[float, float, float, float]) -> PanelModel:
    """The same panel as a catalogue row; its power coefficient is the diode's between 25 and 75 °C."""
    v_mp, i_mp, v_oc, i_sc = module
    stc_w = v_mp * i_mp
    power_pct_per_k = 100 * (diode(module, 75.0)["p_mp"] / stc_w - 1) / 50
    return PanelModel(
        model="diode",
        length_mm=1000,
        width_mm=500,
        power_w=stc_w,
        voc_v=v_oc,
        vmp_v=v_mp,
        isc_a=i_sc,
        imp_a=i_mp,
        voc_pct_per_k=VOC_PCT_PER_K,
        isc_pct_per_k=ISC_PCT_PER_K,
        power_pct_per_k=power_pct_per_k,
    )


def test_the_reference_values_of_the_diode_itself() -> None:
    """Computed with pvlib 0.16.1: the first module at 70 and at -10 °C."""
    hot, cold = diode(MODULES[0], 70.0), diode(MODULES[0], -10.0)
    assert (hot["v_oc"], hot["v_mp"], hot["p_mp"]) == pytest.approx((19.346, 15.625, 84.58), rel=1e-3)
    assert (cold["v_oc"], cold["v_mp"], cold["p_mp"]) == pytest.approx((24.531, 21.041, 111.8), rel=1e-3)


@pytest.mark.parametrize("module", MODULES)
@pytest.mark.parametrize("coldest_c", [10.0, -10.0, -25.0, -40.0])
def test_cold_voc_is_close_and_not_below(module: tuple[float, float, float, float], coldest_c: float) -> None:
    ours_v, diode_v = limits.cold_voc_v(panel(module), coldest_c), diode(module, coldest_c)["v_oc"]
    assert diode_v <= ours_v <= diode_v * (1 + VOC_WITHIN)


@pytest.mark.parametrize("module", MODULES)
@pytest.mark.parametrize("cell_c", [45.0, 70.0, 95.0])
def test_hot_vmp_is_close_and_not_above(module: tuple[float, float, float, float], cell_c: float) -> None:
    ours_v, diode_v = limits.hot_vmp_v(panel(module), cell_c), diode(module, cell_c)["v_mp"]
    assert diode_v * (1 - VMP_WITHIN) <= ours_v <= diode_v
