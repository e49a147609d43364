"""The workshop set of the wiring: schedules, diagram, mounting, bench sheet and labels as PDF."""

from __future__ import annotations

from ..job import Job
from ..plan import Plan
from .bench_sheet import bench_leaves
from .blocks import Block
from .cables_sheet import cable_leaves
from .drawing import drawing_style
from .elevation import elevation_leaves
from .labels_sheet import label_leaves
from .leaf import Leaf
from .lettering import clean
from .pages import pdf_of
from .paper import Paper
from .said import wiring_notes_block
from .sheet import framed_paper
from .single_line import diagram_leaves
from .strings_sheet import cautions_block, string_leaves
from .warning import draw_short_caution


def wiring_files(job: Job, plan: Plan) -> dict[str, bytes]:
    """wiring.pdf with all sheets; nothing where nothing is wired.

    The same for the same plan.
    """
    with drawing_style():
        papers = draw_wiring(job, plan)
        if not papers:
            return {}
        return {"wiring.pdf": pdf_of(papers, f"{clean(plan.title)}: wiring")}


def leaves_of(job: Job, plan: Plan) -> list[Leaf]:
    """Every sheet of the set, in order; a part without data is left out."""
    return [
        *_schedules(job, plan),
        *diagram_leaves(job, plan),
        *elevation_leaves(job, plan),
        *bench_leaves(job, plan),
        *label_leaves(plan),
    ]


def _schedules(job: Job, plan: Plan) -> list[Leaf]:
    """Strings and cables; cautions and notes stand where they need no sheet of their own, if anywhere."""
    notes = wiring_notes_block(plan)
    cautions: list[Block] = [cautions_block(), *([] if notes is None else [notes])]
    strings, cables = string_leaves(job, plan), cable_leaves(job, plan)
    with_strings, with_cables = string_leaves(job, plan, cautions), cable_leaves(job, plan, cautions)
    if len(with_strings) > len(strings) and cables and len(with_cables) == len(cables):
        return [*strings, *with_cables]
    return [*with_strings, *cables]


def draw_wiring(job: Job, plan: Plan) -> list[Paper]:
    """The sheets as figures, each with its frame, title block and caution."""
    leaves = leaves_of(job, plan)
    papers = []
    for number, leaf in enumerate(leaves, start=1):
        paper = framed_paper(leaf.size, plan, "Wiring", leaf.document_type, leaf.scale, number, len(leaves))
        draw_short_caution(paper)
        leaf.draw(paper)
        papers.append(paper)
    return papers
