"""The eleven published rows of the block model, shadow lengths, a panel shaded from its short edge.

Rows: Martinez-Moreno, Muñoz and Lorenzo 2010, table 2, read as the tests of pvlib (tests/test_shading.py)
carry it; to 0.005. Shadow lengths: common practice, no source (formula and figures read on pages of notes);
and the formula's own 2 : 1 at noon in midwinter at 40°, computed. Short edge: computed with the example
"partial module shading" of pvlib's documentation (72 cells, 3 bypass sections).
"""

from __future__ import annotations

from math import cos, hypot, radians

import numpy as np
import pvlib
import pytest

from rooflayout.energy.directions import to_sun
from rooflayout.energy.shade import block_loss, yearly_loss
from rooflayout.energy.shadows import Raster, cast, prism

TOTAL_BLOCKS = 16
# share shaded across, along; blocks shaded; beam, diffuse W/m²; loss measured and printed
MARTINEZ = [
    (1.0, 0.09, 16, 846.59, 59.42, 0.8844),
    (1.0, 0.36, 16, 843.38, 59.22, 0.8994),
    (0.04, 0.64, 1, 851.9, 59.4, 0.0783),
    (0.17, 0.45, 3, 862.86, 58.4, 0.2237),
    (0.29, 0.27, 5, 864.14, 58.11, 0.3282),
    (0.5, 0.09, 8, 863.23, 58.31, 0.4634),
    (0.13, 1.0, 2, 870.14, 58.02, 0.2137),
    (0.25, 1.0, 4, 876.57, 57.98, 0.4),
    (0.5, 1.0, 8, 874.58, 58.44, 0.6892),
    (0.75, 0.73, 12, 866.89, 58.73, 0.8113),
    (0.92, 0.64, 15, 861.48, 59.66, 0.8894),
]


@pytest.mark.parametrize(("across", "along", "blocks", "beam", "diffuse", "expected"), MARTINEZ)
def test_block_model(
    across: float, along: float, blocks: int, beam: float, diffuse: float, expected: float
) -> None:
    share = across * along
    lost = block_loss(share, blocks, TOTAL_BLOCKS)
    assert lost * beam / (beam + diffuse) == pytest.approx(expected, abs=0.005)
    # the same as a year of that one hour
    assert yearly_loss([[lost]], [beam], [beam + diffuse])[0] == pytest.approx(expected, abs=0.005)
    theirs = pvlib.shading.direct_martinez(beam + diffuse, beam, share, blocks, TOTAL_BLOCKS)
    assert lost * beam / (beam + diffuse) == pytest.approx(float(theirs), abs=1e-9)


@pytest.mark.parametrize(
    ("height", "altitude_deg", "off_deg", "shadow", "across", "tolerance"),
    [
        # common practice, no source: read
        (2460.0, 26.0, 41.0, 5043.75, 3806.56, 0.01),
        (0.83, 28.0, 180.0 - 142.0, None, 1.23, 0.005),
        (0.83, 16.0, 230.0 - 180.0, None, 1.86, 0.005),  # the page prints 1.83, its own formula gives 1.86
        # computed: 40° north, noon of 21 December, the sun 26.56° high: twice the height
        (0.25, 26.56, 0.0, 0.5, 0.5, 0.001),
    ],
)
def test_shadow_lengths(
    height: float, altitude_deg: float, off_deg: float, shadow: float | None, across: float, tolerance: float
) -> None:
    """The whole shadow is h / tan(altitude); what falls square to a row is that by cos(off)."""
    front, left, up = to_sun(altitude_deg, off_deg)
    if shadow is not None:
        assert height * hypot(front, left) / up == pytest.approx(shadow, abs=tolerance)
    assert height * front / up == pytest.approx(across, abs=tolerance)


def test_shadow_length_on_the_raster() -> None:
    """The first example as a wall along y: its shadow is 3806.56 deep, and shifted along by the rest."""
    wall = np.array([[5000, 3000, 0], [5010, 3000, 0], [5010, 6000, 0], [5000, 6000, 0]], dtype=float)
    raster = Raster(0.0, 0.0, 5.0, 2000, 1200)
    top = wall + np.array([0.0, 0.0, 2460.0])
    cells = cast(raster, [prism(wall, top)], to_sun([26.0], [41.0]))[0]
    rows, columns = np.nonzero(cells)
    assert 5000.0 - columns.min() * 5.0 == pytest.approx(3806.56, abs=5.0)
    sideways = (5043.75**2 - 3806.56**2) ** 0.5
    # the sun stands to the right of the front, so the shadow runs to the rear and to the left
    assert (rows.max() + 1) * 5.0 - 6000.0 == pytest.approx(sideways, abs=5.0)


@pytest.mark.parametrize(
    ("bearing_deg", "altitude_deg"), [(0.0, 10.0), (75.0, 30.0), (142.0, 28.0), (230.0, 16.0), (300.0, 60.0)]
)
def test_shadow_vector(bearing_deg: float, altitude_deg: float) -> None:
    """east = -h sin(az) / tan(alt), north = -h cos(az) / tan(alt); the front to the north, west is left."""
    front, left, up = to_sun(altitude_deg, bearing_deg)
    azimuth, reach = radians(bearing_deg), 1.0 / np.tan(radians(altitude_deg))
    assert left / up == pytest.approx(-np.sin(azimuth) * reach)
    assert -front / up == pytest.approx(-cos(azimuth) * reach)


@pytest.mark.parametrize(
    ("diffuse", "share", "power"),
    [
        (0.05, 1 / 12, 0.056),
        (0.05, 0.50, 0.050),
        (0.10, 1 / 12, 0.117),
        (0.10, 0.50, 0.104),
        (0.20, 1 / 12, 0.238),
        (0.20, 0.50, 0.211),
        (0.30, 1 / 12, 0.354),
        (0.30, 0.50, 0.319),
    ],
)
def test_shaded_from_the_short_edge(diffuse: float, share: float, power: float) -> None:
    """All three sections hit by a hard shadow, one cell row deep or half the panel.

    A panel by itself then gives little more than the diffuse part; the block model, fitted to whole arrays
    in which bypass diodes help, keeps up to a quarter of the beam. So it is on the hopeful side here, by no
    more than that quarter, and it says of most of the power that it is lost.
    """
    kept = 1.0 - float(block_loss(share, 3, 3)) * (1.0 - diffuse)
    assert power < kept < power + 0.25
    assert kept < 0.5
