"""How far apart two places are."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

EARTH_KM = 6371.0


def away_km(
    latitude_deg: float,
    longitude_deg: float,
    latitudes_deg: NDArray[np.float64],
    longitudes_deg: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Kilometres along the earth from one place to others; the arrays go together as numpy broadcasts."""
    import numpy as np

    own, theirs = np.radians(latitude_deg), np.radians(latitudes_deg)
    half = np.radians(longitudes_deg - longitude_deg) / 2.0
    chord = np.sin((theirs - own) / 2.0) ** 2 + np.cos(own) * np.cos(theirs) * np.sin(half) ** 2
    return np.asarray(2.0 * EARTH_KM * np.arcsin(np.sqrt(np.clip(chord, 0.0, 1.0))))
