"""For the bench: what a meter should read on each string, the tests in their order, labels for cables."""

from __future__ import annotations

import math
from dataclasses import dataclass

from rooflayout.job import Job, PanelModel
from rooflayout.plan import CableRun, MeterReading, PanelString, Wiring
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

# IEC 62446-1, from memory: test voltage V and least resistance MΩ by the string's open-circuit voltage.
INSULATION = ((120.0, 250, 0.5), (500.0, 500, 1.0), (math.inf, 1000, 1.0))


@dataclass(frozen=True, slots=True)
class BenchStep:
    """A test, how it is done, and what is to be written down for it."""

    name: str
    text: str
    blanks: tuple[str, ...]


def meter_readings(
    job: Job, wiring: Wiring, irradiance_w_m2: float = USUAL_SUN_W_M2, cell_c: float = USUAL_CELL_C
) -> tuple[MeterReading, ...]:
    """Open-circuit voltage and short-circuit current of every string, alone, with the range that is in order.

    irradiance_w_m2 is that in the panels' plane. By the fitted curve: Isc goes with the sun and a little
    with temperature, Voc with temperature and with the logarithm of the sun. Ranges: voc_tolerance_pct
    and isc_tolerance_pct.
    Raises ValueError for a negative irradiance or a panel without figures, KeyError for an unknown model.
    """
    if irradiance_w_m2 < 0.0:
        raise ValueError(f"an irradiance of {irradiance_w_m2:g} W/m² is below zero")
    models = {m.model: m for m in (*job.panels.models, *(k.model for k in job.kept))}
    return tuple(_reading(s, models[s.model], irradiance_w_m2, cell_c) for s in wiring.strings)


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


def bench_steps(job: Job, wiring: Wiring) -> tuple[BenchStep, ...]:
    """The tests of this wiring in the order of IEC 62446-1 (from memory), with what to write down.

    The step at the joint is left out where no strings are in parallel.
    """
    strings = [s.string for s in wiring.strings]
    controllers = list(dict.fromkeys(s.controller for s in wiring.strings))
    steps = [
        BenchStep(
            "documentation and inspection",
            "Drawing, schedules and data sheets at hand; panels, plugs, cables, fuses and labels as drawn.",
            ("in order", "date", "name"),
        ),
        BenchStep(
            "continuity of protective and bonding conductors",
            "From each bonded frame and rail to the bonding bar, with at least 0.2 A.",
            tuple(f"{f.name} (Ω)" for f in job.facets if any(s.facet == f.name for s in wiring.strings)),
        ),
        BenchStep(
            "polarity",
            "Every string at its end, controller not connected: + and − as labelled.",
            tuple(f"{name} polarity" for name in strings),
        ),
    ]
    joined = _joined(wiring)
    if joined:
        steps.append(
            BenchStep(
                "joint of parallel strings",
                "Fuses out, − ends joined: between two + ends no more than the difference of the two "
                "open-circuit voltages; their sum means that one is reversed.",
                tuple(f"{where} ({', '.join(names)})" for where, names in joined),
            )
        )
    return (
        *steps,
        BenchStep(
            "open-circuit voltage",
            "Every string alone; compare with the expected range.",
            (*(f"{name} Voc (V)" for name in strings), "cell temperature (°C)"),
        ),
        BenchStep(
            "short-circuit current",
            "Every string alone, through a switch and a meter made for direct current; alike strings within "
            "5 % of each other.",
            (*(f"{name} Isc (A)" for name in strings), "irradiance (W/m²)"),
        ),
        BenchStep(
            "function",
            "Battery connected first, then the strings; isolators break and make; each controller charges.",
            tuple(f"{name} charge current (A)" for name in controllers),
        ),
        BenchStep("insulation resistance", _insulation_text(wiring.strings), _insulation_blanks(strings)),
    )


def cable_labels(wiring: Wiring) -> tuple[tuple[str, str, str], ...]:
    """(run, where this end is, text) for both ends of every cable in wiring.runs."""
    found = []
    for run in wiring.runs:
        size = "" if run.size_mm2 is None else f", {run.size_mm2:g} mm²"
        kind = _kind_text(run, wiring)
        found.append((run.run, run.start, f"{run.run} to {run.end}{size}, {kind}"))
        found.append((run.run, run.end, f"{run.run} from {run.start}{size}, {kind}"))
    return tuple(found)


def _reading(string: PanelString, panel: PanelModel, irradiance_w_m2: float, cell_c: float) -> MeterReading:
    lit = LitPanel(panel, irradiance_w_m2, cell_c)
    voc_v, isc_a = string.in_series * open_circuit_v(lit), short_circuit_a(lit)
    voc_part = voc_tolerance_pct(panel, irradiance_w_m2, cell_c) / 100.0
    isc_part = isc_tolerance_pct() / 100.0
    return MeterReading(
        string=string.string,
        irradiance_w_m2=irradiance_w_m2,
        cell_c=cell_c,
        voc_v=voc_v,
        isc_a=isc_a,
        voc_low_v=voc_v * (1.0 - voc_part),
        voc_high_v=voc_v * (1.0 + voc_part),
        isc_low_a=isc_a * (1.0 - isc_part),
        isc_high_a=isc_a * (1.0 + isc_part),
    )


def _joined(wiring: Wiring) -> list[tuple[str, list[str]]]:
    """Trackers with strings in parallel, and the strings."""
    found: dict[str, list[str]] = {}
    for s in wiring.strings:
        found.setdefault(f"{s.controller} tracker {s.tracker}", []).append(s.string)
    return [(where, names) for where, names in found.items() if len(names) > 1]


def insulation_test(voc_v: float) -> tuple[int, float]:
    """Test voltage in V and least resistance in MΩ for a string of this highest open-circuit voltage."""
    return next((test_v, least_mohm) for below_v, test_v, least_mohm in INSULATION if voc_v < below_v)


def _insulation_text(strings: tuple[PanelString, ...]) -> str:
    alike: dict[tuple[int, float], list[str]] = {}
    for s in strings:
        alike.setdefault(insulation_test(s.voc_cold_v), []).append(s.string)
    parts = [f"{', '.join(names)}: {test_v} V, at least {r:g} MΩ" for (test_v, r), names in alike.items()]
    return "; ".join(["Controllers not connected, + and − each to earth", *parts]) + "."


def _insulation_blanks(strings: list[str]) -> tuple[str, ...]:
    return tuple(f"{name} {pole} to earth (MΩ)" for name in strings for pole in ("+", "−"))


def _kind_text(run: CableRun, wiring: Wiring) -> str:
    """What a cable carries: solar and its highest voltage, or the battery's."""
    if run.kind == "battery":
        return "battery DC"
    ends = {run.start, run.end}
    volts = [
        s.voc_cold_v
        for s in wiring.strings
        if s.string in ends or (run.kind == "array" and f"{s.controller} tracker {s.tracker}" == run.end)
    ]
    return f"solar DC up to {math.ceil(max(volts))} V, live in daylight"
