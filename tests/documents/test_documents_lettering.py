"""No text on any sheet may cover another, leave the frame or be too small to read."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest

from rooflayout.documents.drawing import draw_sheets, drawing_style
from rooflayout.documents.lettering import NORMAL, width_mm, wrap
from rooflayout.documents.paper import A3, A4, Paper

from .lettering_on_sheets import overlapping, read_lettering
from .opened_sheets import capitals_mm, opened, outside_frame, roof_sheets
from .random_roofs import random_roof
from .samples import SAMPLES, outline


@pytest.mark.parametrize("name", SAMPLES)
def test_no_text_covers_another(name: str) -> None:
    for lettering in roof_sheets(name)[1]:
        assert len(lettering) > 20
        assert overlapping(lettering) == []


@pytest.mark.parametrize("name", SAMPLES)
def test_all_text_stands_within_the_frame(name: str) -> None:
    for paper, lettering in zip(*roof_sheets(name), strict=True):
        assert outside_frame(paper, lettering) == []


@pytest.mark.parametrize("name", SAMPLES)
def test_capitals_are_never_lower_than_1_8_mm(name: str) -> None:
    for lettering in roof_sheets(name)[1]:
        assert min(capitals_mm(lettering)) >= 1.8 - 1e-6


@pytest.mark.parametrize("seed", range(6))
def test_random_roofs_are_lettered_as_well(seed: int) -> None:
    job, plan = random_roof(random.Random(seed))
    for paper, lettering in zip(*opened(draw_sheets, job, plan), strict=True):
        assert overlapping(lettering) == []
        assert outside_frame(paper, lettering) == []


def test_the_checks_above_can_fail() -> None:
    paper = Paper(A4)
    paper.text(100, 100, "one text", 2.5)
    paper.text(110, 101, "another", 2.5)
    paper.text(12, 50, "in the margin", 2.5)
    lettering = read_lettering(paper)
    assert overlapping(lettering) == [("one text", "another")]
    assert outside_frame(paper, lettering) == ["in the margin"]


def test_boxes_known_in_advance_hold_the_rendered_text() -> None:
    paper = Paper(A3)
    for k, (text, vertical, bold) in enumerate(
        (
            ("P12", False, True),
            ("1650 × 770", False, False),
            ("Åglow (ß)", True, False),
            ("lid of hatch", True, True),
        )
    ):
        for j, align in enumerate(("left", "center", "right")):
            paper.text(100 + 60 * k, 60 + 70 * j, text, 2.5, align, vertical, bold)  # type: ignore[arg-type]
    with drawing_style():
        rendered = read_lettering(paper)
    for box, seen in zip(paper.text_boxes, rendered, strict=True):
        assert box.x0 - 0.35 <= seen.x0
        assert seen.x1 <= box.x1 + 0.35
        assert box.y0 - 0.35 <= seen.y0
        assert seen.y1 <= box.y1 + 0.35


@pytest.mark.parametrize("name", SAMPLES)
def test_every_panel_string_and_obstacle_is_named_in_its_view(name: str) -> None:
    (job, plan), sheets = SAMPLES[name](), roof_sheets(name)[1]
    first_words = " ".join(t.text for lettering in sheets for t in lettering)
    words = [t.text for lettering in sheets for t in lettering]
    for panel in plan.layout.panels:
        # once in the view (alone, with "kept" or before other words) and once in the table
        seen = [w for w in words if w == panel.panel or w.startswith(f"{panel.panel} ")]
        assert len(seen) >= 2, panel.panel
    for obstacle in job.obstacles:
        for word in obstacle.name.split():
            assert first_words.count(word) >= 2, obstacle.name
    for string in plan.wiring.strings if plan.wiring else ():
        badges = [t for lettering in sheets for t in lettering if t.text == string.string and t.bold]
        assert len(badges) >= len(string.panels)
    assert "without room for their names" not in first_words


def test_a_panel_too_small_for_its_number_gets_a_leader() -> None:
    job, plan = SAMPLES["one_facet"]()
    wide = replace(job.facets[0], outline_mm=outline(90_000, 40_000))
    with drawing_style():
        (paper,) = draw_sheets(replace(job, facets=(wide,)), plan)
        words = [t.text for t in read_lettering(paper)]
    assert "P1 S1" in words
    assert {"P3 S2", "P3"} & set(words)
    assert {"P4 S2", "P4"} & set(words)


def test_a_script_without_glyphs_neither_fails_nor_warns(recwarn: pytest.WarningsRecorder) -> None:
    job, plan = SAMPLES["one_facet"]()
    with drawing_style():
        draw_sheets(replace(job, title="屋根"), replace(plan, title="屋根 ☃\n\tx"))
    assert [w for w in recwarn if "Glyph" in str(w.message)] == []


def test_a_figure_and_its_unit_stay_on_one_line() -> None:
    text = "voltage drop: 1.75 % of 2.48 %, fuse at 35 °C: 100.0 A of 120.0 A, in 3 parts"
    for room_mm in range(18, 60):
        lines = wrap(text, NORMAL, float(room_mm))
        assert " ".join(lines) == text
        assert not any(line.split()[0].rstrip(",:") in ("%", "°C", "A") for line in lines)
    assert len(wrap(text, NORMAL, 18.0)) > 8


def test_words_are_added_to_a_line_as_long_as_the_whole_of_it_has_room() -> None:
    """Against lines measured as a whole, word by word; the wrapping adds up widths of words."""
    chosen = random.Random(5)
    for _ in range(60):
        text = " ".join("".join(chosen.choices("AVTofjilW.,é", k=chosen.randint(3, 9))) for _ in range(30))
        room_mm, bold = chosen.uniform(30.0, 90.0), chosen.random() < 0.5
        lines = wrap(text, NORMAL, room_mm, bold)
        for line, after in pairwise(lines):
            assert width_mm(line, NORMAL, bold) <= room_mm
            assert width_mm(f"{line} {after.split()[0]}", NORMAL, bold) > room_mm
