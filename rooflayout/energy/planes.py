"""Where a facet's plane lies on the vehicle: origin and axes in mm to the front, to the left and up."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from rooflayout.facing import AXIS_DEG, downhill_from_front_deg
from rooflayout.job import Facet, Job

Place = tuple[float, float, float]  # of a facet's origin, by the first facet's axes, and height; mm
HERE: Place = (0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """axes: rows are the facet's x, its y and its normal (upwards), as unit vectors."""

    origin_mm: NDArray[np.float64]
    axes: NDArray[np.float64]

    def lift(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points [..., 3] of the facet (x, y, height above it) as points of the vehicle."""
        return self.origin_mm + points_mm @ self.axes

    def seen(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points [..., 3] of the vehicle as x, y and height above the facet."""
        return (points_mm - self.origin_mm) @ self.axes.T


def plane_of(job: Job, facet: Facet, place: Place = HERE) -> Plane:
    """The facet's plane, its origin at that place. A slope whose direction is not known counts as level."""
    heading_deg = job.site.heading_deg if job.site else None
    downhill_deg = downhill_from_front_deg(facet, heading_deg)
    axes = level_axes(facet)
    if downhill_deg is not None and facet.slope_deg:
        axes = _tilted(axes, downhill_deg, facet.slope_deg)
    return Plane(np.array(place) @ level_axes(job.facets[0]), axes)


def level_axes(facet: Facet) -> NDArray[np.float64]:
    """x, y and up of the facet lying level, by the vehicle's front, left and up."""
    turn = radians(AXIS_DEG[facet.front])
    return np.array([[cos(turn), -sin(turn), 0.0], [sin(turn), cos(turn), 0.0], [0.0, 0.0, 1.0]])


def _tilted(axes: NDArray[np.float64], downhill_deg: float, slope_deg: float) -> NDArray[np.float64]:
    """The axes turned about the level line across the slope, until downhill drops by slope_deg."""
    bearing, slope = radians(downhill_deg), radians(slope_deg)
    down = np.array([cos(bearing), -sin(bearing), 0.0])
    across = np.array([sin(bearing), cos(bearing), 0.0])
    up = np.array([0.0, 0.0, 1.0])
    level = np.stack([down, across, up])
    tilted = np.stack([cos(slope) * down - sin(slope) * up, across, cos(slope) * up + sin(slope) * down])
    return np.asarray(axes @ level.T @ tilted)
