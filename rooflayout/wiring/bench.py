"""For the bench: what a meter should read on each string, and how far off it may be."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rooflayout.job import Job, PanelModel
from rooflayout.plan import MeterReading, PortableString, Wiring
from rooflayout.wiring.curves import LitPanel, open_circuit_v, short_circuit_a
from rooflayout.wiring.limits import STC_CELL_C

USUAL_SUN_W_M2 = 800.0  # common practice, no source: a clear day, panels nearly level
USUAL_CELL_C = 45.0  # common practice, no source

# What the tolerance is made of, in % or K. Common practice, no source, but for the panel's 3 %, which is
# what most data sheets print (from memory).
PANEL_PCT = 3.0  # Voc and Isc of a panel beside its data sheet
VOLTMETER_PCT = 1.0
CURRENT_CLAMP_PCT = 2.0  # for direct current
SUN_METER_PCT = 5.0
CELL_K = 5.0  # a thermometer on the back of one panel, for the cells of all

LEAST_VOC_PCT = 5.0  # IEC 62446-1, from memory: Voc is compared with what is expected within 5 %
BLANK_VOC_PCT_PER_K = 0.06  # from the usual coefficient to the 5 % of panels farthest off (computed)


def meter_readings(
    job: Job, wiring: Wiring, irradiance_w_m2: float | None = None, cell_c: float | None = None
) -> tuple[MeterReading, ...]:
    """Open-circuit voltage and short-circuit current of every string, alone, with the range that is in order.

    irradiance_w_m2 is that in the panels' plane; it and cell_c are the job's unless given here, else
    USUAL_SUN_W_M2 and USUAL_CELL_C. By the fitted curve: Isc goes with the sun and a little with
    temperature, Voc with temperature and with the logarithm of the sun. Ranges: voc_tolerance_pct and
    isc_tolerance_pct. wire() puts no panel without figures on a string.
    Raises ValueError for a negative irradiance or a panel without figures, KeyError for an unknown model.
    """
    usual_sun_w_m2, usual_cell_c = bench_conditions(job)
    irradiance_w_m2 = usual_sun_w_m2 if irradiance_w_m2 is None else irradiance_w_m2
    cell_c = usual_cell_c if cell_c is None else cell_c
    if irradiance_w_m2 < 0.0:
        raise ValueError(f"an irradiance of {irradiance_w_m2:g} W/m² is below zero")
    models = job.panel_models()
    return tuple(
        _reading(s.string, s.in_series, 1, models[s.model], irradiance_w_m2, cell_c) for s in wiring.strings
    )


def portable_readings(job: Job, strings: Sequence[PortableString]) -> tuple[MeterReading, ...]:
    """As meter_readings, of portable panels at their plug, by name; none for those the job does not know.

    Raises ValueError for panels without figures.
    """
    models = {own.name: own.model for own in job.portable}
    sun_w_m2, cell_c = bench_conditions(job)
    return tuple(
        _reading(s.name, s.in_series, s.in_parallel, models[s.name], sun_w_m2, cell_c)
        for s in strings
        if s.name in models
    )


def bench_conditions(job: Job) -> tuple[float, float]:
    """Irradiance in W/m² and cell temperature in °C for the bench: the job's, else the usual ones."""
    sun_w_m2, cell_c = job.bench.irradiance_w_m2, job.bench.cell_c
    return (
        USUAL_SUN_W_M2 if sun_w_m2 is None else sun_w_m2,
        USUAL_CELL_C if cell_c is None else cell_c,
    )


def voc_tolerance_pct(panel: PanelModel, irradiance_w_m2: float, cell_c: float) -> float:
    """How far Voc may lie off, in %: LEAST_VOC_PCT, or what panel, meter, sun and temperature make together
    where that is more; they add as squares. A blank coefficient adds BLANK_VOC_PCT_PER_K from 25 °C on."""
    here_v = open_circuit_v(LitPanel(panel, irradiance_w_m2, cell_c))
    if here_v <= 0.0:
        return LEAST_VOC_PCT
    brighter = LitPanel(panel, irradiance_w_m2 * (1.0 + SUN_METER_PCT / 100.0), cell_c)
    sun_pct = 100.0 * (open_circuit_v(brighter) / here_v - 1.0)
    warmer = LitPanel(panel, irradiance_w_m2, cell_c + CELL_K)
    heat_pct = 100.0 * (open_circuit_v(warmer) / here_v - 1.0)
    blank_pct = BLANK_VOC_PCT_PER_K * abs(cell_c - STC_CELL_C) if panel.voc_pct_per_k is None else 0.0
    return max(LEAST_VOC_PCT, math.hypot(PANEL_PCT, VOLTMETER_PCT, sun_pct, heat_pct, blank_pct))


def isc_tolerance_pct() -> float:
    """How far Isc may lie off what is expected, in %: panel, clamp and sun meter, added as squares.

    Temperature does not count (0.05 % per K). IEC 62446-1 (from memory) compares strings of one array
    with each other within 5 %, which is sharper as the sun is the same for all.
    """
    return math.hypot(PANEL_PCT, CURRENT_CLAMP_PCT, SUN_METER_PCT)


def _reading(
    name: str, in_series: int, in_parallel: int, panel: PanelModel, irradiance_w_m2: float, cell_c: float
) -> MeterReading:
    lit = LitPanel(panel, irradiance_w_m2, cell_c)
    voc_v, isc_a = in_series * open_circuit_v(lit), in_parallel * short_circuit_a(lit)
    voc_part = voc_tolerance_pct(panel, irradiance_w_m2, cell_c) / 100.0
    isc_part = isc_tolerance_pct() / 100.0
    return MeterReading(
        string=name,
        irradiance_w_m2=irradiance_w_m2,
        cell_c=cell_c,
        voc_v=voc_v,
        isc_a=isc_a,
        voc_low_v=voc_v * (1.0 - voc_part),
        voc_high_v=voc_v * (1.0 + voc_part),
        isc_low_a=isc_a * (1.0 - isc_part),
        isc_high_a=isc_a * (1.0 + isc_part),
    )
