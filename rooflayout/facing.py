"""Which way a facet looks: angles seen from above."""

from __future__ import annotations

from rooflayout.job import Direction, Facet

# Counter-clockwise from the facet's own x axis.
AXIS_DEG: dict[Direction, float] = {"+x": 0.0, "+y": 90.0, "-x": 180.0, "-y": 270.0}


def downhill_from_front_deg(facet: Facet, heading_deg: float | None) -> float | None:
    """Which way a facet slopes down, clockwise from the front seen from above; None where not known.

    heading_deg: bearing of the front; where it is None the front counts as north.
    """
    if facet.downhill is None:
        return None
    if isinstance(facet.downhill, str):
        return (AXIS_DEG[facet.front] - AXIS_DEG[facet.downhill]) % 360.0
    return (facet.downhill - (heading_deg or 0.0)) % 360.0
