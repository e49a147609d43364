"""Where facets lie on the vehicle: as the job says, or joined on by the way they slope.

A place is that of a facet's origin, in mm from the first facet's origin: level lengths along the first
facet's own x and y, and the height (energy/planes.py makes a plane of it). A facet that slopes down to a
side joins on to the level roof at that edge, centred, its upper edge as high as that edge; a roof that only
slopes is joined along ridges in the same way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.planes import HERE, Place, Plane, level_axes, plane_of
from rooflayout.facing import downhill_from_front_deg
from rooflayout.job import Facet, Job

Side = Literal["front", "right", "rear", "left"]
SIDES: tuple[Side, ...] = ("front", "right", "rear", "left")  # clockwise, a quarter turn each
TOWARDS: dict[Side, tuple[float, float, float]] = {
    "front": (1.0, 0.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
}
SKEW_DEG = 1.0  # a slope that misses a side by more does not join on to a straight edge across it
ALIKE_DEG = 1.0  # slopes closer than this are one plane, and where its parts lie is not known
UNEVEN_MM = 100.0  # an edge that rises by more from end to end has no level edge joined on to it
ON_THE_EDGE_MM = 1.0


@dataclass(frozen=True, slots=True)
class Joint:
    """A facet without a place of its own, taken to join on to a side of another one."""

    facet: str
    onto: str
    side: Side


def facet_places(job: Job) -> dict[str, Place | None]:
    """The place of every facet by its name, None where it cannot be known.

    Not known is a slope of which nobody says which way it falls, a second level facet without a place, and
    each of several facets that would join on to the same edge.
    """
    places = _given(job)
    for joint in _claims(job):
        if places[joint.facet] is None:
            places[joint.facet] = _joined(job, joint, places)
    return places


def joints(job: Job) -> tuple[Joint, ...]:
    """The facets whose places are taken from the way they slope, since the job gives none."""
    given, places = _given(job), facet_places(job)
    return tuple(j for j in _claims(job) if given[j.facet] is None and places[j.facet] is not None)


def side_downhill(job: Job, facet: Facet) -> Side | None:
    """The side of the vehicle that a facet slopes down to; None for a level one, a slanting slope, and
    where it is not known."""
    down_deg = downhill_from_front_deg(facet, job.site.heading_deg if job.site else None)
    if down_deg is None or facet.slope_deg == 0.0:
        return None
    quarter = round(down_deg / 90.0)
    return SIDES[quarter % 4] if abs(down_deg - quarter * 90.0) <= SKEW_DEG else None


def outline_on_vehicle_mm(job: Job, facet: Facet, place: Place) -> NDArray[np.float64]:
    """The corners [n, 3] of a facet at that place, to the vehicle's front, to its left and up."""
    return _corners_mm(plane_of(job, facet, place), facet)


def _given(job: Job) -> dict[str, Place | None]:
    """Places that the job gives, from the first facet's, which is the origin of all."""
    x0, y0, z0 = job.facets[0].place_mm or HERE
    places: dict[str, Place | None] = {}
    for number, facet in enumerate(job.facets):
        if facet.slope_deg and facet.downhill is None:
            places[facet.name] = None
        elif number == 0:
            places[facet.name] = HERE
        elif facet.place_mm is None:
            places[facet.name] = None
        else:
            x, y, z = facet.place_mm
            places[facet.name] = (x - x0, y - y0, z - z0)
    return places


def _claims(job: Job) -> tuple[Joint, ...]:
    """Every facet beside the first with the edge that it alone would join on to, level ones first."""
    first, top = job.facets[0], _level_roof(job)
    found = list(_wishes(job, top))
    taken = Counter((j.onto, j.side) for j in found)
    side = side_downhill(job, first)
    if top is not None and side is not None:
        taken[top.name, side] += 1  # there the first facet is
    alone = [j for j in found if taken[j.onto, j.side] == 1]
    return tuple(sorted(alone, key=lambda j: job.facet(j.facet).slope_deg > 0.0))


def _level_roof(job: Job) -> Facet | None:
    """The level facet that slopes join on to: the first one, or the only one beside a first that slopes."""
    if job.facets[0].slope_deg == 0.0:
        return job.facets[0]
    level = [f for f in job.facets if f.slope_deg == 0.0]
    return level[0] if len(level) == 1 else None


def _wishes(job: Job, top: Facet | None) -> Iterator[Joint]:
    first = job.facets[0]
    first_side = side_downhill(job, first)
    for facet in job.facets[1:]:
        side = side_downhill(job, facet)
        if facet.slope_deg == 0.0:
            if first_side is not None:
                yield Joint(facet.name, first.name, _opposite(first_side))
        elif side is not None and top is not None:
            yield Joint(facet.name, top.name, side)
        elif side is not None and first_side is not None and not _one_plane(job, first, facet):
            yield Joint(facet.name, first.name, side)


def _one_plane(job: Job, one: Facet, other: Facet) -> bool:
    """Whether two slopes are so alike that one does not join on to the other's upper or lower edge."""
    alike = abs(one.slope_deg - other.slope_deg) <= ALIKE_DEG
    return alike and side_downhill(job, one) == side_downhill(job, other)


def _joined(job: Job, joint: Joint, places: dict[str, Place | None]) -> Place | None:
    """The place of a facet joined on to another; None where that one has none, or no level edge there."""
    base_place = places[joint.onto]
    if base_place is None:
        return None
    up, along = np.array((0.0, 0.0, 1.0)), np.array(TOWARDS[joint.side])
    across = np.cross(up, along)
    base = outline_on_vehicle_mm(job, job.facet(joint.onto), base_place)
    own = outline_on_vehicle_mm(job, job.facet(joint.facet), HERE)
    edge = base[base @ along >= (base @ along).max() - ON_THE_EDGE_MM]
    upper = own[own @ along <= (own @ along).min() + ON_THE_EDGE_MM]
    if np.ptp(edge[:, 2]) > UNEVEN_MM:
        return None
    origin = along * ((base @ along).max() - (own @ along).min())
    origin = origin + across * (_middle(base @ across) - _middle(own @ across))
    origin = origin + up * (edge[:, 2].mean() - upper[:, 2].mean())
    x, y, z = (float(v) for v in level_axes(job.facets[0]) @ origin)
    return x, y, z


def _corners_mm(plane: Plane, facet: Facet) -> NDArray[np.float64]:
    flat = np.array([(x, y, 0.0) for x, y in facet.outline_mm])
    return plane.lift(flat)


def _middle(values: NDArray[np.float64]) -> float:
    return float(values.min() + values.max()) / 2.0


def _opposite(side: Side) -> Side:
    return SIDES[(SIDES.index(side) + 2) % 4]
