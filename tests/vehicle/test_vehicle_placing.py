"""Where facets come to lie, by geometry done by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from rooflayout.job import Direction, Facet, Job, PanelModel, PanelRules, Point, Site
from rooflayout.survey.read import read_job
from rooflayout.vehicle.placing import facet_places, joints, outline_on_vehicle_mm, side_downhill

ROOFS = Path(__file__).parents[2] / "roofs"
RULES = PanelRules((PanelModel("Teal 120", 1000.0, 500.0, 120.0, mass_kg=4.0),))


def rectangle(x_mm: float, y_mm: float) -> tuple[Point, ...]:
    return ((0.0, 0.0), (x_mm, 0.0), (x_mm, y_mm), (0.0, y_mm))


MAIN = Facet("main", rectangle(4600.0, 2180.0))
FRONT = Facet("front slope", rectangle(900.0, 2040.0), 28.0, "+x")
LOW = 900.0 * math.sin(math.radians(28.0))


def job(*facets: Facet, heading_deg: float | None = None) -> Job:
    return Job("x", facets, RULES, site=Site(heading_deg=heading_deg))


def test_a_slope_to_the_front_joins_on_to_the_front_edge() -> None:
    """Centred: (2180 - 2040) / 2 = 70; its origin is at its upper edge."""
    assert facet_places(job(MAIN, FRONT))["front slope"] == pytest.approx((4600.0, 70.0, 0.0))
    assert [(j.onto, j.side) for j in joints(job(MAIN, FRONT))] == [("main", "front")]


def test_a_slope_to_the_rear_has_its_origin_at_the_lower_edge() -> None:
    rear = replace(FRONT, name="tail", downhill="-x")
    level_mm = 900.0 * math.cos(math.radians(28.0))
    assert facet_places(job(MAIN, rear))["tail"] == pytest.approx((-level_mm, 70.0, -LOW))


@pytest.mark.parametrize(("downhill", "side"), [("+y", "left"), ("-y", "right")])
def test_slopes_to_the_sides(downhill: Direction, side: str) -> None:
    """A facet of 3000 by 400 beside the main roof, (4600 - 3000) / 2 = 800 from its rear."""
    beside = Facet("wing", rectangle(3000.0, 400.0), 60.0, downhill)
    expected = (
        (800.0, 2180.0, 0.0) if side == "left" else (800.0, -200.0, -400.0 * math.sin(math.radians(60)))
    )
    assert facet_places(job(MAIN, beside))["wing"] == pytest.approx(expected)
    assert side_downhill(job(MAIN, beside), beside) == side


def test_a_facet_measured_from_its_other_end() -> None:
    """Its x runs to the rear, so its origin is the corner at the front on the left: 900 cos 28° ahead."""
    turned = replace(FRONT, front="-x", downhill="-x")
    level_mm = 900.0 * math.cos(math.radians(28.0))
    place = facet_places(job(MAIN, turned))["front slope"]
    assert place == pytest.approx((4600.0 + level_mm, 70.0 + 2040.0, -LOW))


FRONTS: list[Direction] = ["+x", "+y", "-x", "-y"]


def seen_from(outline: tuple[Point, ...], front: Direction) -> tuple[Point, ...]:
    """An outline with x to the front as it is measured where the front lies another way."""
    turn = {
        "+x": lambda x, y: (x, y),
        "+y": lambda x, y: (-y, x),
        "-x": lambda x, y: (-x, -y),
        "-y": lambda x, y: (y, -x),
    }[front]
    return tuple(turn(x, y) for x, y in outline)


@pytest.mark.parametrize("front", FRONTS)
@pytest.mark.parametrize("own_front", FRONTS)
def test_the_same_roof_measured_another_way_lies_the_same(front: Direction, own_front: Direction) -> None:
    main = replace(MAIN, outline_mm=seen_from(MAIN.outline_mm, front), front=front)
    slope = replace(FRONT, outline_mm=seen_from(FRONT.outline_mm, own_front), front=own_front)
    slope = replace(slope, downhill=own_front)
    plain, other = job(MAIN, FRONT), job(main, slope)
    for own, usual in ((main, MAIN), (slope, FRONT)):
        place, usual_place = facet_places(other)[own.name], facet_places(plain)[usual.name]
        assert place is not None
        assert usual_place is not None
        found = outline_on_vehicle_mm(other, own, place)
        assert found == pytest.approx(outline_on_vehicle_mm(plain, usual, usual_place), abs=1e-6)


def test_places_that_are_given_count_from_the_first_facets() -> None:
    first, second = (
        replace(MAIN, place_mm=(0.0, 10.0, 2400.0)),
        replace(FRONT, place_mm=(4700.0, 0.0, 2000.0)),
    )
    assert facet_places(job(first, second)) == {"main": (0, 0, 0), "front slope": (4700.0, -10.0, -400.0)}
    assert joints(job(first, second)) == ()


def test_what_cannot_be_known() -> None:
    level = replace(FRONT, name="lower deck", slope_deg=0.0, downhill=None)
    unsaid = replace(FRONT, name="unsaid", downhill=None)
    aslant = replace(FRONT, name="aslant", downhill=40.0)
    places = facet_places(job(MAIN, level, unsaid, aslant, heading_deg=0.0))
    assert places == {"main": (0, 0, 0), "lower deck": None, "unsaid": None, "aslant": None}


@pytest.mark.parametrize("place", [None, (4600.0, 1000.0, 0.0)])
def test_two_slopes_to_one_side_do_not_both_join_on(place: tuple[float, float, float] | None) -> None:
    two = replace(FRONT, name="other half", place_mm=place)
    places = facet_places(job(MAIN, FRONT, two))
    assert places["front slope"] is None
    assert places["other half"] == place


def test_a_level_roof_behind_a_first_facet_that_slopes_and_its_tail() -> None:
    """Slope first: the level roof begins at its upper edge, and the tail at the level roof's rear."""
    tail = replace(FRONT, name="tail", slope_deg=45.0, downhill="-x")
    places = facet_places(job(FRONT, MAIN, tail))
    assert places["main"] == pytest.approx((-4600.0, -70.0, 0.0))
    half = 900.0 * math.sqrt(0.5)
    assert places["tail"] == pytest.approx((-4600.0 - half, 0.0, -half))


def test_where_the_first_facet_is_nothing_else_joins_on() -> None:
    """Two slopes to the front, one of them the first facet: where the other half lies is not known."""
    assert facet_places(job(FRONT, MAIN, replace(FRONT, name="other half")))["other half"] is None


def test_a_slope_of_the_first_facet_for_rain_hinders_nothing() -> None:
    """2 degrees to the left: the front edge rises by 76 mm from end to end, and its middle counts."""
    rain = replace(MAIN, slope_deg=2.0, downhill="+y")
    place = facet_places(job(rain, FRONT))["front slope"]
    level_mm, drop_mm = 2180.0 * math.cos(math.radians(2.0)), 2180.0 * math.sin(math.radians(2.0))
    assert place == pytest.approx((4600.0, (level_mm - 2040.0) / 2, -drop_mm / 2))


def test_a_steep_first_facet_has_no_level_edge_across_its_slope() -> None:
    assert facet_places(job(replace(MAIN, slope_deg=20.0, downhill="+y"), FRONT))["front slope"] is None


def test_two_parts_of_one_plane_are_not_joined() -> None:
    one = replace(FRONT, name="one")
    assert facet_places(job(one, replace(FRONT, name="two")))["two"] is None


def test_the_two_sides_of_the_hut_meet_at_its_ridge() -> None:
    """The front gable faces 25°; sides slope to 115° (right) and 295° (left), each 2700 up to the ridge."""
    hut, _ = read_job(ROOFS / "mountain-hut.toml")
    places = facet_places(hut)
    ridges = []
    for facet in hut.facets:
        place = places[facet.name]
        assert place is not None
        corners = outline_on_vehicle_mm(hut, facet, place)
        ridges.append(corners[corners[:, 2] > corners[:, 2].max() - 1.0])
        assert corners[:, 0].min() == pytest.approx(0.0, abs=1e-6)
        assert corners[:, 0].max() == pytest.approx(5200.0)
    height_mm = 2700.0 * math.sin(math.radians(35.0))
    out_mm = 2700.0 * math.cos(math.radians(35.0))
    for ridge in ridges:
        assert ridge[:, 2] == pytest.approx(height_mm)
        assert ridge[:, 1] == pytest.approx(out_mm)
