"""Dives while prices are still being found, in the core that they leave idle.

From within a percent or two of the bound on a dive among the most promising candidates comes near the best
layout, or to it; where it reaches the bound the prices need not be found any further.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future, wait

from rooflayout.packing.asked import Asked
from rooflayout.packing.clearance import Ints
from rooflayout.packing.diving import dived, take_dived
from rooflayout.packing.incumbent import Incumbent
from rooflayout.packing.narrow import VERY_DEAR
from rooflayout.packing.prices import Prices

NEARING = 0.02  # of the bound: prices so near to it are good enough to dive by
SIZE = 3000  # candidates
ROUNDS = 2  # of the prices after which a dive's layout is taken, the last one's later: alike everywhere


class Early:
    """One dive at a time, each with the prices of its beginning; with one worker the prices wait for it."""

    def __init__(self, asked_at: Callable[[Prices], Asked], incumbent: Incumbent, pool: Executor) -> None:
        self._asked_at, self._incumbent, self._pool = asked_at, incumbent, pool
        self._begun: tuple[Asked, Future[Ints | None]] | None = None
        self._rounds = 0  # since then

    def watch(self, bound: float, value: float, prices: Callable[[], Prices]) -> bool:
        """As PriceSearch.run has it: True where a layout has as many watts as the bound."""
        inc = self._incumbent
        self._rounds += 1
        if self._begun is not None and self._rounds >= ROUNDS:
            self.take()
        inc.lower(bound + inc.kept)
        if inc.places is not None and inc.settled():
            return True
        if self._begun is None and bound - value <= NEARING * bound:
            asked = self._asked_at(prices())
            self._begun, self._rounds = (asked, self._pool.submit(dived, asked, SIZE, VERY_DEAR)), 0
            if inc.clock.workers == 1:
                wait([self._begun[1]])
        return False

    def take(self) -> None:
        """What the dive that was begun came to, if that is still wanted."""
        if self._begun is not None:
            asked, chosen = self._begun
            self._begun = None
            if self._incumbent.places is None or not self._incumbent.settled():
                take_dived(asked, chosen.result())
