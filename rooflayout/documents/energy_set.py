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
from .pages import numbered, pdf_of, png_of
from .paper import Paper
from .shade_picture import shade_leaves
from .sheet import framed_paper
from .table import TableBlock

CHART_HEIGHTS = (104.0, 92.0, 84.0, 78.0, 68.0, 60.0, 52.0)  # the highest that needs no further sheet


def energy_files(job: Job, plan: Plan) -> dict[str, bytes]:
    """energy.pdf with all sheets, energy.png, energy-2.png and on with one each; nothing where neither sun
    nor mass is known.

    The same for the same plan.
    """
    with drawing_style():
        papers = draw_energy(job, plan)
        if not papers:
            return {}
        files = {"energy.pdf": pdf_of(papers, f"{clean(plan.title)}: energy")}
        pictures = {f"{numbered('energy', n)}.png": png_of(paper) for n, paper in enumerate(papers, start=1)}
        return files | pictures


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
    hours = load_hours_table(energy.load_hours, job.loads)
    tables = [hours] if hours else []
    battery = battery_block(job, plan)
    said = [*controllers_block(job, plan), *granted_block(job, plan)]
    if not energy.soc_band_pct:
        return _with_year(energy, _without_band(energy, tables, [*said, *battery]))
    ways = (_on_three(energy, tables, [*battery, *said]), _on_two(energy, tables, [*said, *battery]))
    return _with_year(energy, min(ways, key=len))


def _on_two(energy: Energy, tables: list[TableBlock], said: list[TextBlock]) -> list[Leaf]:
    """Chart and table with what is said under them, the band with the sentences; a third for what is left."""
    first, rest = _first_sheet(energy, said)
    band = _fewest(
        lambda mm: stacked_leaves("Through the year", [*band_blocks(energy, mm), *sentences_blocks(energy)])
    )
    left = stacked_leaves("Battery and loads", tables, rest) if tables or rest else []
    return [*first, *band, *left]


def _on_three(energy: Energy, tables: list[TableBlock], said: list[TextBlock]) -> list[Leaf]:
    """Chart and table; the band with the hours of the loads; the sentences with all that is said."""
    band = _fewest(lambda mm: stacked_leaves("Through the year", [*band_blocks(energy, mm), *tables]))
    words = stacked_leaves("Month by month", sentences_blocks(energy), said)
    return [*_month_sheets(energy, []), *band, *words]


def _without_band(energy: Energy, tables: list[TableBlock], said: list[TextBlock]) -> list[Leaf]:
    """All on one sheet, or on as few as hold it."""
    return _fewest(
        lambda mm: stacked_leaves(
            "Sun and loads", [*month_blocks(energy, mm), *sentences_blocks(energy), *tables], said
        )
    )


def _first_sheet(energy: Energy, said: list[TextBlock]) -> tuple[list[Leaf], list[TextBlock]]:
    """Chart and table, under them what is said as far as one sheet holds it; and what is left to say."""
    under: list[TextBlock] = []
    for block in said:
        if len(_month_sheets(energy, [*under, block])) == 1:
            under.append(block)
    return _month_sheets(energy, under), [block for block in said if block not in under]


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
