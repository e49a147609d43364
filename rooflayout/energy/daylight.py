"""A day's sun against a draw even in daylight: what is over at noon, what is short in morning and evening.

The sun's power over the day is taken as half a sine wave from sunrise to sunset. That leaves out clouds
that come and go; beside hour by hour (tests/energy/test_battery.py) it is nearer by half than day against
night alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def over_and_short_wh(
    sun_wh: NDArray[np.float64], demand_wh: NDArray[np.float64], night_share: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Wh of a day's sun beyond the draw of the moment, and Wh of draw in daylight beyond the sun.

    demand_wh is that of 24 hours, night_share (0 to 1) the part of it that is drawn without sun. Arrays that
    go together; over - short = sun - draw in daylight. The sun above the draw between the angles x and
    180° - x of the wave: over = sun cos x - draw (1 - 2x / 180°), where sin x is draw over the wave's top.
    """
    import numpy as np  # not at the top: help must come without it

    draw_wh = demand_wh * (1.0 - night_share)  # in daylight
    top = np.pi / 2.0 * sun_wh  # the wave's top times the hours of daylight
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        share = np.where(draw_wh <= 0.0, 0.0, np.minimum(draw_wh / top, 1.0))
    angle = np.arcsin(share)
    over_wh = np.where(share < 1.0, sun_wh * np.cos(angle) - draw_wh * (1.0 - 2.0 * angle / np.pi), 0.0)
    over_wh = np.maximum(over_wh, np.maximum(sun_wh - draw_wh, 0.0))  # rounding
    return over_wh, over_wh - (sun_wh - draw_wh)
