"""What the terminal says of a wiring: short lines, no cramped table at 80 and 100 columns."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rich.console import Console

from rooflayout import terminal
from rooflayout.inspection.breach import Breach
from rooflayout.job import Bench, Job
from rooflayout.plan import Plan, Wiring
from rooflayout.terminal import print_inspection, print_plan, wiring_lines

from .samples import SAMPLES
from .wiring_samples import WIRED


def printed(job: Job, plan: Plan, width: int, monkeypatch: pytest.MonkeyPatch) -> str:
    console = Console(width=width, record=True, highlight=False, file=open("/dev/null", "w"))  # noqa: SIM115
    monkeypatch.setattr(terminal, "_console", lambda: console)
    print_plan(job, plan, [])
    return console.export_text()


def test_cables_are_one_line() -> None:
    job, plan = WIRED["trailer"]()
    assert wiring_lines(job, plan) == [
        "Cables: 4 x 6 mm² (10 AWG), 2 x 16 mm² (4 AWG), 1 x 95 mm² (3/0 AWG); largest drop 1.7 %; lengths "
        "partly estimated; see wiring.pdf.",
        "Meter readings at 800 W/m² and cells at 45 °C (assumed): S1 S2: 56.4 V, 8.80 A; S3: 45.6 V, 7.44 A; "
        "S4: 45.0 V, 4.72 A; Awning set: 42.9 V, 2.72 A; ranges in wiring.pdf and readings.csv.",
        "Unlike strings S1 and S2 on C1 tracker 1 lose 1.4 % together.",
        "Portable: Awning set, 2 x Wren 60 (2 in series, 1 in parallel) into Dunlin 150/60 twin: "
        "120 W, 8.1 A.",
    ]


def test_many_unlike_strings_read_as_a_sentence_and_an_unnamed_portable_panel_is_named_once() -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    (mismatch,), (portable,) = plan.wiring.mismatch, plan.wiring.portable
    three, unnamed = replace(mismatch, strings=("S1", "S2", "S3")), replace(portable, name=portable.model)
    lines = wiring_lines(
        job, replace(plan, wiring=replace(plan.wiring, mismatch=(three,), portable=(unnamed,)))
    )
    assert lines[2] == "Unlike strings S1, S2 and S3 on C1 tracker 1 lose 1.4 % together."
    assert lines[3].startswith("Portable: 2 x Wren 60 (2 in series")


def test_runs_without_a_size_are_named() -> None:
    job, plan = WIRED["long_names"]()
    assert "; no size serves R2; see wiring.pdf." in wiring_lines(job, plan)[0]
    assert plan.wiring is not None
    only = replace(
        plan.wiring, runs=(plan.wiring.runs[1],), readings=(), mismatch=(), portable=(), portable_readings=()
    )
    assert wiring_lines(job, replace(plan, wiring=only)) == [
        "Cables: none of a standard size; no size serves R2; see wiring.pdf."
    ]


def test_nothing_is_said_of_what_is_not_there() -> None:
    assert wiring_lines(*SAMPLES["trailer"]()) == []
    assert wiring_lines(*SAMPLES["unwired"]()) == []


def test_readings_are_printed_for_few_strings_and_given_conditions_are_not_called_assumed() -> None:
    job, plan = WIRED["twelve_strings"]()
    (line,) = [line for line in wiring_lines(job, plan) if line.startswith("Meter")]
    assert ": 12 strings; Awning set: 42.9 V, 2.72 A; ranges in" in line
    job, plan = WIRED["trailer"]()
    given = replace(job, bench=Bench(800.0, 45.0))
    assert "Meter readings at 800 W/m² and cells at 45 °C: S1" in wiring_lines(given, plan)[1]


def test_portable_panels_alone_have_their_reading() -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    alone = replace(plan.wiring, runs=(), readings=(), mismatch=(), portable=())
    assert wiring_lines(job, replace(plan, wiring=alone)) == [
        "Meter readings at 800 W/m² and cells at 45 °C (assumed): Awning set: 42.9 V, 2.72 A; ranges in "
        "wiring.pdf and readings.csv."
    ]


def test_the_stated_limit_is_the_one_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    capped: Wiring = replace(
        plan.wiring, strings=tuple(replace(s, limit_v=70.0) for s in plan.wiring.strings)
    )
    text = printed(job, replace(plan, wiring=capped), 110, monkeypatch)
    row = next(line for line in text.splitlines() if line.startswith("S1 "))
    assert "65.6" in row
    assert "70" in row.split()
    assert "6 %" in row


@pytest.mark.parametrize("width", [80, 100, 110])
@pytest.mark.parametrize("name", ["trailer", "twelve_strings", "one_tracker"])
def test_no_figure_is_broken_at_usual_widths(name: str, width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    job, plan = WIRED[name]()
    assert plan.wiring is not None
    text = printed(job, plan, width, monkeypatch)
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width
    assert "controller" in text
    for c in plan.wiring.controllers:
        row = next(line.split() for line in text.splitlines() if line.split()[:1] == [c.controller])
        assert f"{c.charge_a:.1f}" in row
        assert row[1:4] == c.model.split()
    for s in plan.wiring.strings:
        row = next(line.split() for line in text.splitlines() if line.split()[:1] == [s.string])
        for figure in (f"{s.voc_cold_v:.1f}", f"{s.vmp_hot_at_controller_v:.1f}", f"{s.isc_a:.2f}"):
            assert figure in row


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("one_string", "Everything holds: 1 panel, 1 string, 1 portable set of Shed."),
        ("twelve_strings", "Everything holds: 48 panels, 12 strings, 1 portable set of Club house."),
    ],
)
def test_what_holds_is_counted(name: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    console = Console(width=110, record=True, highlight=False, file=open("/dev/null", "w"))  # noqa: SIM115
    monkeypatch.setattr(terminal, "_console", lambda: console)
    job, plan = WIRED[name]()
    print_inspection(job, plan, [])
    assert console.export_text().strip() == said


def test_a_breach_is_told_with_its_place_once(monkeypatch: pytest.MonkeyPatch) -> None:
    job, plan = WIRED["trailer"]()
    console = Console(width=100, record=True, highlight=False, file=open("/dev/null", "w"))  # noqa: SIM115
    monkeypatch.setattr(terminal, "_console", lambda: console)
    named = Breach("run-fuse", "R8", "R8 has a fuse of 80 A; at most 70.05 A")
    placed = Breach("battery-charge", "the battery", "the controllers may charge with 78.1 A together")
    other = Breach("stated-value", "S1", "S11 states isc_a 7; it is 8.41")
    print_inspection(job, plan, [named, placed, other])
    assert console.export_text().splitlines() == [
        "R8 has a fuse of 80 A; at most 70.05 A [run-fuse]",
        "the battery: the controllers may charge with 78.1 A together [battery-charge]",
        "S1: S11 states isc_a 7; it is 8.41 [stated-value]",
        "3 breaches found.",
    ]
