"""Where panels lie seen from above, in the first facet's x and y: worked out anew from the job's own words.

Nothing here is shared with vehicle/ or energy/. Lengths mm. A facet without a place of its own is known where
it alone slopes down to one side of a level first facet: its upper edge then lies at that side, centred.
"""

from __future__ import annotations

import math

from rooflayout.inspection.lookup import facet_of, has_place
from rooflayout.job import Facet, Job
from rooflayout.plan import PlacedPanel

XY = tuple[float, float]
_AXES = {"+x": 0.0, "+y": 90.0, "-x": 180.0, "-y": 270.0}  # counter-clockwise from x, seen from above
_SKEW_DEG = 1.0  # README: a slope at an edge of the first facet; aslant by more it is at none


def middle_mm(job: Job, panel: PlacedPanel) -> XY | None:
    """The middle of a panel; None where its facet's place is not known here."""
    facet = facet_of(job, panel)
    origin = None if facet is None else origin_mm(job, facet)
    if facet is None or origin is None or not has_place(panel):
        return None
    x, y = seen_mm(job, facet, (panel.x_mm + panel.along_x_mm / 2.0, panel.y_mm + panel.along_y_mm / 2.0))
    return origin[0] + x, origin[1] + y


def origin_mm(job: Job, facet: Facet) -> XY | None:
    """Of a facet's datum, from the first facet's; None where it is not known here."""
    first = job.facets[0]
    if facet.slope_deg and facet.downhill is None:
        return None
    if facet.name == first.name:
        return 0.0, 0.0
    if facet.place_mm is not None:
        start = first.place_mm or (0.0, 0.0, 0.0)
        return facet.place_mm[0] - start[0], facet.place_mm[1] - start[1]
    return None if first.slope_deg else _joined_mm(job, facet)


def seen_mm(job: Job, facet: Facet, point: XY) -> XY:
    """A point of a facet's plane from its datum, seen from above and turned to the first facet's axes.

    What runs down the slope looks shorter, by its cosine.
    """
    x, y = point
    if facet.slope_deg:
        down = math.radians(_AXES[facet.front] - _down_from_front_deg(job, facet))
        along = x * math.cos(down) + y * math.sin(down)
        lost = along * (1.0 - math.cos(math.radians(facet.slope_deg)))
        x, y = x - lost * math.cos(down), y - lost * math.sin(down)
    turn = math.radians(_AXES[job.facets[0].front] - _AXES[facet.front])
    return x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)


def _down_from_front_deg(job: Job, facet: Facet) -> float:
    """Clockwise from the front; where the heading is open the front counts as north."""
    if isinstance(facet.downhill, str):
        return _AXES[facet.front] - _AXES[facet.downhill]
    heading = (job.site.heading_deg if job.site else None) or 0.0
    return (facet.downhill or 0.0) - heading


def _side(job: Job, facet: Facet) -> int | None:
    """0 front, 1 right, 2 rear, 3 left; None for a slope aslant, one that nobody knows, and a level facet."""
    if not facet.slope_deg or facet.downhill is None:
        return None
    down = _down_from_front_deg(job, facet)
    quarter = round(down / 90.0)
    return quarter % 4 if abs(down - 90.0 * quarter) <= _SKEW_DEG else None


def _joined_mm(job: Job, facet: Facet) -> XY | None:
    first, side = job.facets[0], _side(job, facet)
    if side is None or sum(_side(job, f) == side for f in job.facets[1:]) > 1:
        return None
    out = math.radians(_AXES[first.front] - 90.0 * side)
    ways = (math.cos(out), math.sin(out)), (-math.sin(out), math.cos(out))
    top = [_on(ways, corner) for corner in first.outline_mm]
    own = [_on(ways, seen_mm(job, facet, corner)) for corner in facet.outline_mm]
    outwards = max(a for a, _ in top) - min(a for a, _ in own)
    sideways = _mid([b for _, b in top]) - _mid([b for _, b in own])
    return (
        outwards * ways[0][0] + sideways * ways[1][0],
        outwards * ways[0][1] + sideways * ways[1][1],
    )


def _on(ways: tuple[XY, XY], point: XY) -> XY:
    (a, b), (c, d) = ways
    return point[0] * a + point[1] * b, point[0] * c + point[1] * d


def _mid(values: list[float]) -> float:
    return (min(values) + max(values)) / 2.0
