"""Two controllers on one busbar: a plan worked out by hand holds, and one thing changed is noticed.

As in cabled_plan.py, but the single string is on a second Otter (40 A, 96 %). In full sun C1 charges with its
40 A and C2 with 400 W x 0.96 / 14.4 V = 26.67 A. 25 mm² to the busbar: 2 x 1.5 m x 1.0137 mohm/m x 26.67 A =
0.081 V, 0.68 %. The main cable: 1.25 x 80 A = 100 A, 35 mm² at 90 °C, 0.565 x 1.2751 = 0.7204 mohm/m:
2 x 0.3 m x 66.67 A = 0.029 V, 0.24 %.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from cabled_plan import JOB as ONE
from cabled_plan import RUNS, WIDE, the_cabled_plan
from hand_made import codes, texts, with_wiring

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Controllers
from rooflayout.plan import CableRun, ControllerLoad, Plan

JOB = replace(
    ONE,
    controllers=Controllers((WIDE,), (WIDE, WIDE)),
    cable=replace(ONE.cable, bar_to_battery_mm=300),
)
LOADS = (
    ControllerLoad("C1", "Otter", 1200.0, 30.9, 40.0, 600.0, 50.0),
    ControllerLoad("C2", "Otter", 400.0, 10.3, 26.67, 0.0, 0.0),
)
FIRST, SECOND, MAIN = 5, 6, 7
BARRED = (
    *RUNS[:4],
    replace(RUNS[4], end="C2 tracker 1"),
    replace(RUNS[5], end="busbar"),
    replace(RUNS[5], run="R7", start="C2", end="busbar", drop_v=0.081, drop_pct=0.68),
    replace(
        RUNS[5],
        run="R8",
        kind="main",
        start="busbar",
        end="battery",
        current_a=100.0,
        length_mm=300,
        size_mm2=35.0,
        size_awg="1",
        carries_a=160.0,
        drop_v=0.029,
        drop_pct=0.24,
        fuse_a=100.0,
        isolator=False,
    ),
)


def the_plan(runs: tuple[CableRun, ...] = BARRED, loads: tuple[ControllerLoad, ...] = LOADS) -> Plan:
    good = the_cabled_plan()
    assert good.wiring is not None
    strings = tuple(
        replace(s, controller="C2", tracker=1) if s.string == "S4" else s for s in good.wiring.strings
    )
    return with_wiring(good, strings=strings, controllers=loads, runs=runs)


def changed(index: int, **changes: Any) -> Plan:
    return the_plan(tuple(replace(r, **changes) if i == index else r for i, r in enumerate(BARRED)))


def test_the_plan_worked_out_by_hand_holds() -> None:
    assert inspect_plan(JOB, the_plan()) == []


def test_each_to_the_battery_by_itself_holds_too() -> None:
    apart = tuple(replace(r, end="battery") if r.kind == "battery" else r for r in BARRED[:MAIN])
    assert inspect_plan(JOB, the_plan(apart)) == []


def test_a_busbar_has_its_cable() -> None:
    assert codes(JOB, the_plan(BARRED[:MAIN])) == {"run-missing"}
    assert texts(JOB, the_plan(BARRED[:MAIN])) == ["0 runs go from busbar to battery; 1 must"]
    assert "run-twice" in codes(JOB, the_plan((*BARRED, replace(BARRED[MAIN], run="R9"))))


def test_a_cable_from_a_busbar_where_nothing_joins() -> None:
    apart = tuple(replace(r, end="battery") if r.kind == "battery" else r for r in BARRED)
    assert "run-start" in codes(JOB, the_plan(apart))


@pytest.mark.parametrize(
    ("changes", "breach"),
    [
        ({"current_a": 80.0}, "stated-value"),
        ({"length_mm": 250}, "run-length"),
        ({"carries_a": 99.8}, "run-current"),
        ({"drop_v": 0.05}, "run-drop"),
        ({"fuse_a": 80.0}, "run-fuse"),
        ({"fuse_a": 90.0}, "run-fuse"),
        ({"fuse_a": 175.0}, "run-fuse"),
        ({"fuse_a": None}, "run-no-fuse"),
        ({"size_awg": "2"}, None),
        ({"size_awg": "4"}, "run-terminal"),
        ({"end": "busbar"}, "run-end"),
    ],
)
def test_one_thing_changed(changes: dict[str, Any], breach: str | None) -> None:
    """100 A to 160 A for the fuse; terminals take 115 A with 2 AWG, 85 A with 4 AWG."""
    found = codes(JOB, changed(MAIN, **changes))
    assert (breach in found) if breach else not found


def test_controllers_that_are_set_down() -> None:
    """To 25 A each: 1.25 x 50 A = 62.5 A; what they are not set to is what they can."""
    loads = tuple(
        replace(load, set_a=25.0, charge_a=25.0, clipped_w=w, clipped_pct=pct)
        for load, w, pct in zip(LOADS, (825.0, 25.0), (68.75, 6.25), strict=True)
    )
    lighter = {"current_a": 62.5, "fuse_a": 70.0, "drop_v": None, "drop_pct": None}
    runs = tuple(
        replace(r, drop_v=None, drop_pct=None) if r.kind == "battery" else r
        for r in (*BARRED[:MAIN], replace(BARRED[MAIN], **lighter))
    )
    assert codes(JOB, the_plan(runs, loads)) == set()
    assert "run-fuse" in codes(JOB, the_plan(runs))


def test_the_way_to_the_battery_keeps_to_the_drop() -> None:
    """1.01 % and 0.24 % of C1's way."""
    strict = replace(JOB, cable=replace(JOB.cable, most_drop_pct=1.2))
    told = [t for t in texts(strict, the_plan()) if "met" in t and "from C1 on" in t]
    assert told == ["R6 and R8 lose 1.25 % from C1 on (metric sizes); the job allows 1.2 %"]
