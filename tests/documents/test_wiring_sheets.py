"""The workshop set of the wiring: all there, legible, nothing covered, nothing outside the frame."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from rooflayout.documents.bench_sheet import (
    bench_leaves,
    readings_block,
    source_words,
    steps_block,
    voc_per_k,
)
from rooflayout.documents.cables_sheet import cables_block
from rooflayout.documents.diagram_rows import run_words
from rooflayout.documents.drawing import drawing_style
from rooflayout.documents.elevation import elevation_leaves
from rooflayout.documents.labels_sheet import cable_labels, label_leaves, warning_labels
from rooflayout.documents.leaf import stacked_leaves
from rooflayout.documents.lettering import NORMAL
from rooflayout.documents.paper import A3, Paper
from rooflayout.documents.portable_leads import fuse_words, leads_block
from rooflayout.documents.single_line import branches_of, diagram_leaves, runs_of
from rooflayout.documents.strings_sheet import (
    WIRING_CAUTIONS,
    controllers_block,
    in_order,
    strings_block,
)
from rooflayout.documents.table import Column, Row, TableBlock
from rooflayout.documents.warning import SHORT_CAUTION
from rooflayout.documents.wiring_set import draw_wiring, leaves_of, wiring_files
from rooflayout.job import Bench, Job, MountingSpace, PortablePanels
from rooflayout.plan import MeterReading, Plan, PortableString
from rooflayout.wiring.bench import portable_readings

from .lettering_on_sheets import Lettering, overlapping, read_lettering
from .samples import BIG, SAMPLES, TWIN
from .wiring_samples import WIRED, one_tracker


@cache
def sheets_of(name: str) -> tuple[list[Paper], list[list[Lettering]]]:
    with drawing_style():
        papers = draw_wiring(*WIRED[name]())
        return papers, [read_lettering(paper) for paper in papers]


def kinds_of(plan_name: str) -> list[str]:
    return [leaf.document_type for leaf in leaves_of(*WIRED[plan_name]())]


def words_of(name: str) -> str:
    return " ".join(t.text for lettering in sheets_of(name)[1] for t in lettering)


@pytest.mark.parametrize("name", WIRED)
def test_no_text_covers_another(name: str) -> None:
    for lettering in sheets_of(name)[1]:
        assert len(lettering) > 20
        assert overlapping(lettering) == []


@pytest.mark.parametrize("name", WIRED)
def test_all_text_stands_within_the_frame_and_above_the_title_block(name: str) -> None:
    for paper, lettering in zip(*sheets_of(name), strict=True):
        # ISO 5457 and ISO 7200 (from memory): frame 20 and 10 mm from the edges, block 180 mm wide.
        right, top = paper.size.width_mm - 10, paper.size.height_mm - 10
        assert [t.text for t in lettering if t.x0 < 20 or t.y0 < 10 or t.x1 > right or t.y1 > top] == []
        block = [t for t in lettering if t.x1 > right - 180 and t.y0 < 10 + 36]
        assert [t.text for t in block if t.y1 > 10 + 36.05 or t.x0 < right - 180] == []


@pytest.mark.parametrize("name", WIRED)
def test_tables_are_lettered_for_arms_length(name: str) -> None:
    # ISO 3098 (from memory): 2.5 mm is the size for ordinary lettering; DejaVu Sans' capitals 0.729 em.
    for lettering in sheets_of(name)[1]:
        heights = [t.points * 25.4 / 72 * 0.729 for t in lettering]
        assert min(heights) >= 1.8 - 1e-6
        assert sorted(heights)[len(heights) // 2] >= 2.5 - 1e-6


def test_every_part_has_its_sheet_in_order() -> None:
    kinds = list(dict.fromkeys(kinds_of("twelve_strings")))
    assert kinds == [
        "String schedule",
        "Cable schedule",
        "Single-line diagram",
        "Mounting elevation",
        "Bench sheet",
        "Labels",
    ]


@pytest.mark.parametrize("name", WIRED)
def test_the_set_names_every_string_run_and_controller(name: str) -> None:
    _, plan = WIRED[name]()
    words = words_of(name).split()
    assert plan.wiring is not None
    for named in (
        *(s.string for s in plan.wiring.strings),
        *(r.run for r in plan.wiring.runs),
        *(c.controller for c in plan.wiring.controllers),
    ):
        assert sum(named in (w, w.strip(":,")) for w in words) >= 3, named


@pytest.mark.parametrize("name", WIRED)
def test_cautions_are_on_every_set_and_every_sheet(name: str) -> None:
    for _, lettering in zip(*sheets_of(name), strict=True):
        assert SHORT_CAUTION.split(".")[0] in " ".join(t.text for t in lettering)
    for caution in WIRING_CAUTIONS:
        assert caution in words_of(name)


@pytest.mark.parametrize(
    ("part", "gone"),
    [
        ({"runs": ()}, {"Cable schedule", "Single-line diagram", "Labels"}),
        ({"readings": ()}, {"Bench sheet"}),
        ({"mounted": None}, {"Mounting elevation"}),
        ({"mounted": ()}, {"Mounting elevation"}),
    ],
)
def test_a_part_without_data_is_left_out(part: dict[str, object], gone: set[str]) -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    if "readings" in part:
        part = {**part, "portable_readings": ()}
    less = replace(plan, wiring=replace(plan.wiring, **part))  # type: ignore[arg-type]
    all_kinds = {leaf.document_type for leaf in leaves_of(job, plan)}
    assert {leaf.document_type for leaf in leaves_of(job, less)} == all_kinds - gone


def test_texts_without_data_are_left_out() -> None:
    job, plan = SAMPLES["trailer"]()
    with drawing_style():
        (paper,) = draw_wiring(job, plan)
        texts = {t.text for t in read_lettering(paper)}
    assert "Strings" in texts
    assert "Cautions" in texts
    assert not texts & {"Why wired so", "Mismatch", "Portable panels, set up beside the vehicle", "Cables"}


def test_nothing_is_drawn_where_nothing_is_wired() -> None:
    assert wiring_files(*SAMPLES["unwired"]()) == {}
    job, plan = SAMPLES["trailer"]()
    assert plan.wiring is not None
    assert wiring_files(job, replace(plan, wiring=replace(plan.wiring, strings=(), controllers=()))) == {}


def test_string_schedule_states_limit_headroom_and_need() -> None:
    job, plan = WIRED["trailer"]()
    table = strings_block(job, plan)
    assert table is not None
    assert table.rows[0].cells == (
        "S1", "C1 / 1", "main", "Lapwing 260 M", "+P1 → P2−", "2",
        "65.6", "150", "84.4", "38.0", "19.4", "11.00", "520",
    )  # fmt: skip
    assert "cells at −5 °C (from the job file)" in table.footnotes[1]
    assert table.footnotes[-1].endswith("K1.")


def test_without_a_stated_limit_the_least_of_tracker_and_panel_counts() -> None:
    job, plan = SAMPLES["trailer"]()
    weak = replace(BIG, max_system_v=100.0)
    job = replace(job, panels=replace(job.panels, models=(weak, *job.panels.models[1:])))
    table = strings_block(job, plan)
    assert table is not None
    assert [row.cells[7] for row in table.rows] == ["100", "100", "150", "150"]


def test_the_batterys_own_limit_is_stated() -> None:
    job, plan = WIRED["trailer"]()
    assert job.battery is not None
    table = controllers_block(replace(job, battery=replace(job.battery, most_charge_a=80.0)), plan)
    assert table is not None
    assert table.footnotes == (
        "Battery 12 V nominal, charged at 14.4 V; it takes 80 A at most from all controllers.",
    )


def test_panels_stand_in_order_between_the_ends() -> None:
    _, plan = WIRED["twelve_strings"]()
    assert plan.wiring is not None
    assert in_order(plan.wiring.strings[2]) == "+P9 → P10 → P11 → P12−"


def test_cable_schedule_marks_what_is_estimated_and_what_no_size_serves() -> None:
    _, plan = WIRED["long_names"]()
    table = cables_block(plan)
    assert table is not None
    first, second, third = (row.cells for row in table.rows)
    assert first[:9] == ("R1", "S1", "C1 tracker 1", "11.2", "4.24", "6", "46.3", "0.41", "1.7")
    assert first[9:12] == ("10", "52.0", "1.9")
    assert second[5:13] == ("none", "–", "–", "–", "none", "–", "–", "–")
    assert "1.2 m shorter would do" in second[14]
    assert any("choose one row and stay with it" in note for note in table.footnotes)
    assert third[4] == "1.50*"
    assert any(note.startswith("* Length estimated") for note in table.footnotes)
    assert any(note.startswith("none: no standard size") for note in table.footnotes)
    _, plain = WIRED["one_string"]()
    shorter = cables_block(plain)
    assert shorter is not None
    assert not any(note.startswith(("*", "none")) for note in shorter.footnotes)


def test_diagram_joins_what_is_parallel() -> None:
    _, plan = one_tracker(3)
    (branch,) = branches_of(plan)
    assert [(n, [s.string for s in strings]) for n, strings in branch.trackers] == [(1, ["S1", "S2", "S3"])]
    runs = runs_of(plan)
    assert runs.of_string["S2"].run == "R2"
    assert runs.of_tracker["C1", 1].run == "R4"
    assert runs.of_battery["C1"].run == "R5"


@pytest.mark.parametrize("count", [13, 19, 30])
def test_a_controller_with_many_strings_gets_a_larger_sheet(count: int) -> None:
    job, plan = one_tracker(count)
    leaves = diagram_leaves(job, plan)
    assert len(leaves) == (1 if count < 20 else 2)  # twenty rows with the portable panels
    seen = 0
    for leaf in leaves:
        assert leaf.size == A3
        with drawing_style():
            paper = Paper(leaf.size)
            leaf.draw(paper)
            lettering = read_lettering(paper)
        assert overlapping(lettering) == []
        seen += sum(t.text.startswith("S") and "Lapwing" in t.text for t in lettering)
    assert seen == count


def test_controllers_stay_whole_where_the_diagram_goes_on() -> None:
    job, plan = WIRED["sixty_panels"]()
    leaves = diagram_leaves(job, plan)
    assert len(leaves) == 2
    seen: list[str] = []
    with drawing_style():
        for leaf in leaves:
            paper = Paper(leaf.size)
            leaf.draw(paper)
            seen += [t.text.split()[0] for t in read_lettering(paper) if t.bold]
    assert [w for w in seen if w.startswith("C")] == [f"C{k}" for k in range(1, 9)]


def test_elevation_is_to_scale() -> None:
    job, plan = WIRED["trailer"]()
    (leaf,) = elevation_leaves(job, plan)
    assert leaf.scale == "1:5"
    (huge,) = elevation_leaves(replace(job, mounting_space=MountingSpace(9000, 4000, 300)), plan)
    assert huge.scale == "1:100"
    paper = Paper(leaf.size)
    leaf.draw(paper)
    sizes = {
        (round(x1 - x0, 3), round(y1 - y0, 3))
        for patch in paper.figure.axes[0].patches
        for (x0, y0), (x1, y1) in [(patch.get_path().vertices.min(0), patch.get_path().vertices.max(0))]
    }
    assert (180 / 5, 250 / 5) in sizes  # a box
    assert (530 / 5, 420 / 5) in sizes  # the space


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
    steps = [row.cells[1].split()[0] for row in steps_block().rows]
    order = ["Documents", "Continuity", "Polarity", "Open-circuit", "Short-circuit", "Insulation"]
    places = [steps.index(word) for word in order]
    assert places == sorted(places)


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
    heads = [label.head for label in warning_labels(plan)]
    assert heads.count("SOLAR: LIVE IN DAYLIGHT") == 5  # with the portable set
    assert heads.count("ISOLATE HERE") == sum(r.isolator for r in plan.wiring.runs)
    assert "FUSE 80 A" in heads
    # 6 runs and a lead of 4 labels, 5 warnings, 6 isolators, 2 fuses, 2 controllers: 43, 28 on a sheet
    assert len(label_leaves(plan)) == 2


def test_the_voltage_on_a_warning_is_never_rounded_down() -> None:
    _, plan = WIRED["long_names"]()
    assert warning_labels(plan)[0].lines == ("S1: up to 53 V DC",)  # 52.32 V


def test_long_tables_go_on_with_their_head_again() -> None:
    rows = tuple(Row((f"row {k}", "text")) for k in range(70))
    table = TableBlock("Many", (Column(("name",)), Column(("what",), "left", True)), rows, (), NORMAL)
    leaves = stacked_leaves("Schedule", [table, table])
    with drawing_style():
        lettering = []
        for leaf in leaves:
            paper = Paper(leaf.size)
            leaf.draw(paper)
            lettering.append([t.text for t in read_lettering(paper)])
    assert all("name" in texts for texts in lettering)
    for k in range(70):
        assert sum(texts.count(f"row {k}") for texts in lettering) == 2


def test_no_column_is_narrower_than_its_head() -> None:
    columns = (
        Column(("a long head of its own",), "left", True),
        Column(("b",), "left", True),
        Column(("c",), "left", True),
    )
    table = TableBlock("Heads", columns, (Row(("x", "words " * 40, "words " * 40)),), (), NORMAL)
    widths = table.widths(150.0)
    assert sum(widths) == pytest.approx(150.0)
    assert widths[0] >= 40.0
    assert min(widths[1:]) > 40.0


def test_portable_panels_alone_have_their_sheet() -> None:
    job, plan = SAMPLES["trailer"]()
    assert plan.wiring is not None
    one = PortableString("Awning set", "Wren 60", "vehicle charger", False, 1, 1, 25, 14.5, 3.4, 60, 4.0, 0)
    alone: Plan = replace(
        plan, wiring=replace(plan.wiring, strings=(), controllers=(), unwired=(), portable=(one,))
    )
    with drawing_style():
        schedule, cables, diagram, labels = draw_wiring(job, alone)
        texts = {t.text for t in read_lettering(schedule)}
        drawn = {t.text for t in read_lettering(diagram)}
        leads = {t.text for t in read_lettering(cables)}
        heads = [t.text for t in read_lettering(labels)]
    assert "Awning set" in texts
    assert "Strings" not in texts
    assert any(text.startswith("Voc cold: cells at") for text in texts)
    assert {"Awning set  1 × Wren 60", "1 in series, 1 in parallel; portable"} <= drawn
    assert {"vehicle charger", "its solar input, 4 A", "battery"} <= drawn
    assert {"size by the charger's manual", "fuse"} <= drawn
    assert {"size by the charger's manual", "by its own maker's lead", "+ to +, − to −"} <= leads
    assert (heads.count("Awning set +"), heads.count("Awning set −")) == (2, 2)
    assert bench_leaves(job, alone) == []


def test_portable_panels_have_a_lead_a_fuse_and_a_reading() -> None:
    """1.25 * 3.4 A = 4.25 A; 1.25 * 20 A: 25 A. Two in series at STC read twice one's Voc, one's Isc."""
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    small = replace(TWIN, max_charge_a=20.0)
    wren = replace(BIG, model="Wren 60", voc_v=23.0, vmp_v=19.0, isc_a=3.4, imp_a=3.2, voc_pct_per_k=-0.3)
    own = PortablePanels("Awning set", wren, 2, small, own_controller=True)
    job = replace(job, portable=(own,), bench=Bench(1000.0, 25.0))
    leads = leads_block(job, plan)
    assert leads is not None
    assert [row.cells[2:] for row in leads.rows] == [
        ("4.2", "49.9", "by its own maker's lead", "+ to +, − to −", "25 A")
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


def test_the_diagram_shows_portable_panels_with_their_plug_and_what_the_asterisk_means() -> None:
    job, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    none = replace(plan, wiring=replace(plan.wiring, portable=()))
    (with_them,), (without,) = (diagram_texts(job, p) for p in (plan, none))
    assert "Awning set  2 × Wren 60" in with_them
    assert "their own, 8.1 A" in with_them
    assert "plug and socket" in with_them
    assert not [t for t in without if "Awning" in t or "plug" in t]
    assert "* length estimated" in without
    sure = tuple(replace(run, estimated=False) for run in plan.wiring.runs)
    (known,) = diagram_texts(job, replace(plan, wiring=replace(plan.wiring, runs=sure)))
    assert "* length estimated" not in known


def diagram_texts(job: Job, plan: Plan) -> list[list[str]]:
    """The texts of each sheet of the diagram."""
    found = []
    with drawing_style():
        for leaf in diagram_leaves(job, plan):
            paper = Paper(leaf.size)
            leaf.draw(paper)
            lettering = read_lettering(paper)
            assert overlapping(lettering) == []
            found.append([t.text for t in lettering])
    return found


def test_the_diagram_keeps_both_sizes_where_there_is_little_room() -> None:
    """The length goes first, and is on the cable schedule."""
    _, plan = WIRED["trailer"]()
    assert plan.wiring is not None
    run = replace(plan.wiring.runs[0], size_mm2=95.0, size_awg="4/0", length_mm=12345.0, estimated=True)
    both = f"{run.run}  95 mm² / AWG 4/0"
    assert run_words(run, 80.0) == run_words(run, 80.0, 2) == (f"{both}  12.35* m",)
    assert run_words(run, 33.0) == (both,)
    assert run_words(run, 33.0, 2) == (both, "12.35* m")
    assert run_words(replace(run, size_mm2=None), 80.0) == (f"{run.run}  AWG 4/0  12.35* m",)
    assert run_words(replace(run, size_awg=None), 80.0) == (f"{run.run}  95 mm²  12.35* m",)
    assert "no size serves" in run_words(replace(run, size_mm2=None, size_awg=None), 80.0)[0]


def test_the_diagram_says_both_sizes_of_every_run() -> None:
    for name in sorted(WIRED):
        job, plan = WIRED[name]()
        with drawing_style():
            drawn = {t.text for leaf in draw_wiring(job, plan) for t in read_lettering(leaf)}
        for run in plan.wiring.runs if plan.wiring else ():
            if run.size_mm2 is not None and run.size_awg is not None:
                both = f"{run.run}  {run.size_mm2:g} mm² / AWG {run.size_awg}"
                assert any(text.startswith(both) for text in drawn), (name, both)
