"""Layouts of panels a little too small, begun while the search is still at its proof.

They need the prices of the search and a good layout, and the proof leaves the second core free.
"""

from __future__ import annotations

import time
from concurrent.futures import Executor, Future
from dataclasses import replace

from rooflayout.packing.clearance import Field
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.missing import small_layouts
from rooflayout.packing.search import Search


class Ending:
    """A clock whose end may be brought forward."""

    def __init__(self, clock: Clock) -> None:
        self.end = clock.deadline  # time.monotonic()
        self.clock = replace(clock, stopped=lambda: clock.stopped() or time.monotonic() > self.end)


Layouts = tuple[tuple[Place, ...], ...]


class Ahead:
    """One search's at a time: those of a search before it are no longer asked for."""

    def __init__(self, pool: Executor, fields: tuple[Field, ...], ending: Ending) -> None:
        self._pool, self._fields, self._ending = pool, fields, ending
        self._number = 0
        self._begun: tuple[Search, Future[Layouts]] | None = None

    def begin(self, search: Search) -> None:
        """Layouts with more watts than the search has now."""
        self._number += 1
        number, ending = self._number, self._ending.clock
        clock = replace(ending, stopped=lambda: ending.stopped() or number != self._number)
        watts = search.incumbent.watts
        self._begun = search, self._pool.submit(small_layouts, self._fields, search, watts, clock)

    def end(self, search: Search | None) -> None:
        """This search has ended, and its layouts are wanted; begun now if they were not before.

        None: there was none, and nothing is wanted.
        """
        if search is None:
            self._number, self._begun = self._number + 1, None
        elif self._begun is None or self._begun[0] is not search:
            self.begin(search)

    def result(self) -> Layouts:
        """After end."""
        return () if self._begun is None else self._begun[1].result()
