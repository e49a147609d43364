"""Everything on a job's roof that casts shadows, as convex solids on the vehicle.

Obstacles stand square to their facet and are as high as height_mm says; lids count as closed. Facets cast
as the vehicle's body below them, or as sheets where one facet lies over another. A facet whose place is not
known only gets the shadows of what stands on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.heights import height_mm
from rooflayout.energy.planes import HERE, Place, Plane, plane_of
from rooflayout.energy.shadows import Solid, convex_parts, outline_of, prism, sheet
from rooflayout.job import Facet, Job

BELOW_MM = 1.0  # a body reaches so far below the lowest corner of any facet
OVERLAP_MM2 = 1000.0  # facets adjoin in plan: an overlap smaller than this is how they were measured


def solids_seen_from(
    job: Job, facet: Facet, places: Mapping[str, Place | None]
) -> tuple[Plane, tuple[Solid, ...]]:
    """The facet's plane and all solids that may shade it, by its own x, y and height above it."""
    place = _place(job, facet, places)
    plane = plane_of(job, facet, place or HERE)
    seen = [_seen(plane, plane, s) for s in _standing(job, facet)]
    if place is None:
        return plane, tuple(seen)
    for other in job.facets:
        where = _place(job, other, places)
        if where is None or other.name == facet.name:
            continue
        theirs = plane_of(job, other, where)
        seen.extend(_seen(theirs, plane, s) for s in _standing(job, other))
    for name, body in _bodies(job, places):
        if name != facet.name:
            seen.append(Solid(plane.seen(body.corners_mm), body.edges))
    return plane, tuple(seen)


def _place(job: Job, facet: Facet, places: Mapping[str, Place | None]) -> Place | None:
    """None also for a slope of which nobody says which way it falls."""
    return None if facet.slope_deg and facet.downhill is None else places.get(facet.name)


def _standing(job: Job, facet: Facet) -> Iterator[Solid]:
    """The obstacles of a facet, by its own axes."""
    for obstacle in job.obstacles_on(facet.name):
        height = height_mm(obstacle)
        if height > 0.0:
            for part in convex_parts(outline_of(obstacle)):
                yield prism(_at(part, 0.0), _at(part, height))


def _bodies(job: Job, places: Mapping[str, Place | None]) -> Iterator[tuple[str, Solid]]:
    """By facet what lies below it, on the vehicle."""
    parts = []
    for facet in job.facets:
        place = _place(job, facet, places)
        if place is not None:
            plane = plane_of(job, facet, place)
            parts.append((facet.name, [plane.lift(_at(p, 0.0)) for p in convex_parts(facet.outline_mm)]))
    lowest = min((p[:, 2].min() for _, pieces in parts for p in pieces), default=0.0) - BELOW_MM
    above = _one_over_another(parts)
    for name, pieces in parts:
        for upper in pieces:
            if name in above:
                yield name, sheet(upper)
            else:
                lower = upper.copy()
                lower[:, 2] = lowest
                yield name, prism(lower, upper)


def _one_over_another(parts: list[tuple[str, list[NDArray[np.float64]]]]) -> set[str]:
    """Names of the facets that share ground with another one, seen from above."""
    import shapely

    plans = {n: shapely.union_all([shapely.Polygon(p[:, :2]) for p in pieces]) for n, pieces in parts}
    names = list(plans)
    return {
        name
        for i, one in enumerate(names)
        for other in names[:i]
        if plans[one].intersection(plans[other]).area > OVERLAP_MM2
        for name in (one, other)
    }


def _at(corners_mm: NDArray[np.float64], height: float) -> NDArray[np.float64]:
    return np.column_stack([corners_mm, np.full(len(corners_mm), height)])


def _seen(theirs: Plane, ours: Plane, solid: Solid) -> Solid:
    if theirs is ours:
        return solid
    return Solid(ours.seen(theirs.lift(solid.corners_mm)), solid.edges)
