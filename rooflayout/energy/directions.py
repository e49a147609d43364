"""The grid of sun directions for which shadows are drawn: altitude by bearing from the vehicle's front.

Altitudes stand in bands, narrow where shadows are long. Bearings are clockwise from the front, seen from
above, so that the grid serves every heading.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

ALTITUDE_EDGES_DEG = (0.0, 5.0, 10.0, 15.0, 21.0, 28.0, 36.0, 45.0, 55.0, 66.0, 78.0, 90.0)
ALTITUDES_DEG = (3.0, 7.5, 12.5, 18.0, 24.5, 32.0, 40.5, 50.0, 60.5, 72.0, 84.0)  # one for each band
BEARINGS = 36


@dataclass(frozen=True)
class Directions:
    """altitudes_deg lie within their bands' edges_deg; a direction's number is band * bearings + bearing."""

    altitudes_deg: tuple[float, ...] = ALTITUDES_DEG
    edges_deg: tuple[float, ...] = ALTITUDE_EDGES_DEG
    bearings: int = BEARINGS

    def __len__(self) -> int:
        return len(self.altitudes_deg) * self.bearings

    def of(self, altitude_deg: ArrayLike, bearing_from_front_deg: ArrayLike) -> NDArray[np.intp]:
        """The number of the direction nearest to each sun, any shape.

        A sun below the horizon counts as the lowest band: it has no beam to lose.
        """
        altitude = np.asarray(altitude_deg, dtype=float)
        band = np.clip(
            np.searchsorted(self.edges_deg, altitude, side="right") - 1, 0, len(self.edges_deg) - 2
        )
        step = 360.0 / self.bearings
        bearing = np.rint(np.asarray(bearing_from_front_deg, dtype=float) / step).astype(np.intp)
        return np.asarray(band * self.bearings + bearing % self.bearings, dtype=np.intp)

    @cached_property
    def altitude_deg(self) -> NDArray[np.float64]:
        """Of every direction."""
        return np.repeat(np.array(self.altitudes_deg), self.bearings)

    @cached_property
    def bearing_deg(self) -> NDArray[np.float64]:
        """Of every direction, clockwise from the front."""
        return np.tile(np.arange(self.bearings) * (360.0 / self.bearings), len(self.altitudes_deg))

    @cached_property
    def to_sun(self) -> NDArray[np.float64]:
        """Unit vectors [directions, 3] towards the sun: to the front, to the left, up."""
        return to_sun(self.altitude_deg, self.bearing_deg)


def to_sun(altitude_deg: ArrayLike, bearing_from_front_deg: ArrayLike) -> NDArray[np.float64]:
    """Unit vectors [..., 3] towards the sun, along the vehicle's front, its left and up."""
    altitude = np.radians(np.asarray(altitude_deg, dtype=float))
    bearing = np.radians(np.asarray(bearing_from_front_deg, dtype=float))
    level = np.cos(altitude)
    return np.stack(
        np.broadcast_arrays(level * np.cos(bearing), -level * np.sin(bearing), np.sin(altitude)), axis=-1
    )
