"""An outline is a simple polygon, counter-clockwise; shapely is the judge over random ones."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Polygon

from rooflayout.job import Point, signed_area_mm2
from rooflayout.survey.outline import outline_fault

SQUARE: list[Point] = [(0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0)]
SOUND: list[list[Point]] = [
    SQUARE,
    [(0, 0), (500, 0), (1000, 0), (1000, 800)],  # a corner in the middle of a side
    [(0, 0), (900, 0), (900, 300), (300, 300), (300, 900), (0, 900)],  # L
    [(0, 0), (900, 0), (900, 900), (600, 900), (600, 300), (300, 300), (300, 900), (0, 900)],  # U
    [(-50, 0), (0, -50), (50, 0), (0, 50)],
    [(0.5, 0.25), (4600.25, 0.0), (4300.75, 2180.5), (12.5, 2175.0)],
]


@pytest.mark.parametrize("corners", SOUND)
def test_sound_outlines(corners: list[Point]) -> None:
    assert outline_fault(corners) is None
    fault = outline_fault(corners[::-1])
    assert fault is not None
    assert fault.found == "corners running clockwise"


def test_area() -> None:
    assert signed_area_mm2(SQUARE) == 1e6
    assert signed_area_mm2(SQUARE[::-1]) == -1e6
    far = [(x + 150_000, y - 150_000) for x, y in SQUARE]
    assert signed_area_mm2(far) == 1e6


def test_fault_names_the_sides_that_meet() -> None:
    fault = outline_fault([(0, 0), (1000, 0), (0, 1000), (1000, 1000)])
    assert fault is not None
    assert (fault.found, fault.corner) == ("the side 2-3 meeting the side 4-1", 2)


def test_corner_that_touches_another_side() -> None:
    fault = outline_fault([(0, 0), (1000, 0), (1000, 1000), (500, 0), (0, 1000)])
    assert fault is not None
    assert fault.found == "the side 1-2 meeting the side 3-4"


CORNER = st.tuples(st.integers(0, 6), st.integers(0, 6)).map(lambda p: (float(p[0]), float(p[1])))


@settings(max_examples=1500, deadline=None)
@given(st.lists(CORNER, min_size=3, max_size=8, unique=True))
def test_agrees_with_shapely(corners: list[Point]) -> None:
    sound = Polygon(corners).is_valid and LinearRing(corners).is_ccw
    assert (outline_fault(corners) is None) == sound


def test_a_figure_of_eight_without_net_area_is_called_crossing() -> None:
    fault = outline_fault([(0, 0), (2, 2), (2, 0), (0, 2)])
    assert fault is not None
    assert "meeting" in fault.found
