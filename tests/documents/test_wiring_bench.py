"""The bench sheet, the labels and the portable panels of the wiring set."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.documents.bench_sheet import (
    bench_leaves,
    readings_block,
    source_words,
    steps_block,
    voc_per_k,
)
from rooflayout.documents.contents import controller_table
from rooflayout.documents.labels_sheet import cable_labels, label_leaves, warning_labels
from rooflayout.documents.portable_leads import fuse_words, leads_block
from rooflayout.documents.said import notes_block, wiring_notes_block
from rooflayout.documents.strings_sheet import controllers_block
from rooflayout.documents.wiring_set import draw_wiring
from rooflayout.job import Bench, PortablePanels
from rooflayout.plan import MeterReading, Note, Plan, PortableString
from rooflayout.wiring.bench import portable_readings

from .opened_sheets import opened
from .samples import BIG, SAMPLES, TWIN
from .wiring_samples import WIRED


def test_bench_sheet_has_blanks_and_says_how_to_scale() -> None:
    job, plan = WIRED["trailer"]()
    table = readings_block(job, plan)
    assert table is not None
    assert table.rows[0].cells == ("S1", "56.4", "53.6 – 59.3", "8.80", "7.92 – 9.68", *[""] * 8)
    assert table.least_row_mm >= 8.0
    assert "800 W/m²" in table.footnotes[0]
    assert "both assumed, not given in the job" in table.footnotes[0]
    assert "÷ 800" in table.footnotes[1]
    assert "per K" not in " ".join(table.footnotes)


def test_bench_sheet_gives_volts_per_kelvin_where_the_panel_is_known() -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    known = replace(BIG, voc_pct_per_k=-0.28)
    job = replace(job, panels=replace(job.panels, models=(known, *job.panels.models[1:])))
    # two of 30.1 V at -0.28 % per K
    assert voc_per_k(job, plan.wiring.strings[0]) == pytest.approx(-0.16856)
    assert voc_per_k(job, plan.wiring.strings[2]) is None
    table = readings_block(job, plan)
    assert table is not None
    assert [row.cells[3] for row in table.rows] == ["−0.17", "−0.17", "–", "–", "–"]
    assert any("V per K" in note for note in table.footnotes)


def test_unlike_conditions_are_told_apart() -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    odd = MeterReading("S4", 650.0, 38.0, 45.0, 3.8, 43.0, 47.0, 3.4, 4.2)
    wiring = replace(plan.wiring, readings=(*plan.wiring.readings[:3], odd))
    table = readings_block(job, replace(plan, wiring=wiring))
    assert table is not None
    assert table.footnotes[0].startswith("Expected of S1, S2, S3, Awning set at 800 W/m²")
    assert table.footnotes[2].startswith("Expected of S4 at 650 W/m²")


@pytest.mark.parametrize(
    ("bench", "words"),
    [
        (Bench(), "both assumed, not given in the job"),
        (Bench(800.0), "cells assumed, not given in the job"),
        (Bench(None, 45.0), "sun assumed, not given in the job"),
        (Bench(800.0, 45.0), "both given in the job"),
        (Bench(900.0, 40.0), "both assumed, not given in the job"),  # a plan for other conditions
    ],
)
def test_the_bench_sheet_says_what_is_given_and_what_assumed(bench: Bench, words: str) -> None:
    job, _ = WIRED["trailer"]()
    assert source_words(replace(job, bench=bench), 800.0, 45.0) == words


def test_tests_come_in_the_order_of_iec_62446_1() -> None:
    # IEC 62446-1 (from memory): continuity, polarity, combiner, Voc, Isc, (function) insulation.
    _, plan = WIRED["trailer"]()
    steps = [row.cells[1].split()[0] for row in steps_block(plan).rows]
    order = ["Documents", "Continuity", "Polarity", "Open-circuit", "Short-circuit", "Insulation"]
    places = [steps.index(word) for word in order]
    assert places == sorted(places)


def test_charge_currents_set_down_for_the_battery_stand_where_the_controllers_are_set() -> None:
    # Cable and fuse from the busbar count on them: whoever sets the controllers must read them there.
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    first, *others = plan.wiring.controllers
    asked = replace(plan, wiring=replace(plan.wiring, controllers=(replace(first, set_a=31.8), *others)))
    step = next(row.cells[1] for row in steps_block(asked).rows if row.cells[1].startswith("Battery side"))
    assert step.endswith("set in the controller, and its charge current: C1 31.8 A.")
    label = next(label for label in warning_labels(asked) if "SET" in label.head)
    assert (label.head, label.warning) == ("C1: SET TO 31.8 A", True)
    for table in (controllers_block(job, asked), controller_table(job, asked)):
        assert table is not None
        assert table.footnotes[-1] == "Set the charge current down before charging: C1 to 31.8 A."
    assert not any("charge current" in row.cells[1] for row in steps_block(plan).rows)
    assert not any("SET" in label.head for label in warning_labels(plan))


def test_busbars_are_tested_only_where_there_are_any() -> None:
    _, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    without = tuple(run for run in plan.wiring.runs if run.kind != "main")
    assert len(without) < len(plan.wiring.runs)
    bare = replace(plan, wiring=replace(plan.wiring, runs=without))
    told = [" ".join(row.cells[1] for row in steps_block(p).rows) for p in (plan, bare)]
    assert "at each controller's terminals and at the busbars before any fuse" in told[0]
    assert "at each controller's terminals before any fuse" in told[1]
    assert "busbar" not in told[1]


def test_each_conductor_has_a_label_at_both_ends() -> None:
    _, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    labels = cable_labels(plan.wiring.runs[0])
    assert [(label.head, label.lines[1]) for label in labels] == [
        ("R1  +", "this end: S1"),
        ("R1  +", "this end: C1 tracker 1"),
        ("R1  −", "this end: S1"),
        ("R1  −", "this end: C1 tracker 1"),
    ]
    assert {label.lines[2] for label in labels} == {"6 mm² / 10 AWG"}  # whichever row was bought
    to_battery = cable_labels(plan.wiring.runs[-2])
    assert [label.lines[2] for label in to_battery] == [
        *["16 mm² / 4 AWG, fuse 80 A"] * 2,  # only the + conductor has it
        *["16 mm² / 4 AWG"] * 2,
    ]
    heads = [label.head for label in warning_labels(plan)]
    assert heads.count("SOLAR: LIVE IN DAYLIGHT") == 5  # with the portable set
    assert heads.count("ISOLATE HERE") == sum(r.isolator for r in plan.wiring.runs)
    assert "FUSE 80 A" in heads
    main = cable_labels(plan.wiring.runs[-1])
    assert [label.lines[1] for label in main] == ["this end: busbar", "this end: battery"] * 2
    assert "FUSE 300 A" in heads
    # 7 runs and a lead of 4 labels, 5 warnings, 6 isolators, 3 fuses, 2 controllers: 48, 28 on a sheet
    assert len(label_leaves(plan)) == 2


def test_a_controller_that_carries_nothing_has_no_label_of_two_sources_but_its_warning() -> None:
    _, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    first, second = plan.wiring.controllers
    of_first = tuple(s for s in plan.wiring.strings if s.controller == first.controller)
    assert 0 < len(of_first) < len(plan.wiring.strings)
    note = Note("warning", "controller-idle", "C2 (Reed 20) carries nothing: it serves batteries of 24 V.")
    idle = replace(plan, wiring=replace(plan.wiring, strings=of_first), notes=(note,))
    heads = {label.head for label in warning_labels(plan)}
    assert {f"{c.controller}: TWO SOURCES" for c in (first, second)} <= heads
    sources = [label.head for label in warning_labels(idle) if "TWO SOURCES" in label.head]
    assert sources == [f"{first.controller}: TWO SOURCES"]
    for block in (notes_block(idle), wiring_notes_block(idle)):
        assert block is not None
        assert note.text in str(block)


def test_the_voltage_on_a_warning_is_never_rounded_down() -> None:
    _, plan = WIRED["long_names"]()
    assert warning_labels(plan)[0].lines == ("S1: up to 53 V DC",)  # 52.32 V


def test_portable_panels_alone_have_their_sheet() -> None:
    job, plan = SAMPLES["trailer"]()
    assert plan.wiring is not None
    one = PortableString("Awning set", "Wren 60", "vehicle charger", False, 1, 1, 25, 14.5, 3.4, 60, 4.0, 0)
    alone: Plan = replace(
        plan, wiring=replace(plan.wiring, strings=(), controllers=(), unwired=(), portable=(one,))
    )
    _, lettering = opened(draw_wiring, job, alone)
    texts, leads, drawn, heads = ([t.text for t in sheet] for sheet in lettering)
    assert "Awning set" in texts
    assert "Strings" not in texts
    assert any(text.startswith("Voc cold: cells at") for text in texts)
    assert {"Awning set  1 × Wren 60", "1 in series, 1 in parallel; portable"} <= set(drawn)
    assert {"vehicle charger", "its solar input, 4 A", "battery"} <= set(drawn)
    assert {"size by the charger's manual", "fuse"} <= set(drawn)
    assert {"size by the charger's manual", "by its own maker's lead", "+ to +, − to −"} <= set(leads)
    assert (heads.count("Awning set +"), heads.count("Awning set −")) == (2, 2)
    assert bench_leaves(job, alone) == []


def test_portable_panels_have_a_lead_a_fuse_and_a_reading() -> None:
    """1.25 * 3.4 A = 4.25 A; 1.25 * 20 A: 25 A, for which in air of 52 °C 4 mm² (31.8 A) and 10 AWG (30 A)
    are first. Two in series at STC read twice one's Voc, one's Isc."""
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    small = replace(TWIN, max_charge_a=20.0)
    wren = replace(BIG, model="Wren 60", voc_v=23.0, vmp_v=19.0, isc_a=3.4, imp_a=3.2, voc_pct_per_k=-0.3)
    own = PortablePanels("Awning set", wren, 2, small, own_controller=True)
    job = replace(job, portable=(own,), bench=Bench(1000.0, 25.0))
    leads = leads_block(job, plan)
    assert leads is not None
    assert [row.cells[2:] for row in leads.rows] == [
        (
            "4.2",
            "49.9",
            "by its own maker's lead",
            "+ to +, − to −",
            "25 A",
            "4 mm² / 10 AWG  1.50* m",
        )
    ]
    charger = replace(job, portable=(replace(own, own_controller=False),))
    assert fuse_words(charger, plan.wiring.portable[0]) == "size by the charger's manual"
    at_the_plug = portable_readings(job, plan.wiring.portable)
    plan = replace(plan, wiring=replace(plan.wiring, portable_readings=at_the_plug))
    table = readings_block(job, plan)
    assert table is not None
    last = table.rows[-1].cells
    assert last[0] == "Awning set"
    assert float(last[1]) == pytest.approx(46.0, abs=0.1)
    assert last[3] == "−0.14"  # 2 * 23 V * -0.3 %
    assert float(last[4]) == pytest.approx(3.4, abs=0.01)
    assert any(note.startswith("Portable panels: at their plug") for note in table.footnotes)
