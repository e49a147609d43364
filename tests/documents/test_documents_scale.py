"""The drawing is true to a scale of ISO 5455, or one between, and the sheets have the sizes they claim."""

from __future__ import annotations

import io
import re
import struct
from dataclasses import replace

import pytest
from matplotlib.patches import Polygon
from pypdf import PdfReader

from rooflayout.documents.arrange import _first_sheets, arrange, further_sheets
from rooflayout.documents.blocks import TextBlock, lettered
from rooflayout.documents.drawing import blocks_of, draw_sheets, drawing_style
from rooflayout.documents.key import scale_bar_length_mm
from rooflayout.documents.lettering import NORMAL, SMALL
from rooflayout.documents.paper import A3, A4, Paper
from rooflayout.documents.table import Column, Row, TableBlock
from rooflayout.documents.view import plan_view

from .opened_sheets import roof_files, roof_sheets
from .samples import SAMPLES

# ISO 5455:1979, table of reductions (from memory): 1:2, 1:5, 1:10 and so on by tens.
REDUCTIONS = {2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000}
# Between 1:20 and 1:50 (common practice, no source).
BETWEEN = {25, 30, 40}
# ISO 216 (from memory), landscape, mm.
SIZES = {"A4": (297, 210), "A3": (420, 297)}


def sheets_of(name: str) -> list[Paper]:
    return roof_sheets(name)[0]


def words_on(paper: Paper) -> list[str]:
    return [t.get_text() for t in paper.figure.axes[0].texts]


def denominator_of(name: str) -> int:
    (scale,) = [w for w in words_on(sheets_of(name)[0]) if re.fullmatch(r"1:\d+", w)]
    return int(scale[2:])


def rectangles(name: str) -> set[tuple[float, float]]:
    """Width and height on paper [mm] of every upright rectangle drawn."""
    found = set()
    for paper in sheets_of(name):
        for patch in paper.figure.axes[0].patches:
            if isinstance(patch, Polygon) and len(patch.get_xy()) == 5:
                xy = patch.get_xy()
                found.add((round(float(xy[1, 0] - xy[0, 0]), 2), round(float(xy[2, 1] - xy[1, 1]), 2)))
    return found


@pytest.mark.parametrize("name", SAMPLES)
def test_scale_is_a_standard_reduction_or_one_between(name: str) -> None:
    assert denominator_of(name) in REDUCTIONS | BETWEEN


def test_a_roof_too_large_for_1_20_is_not_drawn_at_1_50_on_half_the_sheet() -> None:
    # Two facets of 6.2 m side by side: 2 x 155 mm at 1:40, and A3 has 384 mm inside its frame.
    assert len(sheets_of("hut")) == 1
    assert denominator_of("hut") == 40


@pytest.mark.parametrize("name", SAMPLES)
def test_a_sheet_more_must_be_worth_it(name: str) -> None:
    """No arrangement on fewer sheets is nearly as large: less than from A4 to A3, a factor of root 2."""
    job, plan = SAMPLES[name]()
    blocks = blocks_of(job, plan)
    with drawing_style():
        chosen = arrange(job, plan, blocks)
        fewer = len(chosen.sheets) - 1
        for denominator in sorted(BETWEEN | {20, 50}):
            views = [plan_view(job, plan, facet, denominator) for facet in job.facets]
            for sheet, left_over in _first_sheets(views, blocks, A3):
                assert sheet.views
                count = 1 + len(further_sheets(left_over, A3))
                if count <= fewer:
                    assert denominator * 2 ** (count / 2) >= chosen.denominator * 2 ** ((fewer + 1) / 2)


@pytest.mark.parametrize(
    "name", ["trailer", "boat", "twenty_panels", "sixty_panels", "many_facets", "slanted"]
)
def test_every_panel_is_drawn_true_to_scale(name: str) -> None:
    _, plan = SAMPLES[name]()
    drawn, den = rectangles(name), denominator_of(name)
    for p in plan.layout.panels:
        assert (round(p.along_x_mm / den, 2), round(p.along_y_mm / den, 2)) in drawn


def test_panels_lie_where_the_plan_says() -> None:
    # 1:20: P1 of the small camper starts 40 mm from the datum along x and y, so 2 mm on paper.
    (paper,) = sheets_of("one_facet")
    corners: dict[tuple[float, float], set[tuple[float, float]]] = {}
    for patch in paper.figure.axes[0].patches:
        if isinstance(patch, Polygon) and len(patch.get_xy()) == 5:
            (x0, y0), (x1, y1) = patch.get_xy()[0], patch.get_xy()[2]
            size = round(float(x1 - x0), 2), round(float(y1 - y0), 2)
            corners.setdefault(size, set()).add((float(x0), float(y0)))
    ((roof_x, roof_y),) = corners[3600 / 20, 1700 / 20]
    offsets = {(round(x - roof_x, 2), round(y - roof_y, 2)) for x, y in corners[1650 / 20, 770 / 20]}
    assert offsets == {(2.0, 2.0), (2.0, 41.5)}


@pytest.mark.parametrize(
    ("denominator", "length"),
    [(20, 1000), (25, 1500), (30, 1500), (40, 2000), (50, 2000), (100, 5000), (5, 200), (10, 500)],
)
def test_scale_bar_is_a_round_length_of_at_most_60_mm(denominator: int, length: float) -> None:
    assert scale_bar_length_mm(denominator) == length
    assert length / denominator <= 60 < 2.5 * length / denominator
    assert length % denominator == 0  # whole millimetres, to check a print with a rule


@pytest.mark.parametrize("name", ["trailer", "nothing_fits", "crowded"])  # on one, one and two sheets
def test_files_have_the_size_in_the_title_block(name: str) -> None:
    paper = sheets_of(name)[0]
    wide, high = SIZES[paper.size.name]
    assert paper.size.name in words_on(paper)
    files = roof_files(name)
    reader = PdfReader(io.BytesIO(files["layout.pdf"]))
    assert len(reader.pages) == len(sheets_of(name))
    for page in reader.pages:
        assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(wide, abs=0.05)
        assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(high, abs=0.05)
    svg = files["layout.svg"].decode()
    points = re.search(r'width="([\d.]+)pt" height="([\d.]+)pt"', svg)
    assert points is not None
    assert float(points[1]) * 25.4 / 72 == pytest.approx(wide, abs=0.05)
    pixels = struct.unpack(">II", files["layout.png"][16:24])
    assert pixels[0] / 150 * 25.4 == pytest.approx(wide, abs=0.3)
    assert pixels[1] / 150 * 25.4 == pytest.approx(high, abs=0.3)


def test_a_small_job_stays_on_a4_and_a_usual_trailer_on_one_a3_sheet() -> None:
    assert [p.size.name for p in sheets_of("nothing_fits")] == ["A4"]
    assert [p.size.name for p in sheets_of("trailer")] == ["A3"]
    assert denominator_of("trailer") == 20


def test_many_facets_go_to_several_sheets_rather_than_to_a_tiny_scale() -> None:
    sheets = sheets_of("many_facets")
    assert denominator_of("many_facets") <= 50
    named = [sum(w.startswith("bay ") for w in words_on(paper)) for paper in sheets]
    assert sum(n > 0 for n in named) >= 2
    numbers = [next(w for w in words_on(p) if re.fullmatch(r"\d+/\d+", w)) for p in sheets]
    assert numbers == [f"{k}/{len(sheets)}" for k in range(1, len(sheets) + 1)]


def test_long_tables_are_parted_with_no_row_lost() -> None:
    words = [w for paper in sheets_of("sixty_panels") for w in words_on(paper)]
    assert "Setting out from the datum, mm (continued)" in words
    # Rows of the setting-out table hold the number alone, labels on the roof are bold.
    plain = [
        t.get_text()
        for paper in sheets_of("sixty_panels")
        for t in paper.figure.axes[0].texts
        if t.get_fontweight() != "bold" and re.fullmatch(r"P\d+", t.get_text())
    ]
    assert sorted(plain) == sorted(f"P{k}" for k in range(1, 61))


def test_what_is_mounted_from_is_on_the_sheet_with_the_roof() -> None:
    """In parts where no column is long enough; cautions and notes go to the next sheet before it does."""
    setting_out = TableBlock("Setting out", (Column(("panel",)),), tuple(Row((f"P{k}",)) for k in range(30)))
    others = [TextBlock(f"T{k}", (("", "some words " * 9),) * 8) for k in range(5)]
    job, _ = SAMPLES["trailer"]()
    views = [plan_view(*SAMPLES["trailer"](), facet, 20) for facet in job.facets]
    ways = _first_sheets(views, [setting_out, *others], A3)
    assert ways
    for sheet, left_over in ways:
        titles = [getattr(p.block, "title", "") for p in sheet.placements]
        assert titles[0] == "Setting out"
        assert left_over or len(titles) >= 6


def test_a_table_wider_than_a_column_gets_a_whole_sheet() -> None:
    head = tuple(Column((f"a column with a long name {k}",)) for k in range(5))
    wide = TableBlock("Wide", head, (Row(("1", "2", "3", "4", "5")),))
    narrow = TextBlock("Narrow", (("", "text"),))
    assert wide.least_width > 125
    placements = [p for sheet in further_sheets([wide, narrow], A3) for p in sheet.placements]
    assert [p.block for p in placements] == [wide, lettered(narrow, NORMAL)]
    assert placements[0].width > wide.least_width


def test_a_block_larger_than_a_sheet_is_still_drawn() -> None:
    huge = TextBlock("Huge", (("", "word " * 20_000),), NORMAL)
    sheets = further_sheets([huge], A4)
    assert [p.block for p in sheets[0].placements] == [huge]


def test_texts_on_further_sheets_are_in_larger_letters_where_that_takes_no_more_sheets() -> None:
    few, many = (TextBlock("T", tuple(("", "some words " * 9) for _ in range(n))) for n in (20, 100))
    for block, larger in ((few, True), (many, False)):
        sheets = further_sheets([block], A3)
        assert len(sheets) == 1
        letters = {p.block.lettering_mm for p in sheets[0].placements if isinstance(p.block, TextBlock)}
        assert letters == {NORMAL if larger else SMALL}


def test_endless_names_do_not_keep_a_roof_off_the_paper() -> None:
    job, plan = SAMPLES["nothing_fits"]()
    name = "An endless name " * 200
    facet = replace(job.facets[0], name=name)
    obstacle = replace(job.obstacles[0], facet=name, name=name)
    with drawing_style():
        papers = draw_sheets(
            replace(job, facets=(facet,), obstacles=(obstacle,), title=name), replace(plan, title=name)
        )
    assert any(w.endswith("…") for w in words_on(papers[0]))
