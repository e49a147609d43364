"""What is wanted of places beside watts: little shade, as much mass on the left as on the right, Wh.

Given to the packing from outside as functions over candidates; packing knows nothing of the sun.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rooflayout.packing.clearance import Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.kinds import Kind

OfPlaces = Callable[[Sequence[Kind], Candidates], Ints]  # a whole number for each candidate


@dataclass(frozen=True, slots=True)
class Wishes:
    """None: not wished for.

    lost_wh: what shade takes in a year, Wh. moment_g_m: mass times the way to the left of the middle.
    harvest_wh: what a panel there gives in a year, Wh; with kept_wh, for each kept panel's facet and model
    number, it is what is packed for instead of watts.
    """

    lost_wh: OfPlaces | None = None
    moment_g_m: OfPlaces | None = None
    kept_moment_g_m: int = 0  # of panels that are there already
    harvest_wh: OfPlaces | None = None
    kept_wh: dict[tuple[int, int], int] | None = None

    def none(self) -> bool:
        """Whether places are all the same."""
        return self.lost_wh is None and self.moment_g_m is None and self.harvest_wh is None


NO_WISHES = Wishes()
