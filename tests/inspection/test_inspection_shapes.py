"""Outlines, obstacles and circles on random shapes, held against exact arithmetic in fractions."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction

from exact import Ring, polygon_is_clear_of, rectangle_is_within
from hand_made import FEN, a_panel, a_plan, codes, texts
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.plan import Plan


@st.composite
def star_shapes(draw: st.DrawFn) -> Ring:
    """A simple polygon with whole coordinates, convex or not, round about (1000, 1000)."""
    corners = draw(st.integers(3, 9))
    ring = []
    for i in range(corners):
        radius = draw(st.integers(60, 900))
        angle = 2 * math.pi * (i + draw(st.floats(-0.3, 0.3))) / corners
        ring.append((1000 + round(radius * math.cos(angle)), 1000 + round(radius * math.sin(angle))))
    assume(Polygon(ring).is_valid and Polygon(ring).area > 100)
    return tuple(ring)


SIDES = st.integers(10, 500)
CORNERS = st.integers(0, 2000)
MARGINS = st.sampled_from([0, 1, 25, 90])
ROUNDED = Fraction(501, 100000)  # half the second decimal, and what floating point adds


def _one_panel(length: int, width: int, x: int, y: int) -> tuple[PanelModel, Plan]:
    model = replace(FEN, length_mm=length, width_mm=width)
    return model, a_plan(a_panel("P1", x, y, model))


@settings(max_examples=300, deadline=None)
@given(star_shapes(), SIDES, SIDES, CORNERS, CORNERS, MARGINS)
def test_outline_agrees_with_exact_arithmetic(
    ring: Ring, length: int, width: int, x: int, y: int, margin: int
) -> None:
    model, plan = _one_panel(length, width, x, y)
    job = Job("t", (Facet("main", ring),), PanelRules((model,)), spacing=Spacing(0, margin))
    grown = (x - margin, y - margin, x + length + margin, y + width + margin)
    assert (codes(job, plan) == set()) is rectangle_is_within(grown, ring)


@settings(max_examples=300, deadline=None)
@given(star_shapes(), SIDES, SIDES, CORNERS, CORNERS, MARGINS)
def test_obstacles_agree_with_exact_arithmetic(
    ring: Ring, length: int, width: int, x: int, y: int, clearance: int
) -> None:
    model, plan = _one_panel(length, width, x, y)
    wide = Facet("main", ((-5000, -5000), (5000, -5000), (5000, 5000), (-5000, 5000)))
    thing = Obstacle("thing", "main", outline_mm=ring, clearance_mm=clearance)
    job = Job("t", (wide,), PanelRules((model,)), obstacles=(thing,))
    grown = (x - clearance, y - clearance, x + length + clearance, y + width + clearance)
    assert (codes(job, plan) == set()) is polygon_is_clear_of(grown, ring)


def _figure(job: Job, plan: Plan) -> Fraction | None:
    """The distance that the only breach names, as "is 12.5 mm from", if it names one."""
    found = [re.search(r" is ([0-9.]+) mm from ", text) for text in texts(job, plan)]
    return Fraction(found[0][1]) if found and found[0] else None


@settings(max_examples=300, deadline=None)
@given(star_shapes(), SIDES, SIDES, CORNERS, CORNERS)
def test_the_distance_named_is_the_growth_that_just_holds(
    ring: Ring, length: int, width: int, x: int, y: int
) -> None:
    """To the hundredth of a millimetre that the text gives, by exact arithmetic."""
    model, plan = _one_panel(length, width, x, y)
    wide = Facet("main", ((-9000, -9000), (9000, -9000), (9000, 9000), (-9000, 9000)))
    thing = Obstacle("thing", "main", outline_mm=ring, clearance_mm=3000)
    over = Job("t", (wide,), PanelRules((model,)), obstacles=(thing,))
    under = Job("t", (Facet("main", ring),), PanelRules((model,)), spacing=Spacing(0, 3000))
    for job, holds in ((over, polygon_is_clear_of), (under, rectangle_is_within)):
        figure = _figure(job, plan)
        if figure is None:
            assert not holds((x, y, x + length, y + width), ring)
            continue
        less, more = (
            (x - g, y - g, x + length + g, y + width + g) for g in (figure - ROUNDED, figure + ROUNDED)
        )
        assert holds(less, ring)
        assert not holds(more, ring)


@settings(max_examples=200, deadline=None)
@given(SIDES, SIDES, CORNERS, CORNERS, st.integers(1, 400), MARGINS)
def test_circles_agree_with_exact_arithmetic(
    length: int, width: int, x: int, y: int, radius: int, clearance: int
) -> None:
    model, plan = _one_panel(length, width, x, y)
    vent = Obstacle("v", "main", centre_mm=(1000, 1000), diameter_mm=2 * radius, clearance_mm=clearance)
    wide = Facet("main", ((-5000, -5000), (5000, -5000), (5000, 5000), (-5000, 5000)))
    job = Job("t", (wide,), PanelRules((model,)), obstacles=(vent,))
    near_x, near_y = min(max(1000, x), x + length), min(max(1000, y), y + width)
    clear = (near_x - 1000) ** 2 + (near_y - 1000) ** 2 >= (radius + clearance) ** 2
    assert (codes(job, plan) == set()) is clear
