"""A problem with prices, and a record of every layout that was the best for a time."""

from __future__ import annotations

import time
from itertools import combinations

import numpy as np
from relaxed_by_hand import Problem

from rooflayout.packing.asked import Asked
from rooflayout.packing.incumbent import Clock, Incumbent, Place
from rooflayout.packing.prices import PriceSearch


class Watched:
    """A problem with prices and an incumbent; every layout that was the best for a time is kept."""

    def __init__(self, problem: Problem, stop: bool = False) -> None:
        candidates, grid, rules = problem
        self.layouts: list[tuple[int, tuple[Place, ...]]] = []
        clock = Clock(time.monotonic() + 20, lambda: stop, lambda watts, bound: self._note())
        kept = 0 if rules.wired else rules.kept_watts()
        self.incumbent = Incumbent(clock, rules.grain(), kept, kept, 10**9)
        search = PriceSearch(candidates, grid, rules)
        prices = search.run(np.arange(0, len(candidates), 7), time.monotonic() + 20, lambda: False)
        self.incumbent.lower(prices.bound + kept)
        self.asked = Asked(candidates, rules.kinds, grid, rules, prices, self.incumbent)
        self.rules = rules

    def _note(self) -> None:
        if self.incumbent.places is not None:
            self.layouts.append((self.incumbent.watts, self.incumbent.places))

    def check(self) -> None:
        """No two overlap, and each rule on sums holds; watts are those of the panels and of kept ones."""
        kinds = self.rules.kinds
        for watts, places in self.layouts:
            assert not any(self._overlap(a, b) for a, b in combinations(places, 2))
            counts = np.bincount([k for k, _, _ in places], minlength=len(kinds))
            assert all(counts @ np.array(cap.per_kind) <= max(0, cap.limit) for cap in self.rules.caps)
            new = sum(kinds[k].watts for k, _, _ in places)
            most = new + self.rules.kept_watts()
            assert new <= watts <= most if self.rules.wired else watts == most

    def _overlap(self, a: Place, b: Place) -> bool:
        one, two = self.rules.kinds[a[0]], self.rules.kinds[b[0]]
        along_x = a[1] < b[1] + two.pitch_x_mm and b[1] < a[1] + one.pitch_x_mm
        along_y = a[2] < b[2] + two.pitch_y_mm and b[2] < a[2] + one.pitch_y_mm
        return one.facet == two.facet and along_x and along_y
