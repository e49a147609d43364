"""Numbers in the order in which the drawing is read: y runs up, x to the right."""

from __future__ import annotations

import random
from dataclasses import replace

from wired_roofs import FRONT, MAIN, a_job

from rooflayout.plan import PlacedPanel
from rooflayout.wiring.numbering import number_panels, rows


def at(
    x: float,
    y: float,
    along_x: float = 1500.0,
    along_y: float = 700.0,
    facet: str = "main",
    kept: bool = False,
) -> PlacedPanel:
    return PlacedPanel(
        f"{x:g}/{y:g}", facet, "Goose 200", x, y, along_x, along_y, along_x < along_y, 200.0, kept
    )


def corners(*panels: PlacedPanel) -> list[tuple[str, float, float]]:
    return [(p.panel, p.x_mm, p.y_mm) for p in number_panels(a_job(), panels)]


def test_rows_from_the_top_and_left_to_right() -> None:
    assert corners(at(0, 0), at(1600, 0), at(0, 800), at(1600, 800)) == [
        ("P1", 0, 800),
        ("P2", 1600, 800),
        ("P3", 0, 0),
        ("P4", 1600, 0),
    ]


def test_panels_that_overlap_by_half_are_one_row() -> None:
    """700 mm high: 300 mm higher still overlaps by 400 mm, 400 mm higher only by 300 mm."""
    assert [len(row) for row in rows([at(0, 0), at(1600, 300)])] == [2]
    assert [len(row) for row in rows([at(0, 0), at(1600, 400)])] == [1, 1]
    assert corners(at(0, 0), at(1600, 300)) == [("P1", 0, 0), ("P2", 1600, 300)]
    assert corners(at(0, 0), at(1600, 400)) == [("P1", 1600, 400), ("P2", 0, 0)]


def test_a_turned_panel_leads_the_row_of_those_beside_it() -> None:
    """A panel 1500 mm high with two lower ones beside it, one above the other: all three are its row."""
    beside = corners(at(0, 0, 700, 1500), at(800, 0), at(800, 800), at(2400, 800))
    assert beside == [("P1", 0, 0), ("P2", 800, 800), ("P3", 800, 0), ("P4", 2400, 800)]


def test_a_row_does_not_creep_down_a_staircase() -> None:
    stairs = [at(1600.0 * i, -250.0 * i) for i in range(6)]
    assert [len(row) for row in rows(stairs)] == [2, 2, 2]


def test_facets_in_the_jobs_order() -> None:
    job = replace(a_job(), facets=(FRONT, MAIN))
    panels = number_panels(job, [at(0, 5000), at(0, 0, facet="front slope")])
    assert [(p.panel, p.facet) for p in panels] == [("P1", "front slope"), ("P2", "main")]


def test_kept_panels_have_numbers_of_their_own_and_come_last() -> None:
    assert corners(at(0, 800, kept=True), at(1600, 800), at(0, 0), at(1600, 0, kept=True)) == [
        ("P1", 1600, 800),
        ("P2", 0, 0),
        ("K1", 0, 800),
        ("K2", 1600, 0),
    ]


def test_nothing_but_the_name_changes_and_the_order_given_does_not_matter() -> None:
    draw = random.Random(1)
    panels = [at(draw.uniform(0, 9000), draw.uniform(0, 9000), kept=i % 4 == 0) for i in range(20)]
    first = number_panels(a_job(), panels)
    assert {replace(p, panel="") for p in first} == {replace(p, panel="") for p in panels}
    draw.shuffle(panels)
    assert number_panels(a_job(), [replace(p, panel="?") for p in panels]) == first
    assert number_panels(a_job(), []) == ()
