"""A plan with cables and readings worked out by hand: three strings joined on one tracker, one on another.

Fen: Isc 10.3 A, Imp 9.8 A, largest series fuse 20 A; two in series give 30.54 V in the heat (see
hand_made.the_good_plan). Ohm per km at 20 °C by IEC 60228 class 5 tinned (read): 6 mm² 3.39, 16 mm² 1.24,
25 mm² 0.795; at 90 °C times 1 + 0.00393 x 70 = 1.2751. A at 90 °C insulation by ISO 10133 (from memory);
on the roof, 33 K hotter, 6 mm² carries 50 A x sqrt(27/60) = 33.5 A.

- a string to the joint: 2 x 5 m x 4.323 mohm/m x 9.8 A = 0.424 V, 1.39 %; 1.25 x 10.3 A = 12.88 A. The two
  others feed 2 x 12.88 = 25.8 A, above 20 A: a fuse from 1.5625 x 10.3 = 16.09 A to 20 A, so 20 A
- the joint to the tracker: 2 x 3 m x 1.581 mohm/m x 29.4 A = 0.279 V, 0.91 %; 38.63 A
- the single string: 2 x 8 m x 4.323 mohm/m x 9.8 A = 0.678 V, 2.22 %
- to the battery: 2 x 1.5 m x 1.014 mohm/m x 40 A = 0.122 V, 1.01 % of 12 V; 1.25 x 40 A = 50 A
- readings at 800 W/m² and 45 °C: 2 x 24.5 V x (1 - 0.0028 x 20 + 0.05 ln 0.8) = 45.71 V within 5 %;
  10.3 A x 0.8 x 1.01 = 8.32 A within 6.2 %
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hand_made import FEN, OTTER, a_panel, a_plan, a_string, a_wired_job, with_wiring

from rooflayout.job import Cable, Controllers, Job, PanelModel, PanelRules
from rooflayout.plan import CableRun, ControllerLoad, MeterReading, Plan, RunKind, Temperatures, Wiring

FUSED = replace(FEN, max_series_fuse_a=20.0)
WIDE = replace(OTTER, max_pv_isc_a=60)
JOB = replace(
    a_wired_job((WIDE,)),
    controllers=Controllers((WIDE,), (WIDE,)),
    panels=PanelRules((FUSED,)),
    cable=Cable(
        roof_run_mm=5000, gland_to_controller_mm=3000, controller_to_battery_mm=1500, ambient_c=30, bundled=2
    ),
)
JOINT, INPUT = "C1 tracker 1 joint", "C1 tracker 1"
STRING, ARRAY, SINGLE, BATTERY = 0, 3, 4, 5  # places in RUNS


def _run(run: str, kind: RunKind, start: str, end: str, amps: float, mm: float, **rest: Any) -> CableRun:
    figures = {"size_mm2": 6.0, "size_awg": "8", "carries_a": 33.5, "fuse_a": None, "isolator": True}
    return CableRun(run, kind, start, end, amps, mm, False, why="", **(figures | rest))


RUNS = (
    *(
        _run(f"R{n}", "string", f"S{n}", JOINT, 12.88, 5000, drop_v=0.424, drop_pct=1.39, fuse_a=20.0,
             isolator=False)
        for n in (1, 2, 3)
    ),
    _run("R4", "array", JOINT, INPUT, 38.63, 3000, size_mm2=16.0, size_awg="4", carries_a=100.0,
         drop_v=0.279, drop_pct=0.91),
    _run("R5", "string", "S4", "C1 tracker 2", 12.88, 8000, drop_v=0.678, drop_pct=2.22),
    _run("R6", "battery", "C1", "battery", 50.0, 1500, size_mm2=25.0, size_awg="4", carries_a=140.0,
         drop_v=0.122, drop_pct=1.01, fuse_a=50.0),
)  # fmt: skip
READINGS = tuple(
    MeterReading(f"S{n}", 800.0, 45.0, 45.71, 8.32, 43.42, 48.0, 7.81, 8.83) for n in (1, 2, 3, 4)
)
PLACES = (
    *(("main", 40.0 + 1420 * i, 40.0 + 720 * j) for j in (0, 1) for i in (0, 1, 2)),
    ("rear", 40.0, 40.0),
    ("rear", 40.0, 760.0),
)


def the_cabled_plan() -> Plan:
    """Eight Fen in four strings, with all their runs and readings."""
    panels = tuple(a_panel(f"P{i}", x, y, FUSED, facet) for i, (facet, x, y) in enumerate(PLACES, 1))
    stated = {"voc_cold_v": 53.12, "vmp_hot_v": 30.54, "isc_a": 10.3, "power_w": 400.0}
    strings = tuple(
        replace(
            a_string(f"S{n}", f"P{2 * n - 1}", f"P{2 * n}", tracker=1 if n < 4 else 2),
            facet="main" if n < 4 else "rear",
            model="Fen",
            **stated,
        )
        for n in (1, 2, 3, 4)
    )
    load = ControllerLoad("C1", "Otter", 1600.0, 41.2, 40.0, 1000.0, 62.5)
    wiring = Wiring(strings, (load,), (), Temperatures(-5, "the job", 40, 89.46, "the job"))
    return replace(a_plan(*panels), wiring=replace(wiring, runs=RUNS, readings=READINGS))


def with_cable(**changes: Any) -> Job:
    """The job with its cable changed."""
    return replace(JOB, cable=replace(JOB.cable, **changes))


def with_rating(max_series_fuse_a: float | None) -> Job:
    """The job with panels made for another series fuse."""
    fen: PanelModel = replace(FUSED, max_series_fuse_a=max_series_fuse_a)
    return replace(JOB, panels=PanelRules((fen,)))


def with_run(index: int, **changes: Any) -> Plan:
    """The plan with one run changed."""
    runs = [replace(run, **changes) if i == index else run for i, run in enumerate(RUNS)]
    return with_wiring(the_cabled_plan(), runs=tuple(runs))


def with_reading(index: int, **changes: Any) -> Plan:
    """The plan with one reading changed."""
    found = [replace(r, **changes) if i == index else r for i, r in enumerate(READINGS)]
    return with_wiring(the_cabled_plan(), readings=tuple(found))
