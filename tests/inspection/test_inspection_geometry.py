"""Each rule of place, held and broken by a hair."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hand_made import HATCH, MAIN, NAN, REED, a_job, a_panel, a_plan, codes, texts
from shapely.geometry import Polygon

from rooflayout.inspection.geometry import keepout_polygon, swing_polygon
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job, KeptPanel, Obstacle, PanelRules, Spacing
from rooflayout.plan import Plan

HAIR = 1e-5  # ten times the tolerance


def test_a_plan_without_panels_holds() -> None:
    assert inspect_plan(a_job(), a_plan()) == []


@pytest.mark.parametrize(
    ("x", "y"), [(40, 40), (3560, 40), (40, 1460), (3560, 1460), (40 - 1e-7, 40), (3560 + 1e-7, 1460)]
)
def test_touching_the_margin_holds(x: float, y: float) -> None:
    assert codes(a_job(), a_plan(a_panel("P1", x, y))) == set()


@pytest.mark.parametrize(
    ("x", "y"), [(39, 40), (40, 39), (3561, 40), (40, 1461), (40 - HAIR, 40), (40, 1460 + HAIR)]
)
def test_entering_the_margin_is_a_breach(x: float, y: float) -> None:
    assert codes(a_job(), a_plan(a_panel("P1", x, y))) == {"outline"}


@pytest.mark.parametrize(
    ("x", "y", "text"),
    [
        (39, 40, "P1 is 39 mm from the outline of main; at least 40 mm"),
        (40 - HAIR, 40, "P1 is 39.99999 mm from the outline of main; at least 40 mm"),
        (-5, 40, "P1 reaches 5 mm past the outline of main; at least 40 mm inside it"),
        (-1000, 40, "P1 reaches 1000 mm past the outline of main; at least 40 mm inside it"),
        (6000, 40, "P1 lies outside the outline of main; at least 40 mm inside it"),
    ],
)
def test_the_outline_text_names_found_and_allowed(x: float, y: float, text: str) -> None:
    assert texts(a_job(), a_plan(a_panel("P1", x, y))) == [text]


def test_a_notch_counts_though_all_corners_lie_inside() -> None:
    notched = replace(
        MAIN, outline_mm=((0, 0), (700, 0), (740, 80), (780, 0), (5000, 0), (5000, 2200), (0, 2200))
    )
    held, broken = a_panel("P1", 40, 120), a_panel("P1", 40, 119)
    assert codes(a_job(facets=(notched,)), a_plan(held)) == set()
    assert texts(a_job(facets=(notched,)), a_plan(broken)) == [
        "P1 is 39 mm from the outline of main; at least 40 mm"
    ]
    deep = a_panel("P1", 40, 70)
    assert texts(a_job(facets=(notched,)), a_plan(deep)) == [
        "P1 reaches 10 mm past the outline of main; at least 40 mm inside it"
    ]


def test_a_slanted_edge_is_met_by_the_grown_corner() -> None:
    # The edge runs from (0, 1000) to (1000, 0): x + y = 1000. A corner grown by 40 along x and y
    # touches it where x + y = 1080.
    slanted = replace(MAIN, outline_mm=((1000, 0), (5000, 0), (5000, 2200), (0, 2200), (0, 1000)))
    job = a_job(facets=(slanted,))
    assert codes(job, a_plan(a_panel("P1", 540, 540))) == set()
    assert codes(job, a_plan(a_panel("P1", 540, 539))) == {"outline"}
    assert texts(job, a_plan(a_panel("P1", 540, 539))) == [
        "P1 is 39.5 mm from the outline of main; at least 40 mm"
    ]


@pytest.mark.parametrize(
    ("x", "y", "breach"),
    [
        (2440, 1000, False),
        (2439, 1000, True),
        (560, 1000, False),
        (561, 1000, True),
        (2000, 260, False),
        (2000, 261, True),
        (2000, 1440, False),
        (2000, 1439, True),
        (2440, 1440, False),
        (2439, 1439, True),  # the square corner of the keep-out
        (2440 - HAIR, 1000, True),
        (2440 - 1e-7, 1000, False),
    ],
)
def test_an_obstacle_keeps_its_clearance(x: float, y: float, breach: bool) -> None:
    job = a_job(obstacles=(replace(HATCH, clearance_mm=40),), spacing=Spacing(20, 0))
    assert codes(job, a_plan(a_panel("P1", x, y))) == ({"obstacle"} if breach else set())


def test_only_clearance_counts_between_panel_and_obstacle() -> None:
    job = a_job(obstacles=(HATCH,), spacing=Spacing(500, 0))
    assert codes(job, a_plan(a_panel("P1", 2400, 1000))) == set()
    assert codes(job, a_plan(a_panel("P1", 2399, 1000))) == {"obstacle"}


def test_the_obstacle_text_names_found_and_allowed() -> None:
    job = a_job(obstacles=(replace(HATCH, clearance_mm=40),))
    assert texts(job, a_plan(a_panel("P1", 2439, 1000))) == ["P1 is 39 mm from hatch; at least 40 mm"]
    assert texts(job, a_plan(a_panel("P1", 2400, 1000))) == ["P1 is 0 mm from hatch; at least 40 mm"]
    assert texts(job, a_plan(a_panel("P1", 2399, 1000))) == ["P1 lies over hatch; at least 40 mm beside it"]


def test_an_obstacle_wholly_under_a_panel_is_a_breach() -> None:
    aerial = replace(HATCH, outline_mm=((500, 300), (510, 300), (510, 310), (500, 310)))
    assert codes(a_job(obstacles=(aerial,)), a_plan(a_panel("P1", 40, 40))) == {"obstacle"}


def test_an_obstacle_of_another_facet_does_not_count() -> None:
    job = a_job(obstacles=(replace(HATCH, facet="rear"),))
    assert codes(job, a_plan(a_panel("P1", 2000, 1000))) == set()


@pytest.mark.parametrize(
    ("x", "y", "breach"),
    [
        (2140, 1000, False),  # 140 = 100 + 40 beside the centre
        (2139, 1000, True),
        (2140 - HAIR, 1000, True),
        (1500, 1340, False),
        (1500, 1340 - HAIR, True),
        # 84 and 112 from the centre: 84^2 + 112^2 = 140^2, so the corner touches the circle
        (2084, 1312, False),
        (2084, 1311, True),
        (2083, 1312, True),
        (2084 - 1e-7, 1312, False),
        (1500, 900, True),
    ],
)
def test_a_round_obstacle_grows_to_a_circle(x: float, y: float, breach: bool) -> None:
    vent = Obstacle("vent", "main", centre_mm=(2000, 1200), diameter_mm=200, clearance_mm=40)
    found = codes(a_job(obstacles=(vent,)), a_plan(a_panel("P1", x, y)))
    assert found == ({"obstacle"} if breach else set())


def test_the_round_obstacle_text_names_found_and_allowed() -> None:
    vent = Obstacle("vent", "main", centre_mm=(2000, 1200), diameter_mm=200, clearance_mm=40)
    plan = a_plan(a_panel("P1", 2138.5, 1000))
    assert texts(a_job(obstacles=(vent,)), plan) == ["P1 is 38.5 mm from vent; at least 40 mm"]


@pytest.mark.parametrize(
    ("opens", "held", "broken"),
    [
        ("+x", (2650, 900), (2649, 900)),
        ("-x", (350, 900), (351, 900)),
        ("+y", (1500, 1450), (1500, 1449)),
        ("-y", (1500, 250), (1500, 251)),
    ],
)
def test_the_lids_strip_stays_clear_without_further_clearance(
    opens: str, held: tuple[float, float], broken: tuple[float, float]
) -> None:
    reach = {"+x": 250, "-x": 250, "+y": 50, "-y": 50}[opens]
    hatch = replace(HATCH, opens=opens, reach_mm=reach, clearance_mm=40)  # type: ignore[arg-type]
    job = a_job(obstacles=(hatch,), spacing=Spacing(0, 0))
    assert codes(job, a_plan(a_panel("P1", *held))) == set()
    assert codes(job, a_plan(a_panel("P1", *broken))) == {"lid-swing"}


def test_the_lid_text_names_found_and_allowed() -> None:
    job = a_job(obstacles=(replace(HATCH, opens="+x", reach_mm=250, clearance_mm=40),))
    assert texts(job, a_plan(a_panel("P1", 2638, 1000))) == [
        "P1 reaches 12 mm into the swing of hatch, which opens 250 mm to +x; 0 mm is allowed"
    ]


@pytest.mark.parametrize(
    ("x", "y", "breach"),
    [
        (1460, 40, False),
        (1459, 40, True),
        (40, 760, False),
        (40, 759, True),
        (1459, 760, False),  # 20 mm along y are enough
        (1459, 759, True),  # 19 mm along both axes, though further apart across the corner
        (1460 - HAIR, 40, True),
        (1460 - 1e-7, 40, False),
        (40, 40, True),
    ],
)
def test_panels_keep_the_gap_along_x_or_along_y(x: float, y: float, breach: bool) -> None:
    plan = a_plan(a_panel("P1", 40, 40), a_panel("P2", x, y))
    assert codes(a_job(), plan) == ({"panel-gap"} if breach else set())


def test_panels_of_two_facets_are_never_too_near() -> None:
    plan = a_plan(a_panel("P1", 40, 40), a_panel("P2", 40, 40, facet="rear"))
    assert codes(a_job(), plan) == set()


def test_the_gap_text_names_found_and_allowed() -> None:
    near = a_plan(a_panel("P3", 40, 40), a_panel("P5", 1452, 40))
    over = a_plan(a_panel("P3", 40, 40), a_panel("P5", 1428, 40))
    assert texts(a_job(), near) == ["P3 and P5 are 12 mm apart; at least 20 mm"]
    touching = a_plan(a_panel("P3", 40, 40), a_panel("P5", 1440, 40))
    assert texts(a_job(), touching) == ["P3 and P5 are 0 mm apart; at least 20 mm"]
    assert texts(a_job(), over) == ["P3 and P5 overlap by 12 mm; at least 20 mm apart"]


@pytest.mark.parametrize("field", ["x_mm", "y_mm", "along_x_mm", "along_y_mm"])
@pytest.mark.parametrize("value", [NAN, math.inf, -math.inf])
def test_a_place_that_is_no_number_is_a_breach(field: str, value: float) -> None:
    panel = replace(a_panel("P1", 40, 40), **{field: value})
    assert codes(a_job(), a_plan(panel)) == {"position"}


@pytest.mark.parametrize("field", ["along_x_mm", "along_y_mm"])
@pytest.mark.parametrize("value", [0, -700])
def test_a_panel_without_extent_is_a_breach(field: str, value: float) -> None:
    assert codes(a_job(), a_plan(replace(a_panel("P1", 40, 40), **{field: value}))) == {"position"}


def _kept_at(*corners: tuple[float, float]) -> tuple[Job, Plan]:
    kept = tuple(KeptPanel(REED, "main", x, y) for x, y in corners)
    job = a_job(kept=kept, obstacles=(replace(HATCH, clearance_mm=40, opens="+x", reach_mm=250),))
    names = enumerate(corners, 1)
    return job, a_plan(*(a_panel(f"K{i}", x, y, REED, kept=True) for i, (x, y) in names))


def test_kept_panels_are_not_held_to_the_spacing_of_new_ones() -> None:
    job, plan = _kept_at((0, 0), (1000, 0), (2400, 1000))
    assert codes(job, plan) == set()


@pytest.mark.parametrize(
    ("corners", "code"),
    [
        (((-1, 0),), "outline"),
        (((0, 0), (999, 0)), "panel-gap"),
        (((2399, 1000),), "obstacle"),
    ],
)
def test_kept_panels_are_held_to_what_is_possible(
    corners: tuple[tuple[float, float], ...], code: str
) -> None:
    assert codes(*_kept_at(*corners)) == {code}


def test_a_new_panel_keeps_its_gap_to_a_kept_one() -> None:
    job, plan = _kept_at((0, 0))
    kept = plan.layout.panels[0]
    assert codes(job, a_plan(kept, a_panel("P1", 1020, 40))) == set()
    assert codes(job, a_plan(kept, a_panel("P1", 1019, 40))) == {"panel-gap"}


def test_kept_panels_may_touch_though_their_sides_are_stated_rounded_up() -> None:
    odd = replace(REED, length_mm=999.5)
    kept = (KeptPanel(odd, "main", 40, 40), KeptPanel(odd, "main", 1039.5, 40))
    panels = [
        replace(a_panel(f"K{i}", k.x_mm, k.y_mm, odd, kept=True), along_x_mm=1000) for i, k in enumerate(kept)
    ]
    assert codes(a_job(kept=kept, panels=PanelRules((odd,))), a_plan(*panels)) == set()


@pytest.mark.parametrize("c", [0.5, 1, 40])
def test_keepout_of_a_rectangle_has_square_corners(c: float) -> None:
    area = keepout_polygon(replace(HATCH, clearance_mm=c))
    left, low, right, high = 2000 - c, 1000 - c, 2400 + c, 1400 + c
    assert area.equals(Polygon([(left, low), (right, low), (right, high), (left, high)]))


def test_keepout_of_an_l_shape_keeps_its_notch() -> None:
    ell = ((0, 0), (300, 0), (300, 100), (100, 100), (100, 300), (0, 300))
    area = keepout_polygon(Obstacle("rail", "main", outline_mm=ell, clearance_mm=10))
    wanted = [(-10, -10), (310, -10), (310, 110), (110, 110), (110, 310), (-10, 310)]
    assert area.equals(Polygon(wanted))


def test_keepout_of_a_triangle_is_the_hull_of_its_grown_corners() -> None:
    # A convex shape: the Minkowski sum is the hull of the corners' squares, worked out by hand.
    area = keepout_polygon(Obstacle("sail", "main", outline_mm=((0, 0), (100, 0), (0, 100)), clearance_mm=10))
    wanted = [(-10, -10), (110, -10), (110, 10), (10, 110), (-10, 110)]
    assert area.symmetric_difference(Polygon(wanted)).area == pytest.approx(0, abs=1e-9)


def test_keepout_without_clearance_is_the_obstacle() -> None:
    assert keepout_polygon(HATCH).equals(Polygon([(2000, 1000), (2400, 1000), (2400, 1400), (2000, 1400)]))


def test_keepout_of_a_circle_is_a_circle() -> None:
    vent = Obstacle("vent", "main", centre_mm=(500, 500), diameter_mm=200, clearance_mm=40)
    assert keepout_polygon(vent).area == pytest.approx(math.pi * 140**2, rel=1e-3)
    assert keepout_polygon(vent).bounds == pytest.approx((360, 360, 640, 640))


def test_swing_is_the_strip_beyond_the_frame() -> None:
    strip = swing_polygon(replace(HATCH, opens="-y", reach_mm=250, clearance_mm=40))
    assert strip is not None
    assert strip.bounds == (2000, 750, 2400, 1000)
    assert swing_polygon(HATCH) is None
