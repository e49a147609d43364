"""Clear rectangles cut in two and in five: real layouts, and the published optima of pallets.

Pallets: tests/benchmarks/instances/pallet.json names the source of each. The list on which five blocks
miss one box: Morabito and Morales 1998 and Lins, Lins and Morabito 2003, from memory; that they hold 56 in
49 x 28 with 8 x 3 was read on a university page.
"""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

import pytest
from small_random_jobs import rectangle, square_on

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing.blocks import Blocks, Size, Spot, blocks_on
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of

FILE = Path(__file__).parents[1] / "benchmarks" / "instances" / "pallet.json"
PALLETS: list[dict[str, Any]] = json.loads(FILE.read_text(encoding="utf-8"))
ONE_SHORT = {"49_28_8_3", "63_44_8_5", "67_37_11_3", "74_49_11_4", "106_59_13_5", "74_46_7_5"}


def sizes_of(pallet: dict[str, Any]) -> list[Size]:
    [[a, b, _, _]] = pallet["items"]
    return [Size(a, b, 10), Size(b, a, 10)]


def is_layout(sizes: list[Size], spots: list[Spot], width: int, depth: int) -> bool:
    """Whether all lie inside, and no two overlap."""
    boxes = [(x, y, x + sizes[k].pitch_x_mm, y + sizes[k].pitch_y_mm) for k, x, y in spots]
    inside = all(a >= 0 and b >= 0 and c <= width and d <= depth for a, b, c, d in boxes)
    apart = all(
        a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        for n, a in enumerate(boxes)
        for b in boxes[:n]
    )
    return inside and apart


@pytest.mark.parametrize("pallet", PALLETS, ids=[p["name"] for p in PALLETS])
def test_published_pallets_reach_their_optimum_but_for_the_hard_list(pallet: dict[str, Any]) -> None:
    sizes, width, depth = sizes_of(pallet), pallet["width"], pallet["height"]
    blocks = Blocks(sizes, width, depth)
    best = pallet["best_known"] if pallet["optimum"] is None else pallet["optimum"]
    short = any(pallet["name"] == f"plp_{name}" for name in ONE_SHORT)
    assert blocks.watts(width, depth) == 10 * (best - short)
    spots = blocks.layout(width, depth)
    assert len(spots) == best - short
    assert is_layout(sizes, spots, width, depth)


def test_five_blocks_find_what_cutting_in_two_cannot() -> None:
    """Four boxes of 3 x 2 lie round a hole of 1 x 1 in 5 x 5; any straight cut leaves room for three."""
    blocks = Blocks([Size(3, 2, 10), Size(2, 3, 10)], 5, 5)
    assert blocks.watts(5, 5) == 40
    assert is_layout([Size(3, 2, 10), Size(2, 3, 10)], blocks.layout(5, 5), 5, 5)


@pytest.mark.parametrize("seed", range(6))
def test_every_smaller_rectangle_has_its_layout_too(seed: int) -> None:
    random = Random(seed)
    sizes = [Size(random.randint(3, 12), random.randint(3, 12), random.randint(5, 90)) for _ in range(3)]
    blocks = Blocks(sizes, 44, 33)
    before = 0
    for width, depth in sorted((random.randint(0, 44), random.randint(0, 33)) for _ in range(20)):
        spots = blocks.layout(width, depth)
        assert is_layout(sizes, spots, width, depth)
        watts = sum(sizes[k].watts for k, _, _ in spots)
        assert watts >= blocks.watts(width, depth)
        assert blocks.watts(width, 33) >= before
        before = blocks.watts(width, 33)
        rows = [s.watts * (width // s.pitch_x_mm) * (depth // s.pitch_y_mm) for s in sizes]
        assert watts >= max(rows)


@pytest.mark.parametrize(("width", "depth"), [(0, 0), (-3, 5), (2, 9), (9, 1)])
def test_where_nothing_fits_there_is_nothing(width: int, depth: int) -> None:
    blocks = Blocks([Size(3, 2, 10)], max(0, width), max(0, depth))
    assert blocks.watts(width, depth) == 0
    assert blocks.layout(width, depth) == []


def test_a_facet_with_gaps_and_edges_is_filled_and_one_with_an_obstacle_left_alone() -> None:
    """Four panels of 280 x 180 with 20 mm between them lie round a hole in 480 x 480 (5 x 5 of 100 mm)."""
    panel = PanelModel("A", 280, 180, 100.0)
    bare = Job("bare", (rectangle("roof", 580, 580),), PanelRules((panel,)), (), Spacing(20, 50))
    kinds = kinds_of(bare, models_of(bare))
    places = blocks_on(field_of(bare, bare.facets[0]), kinds, [0, 1])
    assert len(places) == 4
    assert min(x for _, x, _ in places) == min(y for _, _, y in places) == 50
    assert max(x + kinds[k].w_mm for k, x, _ in places) == 530
    taken = Job("taken", bare.facets, bare.panels, (square_on("O", "roof", 0, 0, 10, 10),), bare.spacing)
    assert blocks_on(field_of(taken, taken.facets[0]), kinds, [0, 1]) == []
