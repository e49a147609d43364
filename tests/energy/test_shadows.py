"""Shadows by hand, and against a ray test that shares nothing with the product (small_roofs.py)."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin, tan

import numpy as np
import pytest
from small_roofs import box, job_of, level, ray_is_stopped, sun, to_vehicle

from rooflayout.energy.directions import Directions, to_sun
from rooflayout.energy.planes import plane_of
from rooflayout.energy.scene import solids_seen_from
from rooflayout.energy.shadows import Raster, cast, convex_parts, edges_above, prism, raster_of
from rooflayout.facing import downhill_from_front_deg
from rooflayout.job import Facet, Job, Obstacle

L_SHAPE = ((0.0, 0.0), (600.0, 0.0), (600.0, 200.0), (200.0, 200.0), (200.0, 500.0), (0.0, 500.0))
UP_MM = np.array([0.0, 0.0, 1.0])


def shadow(job: Job, name: str, altitude_deg: float, bearing_deg: float, places=None, step_mm=25.0):
    """(raster, [rows, columns]) of one facet under one sun."""
    facet = job.facet(name)
    raster = raster_of(facet, step_mm)
    where = places or {f.name: (0.0, 0.0, 0.0) if f is job.facets[0] else None for f in job.facets}
    plane, solids = solids_seen_from(job, facet, where)
    return raster, cast(raster, solids, to_sun([altitude_deg], [bearing_deg]) @ plane.axes.T)[0]


def shadow_box(raster: Raster, cells: np.ndarray) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) round the shaded cells."""
    rows, columns = np.nonzero(cells)
    s = raster.step_mm
    return (
        raster.x_mm + columns.min() * s,
        raster.y_mm + rows.min() * s,
        raster.x_mm + (columns.max() + 1) * s,
        raster.y_mm + (rows.max() + 1) * s,
    )


@pytest.mark.parametrize(
    ("bearing_deg", "expected"),
    [
        # a box of 400 by 200 at (2000, 1000), 300 high, sun at 45°: the shadow is 300 long, away from the sun
        (0.0, (1700.0, 1000.0, 2400.0, 1200.0)),  # sun at the front (+x)
        (90.0, (2000.0, 1000.0, 2400.0, 1500.0)),  # at the right (-y)
        (180.0, (2000.0, 1000.0, 2700.0, 1200.0)),
        (270.0, (2000.0, 700.0, 2400.0, 1200.0)),
    ],
)
def test_a_box_on_a_level_roof(bearing_deg: float, expected: tuple[float, ...]) -> None:
    job = job_of(level(4000, 2000), obstacles=(box("b", 2000, 1000, 400, 200, 300.0),))
    raster, cells = shadow(job, "main", 45.0, bearing_deg, step_mm=10.0)
    assert shadow_box(raster, cells) == pytest.approx(expected, abs=10.0)
    assert cells.sum() * 100.0 == pytest.approx(
        (expected[2] - expected[0]) * (expected[3] - expected[1]), rel=0.05
    )


def test_a_box_seen_from_its_corner() -> None:
    """Area of base and its sweep by v: dx dy + dx |v_y| + dy |v_x|."""
    job = job_of(level(4000, 2000), obstacles=(box("b", 2000, 1000, 400, 200, 300.0),))
    _, cells = shadow(job, "main", 30.0, 35.0, step_mm=5.0)
    length = 300.0 / tan(radians(30.0))
    area = 400 * 200 + 400 * length * sin(radians(35.0)) + 200 * length * cos(radians(35.0))
    assert cells.sum() * 25.0 == pytest.approx(area, rel=0.005)


@pytest.mark.parametrize("front", ["+x", "+y", "-x", "-y"])
def test_the_shadow_falls_to_the_rear_when_the_sun_is_ahead(front: str) -> None:
    facet = replace(level(3000, 3000), front=front)
    job = job_of(facet, obstacles=(box("b", 1400, 1400, 200, 200, 500.0),))
    raster, cells = shadow(job, "main", 45.0, 0.0)
    x0, y0, x1, y1 = shadow_box(raster, cells)
    middle = {"+x": (1250, 1500), "+y": (1500, 1250), "-x": (1750, 1500), "-y": (1500, 1750)}[front]
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx(middle, abs=13.0)


def test_on_a_slope_the_sun_square_to_it_casts_no_shadow_beyond_the_thing() -> None:
    facet = level(3000, 2000, slope_deg=30.0, downhill="+x")
    job = job_of(facet, obstacles=(box("b", 1000, 1000, 400, 200, 300.0),))
    raster, cells = shadow(job, "main", 60.0, 0.0)  # 60° high in front: along the normal
    assert shadow_box(raster, cells) == (1000.0, 1000.0, 1400.0, 1200.0)


def test_behind_the_facet_nothing_counts_as_shaded() -> None:
    facet = level(3000, 2000, slope_deg=40.0, downhill="+x")
    job = job_of(facet, obstacles=(box("b", 1000, 1000, 400, 200, 300.0),))
    assert not shadow(job, "main", 20.0, 180.0)[1].any()


def test_a_shadow_moves_over_to_the_next_facet() -> None:
    """A box at the ridge, the sun low behind it: both facets lie in its shadow up to the front."""
    main, slope = level(3000, 2000), level(900, 2000, "slope", slope_deg=20.0, downhill="+x")
    job = job_of(main, slope, obstacles=(box("b", 2800, 900, 200, 200, 400.0),))
    places = {"main": (0.0, 0.0, 0.0), "slope": (3000.0, 0.0, 0.0)}
    raster, cells = shadow(job, "slope", 45.0, 180.0, places, step_mm=10.0)
    # the ray over the box's front edge falls at 45°, the slope at 20°: they meet after h / (1 - tan 20°)
    level_mm = 400.0 / (1.0 - tan(radians(20.0)))
    assert shadow_box(raster, cells) == pytest.approx(
        (0.0, 900.0, level_mm / cos(radians(20.0)), 1100.0), abs=10.0
    )


def test_a_facet_without_a_place_neither_casts_nor_is_cast_upon() -> None:
    main, slope = level(3000, 2000), level(900, 2000, "slope", slope_deg=20.0, downhill="+x")
    job = job_of(main, slope, obstacles=(box("b", 2800, 900, 200, 200, 400.0),))
    assert not shadow(job, "slope", 45.0, 180.0)[1].any()
    unknown = replace(slope, downhill=None)
    places = {"main": (0.0, 0.0, 0.0), "slope": (3000.0, 0.0, 0.0)}
    job = job_of(main, unknown, obstacles=(box("b", 2800, 900, 200, 200, 400.0),))
    assert not shadow(job, "slope", 45.0, 180.0, places)[1].any()


def test_a_higher_roof_beside_a_lower_one() -> None:
    """A cabin 500 above the deck behind it: at 45° from ahead its body shades 500 of the deck, solid."""
    deck, cabin = level(3000, 2000, "deck"), level(2000, 2000, "cabin")
    job = job_of(deck, cabin)
    places = {"deck": (0.0, 0.0, 0.0), "cabin": (3000.0, 0.0, 500.0)}
    raster, cells = shadow(job, "deck", 45.0, 0.0, places)
    assert shadow_box(raster, cells) == (2500.0, 0.0, 3000.0, 2000.0)
    assert cells.sum() == 20 * 80
    assert not shadow(job, "cabin", 45.0, 180.0, places)[1].any()  # the deck is lower


def test_one_facet_over_another_is_a_sheet() -> None:
    """A rack 500 above: the light of a low sun passes under it, at noon what lies below is dark."""
    deck, rack = level(3000, 2000, "deck"), level(1000, 2000, "rack")
    places = {"deck": (0.0, 0.0, 0.0), "rack": (1000.0, 0.0, 500.0)}
    raster, cells = shadow(job_of(deck, rack), "deck", 45.0, 180.0, places)
    assert shadow_box(raster, cells) == (1500.0, 0.0, 2500.0, 2000.0)


def test_a_ridge_shades_neither_side_beyond_the_cosine() -> None:
    left = level(3000, 1500, "left", slope_deg=35.0, downhill="+y")
    right = level(3000, 1500, "right", slope_deg=35.0, downhill="-y")
    up = 1500 * sin(radians(35.0))
    places = {"left": (0.0, 0.0, 0.0), "right": (0.0, -1500 * cos(radians(35.0)), -up)}
    job = job_of(left, right)
    for name in ("left", "right"):
        facet = job.facet(name)
        raster = raster_of(facet, 50.0)
        plane, solids = solids_seen_from(job, facet, places)
        assert not cast(raster, solids, Directions().to_sun @ plane.axes.T).any()


def random_obstacle(rng: np.random.Generator, name: str, facet: Facet) -> tuple[Obstacle, float]:
    """A rectangle, a circle or an L somewhere on the facet."""
    (x, y), height = rng.uniform((0, 0), (1500, 900)), float(rng.uniform(20, 500))
    kind = rng.integers(3)
    if kind == 0:
        dx, dy = rng.uniform(50, 500, 2)
        return replace(box(name, x, y, dx, dy, height), facet=facet.name), height
    if kind == 1:
        return Obstacle(
            name, facet.name, centre_mm=(x, y), diameter_mm=float(rng.uniform(60, 400)), height_mm=height
        ), height
    outline = tuple((x + px, y + py) for px, py in L_SHAPE)
    return Obstacle(name, facet.name, outline_mm=outline, height_mm=height), height


@pytest.mark.parametrize("seed", range(12))
def test_random_prisms_against_a_ray_test(seed: int) -> None:
    """Two facets at random slopes and places; 150 cells a seed. Only cells by a shadow's edge may differ."""
    rng = np.random.default_rng(seed)
    ways = ["+x", "-x", "+y", "-y"]
    main = level(
        2000, 1500, slope_deg=float(rng.uniform(0, 30)), downhill=rng.choice(ways), front=rng.choice(ways)
    )
    second = level(
        1500, 1200, "second", slope_deg=float(rng.uniform(0, 50)), downhill=rng.choice(ways), front=main.front
    )
    made = [random_obstacle(rng, f"o{i}", main if i < 3 else second) for i in range(5)]
    job = job_of(main, second, obstacles=tuple(o for o, _ in made))
    heights = {o.name: h for o, h in made}
    places = {"main": (0.0, 0.0, 0.0), "second": (2100.0, float(rng.uniform(-500, 500)), 0.0)}
    compared = stopped = 0
    for name in ("main", "second"):
        facet = job.facet(name)
        raster = raster_of(facet, 20.0)
        plane, solids = solids_seen_from(job, facet, places)
        altitude, bearing = float(rng.uniform(5, 80)), float(rng.uniform(0, 360))
        if (sun(altitude, bearing) @ to_vehicle(facet))[2] < 0.05:
            continue
        cells = cast(raster, solids, to_sun([altitude], [bearing]) @ plane.axes.T)[0]
        xs, ys = raster.centres_mm()
        for _ in range(150):
            r, c = rng.integers(raster.rows), rng.integers(raster.columns)
            around = cells[max(r - 1, 0) : r + 2, max(c - 1, 0) : c + 2]
            if around.any() and not around.all():
                continue
            expected = ray_is_stopped(job, facet, (xs[c], ys[r]), sun(altitude, bearing), places, heights)
            assert cells[r, c] == expected, (name, xs[c], ys[r], altitude, bearing)
            compared += 1
            stopped += expected
    assert compared > 50
    assert stopped > 0


def test_edges_above_cuts_at_the_plane() -> None:
    """A box from -100 to 300: what stands above is a box from 0 to 300, outline and all."""
    base = np.array([[0, 0, -100], [400, 0, -100], [400, 200, -100], [0, 200, -100]], dtype=float)
    edges = edges_above(prism(base, base + UP_MM * 400))
    assert edges[:, :, 2].min() == 0.0
    assert edges[:, :, 2].max() == 300.0
    on_the_plane = edges[np.all(edges[:, :, 2] == 0.0, axis=1)]
    assert {tuple(sorted(map(tuple, e[:, :2]))) for e in on_the_plane} == {
        ((0, 0), (400, 0)),
        ((400, 0), (400, 200)),
        ((0, 200), (400, 200)),
        ((0, 0), (0, 200)),
    }
    assert not len(edges_above(prism(base - UP_MM * 900, base - UP_MM * 800)))


def test_convex_parts_fill_the_outline() -> None:
    parts = convex_parts(L_SHAPE)
    assert sum(polygon_area(p) for p in parts) == pytest.approx(600 * 200 + 200 * 300)
    assert len(convex_parts(L_SHAPE[:3])) == 1


def polygon_area(ring: np.ndarray) -> float:
    x, y = ring.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def test_planes_turn_as_the_rotation_matrices_do() -> None:
    for front in ("+x", "+y", "-x", "-y"):
        for downhill in ("+x", "+y", "-x", "-y"):
            facet = level(1000, 1000, slope_deg=28.0, downhill=downhill, front=front)
            assert np.allclose(plane_of(job_of(facet), facet).axes, to_vehicle(facet).T)


def test_downhill_by_a_bearing_counts_from_the_front() -> None:
    facet = level(1000, 1000, slope_deg=28.0, downhill=200.0)
    assert downhill_from_front_deg(facet, 90.0) == pytest.approx(110.0)
    assert downhill_from_front_deg(facet, None) == pytest.approx(200.0)
    assert downhill_from_front_deg(replace(facet, downhill=None), None) is None


def test_directions_find_themselves() -> None:
    grid = Directions()
    assert len(grid) == len(grid.altitude_deg) == len(grid.to_sun)
    assert np.array_equal(grid.of(grid.altitude_deg, grid.bearing_deg), np.arange(len(grid)))
    assert np.array_equal(grid.of(grid.altitude_deg, grid.bearing_deg - 720.0), np.arange(len(grid)))
    assert grid.of(-10.0, 0.0) == 0
    assert grid.of(90.0, 359.0) == len(grid) - grid.bearings
    assert np.allclose(
        grid.to_sun, [sun(a, b) for a, b in zip(grid.altitude_deg, grid.bearing_deg, strict=True)]
    )
