"""The energy set: months, battery, shade, mass and balance as PDF; only sheets with something to show."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..job import Job
from ..plan import Plan
from ..yields import Energy
from .balance_sheet import balance_leaves
from .blocks import TextBlock
from .charge_band import band_blocks, sentences_blocks
from .drawing import drawing_style
from .energy_texts import battery_block, controllers_block, draw_strip, granted_block, year_words
from .leaf import Leaf, stacked_leaves
from .lettering import clean
from .month_chart import load_hours_table, month_blocks
from .pages import pdf_of
from .paper import Paper
from .shade_picture import shade_leaves
from .sheet import framed_paper

CHART_HEIGHTS = (78.0, 68.0, 60.0, 52.0)  # the highest at which no further sheet is needed


def energy_files(job: Job, plan: Plan) -> dict[str, bytes]:
    """energy.pdf with all sheets; nothing where neither sun nor mass is known.

    The same for the same plan.
    """
    with drawing_style():
        papers = draw_energy(job, plan)
        return {"energy.pdf": pdf_of(papers, f"{clean(plan.title)}: energy")} if papers else {}


def energy_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """Every sheet of the set, in order; a part without data is left out."""
    return [
        *month_leaves(job, plan),
        *shade_leaves(job, plan),
        *balance_leaves(job, plan),
    ]


def month_leaves(job: Job, plan: Plan) -> list[Leaf]:
    """By month, through the year, and what is said of battery, controllers and loads."""
    energy = plan.energy
    if energy is None or not month_blocks(energy, CHART_HEIGHTS[0]):
        return []
    first, said = _first_sheet(energy, [battery_block(job, plan), controllers_block(job, plan)])

    def through_the_year(chart_mm: float) -> list[Leaf]:
        return stacked_leaves("Through the year", [*band_blocks(energy, chart_mm), *sentences_blocks(energy)])

    hours = load_hours_table(energy.load_hours)
    tables = [hours] if hours else []
    rest = stacked_leaves("Battery and loads", tables, [*said, *granted_block(job, plan)])
    return _with_year(energy, [*first, *_fewest(through_the_year), *rest])


def _first_sheet(energy: Energy, texts: list[list[TextBlock]]) -> tuple[list[Leaf], list[TextBlock]]:
    """Chart and table with as much said under them as one sheet holds; and what is left to say."""
    for first in range(len(texts) + 1):  # what is of most use there comes last
        under = [block for blocks in texts[first:] for block in blocks]
        leaves = _month_sheets(energy, under)
        if len(leaves) == 1:
            break
    return leaves, [block for blocks in texts[:first] for block in blocks]


def _month_sheets(energy: Energy, under: list[TextBlock]) -> list[Leaf]:
    return _fewest(lambda mm: stacked_leaves("Sun and loads", month_blocks(energy, mm), under))


def _fewest(at: Callable[[float], list[Leaf]]) -> list[Leaf]:
    """The sheets with the highest chart among those of which there are fewest."""
    ways = [at(height) for height in CHART_HEIGHTS]
    return min(ways, key=len)


def _with_year(energy: Energy, leaves: list[Leaf]) -> list[Leaf]:
    """The sheets with the year's figure left of the title block."""
    head, words = year_words(energy)

    def with_strip(draw: Callable[[Paper], None]) -> Callable[[Paper], None]:
        def both(paper: Paper) -> None:
            draw(paper)
            draw_strip(paper, head, words)

        return both

    return [replace(leaf, draw=with_strip(leaf.draw)) for leaf in leaves]


def draw_energy(job: Job, plan: Plan) -> list[Paper]:
    """The sheets as figures, each with its frame and title block."""
    leaves = energy_leaves(job, plan)
    papers = []
    for number, leaf in enumerate(leaves, start=1):
        paper = framed_paper(leaf.size, plan, "Energy", leaf.document_type, leaf.scale, number, len(leaves))
        leaf.draw(paper)
        papers.append(paper)
    return papers
