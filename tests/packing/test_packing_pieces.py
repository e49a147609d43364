"""Which roofs are taken in pieces, and what the pieces are."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_random_jobs import rectangle, square_on
from test_packing_sets import pieces_and_rules, small_roof

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.clearance import field_of
from rooflayout.packing.pieces import Sheet, _apart, pieces_of


def with_stock(job: Job, stock: int | None) -> Job:
    models = tuple(replace(m, stock=stock) for m in job.panels.models)
    return replace(job, panels=PanelRules(models))


def test_sizes_are_in_units_of_their_greatest_common_divisor() -> None:
    pieces, _ = pieces_and_rules(small_roof())
    assert pieces is not None
    assert pieces.sheets == (Sheet(0, 0, 100, 100, 5, 4, ()),)
    assert [(w.wide, w.deep) for w in pieces.ways] == [(3, 2), (2, 3), (3, 3), (4, 1)]


def test_without_stock_a_roof_is_not_taken_in_pieces() -> None:
    assert pieces_and_rules(with_stock(small_roof(), None))[0] is None


def test_with_more_stock_than_there_is_room_for_it_is_not() -> None:
    assert pieces_and_rules(with_stock(small_roof(), 9))[0] is None


def test_a_slanted_roof_is_not() -> None:
    nose = Facet("roof", ((0, 0), (500, 0), (400, 400), (0, 400)))
    assert pieces_and_rules(replace(small_roof(), facets=(nose,)))[0] is None


def test_a_round_obstacle_is_not() -> None:
    vent = Obstacle("vent", "roof", centre_mm=(250.0, 200.0), diameter_mm=100.0)
    assert pieces_and_rules(replace(small_roof(), obstacles=(vent,)))[0] is None


def test_rules_with_wiring_are_not() -> None:
    job = small_roof()
    _, rules = pieces_and_rules(job)
    fields = tuple(field_of(job, facet) for facet in job.facets)
    assert pieces_of(fields, replace(rules, wired=True)) is None


def test_gaps_and_edges_are_part_of_pieces_and_sheet() -> None:
    job = replace(small_roof(), spacing=Spacing(20.0, 40.0))
    pieces, _ = pieces_and_rules(job)
    assert pieces is not None
    sheet = pieces.sheets[0]
    assert (sheet.x_mm, sheet.y_mm) == (40, 40)
    assert (sheet.wide * sheet.unit_x_mm, sheet.deep * sheet.unit_y_mm) == (440, 340)  # 420 and a gap of 20
    assert pieces.ways[0].wide * sheet.unit_x_mm == 320


def test_an_obstacle_takes_its_box_and_its_clearance_and_begins_a_gap_later() -> None:
    hatch = square_on("hatch", "roof", 200, 100, 300, 200, clearance_mm=30.0)
    pieces, _ = pieces_and_rules(replace(small_roof(), obstacles=(hatch,), spacing=Spacing(20.0)))
    assert pieces is not None
    sheet = pieces.sheets[0]
    ((x0, y0, x1, y1),) = sheet.taken
    assert (x0 * sheet.unit_x_mm, x1 * sheet.unit_x_mm) == (190, 330)
    assert (y0 * sheet.unit_y_mm, y1 * sheet.unit_y_mm) == (90, 230)


def test_an_obstacle_thinner_than_the_gap_is_no_box() -> None:
    rail = square_on("rail", "roof", 200, 0, 210, 400)
    assert pieces_and_rules(replace(small_roof(), obstacles=(rail,), spacing=Spacing(20.0)))[0] is None


@pytest.mark.parametrize(
    "boxes",
    [
        [(0, 0, 4, 2), (2, 1, 6, 5)],
        [(0, 0, 4, 4), (1, 1, 2, 2)],
        [(0, 0, 2, 2), (2, 0, 4, 2)],
        [(0, 0, 1, 9), (0, 0, 9, 1), (3, 3, 5, 8), (4, 2, 7, 6)],
    ],
)
def test_boxes_apart_cover_the_same_cells_once(boxes: list[tuple[int, int, int, int]]) -> None:
    def cells(some: list[tuple[int, int, int, int]]) -> list[tuple[int, int]]:
        return [(x, y) for x0, y0, x1, y1 in some for x in range(x0, x1) for y in range(y0, y1)]

    apart = cells(_apart(boxes))
    assert len(apart) == len(set(apart))
    assert set(apart) == set(cells(boxes))


def test_a_panel_covers_another_only_if_it_does_so_in_every_way() -> None:
    roof = rectangle("roof", 500, 500)
    sizes = {"small": (200, 100, False), "large": (300, 200, True), "long": (400, 50, True)}
    models = tuple(
        PanelModel(n, float(a), float(b), 10.0, stock=1, turnable=t) for n, (a, b, t) in sizes.items()
    )
    pieces, _ = pieces_and_rules(Job("three", (roof,), PanelRules(models)))
    assert pieces is not None
    assert pieces.covers(1, 0)
    assert not pieces.covers(2, 0)
    assert not pieces.covers(0, 1)
