"""What the sheets say: proof, tables, cautions, arrows, and the words a workshop needs."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

import rooflayout
from rooflayout.documents.contents import (
    CAUTIONS,
    controller_table,
    marks_of,
    obstacle_table,
    parts_lines,
    proof_line,
    setting_out_table,
    string_table,
)
from rooflayout.documents.drawing import draw_sheets, drawing_style
from rooflayout.documents.header import signs
from rooflayout.documents.lettering import fixed, millimetres, number, shorten, width_mm, wrap
from rooflayout.documents.pages import pdf_of
from rooflayout.documents.palette import string_mark
from rooflayout.documents.said import FOR_WHO_WIRES, ON_THE_WIRING_SET, notes_block, wiring_notes_block
from rooflayout.job import Facet
from rooflayout.plan import Note

from .opened_sheets import roof_files
from .samples import BIG, SAMPLES, outline
from .wiring_samples import WIRED


def test_line_on_proof() -> None:
    _, plan = SAMPLES["one_facet"]()
    assert proof_line(plan) == "740 W. Proven: no arrangement of these panels under these rules gives more."
    sampled = replace(plan, layout=replace(plan.layout, true_bound_watts=765.0))
    assert proof_line(sampled) == (
        "740 W. Proven over the positions tried (see the notes); "
        "no arrangement that can be wired gives more than 765 W."
    )
    assert proof_line(replace(sampled, wiring=None)).endswith(
        "no arrangement whatever gives more than 765 W."
    )
    _, plan = SAMPLES["hut"]()
    assert proof_line(plan) == "1820 W. Best found; no layout that can be wired can exceed 2080 W."
    _, plan = SAMPLES["nothing_fits"]()
    assert proof_line(plan).startswith("Nothing may be fitted")


def test_parts_count_new_and_kept_panels_and_their_mass() -> None:
    job, plan = SAMPLES["trailer"]()
    lines = parts_lines(job, plan)
    assert lines[0] == "To fit: 4 × Lapwing 260 M, 2 × Lapwing 175 M, 2 × Sandpiper 110 S."
    assert lines[1] == "Kept: 1 × Wren 60."
    # 4 x 14.5 + 2 x 9.8 + 2 x 6.4 + 1.4
    assert lines[2] == "Mass of all panels 91.8 kg, without mounts and cables."


def test_mass_is_left_out_when_one_is_unknown() -> None:
    job, plan = SAMPLES["one_facet"]()
    models = tuple(replace(m, mass_kg=None) if m is BIG else m for m in job.panels.models)
    job = replace(job, panels=replace(job.panels, models=models))
    assert not any("Mass" in line for line in parts_lines(job, plan))


def test_a_layout_without_wiring_says_so() -> None:
    job, plan = SAMPLES["unwired"]()
    assert "Not wired: the job names no battery and controllers." in parts_lines(job, plan)
    assert string_table(job, plan) is None
    assert controller_table(job, plan) is None


def test_setting_out_table_has_a_row_a_panel_under_its_facet() -> None:
    _, plan = SAMPLES["trailer"]()
    table = setting_out_table(plan)
    assert table is not None
    cells = [row.cells for row in table.rows]
    assert cells[0] == ("main",)
    assert cells[1] == ("P1", "Lapwing 260 M", "40", "40", "1650", "770", "–", "S1", "260")
    assert ("P7", "Sandpiper 110 S", "40", "40", "430", "1250", "yes", "S4", "110") in cells
    assert ("K1", "Wren 60 (kept)", "3960", "840", "600", "500", "–", "–", "60") in cells


def test_string_table_gives_volts_against_the_lower_limit() -> None:
    job, plan = SAMPLES["one_facet"]()
    table = string_table(job, plan)
    assert table is not None
    # 30.1 V x 2 x 1.09 cold against 150 V of the controller
    assert table.rows[0].cells == ("S1", "C1 / 1", "P1 → P2", "2", "65.6", "150", "38.0", "11.00", "520")
    models = tuple(replace(m, max_system_v=100.0) for m in job.panels.models)
    table = string_table(replace(job, panels=replace(job.panels, models=models)), plan)
    assert table is not None
    assert table.rows[0].cells[5] == "100"
    assert table.footnotes[0] == "Cold: cell at −5 °C (from the job file)."


def test_controller_table_states_what_is_cut_off() -> None:
    job, plan = SAMPLES["hut"]()
    table = controller_table(job, plan)
    assert table is not None
    # 1300 W x 0.97 / 14.4 V is more than 60 A; 60 A x 14.4 V / 0.97 = 890.7 W are used, 409.3 W are not.
    cells = table.rows[0].cells
    assert cells[:3] + cells[5:] == ("C1", "Dunlin 150/60 twin", "1300", "60.0", "60", "409.3", "31.5")
    assert cells[3] == "13.8"  # 11 A x 1.25 on either tracker


def test_unwired_kept_panels_are_named_under_the_strings() -> None:
    job, plan = SAMPLES["trailer"]()
    table = string_table(job, plan)
    assert table is not None
    assert table.footnotes[-1] == "Not wired, no controller can take it: K1."


def test_obstacle_table_gives_place_size_clearance_height_and_lid() -> None:
    job, _ = SAMPLES["trailer"]()
    table = obstacle_table(job)
    assert table is not None
    cells = [row.cells for row in table.rows]
    assert ("bed hatch", "1900, 890", "400 × 400", "40", "90", "−x, 180") in cells
    assert ("ringing lamp", "centre 3150, 1090", "⌀ 150", "50", "240", "–") in cells
    assert obstacle_table(replace(job, obstacles=())) is None


def test_corners_of_an_outlined_obstacle_stand_under_the_table() -> None:
    job, _ = SAMPLES["slanted"]()
    table = obstacle_table(job)
    assert table is not None
    assert table.rows[0].cells[:2] == ("forward light", "corners below")
    assert table.footnotes == ("forward light, corners x, y: 2500, 900; 2900, 800; 3000, 1200; 2700, 1400.",)
    trailer = obstacle_table(SAMPLES["trailer"]()[0])
    assert trailer is not None
    assert trailer.footnotes == ()  # place and size say all


def test_an_outlined_obstacle_among_several_facets_names_its_own() -> None:
    job, _ = SAMPLES["slanted"]()
    table = obstacle_table(replace(job, facets=(*job.facets, Facet("stern", outline(900, 900)))))
    assert table is not None
    assert table.footnotes[0].startswith("forward light on bow, corners x, y: ")


def test_bold_lettering_is_shortened_by_its_own_width() -> None:
    lines = wrap("Recreational Fellowship above the woodshed and the sauna", 2.5, 40.0, bold=True)
    assert len(lines) > 1
    assert width_mm(shorten(lines, 1, 2.5, 40.0, bold=True)[0], 2.5, True) <= 40.0


def test_gravest_notes_come_first() -> None:
    _, plan = SAMPLES["trailer"]()
    block = notes_block(plan)
    assert block is not None
    assert [mark for mark, _ in block.paragraphs] == ["Warning", "Caution", "Note"]
    (plain,) = notes_block(replace(plan, notes=(Note("info", "n", "a lower-case start"),))).paragraphs  # type: ignore[union-attr]
    assert plain == ("Note", "A lower-case start")
    assert notes_block(replace(plan, notes=())) is None


def test_what_is_only_for_the_owner_stands_on_the_energy_set() -> None:
    """As long as there is one, and as long as it is no caution."""
    _, plan = SAMPLES["trailer"]()
    notes = (Note("info", "battery-full", "Full."), Note("caution", "clipped-over-the-year", "Cut off."))
    told = replace(plan, notes=notes, energy=object(), balance=object())  # type: ignore[arg-type]
    on_roof, alone = notes_block(told), notes_block(replace(plan, notes=notes, energy=None))
    assert on_roof is not None
    assert alone is not None
    assert on_roof.paragraphs == (("Caution", "Cut off."),)
    assert len(alone.paragraphs) == 2


def test_notes_for_who_wires_stand_on_the_wiring_set() -> None:
    """Fuses and cable kinds are not for the roof, but only where there is a set that has them."""
    _, plan = WIRED["trailer"]()
    notes = (
        Note("caution", "fuses", "Fuses: R5."),
        Note("warning", "hot-drop", "S1."),
        Note("info", "n", "N."),
    )
    told = replace(plan, notes=notes)
    on_roof, on_set = notes_block(told), wiring_notes_block(told)
    assert on_roof is not None
    assert on_set is not None
    assert on_roof.paragraphs == (("Warning", "S1."), ("Note", "N."))
    assert on_set.paragraphs == (("Warning", "S1."), ("Caution", "Fuses: R5."))
    assert plan.wiring is not None
    bare = notes_block(replace(told, wiring=replace(plan.wiring, runs=())))
    assert bare is not None
    assert len(bare.paragraphs) == 3
    assert wiring_notes_block(replace(plan, notes=notes[2:])) is None


def test_every_code_of_the_wiring_set_is_one_that_is_used() -> None:
    files = Path(rooflayout.__file__).parent.rglob("*.py")
    written = "".join(p.read_text() for p in files if p.name != "said.py")
    for code in (*ON_THE_WIRING_SET, *FOR_WHO_WIRES):
        assert f'"{code}"' in written or code.startswith("above-"), code


@pytest.mark.parametrize(
    "words",
    ["daylight", "cover or isolate", "fuses", "local wiring rules", "voltage and polarity", "Work at height",
     "structure and mass limits", "Verify all dimensions", "licensed practice rule over"],
)  # fmt: skip
def test_cautions_are_all_there(words: str) -> None:
    assert sum(words in caution for caution in CAUTIONS) == 1


def test_pdf_text_can_be_searched() -> None:
    pdf = roof_files("trailer")["layout.pdf"]
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    for words in (
        "Delta ringing trailer",
        "bed hatch",
        "front slope",
        "FRONT",
        "downhill, slope 28°",
        *CAUTIONS,
    ):
        assert words in text
    for note in SAMPLES["trailer"]()[1].notes:
        assert note.text in text


def test_arrows_of_a_facet() -> None:
    flat = signs(Facet("a", outline(10, 10)), None)
    assert [(s.words, s.angle_deg) for s in flat] == [("FRONT", 0.0), ("flat, slope 0°", None)]
    front = signs(Facet("a", outline(10, 10), 28.0, "-y", "+y"), None)
    assert [(s.words, s.angle_deg) for s in front] == [("FRONT", 90.0), ("downhill, slope 28°", 270.0)]
    unknown = signs(Facet("a", outline(10, 10), 12.5), None)
    assert unknown[1].words == "slope 12.5°"
    assert unknown[1].angle_deg is None


def test_bearings_turn_clockwise_from_the_front() -> None:
    # The front (+x, to the right) faces east: south lies to its right hand, so down on the paper.
    east = signs(Facet("a", outline(10, 10), 30.0, 180.0), 90.0)
    assert east[1].angle_deg is not None
    assert east[1].angle_deg % 360 == 270.0
    north = east[2]
    assert north.words == "NORTH"
    assert north.angle_deg is not None
    assert north.angle_deg % 360 == 90.0
    # A bearing means nothing on paper for a vehicle that parks every way.
    assert signs(Facet("a", outline(10, 10), 30.0, 180.0), None)[1].angle_deg is None


def test_strings_differ_in_colour_and_hatch() -> None:
    marks = [string_mark(k) for k in range(7)]
    assert len({m.fill for m in marks}) == 7
    assert len({(m.angles_deg, m.pitch_mm) for m in marks}) == 7
    _, plan = SAMPLES["sixty_panels"]()
    assert len({(m.fill, m.angles_deg) for m in marks_of(plan).values()}) == 15


def test_numbers_as_written_on_the_sheet() -> None:
    assert millimetres(1250) == "1250"
    assert millimetres(60.5) == "60.5"
    assert millimetres(60.04) == "60"
    assert millimetres(-0.01) == "0"
    assert number(-5.0, 1) == "−5"
    assert number(100) == "100"
    assert fixed(38, 1) == "38.0"
    assert fixed(-4.26, 1) == "−4.3"


def test_wrapping_keeps_every_word_and_the_width() -> None:
    text = "A rather long sentence with an Unbreakable-Because-Endless-Compound-Of-A-Word in it"
    lines = wrap(text, 2.5, 40.0)
    assert all(width_mm(line, 2.5) <= 40.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert shorten(lines, 2, 2.5, 40.0)[1].endswith("…")
    assert shorten(lines[:2], 2, 2.5, 40.0) == lines[:2]


def test_notes_of_any_length_are_all_written() -> None:
    job, plan = SAMPLES["one_facet"]()
    notes = tuple(Note("info", "n", f"number{k} is " + "word " * (k % 90)) for k in range(0, 120, 2))
    with drawing_style():
        pdf = pdf_of(draw_sheets(job, replace(plan, notes=notes)), plan.title)
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    for k in range(0, 120, 2):
        assert f"umber{k} " in text
