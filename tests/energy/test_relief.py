"""The relief round a place, from pvlib's heights."""

from __future__ import annotations

import pytest
from pvlib.location import lookup_altitude

from rooflayout.energy.relief import AROUND_KM, MOUNTAINS_M, in_mountains, relief_m


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "there"),
    [
        (46.6, 8.9, True),  # the Gotthard
        (31.1, 77.2, True),  # Shimla
        (4.7, -74.1, True),  # Bogotá
        (40.72, 0.72, False),  # the Ebro delta
        (52.3, -1.2, False),  # the English Midlands
        (40.0, 117.0, False),  # the plain by Beijing, whose hills are in the next cells
        (41.9, -87.9, False),  # Chicago
        (-23.7, 133.9, False),  # Alice Springs
    ],
)
def test_where_mountains_are(latitude_deg: float, longitude_deg: float, there: bool) -> None:
    """Atlas facts, from memory."""
    assert in_mountains(latitude_deg, longitude_deg) is there


def test_the_same_heights_as_pvlib_reads() -> None:
    """Each height by pvlib's own function, over the same 50 km."""
    import numpy as np

    latitude, longitude = 46.6 + 1 / 24, 8.9
    up, along = round(AROUND_KM / 111.2 * 12), round(AROUND_KM / 111.2 * 12 / np.cos(np.radians(latitude)))
    heights = [
        lookup_altitude(latitude + row / 12, longitude + column / 12)
        for row in range(-up, up + 1)
        for column in range(-along, along + 1)
    ]
    low, high = np.percentile(heights, [5, 95])
    assert relief_m(latitude, longitude) == pytest.approx(high - low, rel=0.05)


def test_any_way_round_and_on_the_edges() -> None:
    assert relief_m(46.6, 8.9 - 360.0) == relief_m(46.6, 8.9)
    assert relief_m(65.0, 180.0) == relief_m(65.0, -180.0)
    assert relief_m(0.0, -150.0) == 0.0  # the open sea
    for pole in (90.0, -90.0):
        assert 0.0 <= relief_m(pole, 0.0) < MOUNTAINS_M
    with pytest.raises(ValueError, match="-90 and 90"):
        relief_m(90.5, 0.0)
