"""The string, controller and cable schedules of the wiring set, and the tables they are made of."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.documents.cables_sheet import cables_block
from rooflayout.documents.leaf import stacked_leaves
from rooflayout.documents.lettering import NORMAL
from rooflayout.documents.strings_sheet import (
    controllers_block,
    in_order,
    strings_block,
)
from rooflayout.documents.table import Column, Row, TableBlock
from rooflayout.job import Cable

from .opened_sheets import leaf_lettering
from .samples import BIG, SAMPLES
from .wiring_samples import WIRED


def test_string_schedule_states_limit_headroom_and_need() -> None:
    job, plan = WIRED["trailer"]()
    table = strings_block(job, plan)
    assert table is not None
    assert table.rows[0].cells == (
        "S1", "C1 / 1", "main", "Lapwing 260 M", "+P1 → P2−", "2",
        "65.6", "150", "84.4", "38.0", "37.6", "19.4", "18.2", "11.00", "520",
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
    job, plan = WIRED["long_names"]()
    table = cables_block(job, plan)
    assert table is not None
    first, second, third = (row.cells for row in table.rows)
    assert first[:10] == ("R1", "S1", "C1 tracker 1", "11.2", "9.1", "4.24", "6", "46.3", "0.41", "1.7")
    assert first[10:13] == ("10", "52.0", "1.9")
    assert second[6:14] == ("none", "–", "–", "–", "none", "–", "–", "–")
    assert "1.2 m shorter would do" in second[15]
    assert any("choose one row and stay with it" in note for note in table.footnotes)
    assert third[5] == "1.50*"
    assert any(note.startswith("* Length estimated") for note in table.footnotes)
    assert any(note.startswith("none: no standard size") for note in table.footnotes)
    shorter = cables_block(*WIRED["one_string"]())
    assert shorter is not None
    assert not any(note.startswith(("*", "none")) for note in shorter.footnotes)


def test_cable_schedule_says_which_cable_and_air_its_sizes_count_on() -> None:
    """Cable for 70 °C would carry too little: the class stands on the sheet, and the roof's air."""
    job, plan = WIRED["trailer"]()
    for cable, told in (
        (
            Cable(ambient_c=45.0, insulation_c=105.0, bundled=4),
            "105 °C, air of 45 °C inside (as the job says), 78 °C on",
        ),
        (Cable(), "90 °C, air of 52 °C inside (assumed: a closed cupboard, 10 K above the hottest outside; "),
    ):
        table = cables_block(replace(job, cable=cable), plan)
        assert table is not None
        assert told in table.footnotes[0]
        assert f"{cable.bundled} loaded conductors" in table.footnotes[0]
        assert f"conductor at {cable.insulation_c:g} °C" in table.footnotes[1]
    assert table is not None
    assert any("in the + conductor" in note for note in table.footnotes)


def test_long_tables_go_on_with_their_head_again() -> None:
    rows = tuple(Row((f"row {k}", "text")) for k in range(70))
    table = TableBlock("Many", (Column(("name",)), Column(("what",), "left", True)), rows, (), NORMAL)
    leaves = stacked_leaves("Schedule", [table, table])
    lettering = [[t.text for t in leaf_lettering(leaf)] for leaf in leaves]
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
