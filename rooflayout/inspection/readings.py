"""Whether the meter readings that a plan states are what its strings give, by the data sheet's coefficients.

With the temperature Voc and Isc go by their coefficients, with the sun Isc in proportion and Voc by its
logarithm: IEC 60891, correction procedure 2, from memory, with 0.05 of Voc for each e-fold of sun (the
diode's thermal voltage beside a crystalline cell's 0.6 to 0.7 V; computed).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.electrical import lacking
from rooflayout.inspection.lookup import models_of
from rooflayout.job import Bench, Job, PanelModel
from rooflayout.plan import MeterReading, PanelString, Plan

STC_SUN_W_M2, STC_CELL_C = 1000.0, 25.0
USUAL_VOC_PCT_PER_K, USUAL_ISC_PCT_PER_K = -0.34, 0.05  # where the catalogue's cells are blank
VOC_OF_LOG_SUN = 0.05
VOC_SHARE, VOC_SHARE_OF_LOG_SUN = 0.03, 0.03  # how far off this arithmetic may be, and more by dim sun
ISC_SHARE = 0.02
MOST_RANGE_SHARE = 0.15  # common practice, no source: a wider range tells nothing about a string


def readings_are_complete(job: Job, plan: Plan) -> Iterator[Breach]:
    """Where a plan states readings, each string has one, and where it states some of portable panels, each
    set of them; at the sun and cells that the job gives. Where the job gives any, none may not be all."""
    if plan.wiring is None:
        return
    for what, readings, there in (
        ("the strings", plan.wiring.readings, [s.string for s in plan.wiring.strings]),
        ("the portable panels", plan.wiring.portable_readings, [s.name for s in plan.wiring.portable]),
    ):
        names = [r.string for r in readings]
        if there and not readings and job.bench != Bench():
            text = f"the job has [bench]; the plan states no meter readings of {what} at all"
            yield Breach("reading-missing", what, text)
        for name in there if readings else ():
            if names.count(name) != 1:
                text = f"{names.count(name)} meter readings are stated for {name}; 1 must be"
                yield Breach("reading-missing", name, text)
    for reading in _all(plan):
        for what, stated, given, unit in (
            ("sun", reading.irradiance_w_m2, job.bench.irradiance_w_m2, "W/m²"),
            ("cells", reading.cell_c, job.bench.cell_c, "°C"),
        ):
            if given is not None and abs(stated - given) > 0.05 + 1e-6:  # NaN is not stated
                a, b = figures(stated, given)
                text = (
                    f"the reading of {reading.string} is for {what} of {a} {unit}; the job gives {b} {unit}"
                )
                yield Breach("reading-conditions", reading.string, text)


def readings_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """Voc and Isc are the string's at the stated sun and cell temperature."""
    for reading, models, in_parallel in _readable(job, plan):
        sun, cell_c = reading.irradiance_w_m2, reading.cell_c
        log_sun = math.log(sun) - math.log(STC_SUN_W_M2)
        voc_share = VOC_SHARE + VOC_SHARE_OF_LOG_SUN * abs(log_sun)
        for name, stated, right, unit, share in (
            ("voc_v", reading.voc_v, sum(_voc_v(m, sun, cell_c) for m in models), "V", voc_share),
            (
                "isc_a",
                reading.isc_a,
                in_parallel * min(_isc_a(m, sun, cell_c) for m in models),
                "A",
                ISC_SHARE,
            ),
        ):
            if abs(stated - right) > share * right + 0.005 + 1e-9:  # NaN is not stated
                a, b = figures(stated, right)
                text = f"{reading.string} states {name} {a} {unit}; at {plain(sun)} W/m² and cells at "
                yield Breach("reading", reading.string, f"{text}{plain(cell_c)} °C it is {b} {unit}")


def ranges_hold_their_reading(job: Job, plan: Plan) -> Iterator[Breach]:
    """The range that is in order holds the reading, and is no wider than 15 % each way."""
    for r in _all(plan):
        for name, low, value, high in (
            ("voc_v", r.voc_low_v, r.voc_v, r.voc_high_v),
            ("isc_a", r.isc_low_a, r.isc_a, r.isc_high_a),
        ):
            least, most = value * (1 - MOST_RANGE_SHARE), value * (1 + MOST_RANGE_SHARE)
            if low > value or high < value or low < least - 0.01 or high > most + 0.01:
                text = f"{r.string} is in order with {name} from {plain(low)} to {plain(high)}; it must hold "
                yield Breach(
                    "reading-range", r.string, f"{text}{plain(value)} and keep within 15 % of it each way"
                )


def _all(plan: Plan) -> tuple[MeterReading, ...]:
    """Of strings, then of portable panels."""
    return (*plan.wiring.readings, *plan.wiring.portable_readings) if plan.wiring else ()


def _readable(job: Job, plan: Plan) -> Iterator[tuple[MeterReading, list[PanelModel], int]]:
    """Readings in some sun of known strings, or portable sets, whose panels' figures are given: with the
    panels in series and how many of these are parallel."""
    if plan.wiring is None:
        return
    strings: dict[str, PanelString] = {s.string: s for s in plan.wiring.strings}
    known = [
        (r, models_of(job, plan, strings[r.string]), 1) for r in plan.wiring.readings if r.string in strings
    ]
    asked = {own.name: own for own in job.portable}
    sets = {s.name: s for s in plan.wiring.portable if s.name in asked}
    for r in plan.wiring.portable_readings:
        if r.string in sets:
            own, job_own = sets[r.string], asked[r.string]
            known.append((r, [job_own.model] * min(own.in_series, job_own.count), own.in_parallel))
    for reading, in_series, in_parallel in known:
        lit = reading.irradiance_w_m2 > 0 and math.isfinite(reading.irradiance_w_m2 + reading.cell_c)
        if in_series and not lacking(in_series) and lit:
            yield reading, in_series, in_parallel


def _voc_v(model: PanelModel, sun_w_m2: float, cell_c: float) -> float:
    pct = USUAL_VOC_PCT_PER_K if model.voc_pct_per_k is None else model.voc_pct_per_k
    log_sun = math.log(sun_w_m2) - math.log(STC_SUN_W_M2)
    return (model.voc_v or 0.0) * (1 + pct / 100 * (cell_c - STC_CELL_C) + VOC_OF_LOG_SUN * log_sun)


def _isc_a(model: PanelModel, sun_w_m2: float, cell_c: float) -> float:
    pct = USUAL_ISC_PCT_PER_K if model.isc_pct_per_k is None else model.isc_pct_per_k
    return (model.isc_a or 0.0) * sun_w_m2 / STC_SUN_W_M2 * (1 + pct / 100 * (cell_c - STC_CELL_C))
