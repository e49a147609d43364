"""From the first facet's x and y, in which places are written, to ahead and left on the vehicle, in mm."""

from __future__ import annotations

import numpy as np

from rooflayout.energy.planes import HERE, Place, level_axes, plane_of
from rooflayout.job import Direction, Job, Point
from rooflayout.plan import PlacedPanel
from rooflayout.vehicle.placing import outline_on_vehicle_mm, side_downhill

_AHEAD: dict[Direction, float] = {"+x": 1.0, "-x": -1.0, "+y": 1.0, "-y": -1.0}
_LEFT: dict[Direction, float] = {"+x": 1.0, "-x": -1.0, "+y": -1.0, "-y": 1.0}


def on_vehicle_mm(job: Job, point_mm: Point) -> Point:
    """(ahead, left) of a point that is written in the first facet's x and y."""
    ahead, left, _ = np.array((*point_mm, 0.0)) @ level_axes(job.facets[0])
    return float(ahead), float(left)


def ahead_mm(job: Job, figure_mm: float) -> float:
    """A single figure along the vehicle, such as axle_x_mm, as mm ahead of the first facet's origin."""
    return _AHEAD[job.facets[0].front] * figure_mm


def left_mm(job: Job, figure_mm: float) -> float:
    """A single figure across the vehicle, middle_y_mm, as mm to the left of the first facet's origin."""
    return _LEFT[job.facets[0].front] * figure_mm


def middle_left_mm(job: Job) -> float | None:
    """The vehicle's centre line, mm to the left of the first facet's origin.

    As [vehicle] says, else the first facet's middle; None where that facet slopes to the left or right, or
    aslant, or nobody knows whereto, and so is only part of the roof's breadth.
    """
    if job.vehicle is not None and job.vehicle.middle_y_mm is not None:
        return left_mm(job, job.vehicle.middle_y_mm)
    first = job.facets[0]
    if first.slope_deg and side_downhill(job, first) not in ("front", "rear"):
        return None
    across = outline_on_vehicle_mm(job, first, HERE)[:, 1]
    return float(across.min() + across.max()) / 2.0


def panel_at_mm(job: Job, panel: PlacedPanel, place: Place | None) -> Point | None:
    """The middle of a panel seen from above, in the first facet's x and y; None where its facet's place
    is not known."""
    facet = next((f for f in job.facets if f.name == panel.facet), None)
    if place is None or facet is None:
        return None
    middle = (panel.x_mm + panel.along_x_mm / 2.0, panel.y_mm + panel.along_y_mm / 2.0, 0.0)
    lifted = plane_of(job, facet, place).lift(np.array(middle))
    x, y, _ = level_axes(job.facets[0]) @ lifted
    return float(x), float(y)
