"""The dimensioned roof drawing: all sheets, as figures or as the bytes of PDF, SVG and PNG files."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager

import matplotlib

from ..job import Job
from ..plan import Plan
from .arrange import RESULT_WIDTH, Arrangement, SheetLayout, arrange, strip_box
from .blocks import Block
from .box import Box
from .contents import (
    cautions_block,
    controller_table,
    marks_of,
    obstacle_table,
    parts_lines,
    proof_line,
    setting_out_table,
    string_table,
)
from .key import draw_scale_bar, key_block
from .lettering import NORMAL, SMALL, clean, em_mm, line_mm, shorten, wrap
from .pages import numbered, pdf_of, png_of
from .paper import Paper
from .roof import draw_facet
from .said import notes_block
from .sheet import framed_paper


def drawing_files(job: Job, plan: Plan) -> dict[str, bytes]:
    """layout.pdf with all sheets; layout.svg and layout.png with the first, layout-2 and on with the others.

    The same for the same plan.
    """
    with drawing_style():
        papers = draw_sheets(job, plan)
        files = {"layout.pdf": pdf_of(papers, clean(plan.title))}
        for number, paper in enumerate(papers, start=1):
            name = numbered("layout", number)
            svg = io.BytesIO()
            paper.figure.savefig(svg, format="svg", metadata={"Date": None, "Title": clean(plan.title)})
            files |= {f"{name}.svg": svg.getvalue(), f"{name}.png": png_of(paper)}
    return files


def draw_sheets(job: Job, plan: Plan) -> list[Paper]:
    """Every sheet of the drawing, the roof on the first."""
    arrangement = arrange(job, plan, blocks_of(job, plan))
    return [
        _draw_sheet(job, plan, arrangement, number, sheet)
        for number, sheet in enumerate(arrangement.sheets, start=1)
    ]


def blocks_of(job: Job, plan: Plan) -> list[Block]:
    """The tables and texts that the sheets carry, in reading order."""
    optional: tuple[Block | None, ...] = (
        setting_out_table(plan),
        string_table(job, plan),
        controller_table(job, plan),
        obstacle_table(job),
        key_block(job, plan),
        cautions_block(),
        notes_block(plan),
    )
    return [block for block in optional if block is not None]


def _draw_sheet(job: Job, plan: Plan, arrangement: Arrangement, number: int, sheet: SheetLayout) -> Paper:
    name, scale = "Roof layout", f"1:{arrangement.denominator}"
    paper = framed_paper(arrangement.size, plan, name, name, scale, number, len(arrangement.sheets))
    marks = marks_of(plan)
    for placed in sheet.views:
        draw_facet(paper, placed, marks)
    for placement in sheet.placements:
        placement.block.draw(paper, placement.x, placement.top, placement.width)
    if sheet.views:
        _draw_result(paper, job, plan, arrangement.denominator)
    return paper


def _draw_result(paper: Paper, job: Job, plan: Plan, denominator: int) -> None:
    """The line on proof, the parts and the scale bar, left of the title block."""
    strip = strip_box(paper.size)
    box = Box(strip.x0, strip.y0, min(strip.x1, strip.x0 + RESULT_WIDTH), strip.y1)
    y = box.y1
    for line in wrap(proof_line(plan), NORMAL, box.width, bold=True):
        paper.text(box.x0, y - 0.8 * em_mm(NORMAL), line, NORMAL, bold=True)
        y -= line_mm(NORMAL)
    y -= 0.8
    room = y - box.y0 - 8.0
    words = [t for part in parts_lines(job, plan) for t in wrap(part, SMALL, box.width)]
    for line in shorten(tuple(words), max(1, int(room // line_mm(SMALL))), SMALL, box.width):
        paper.text(box.x0, y - 0.8 * em_mm(SMALL), line, SMALL)
        y -= line_mm(SMALL)
    draw_scale_bar(paper, box.x0, box.y0, denominator, strip.width)


@contextmanager
def drawing_style() -> Iterator[None]:
    """matplotlib's own defaults whatever the user's settings say, and output without dates or chance."""
    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(
            {
                "pdf.fonttype": 42,
                "svg.fonttype": "path",
                "svg.hashsalt": "rooflayout",
                "text.hinting": "none",
                "path.simplify": False,
            }
        )
        yield
