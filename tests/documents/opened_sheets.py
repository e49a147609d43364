"""Sets of sheets drawn once for all tests, with their lettering read off, and what holds of every sheet."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from rooflayout.documents.drawing import draw_sheets, drawing_files, drawing_style
from rooflayout.documents.energy_set import draw_energy, energy_files
from rooflayout.documents.leaf import Leaf
from rooflayout.documents.paper import Paper
from rooflayout.documents.wiring_set import draw_wiring, wiring_files
from rooflayout.job import Job
from rooflayout.plan import Plan

from .energy_samples import WITH_ENERGY
from .lettering_on_sheets import Lettering, read_lettering
from .samples import SAMPLES
from .wiring_samples import WIRED

Opened = tuple[list[Paper], list[list[Lettering]]]
Draw = Callable[[Job, Plan], dict[str, bytes]]


def opened(draw: Callable[[Job, Plan], list[Paper]], job: Job, plan: Plan) -> Opened:
    """The papers of a set, and the lettering of each."""
    with drawing_style():
        papers = draw(job, plan)
        return papers, [read_lettering(paper) for paper in papers]


@cache
def roof_sheets(name: str) -> Opened:
    """The drawing of one of SAMPLES."""
    return opened(draw_sheets, *SAMPLES[name]())


@cache
def wiring_sheets(name: str) -> Opened:
    """The wiring set of one of WIRED."""
    return opened(draw_wiring, *WIRED[name]())


@cache
def energy_sheets(name: str) -> Opened:
    """The energy set of one of WITH_ENERGY."""
    return opened(draw_energy, *WITH_ENERGY[name]())


_DRAWN: list[tuple[Draw, Job, Plan, dict[str, bytes]]] = []


def files_of(draw: Draw, job: Job, plan: Plan) -> dict[str, bytes]:
    """A set as its files, drawn once for the same job and plan."""
    for drawn_by, of_job, of_plan, files in _DRAWN:
        if drawn_by is draw and of_job == job and of_plan == plan:
            return dict(files)
    files = draw(job, plan)
    _DRAWN.append((draw, job, plan, files))
    return dict(files)


def roof_files(name: str) -> dict[str, bytes]:
    """The drawing of one of SAMPLES as its files."""
    return files_of(drawing_files, *SAMPLES[name]())


def wiring_set_files(name: str) -> dict[str, bytes]:
    """The wiring set of one of WIRED as its file."""
    return files_of(wiring_files, *WIRED[name]())


def energy_set_files(name: str) -> dict[str, bytes]:
    """The energy set of one of WITH_ENERGY as its files."""
    return files_of(energy_files, *WITH_ENERGY[name]())


def leaf_lettering(leaf: Leaf) -> list[Lettering]:
    """The lettering of one sheet without its frame and title block."""
    with drawing_style():
        paper = Paper(leaf.size)
        leaf.draw(paper)
        return read_lettering(paper)


def words_of(sheets: Opened) -> str:
    """All that is written on a set."""
    return " ".join(t.text for lettering in sheets[1] for t in lettering)


def outside_frame(paper: Paper, lettering: list[Lettering]) -> list[str]:
    """ISO 5457 (from memory): the frame lies 20 mm from the left edge, 10 mm from the others."""
    right, top = paper.size.width_mm - 10, paper.size.height_mm - 10
    return [t.text for t in lettering if t.x0 < 20 or t.y0 < 10 or t.x1 > right or t.y1 > top]


def across_the_title_block(paper: Paper, lettering: list[Lettering]) -> list[str]:
    """ISO 7200 (from memory): the block is 180 mm wide, in the lower right corner, here 36 mm high."""
    right = paper.size.width_mm - 10
    block = [t for t in lettering if t.x1 > right - 180 and t.y0 < 10 + 36]
    return [t.text for t in block if t.y1 > 10 + 36.05 or t.x0 < right - 180]


def capitals_mm(lettering: list[Lettering]) -> list[float]:
    """Heights of capitals: DejaVu Sans' are 0.729 em high (its OS/2 table: 1493 of 2048 units)."""
    return [t.points * 25.4 / 72 * 0.729 for t in lettering]
