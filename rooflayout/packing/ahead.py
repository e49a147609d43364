"""Layouts of panels a little too small, begun while the search still chooses among layouts of equal watts.

They need the prices of the search and its best layout.
"""

from __future__ import annotations

import time
from concurrent.futures import Executor, Future
from dataclasses import replace

from rooflayout.packing.clearance import Field
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.missing import grown_for, grown_layout, small_layout
from rooflayout.packing.search import Search


class Ending:
    """A clock whose end may be brought forward."""

    def __init__(self, clock: Clock) -> None:
        self.end = clock.deadline  # time.monotonic()
        self.clock = replace(clock, stopped=lambda: clock.stopped() or time.monotonic() > self.end)


Layout = tuple[Place, ...]


class Ahead:
    """One search's at a time: those of a search before it are no longer asked for."""

    def __init__(self, pool: Executor, fields: tuple[Field, ...], ending: Ending) -> None:
        self._pool, self._fields, self._ending = pool, fields, ending
        self._number = 0
        self._search: Search | None = None
        self._begun: list[Future[Layout]] = []

    def begin(self, search: Search) -> None:
        """Layouts with more watts than the search has now."""
        self._number += 1
        number, ending = self._number, self._ending.clock
        clock = replace(ending, stopped=lambda: ending.stopped() or number != self._number)
        watts = search.incumbent.watts
        self._search = search
        known = self._fields, search, watts, clock
        self._begun = [self._pool.submit(small_layout, *known)]
        self._begun += [self._pool.submit(grown_layout, *known, *grown) for grown in grown_for(search)]

    def end(self, search: Search | None) -> None:
        """This search has ended, and its layouts are wanted; begun now if they were not before.

        None: there was none, and nothing is wanted.
        """
        if search is None:
            self._number, self._begun = self._number + 1, []
        elif self._search is not search:
            self.begin(search)

    def result(self) -> tuple[Layout, ...]:
        """After end."""
        return tuple(begun.result() for begun in self._begun)
