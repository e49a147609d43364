"""The drawing sheet: frame with filing margin (ISO 5457) and title block (ISO 7200)."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath

from .. import __version__
from ..plan import Plan
from .box import Box
from .lettering import LARGE, NORMAL, SMALL, clean, em_mm, shorten, wrap
from .paper import INK, Paper, PaperSize

FILING_MARGIN = 20.0
MARGIN = 10.0
BLOCK_WIDTH = 180.0
_ROW = 9.0
BLOCK_HEIGHT = 4 * _ROW


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the title block says; the fields left for the hand have no entry here."""

    title: str
    job_file: str
    made_with: str
    document_type: str
    scale: str
    sheet: int
    sheets: int


def frame_box(size: PaperSize) -> Box:
    """The drawing space inside the frame."""
    return Box(FILING_MARGIN, MARGIN, size.width_mm - MARGIN, size.height_mm - MARGIN)


def title_box(size: PaperSize) -> Box:
    """The title block in the lower right corner of the frame."""
    frame = frame_box(size)
    return Box(frame.x1 - BLOCK_WIDTH, frame.y0, frame.x1, frame.y0 + BLOCK_HEIGHT)


def framed_paper(
    size: PaperSize, plan: Plan, untitled: str, document_type: str, scale: str, sheet: int, sheets: int
) -> Paper:
    """A sheet with its frame and title block; untitled is the title where the plan has none."""
    paper = Paper(size)
    draw_frame(paper)
    block = TitleBlock(
        title=clean(plan.title) or untitled,
        job_file=PurePath(plan.job_file).name,
        made_with=f"rooflayout {__version__}",
        document_type=document_type,
        scale=scale,
        sheet=sheet,
        sheets=sheets,
    )
    draw_title_block(paper, block)
    return paper


def draw_frame(paper: Paper) -> None:
    """The frame and its centring marks."""
    frame = frame_box(paper.size)
    paper.box(frame, None, 0.7)
    middle_x, middle_y = paper.size.width_mm / 2, paper.size.height_mm / 2
    for points in (
        [(middle_x, 5.0), (middle_x, frame.y0)],
        [(middle_x, paper.size.height_mm - 5.0), (middle_x, frame.y1)],
        [(frame.x0 - 5.0, middle_y), (frame.x0, middle_y)],
        [(paper.size.width_mm - 5.0, middle_y), (frame.x1, middle_y)],
    ):
        paper.line(points, 0.7)


def draw_title_block(paper: Paper, block: TitleBlock) -> None:
    """The title block; legal owner, numbers, dates and names are left to be filled in by hand."""
    whole = title_box(paper.size)
    x, y = whole.x0, whole.y0
    _field(paper, Box(x, y + 2 * _ROW, x + 60, y + 4 * _ROW), "Legal owner", "")
    _field(paper, Box(x + 60, y + 3 * _ROW, x + 100, y + 4 * _ROW), "Created by", "")
    _field(paper, Box(x + 100, y + 3 * _ROW, x + 140, y + 4 * _ROW), "Approved by", "")
    _field(paper, Box(x + 140, y + 3 * _ROW, x + 180, y + 4 * _ROW), "Document type", block.document_type)
    _field(paper, Box(x, y + _ROW, x + 60, y + 2 * _ROW), "Identification number", "")
    _title_field(paper, Box(x + 60, y + _ROW, x + 180, y + 3 * _ROW), block)
    _field(paper, Box(x, y, x + 38, y + _ROW), "Date of issue", "")
    _field(paper, Box(x + 38, y, x + 60, y + _ROW), "Revision", "")
    _field(paper, Box(x + 60, y, x + 105, y + _ROW), "Made with", block.made_with)
    _field(paper, Box(x + 105, y, x + 130, y + _ROW), "Scale", block.scale, bold=True)
    _field(paper, Box(x + 130, y, x + 145, y + _ROW), "Size", paper.size.name, bold=True)
    _field(paper, Box(x + 145, y, x + 158, y + _ROW), "Lang.", "en")
    _field(paper, Box(x + 158, y, x + 180, y + _ROW), "Sheet", f"{block.sheet}/{block.sheets}", bold=True)
    paper.box(whole, None, 0.7)


def _field(paper: Paper, box: Box, caption: str, value: str, bold: bool = False) -> None:
    paper.box(box, None, 0.25)
    paper.text(box.x0 + 1.0, box.y1 - 1.0 - SMALL, caption, SMALL, colour="#555555")
    paper.text(box.x0 + 1.5, box.y0 + 1.4, value, NORMAL, bold=bold)


def _title_field(paper: Paper, box: Box, block: TitleBlock) -> None:
    paper.box(box, None, 0.25)
    paper.text(box.x0 + 1.0, box.y1 - 1.0 - SMALL, "Title", SMALL, colour="#555555")
    room = box.width - 3.0
    file_words = shorten(wrap(f"Job file {clean(block.job_file)}", SMALL, room), 1, SMALL, room)[0]
    height, most = LARGE, 2
    lines = wrap(block.title, height, room, bold=True)
    if len(lines) > most:
        height = NORMAL
        lines = shorten(wrap(block.title, height, room, bold=True), most, height, room, bold=True)
    base = box.y1 - 1.2 - SMALL - 1.0 - em_mm(height) * 0.85
    if len(lines) == 1:
        base -= 1.2
    for index, line in enumerate(lines):
        paper.text(box.x0 + 1.5, base - index * em_mm(height) * 1.06, line, height, bold=True, colour=INK)
    if block.job_file:
        paper.text(box.x0 + 1.5, box.y0 + 1.2, file_words, SMALL)
