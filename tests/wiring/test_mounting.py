"""Controllers in their space: by hand, and against trying every corner on a coarse raster."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from wired_roofs import ELM, a_job

from rooflayout.job import ControllerModel, MountingSpace
from rooflayout.plan import MountedBox
from rooflayout.wiring.mounting import Short, fits, mounted, short_of, unsized


def box(length_mm: float, width_mm: float, height_mm: float = 50.0, model: str = "Box") -> ControllerModel:
    return replace(ELM, model=model, length_mm=length_mm, width_mm=width_mm, height_mm=height_mm)


def hung(space: MountingSpace, *boxes: ControllerModel) -> tuple[MountedBox, ...] | None:
    return mounted(a_job(ELM, mounting_space=space), [(f"C{n}", b) for n, b in enumerate(boxes, 1)])


def test_side_by_side_with_the_clearance_round_each() -> None:
    space = MountingSpace(260, 140, 60, 20)
    assert hung(space, box(100, 100), box(100, 80)) == (
        MountedBox("C1", 20, 20, 100, 100),
        MountedBox("C2", 140, 20, 100, 80),
    )
    assert hung(replace(space, width_mm=259.9), box(100, 100), box(100, 80)) is None
    assert hung(replace(space, height_mm=139.9), box(100, 100), box(100, 80)) is None


def test_one_above_the_other_where_it_is_narrow() -> None:
    boxes = hung(MountingSpace(140, 260, 60, 20), box(100, 100), box(100, 100))
    assert boxes is not None
    assert [b.y_mm for b in boxes] == [20, 140]


def test_a_box_is_never_turned() -> None:
    assert fits(MountingSpace(200, 100, 60), [box(200, 100)])
    assert not fits(MountingSpace(100, 200, 60), [box(200, 100)])


def test_depth() -> None:
    assert fits(MountingSpace(200, 100, 50), [box(200, 100)])
    assert not fits(MountingSpace(200, 100, 49.9), [box(200, 100)])


def test_where_rows_do_not_do() -> None:
    """A tall one beside two flat ones, the tall one last: in rows of that order they would be too high."""
    boxes = hung(MountingSpace(200, 200, 60), box(100, 100), box(100, 100), box(100, 200))
    assert boxes is not None
    assert boxes[0].x_mm == boxes[1].x_mm
    assert {boxes[0].x_mm, boxes[2].x_mm} == {0, 100}


def test_no_space_no_places_and_no_boxes_no_trouble() -> None:
    assert mounted(a_job(ELM), [("C1", box(10, 10))]) is None
    assert hung(MountingSpace(100, 100, 60)) == ()


def test_blank_sizes_are_named() -> None:
    blank = replace(ELM, model="Blank", length_mm=100.0)
    assert unsized([box(1, 1), blank, blank]) == ["Blank"]
    assert hung(MountingSpace(1000, 1000, 1000), blank) is None


def test_what_is_missing() -> None:
    two = [box(100, 100), box(100, 100)]
    assert short_of(MountingSpace(190, 150, 60), two) == Short(10.0, 50.0, 0.0)
    assert short_of(MountingSpace(90, 150, 40), two) == Short(110.0, None, 10.0)
    assert short_of(MountingSpace(90, 90, 60), two) == Short(None, None, 0.0, (10.0, 110.0))
    assert short_of(MountingSpace(230, 110, 60, 10), two) == Short(None, 10.0, 0.0)
    assert short_of(MountingSpace(230, 120, 40, 10), two) == Short(0.0, 0.0, 10.0)


SIDE = st.integers(1, 4)


def by_trying(sides: list[tuple[int, int]], wide: int, high: int) -> bool:
    """Every corner on whole units: enough, as sides are whole and all can be pushed to the lower left."""
    if any(x > wide or y > high for x, y in sides):
        return False
    places = [itertools.product(range(wide - x + 1), range(high - y + 1)) for x, y in sides]
    for corners in itertools.product(*places):
        boxes = [(*c, *s) for c, s in zip(corners, sides, strict=True)]
        if all(
            a[0] + a[2] <= b[0] or b[0] + b[2] <= a[0] or a[1] + a[3] <= b[1] or b[1] + b[3] <= a[1]
            for a, b in itertools.combinations(boxes, 2)
        ):
            return True
    return False


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(SIDE, SIDE), min_size=1, max_size=4), st.integers(2, 6), st.integers(2, 5))
def test_the_search_is_complete(sides: list[tuple[int, int]], wide: int, high: int) -> None:
    """Units of 50 mm with a clearance of 10 mm in them."""
    space = MountingSpace(50 * wide + 10, 50 * high + 10, 60, 10)
    boxes = [box(50 * x - 10, 50 * y - 10) for x, y in sides]
    found = hung(space, *boxes)
    assert (found is not None) == by_trying(sides, wide, high)
    for n, b in enumerate(found or ()):
        assert 10 - 1e-9 <= b.x_mm <= space.width_mm - 10 - b.along_x_mm + 1e-9
        assert 10 - 1e-9 <= b.y_mm <= space.height_mm - 10 - b.along_y_mm + 1e-9
        for other in (found or ())[:n]:
            beside = max(b.x_mm - other.x_mm - other.along_x_mm, other.x_mm - b.x_mm - b.along_x_mm)
            above = max(b.y_mm - other.y_mm - other.along_y_mm, other.y_mm - b.y_mm - b.along_y_mm)
            assert max(beside, above) >= 10 - 1e-9  # millimetres, as floating point adds them


@pytest.mark.parametrize("seed", range(3))
def test_twelve_boxes_cut_from_a_full_wall_are_found_again(seed: int) -> None:
    """A wall cut by guillotine into twelve pieces, shuffled: they fit with nothing to spare."""
    import random

    draw = random.Random(seed)
    pieces = [(600, 400)]
    while len(pieces) < 12:
        x, y = pieces.pop(pieces.index(max(pieces, key=lambda p: p[0] * p[1])))
        if x >= y:
            cut = 10 * draw.randint(x // 30, x // 15)
            pieces += [(cut, y), (x - cut, y)]
        else:
            cut = 10 * draw.randint(y // 30, y // 15)
            pieces += [(x, cut), (x, y - cut)]
    draw.shuffle(pieces)
    assert fits(MountingSpace(600, 400, 60), [box(x, y) for x, y in pieces])
    assert not fits(MountingSpace(600, 399, 60), [box(x, y) for x, y in pieces])
