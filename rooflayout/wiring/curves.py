"""Current-voltage curves of panels, strings and strings in parallel, from data-sheet values.

A panel is a single diode with two resistances (De Soto and others 2006), fitted in closed form after
Batzelis (2017), which needs no cell count; both are pvlib's. Bypass diodes hold a panel that the string
forces above its own short-circuit current at -0.5 V each.
Voltages in V, currents in A, powers in W, irradiances in W/m², cell temperatures in °C.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from rooflayout.job import PanelModel
from rooflayout.wiring.limits import FULL_SUN_W_M2, STC_CELL_C, USUAL_ISC_PCT_PER_K

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Values = NDArray[np.float64]

# Where the catalogue leaves it blank: median over the 20 946 crystalline panels of the California list
# that pvlib carries is -0.337 (computed); newer cells fall more slowly. limits.cold_factor errs to the
# safe side instead.
USUAL_VOC_PCT_PER_K = -0.34

BYPASS_DIODE_V = 0.5  # common practice, no source: a Schottky diode that carries the string's current
SAMPLES = 800  # of a panel's curve; linear between them costs less than 0.01 % of the power
MOST_OF_LIMIT = 0.995
STEEPEST = 100.0  # Voc over a; silicon has 20 to 35 (computed from the California list's quantiles)
REVERSE = 50.0  # curves go on to a reverse current of so many times the panel's photocurrent at STC

STC_K = 298.15
BOLTZMANN_EV_PER_K = 8.617333e-5
SILICON_EV = 1.121  # band gap at 25 °C, and its change per K: De Soto and others 2006
SILICON_PER_K = -0.0002677


@dataclass(frozen=True, slots=True)
class Diode:
    """The single-diode parameters of a panel at STC; r_sh_ohm may be infinite.

    gap_ev: band gap that the translation to other temperatures uses; not silicon's where that would not
    give the panel's own voltage coefficient.
    """

    photocurrent_a: float
    saturation_a: float
    r_s_ohm: float
    r_sh_ohm: float
    a_v: float  # ideality times cells in series times thermal voltage
    isc_a_per_k: float
    gap_ev: float


@dataclass(frozen=True, slots=True)
class LitPanel:
    """A panel as it stands in the sun."""

    panel: PanelModel
    irradiance_w_m2: float = FULL_SUN_W_M2
    cell_c: float = STC_CELL_C


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """Points of a curve: voltage_v rises, current_a falls; straight between them."""

    voltage_v: Values
    current_a: Values


@lru_cache(maxsize=1024)
def parameters_of(panel: PanelModel) -> Diode:
    """The single diode whose curve has the panel's Voc, Isc and point of most power at STC.

    After Batzelis; where that gives a negative resistance (a curve squarer than the coefficient of Voc
    allows), a diode without shunt resistance through the same points; where even that has none, one
    without any resistance. Blank coefficients take USUAL_VOC_PCT_PER_K and USUAL_ISC_PCT_PER_K.
    A blank Imp is power over Vmp. Raises ValueError when voc_v, vmp_v or isc_a is blank.
    """
    import pvlib.ivtools.sdm

    voc_v, vmp_v, isc_a, imp_a = _figures(panel)
    voc_per_k, isc_per_k = _coefficients_per_k(panel)
    fit = pvlib.ivtools.sdm.fit_desoto_batzelis(
        vmp_v, imp_a, voc_v, isc_a, alpha_sc=isc_per_k * isc_a, beta_voc=voc_per_k * voc_v
    )
    r_s, r_sh = float(fit["R_s"]), float(fit["R_sh_ref"])
    if r_s >= 0.0 and r_sh > 0.0:
        return Diode(
            photocurrent_a=float(fit["I_L_ref"]),
            saturation_a=float(fit["I_o_ref"]),
            r_s_ohm=r_s,
            r_sh_ohm=r_sh,
            a_v=float(fit["a_ref"]),
            isc_a_per_k=isc_per_k * isc_a,
            gap_ev=SILICON_EV,
        )
    return _without_shunt(voc_v, vmp_v, isc_a, imp_a, voc_per_k, isc_per_k)


def five_parameters(panel: PanelModel, irradiance_w_m2: float, cell_c: float) -> tuple[float, ...]:
    """Photocurrent A, saturation current A, series and shunt resistance ohm, and a in V, at that sun and
    cell temperature: pvlib's calcparams_desoto. Raises ValueError as parameters_of does."""
    import numpy as np
    import pvlib.pvsystem

    diode = parameters_of(panel)
    with np.errstate(over="ignore"):  # next to no sun: no shunt
        five = pvlib.pvsystem.calcparams_desoto(
            np.float64(irradiance_w_m2),  # a plain 0.0 would raise ZeroDivisionError
            cell_c,
            alpha_sc=diode.isc_a_per_k,
            a_ref=diode.a_v,
            I_L_ref=diode.photocurrent_a,
            I_o_ref=diode.saturation_a,
            R_sh_ref=diode.r_sh_ohm,
            R_s=diode.r_s_ohm,
            EgRef=diode.gap_ev,
            dEgdT=SILICON_PER_K,
        )
    return tuple(float(value) for value in five)


@lru_cache(maxsize=4096)
def panel_curve(lit: LitPanel, bypass_diodes: int = 1) -> Curve:
    """A panel's curve from where its bypass diodes hold it to far above its open-circuit voltage."""
    import numpy as np

    photo_a, saturation_a, r_s, r_sh, a_v = five_parameters(lit.panel, lit.irradiance_w_m2, lit.cell_c)
    floor_v = -BYPASS_DIODE_V * bypass_diodes
    reverse_a = REVERSE * parameters_of(lit.panel).photocurrent_a
    top_v = a_v * math.log((photo_a + reverse_a) / saturation_a)
    diode_v = np.linspace(floor_v, top_v, SAMPLES)
    current_a = photo_a - saturation_a * np.expm1(diode_v / a_v) - diode_v / r_sh
    return _frozen(np.maximum(diode_v - current_a * r_s, floor_v), current_a)


def string_curve(panels: Sequence[LitPanel], bypass_diodes: int = 1) -> Curve:
    """The curve of panels in series: the same current, voltages added.

    bypass_diodes: of each panel, all in the way of the current when the whole panel is bypassed.
    Raises ValueError when there are no panels.
    """
    import numpy as np

    if not panels:
        raise ValueError("a string needs a panel")
    curves = {lit: panel_curve(lit, bypass_diodes) for lit in dict.fromkeys(panels)}
    if len(curves) == 1:
        curve = curves[panels[0]]
        return Curve(len(panels) * curve.voltage_v, curve.current_a)
    current_a = np.unique(np.concatenate([c.current_a for c in curves.values()]))
    voltage_v = np.zeros_like(current_a)
    for lit, curve in curves.items():
        own_v = np.interp(current_a, curve.current_a[::-1], curve.voltage_v[::-1])
        voltage_v += panels.count(lit) * own_v
    return Curve(voltage_v[::-1], current_a[::-1])


def parallel_curve(curves: Sequence[Curve], blocking_diodes: bool = False) -> Curve:
    """The curve of strings in parallel: the same voltage, currents added; from 0 V up.

    Without blocking diodes a string above its own open-circuit voltage takes current from the others;
    with them it takes none. Their own voltage drop is left out.
    Raises ValueError when there are no strings.
    """
    import numpy as np

    if not curves:
        raise ValueError("nothing to put in parallel")
    every_v = np.unique(np.concatenate([c.voltage_v for c in curves]))
    voltage_v = np.concatenate([[0.0], every_v[every_v > 0.0]])
    current_a = np.zeros_like(voltage_v)
    for curve in curves:
        own_a = np.interp(voltage_v, curve.voltage_v, curve.current_a)
        current_a += np.maximum(own_a, 0.0) if blocking_diodes else own_a
    return Curve(voltage_v, current_a)


def best_power_w(curve: Curve) -> float:
    """The most power of a curve in W, the highest peak where there are several; 0 in the dark."""
    return max(0.0, float((curve.voltage_v * curve.current_a).max()))


def open_circuit_v(lit: LitPanel) -> float:
    """Open-circuit voltage in V of one panel, by pvlib's exact solution of the diode equation."""
    import pvlib.pvsystem

    return float(pvlib.pvsystem.v_from_i(0.0, *five_parameters(lit.panel, lit.irradiance_w_m2, lit.cell_c)))


def short_circuit_a(lit: LitPanel) -> float:
    """Short-circuit current in A of one panel, by pvlib's exact solution of the diode equation."""
    import pvlib.pvsystem

    return float(pvlib.pvsystem.i_from_v(0.0, *five_parameters(lit.panel, lit.irradiance_w_m2, lit.cell_c)))


def _without_shunt(
    voc_v: float, vmp_v: float, isc_a: float, imp_a: float, voc_per_k: float, isc_per_k: float
) -> Diode:
    """The diode of three parameters: from I = Isc - I0 exp((V + I Rs) / a) and dP/dV = 0 at (Vmp, Imp).

    The band gap is set so that Voc has its coefficient at 25 °C; the factor 50.1 that Batzelis prints for
    silicon is 3 + gap (1 + 0.0002677 T) / (k T).
    """
    ratio = imp_a / isc_a
    steep = ratio / (1.0 - ratio)
    a_v = (2.0 * vmp_v - voc_v) / (math.log(1.0 - ratio) + steep)
    r_s = (vmp_v - a_v * steep) / imp_a
    least_v = voc_v / STEEPEST
    if a_v < least_v or r_s < 0.0:
        a_v, r_s = max(least_v, (voc_v - vmp_v) / -math.log(1.0 - ratio)), 0.0
    warm = (1.0 - voc_per_k * STC_K) * voc_v / a_v + isc_per_k * STC_K
    gap_ev = (warm - 3.0) * BOLTZMANN_EV_PER_K * STC_K / (1.0 - SILICON_PER_K * STC_K)
    saturation_a = isc_a / math.expm1(voc_v / a_v)
    return Diode(isc_a, saturation_a, r_s, math.inf, a_v, isc_per_k * isc_a, gap_ev)


def _frozen(voltage_v: Values, current_a: Values) -> Curve:
    """A curve whose arrays nobody can change, as it is cached."""
    for values in (voltage_v, current_a):
        values.setflags(write=False)
    return Curve(voltage_v, current_a)


def _coefficients_per_k(panel: PanelModel) -> tuple[float, float]:
    """Of Voc and of Isc, as parts of 1 per K."""
    voc_pct = USUAL_VOC_PCT_PER_K if panel.voc_pct_per_k is None else panel.voc_pct_per_k
    isc_pct = USUAL_ISC_PCT_PER_K if panel.isc_pct_per_k is None else panel.isc_pct_per_k
    return voc_pct / 100.0, isc_pct / 100.0


def _figures(panel: PanelModel) -> tuple[float, float, float, float]:
    """Voc, Vmp, Isc, Imp; Vmp and Imp at most MOST_OF_LIMIT of Voc and Isc, as no diode reaches them."""
    found: dict[str, float] = {}
    for name in ("voc_v", "vmp_v", "isc_a"):
        value = getattr(panel, name)
        if value is None:
            raise ValueError(f"{panel.model} has no {name} in the catalogue; its curve needs it")
        found[name] = value
    voc_v, vmp_v, isc_a = found.values()
    imp_a = panel.power_w / vmp_v if panel.imp_a is None else panel.imp_a
    return voc_v, min(vmp_v, MOST_OF_LIMIT * voc_v), isc_a, min(imp_a, MOST_OF_LIMIT * isc_a)
