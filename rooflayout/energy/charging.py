"""What charges the battery: from the panels' end of a controller to the battery's, in watts.

Two voltages count. A controller whose charge current is the limit gives amperes, and so does the engine's
charger: their watts are amperes times the voltage that the battery has while it charges, which reaches the
charge voltage only at the end. Where the limit is not reached, watts are watts, whatever the voltage. What a
battery gives back is less than what was put in, partly because it gives it back at a lower voltage: that is
in the charge efficiency (battery.py), in Wh, so no Wh is multiplied by nominal over charge voltage.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rooflayout.job import Battery

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def charging_v(battery: Battery) -> float:
    """V of a battery while it charges, mean of the charge: half way from nominal to charge voltage.

    Common practice, no source. For lithium of 12 V charged at 14.4 V it is 13.2 V, 3.3 V a cell.
    """
    return (battery.nominal_v + battery.charge_v) / 2.0


@dataclass(frozen=True, slots=True, eq=False)
class Feed:
    """One way from panels to the battery; panels that are not wired have no losses and no limit."""

    panels_w: NDArray[np.float64]  # at the controller: after cables and what unlike strings lose
    efficiency: float = 1.0  # of the controller, 0 to 1
    most_w: float = math.inf  # what its charge limit passes
    drop_pct: float = 0.0  # of the cable to the battery, at most_w

    def could_w(self, sun: float = 1.0) -> NDArray[np.float64]:
        """W at the battery without the charge limit; sun: the part of the estimated sun that shines."""
        import numpy as np  # not at the top: help must come without it

        could = np.asarray(self.panels_w * (sun * self.efficiency), dtype=np.float64)
        return could * (1.0 - self.drop_pct / 100.0 * np.minimum(could / self.most_w, 1.0))

    def passed_w(self, sun: float = 1.0) -> NDArray[np.float64]:
        """W that reach the battery, the charge limit included."""
        import numpy as np  # not at the top: help must come without it

        return np.minimum(self.could_w(sun), self.most_w)

    def least_passed_w(self, dark_w: NDArray[np.float64], sunny: NDArray[np.float64]) -> NDArray[np.float64]:
        """Means of hours in which clouds come and go as quickly as they may.

        dark_w: what the panels give without any beam. sunny (0 to 1): the part of each hour in which the beam
        is there, as strong as in a clear sky. The limit passes no more than passed_w, which takes each hour
        as even; the truth lies between.
        """
        import numpy as np  # not at the top: help must come without it

        clear_w = dark_w + (self.panels_w - dark_w) / np.maximum(sunny, 1e-9)
        clear, dark = (replace(self, panels_w=w).passed_w() for w in (clear_w, dark_w))
        return np.asarray(np.where(sunny > 0.0, sunny * clear + (1.0 - sunny) * dark, self.passed_w()))


def limit_w(battery: Battery, most_a: float) -> float:
    """W that a charge current passes while the battery charges; never 0."""
    return max(most_a * charging_v(battery), 1e-9)
