"""Small jobs for the tests of shade, and a ray test that shares no line with the product."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, radians, sin

import numpy as np
import shapely

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Site

PANEL = PanelModel("T 100", 1000.0, 500.0, 100.0, thickness_mm=0.0)
FRONT_DEG = {"+x": 0.0, "+y": 90.0, "-x": 180.0, "-y": 270.0}


def level(length_mm: float, width_mm: float, name: str = "main", **more: object) -> Facet:
    """A rectangular facet."""
    outline = ((0.0, 0.0), (length_mm, 0.0), (length_mm, width_mm), (0.0, width_mm))
    return Facet(name, outline, **more)  # type: ignore[arg-type]


def box(
    name: str, x: float, y: float, dx: float, dy: float, height_mm: float | None, **more: object
) -> Obstacle:
    outline = ((x, y), (x + dx, y), (x + dx, y + dy), (x, y + dy))
    kind = more.pop("kind", "other")
    facet = more.pop("facet", "main")
    return Obstacle(name, str(facet), str(kind), outline, height_mm=height_mm, **more)  # type: ignore[arg-type]


def job_of(*facets: Facet, obstacles: tuple[Obstacle, ...] = (), panel: PanelModel = PANEL) -> Job:
    return Job("t", facets, PanelRules((panel,)), obstacles, site=Site(52.0, 0.0))


def turning(axis: str, degrees: float) -> np.ndarray:
    """The textbook rotation matrix, right-handed."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    return {
        "x": np.array([[1, 0, 0], [0, c, -s], [0, s, c]]),
        "y": np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]),
        "z": np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]),
    }[axis]


def to_vehicle(facet: Facet) -> np.ndarray:
    """Matrix from the facet's axes to front, left, up: turned in plan, then tilted downhill.

    Tilting by the slope towards bearing b (clockwise from the front): turn b to the front, dip the nose
    about the axis to the left, turn back.
    """
    in_plan = turning("z", -FRONT_DEG[facet.front])
    if not facet.slope_deg:
        return in_plan
    down = in_plan @ turning("z", FRONT_DEG[str(facet.downhill)]) @ np.array([1.0, 0.0, 0.0])
    clockwise = -float(np.degrees(np.arctan2(down[1], down[0])))
    tilt = turning("z", -clockwise) @ turning("y", facet.slope_deg) @ turning("z", clockwise)
    return tilt @ in_plan


def sun(altitude_deg: float, bearing_deg: float) -> np.ndarray:
    """Towards the sun: rotate the front up by the altitude, then clockwise by the bearing."""
    return turning("z", -bearing_deg) @ turning("y", -altitude_deg) @ np.array([1.0, 0.0, 0.0])


def ray_is_stopped(
    job: Job,
    facet: Facet,
    point_mm: tuple[float, float],
    to_sun: np.ndarray,
    places: Mapping[str, tuple[float, float, float]],
    heights_mm: Mapping[str, float],
) -> bool:
    """Whether the ray from a point of the facet towards the sun meets an obstacle's prism or another body.

    The ray in the obstacle's own axes: between the heights 0 and height_mm it is a piece of line, which
    seen from above meets the outline or does not.
    """
    first = turning("z", -FRONT_DEG[job.facets[0].front])
    start = to_vehicle(facet) @ np.array([*point_mm, 0.0]) + first @ np.array(places[facet.name])
    for obstacle in job.obstacles:
        theirs = job.facet(obstacle.facet)
        back = to_vehicle(theirs).T
        p = back @ (start - first @ np.array(places[theirs.name]))
        d = back @ to_sun
        low, high = 1e-9, 1e7
        if abs(d[2]) < 1e-12:
            if not 0.0 <= p[2] <= heights_mm[obstacle.name]:
                continue
        else:
            ends = sorted(((0.0 - p[2]) / d[2], (heights_mm[obstacle.name] - p[2]) / d[2]))
            low, high = max(low, ends[0]), min(high, ends[1])
        if low >= high:
            continue
        piece = shapely.LineString([p[:2] + low * d[:2], p[:2] + high * d[:2]])
        if obstacle.outline_mm is not None:
            shape: shapely.Geometry = shapely.Polygon(obstacle.outline_mm)
            if piece.intersects(shape):
                return True
        elif piece.distance(shapely.Point(obstacle.centre_mm)) <= (obstacle.diameter_mm or 0.0) / 2:
            return True
    return any(
        _body_stops(to_vehicle(f), first @ np.array(places[f.name]), f, start, to_sun)
        for f in job.facets
        if f.name != facet.name
    )


def _body_stops(
    axes: np.ndarray, origin: np.ndarray, facet: Facet, start: np.ndarray, to_sun: np.ndarray
) -> bool:
    """Whether the ray passes anywhere below the facet: in plan a line across a convex outline, along which
    ray and facet are both straight, so that its ends say it."""
    corners = np.array([[*p, 0.0] for p in facet.outline_mm]) @ axes.T + origin
    ray = shapely.LineString([start[:2], start[:2] + 1e5 * to_sun[:2]])
    crossing = shapely.get_coordinates(ray.intersection(shapely.Polygon(corners[:, :2])))
    normal = axes @ np.array([0.0, 0.0, 1.0])
    for point in crossing:
        roof_mm = origin[2] - normal[:2] @ (point - origin[:2]) / normal[2]
        along = np.linalg.norm(point - start[:2]) / np.linalg.norm(to_sun[:2])
        if start[2] + along * to_sun[2] < roof_mm:
            return True
    return False
