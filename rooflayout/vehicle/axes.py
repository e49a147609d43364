"""From the first facet's x and y, in which places are written, to ahead and left on the vehicle, in mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.planes import HERE, Place, level_axes, plane_of
from rooflayout.job import Direction, Job, Point
from rooflayout.plan import PlacedPanel
from rooflayout.vehicle.placing import facet_places, outline_on_vehicle_mm, side_downhill

Values = NDArray[np.float64]

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


def left_of_middle_mm(job: Job) -> Callable[[str, Values, Values], Values] | None:
    """A function from points of a facet (its name, x and y in its plane) to mm left of the centre line.

    None where the centre line, or a facet's place, is not known.
    """
    places, middle = facet_places(job), middle_left_mm(job)
    if middle is None or any(place is None for place in places.values()):
        return None
    planes = {f.name: plane_of(job, f, places[f.name] or HERE) for f in job.facets}

    def left(facet: str, x_mm: Values, y_mm: Values) -> Values:
        points = np.stack([x_mm, y_mm, np.zeros(len(x_mm))], axis=1)
        return np.asarray(planes[facet].lift(points)[:, 1] - middle)

    return left


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
