"""The best layout so far and the bound above it, in one place; and the clock that everyone looks at."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rooflayout.packing.clearance import Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.kinds import Kind

SLACK = 1e-3  # tenths of a watt, for floating point
Place = tuple[int, int, int]  # kind, x_mm, y_mm


@dataclass(slots=True)
class Clock:
    """When to stop, whether to stop now, and whom to tell of progress."""

    deadline: float  # time.monotonic()
    stopped: Callable[[], bool]
    tell: Callable[[int, int], None]  # watts, bound (tenths)
    workers: int = 1  # threads for what can be done at once

    def left(self) -> float:
        return self.deadline - time.monotonic()

    def part(self, share: float) -> Clock:
        """The same with so large a share of the time that is left."""
        return replace(self, deadline=time.monotonic() + share * self.left())

    def over(self) -> bool:
        return self.left() <= 0 or self.stopped()


@dataclass(slots=True)
class Incumbent:
    """watts and bound in tenths, kept panels that count without wiring included."""

    clock: Clock
    grain: int  # layouts differ by whole multiples of it
    kept: int  # watts of kept panels that count beside the new ones
    watts: int  # of the best layout; before there is one, what a layout must reach to matter
    bound: int
    places: tuple[Place, ...] | None = None

    def settled(self) -> bool:
        """The best layout reaches the bound, or no layout can reach the floor."""
        return self.watts > self.bound if self.places is None else self.watts >= self.bound

    def near(self, share: float) -> bool:
        """Whether there is a layout, and it is so near the bound (a share of it)."""
        return self.places is not None and self.bound - self.watts <= share * self.bound

    def least(self) -> int:
        """Fewer watts than this are of no use any more."""
        return self.watts + self.grain if self.places is not None else self.watts

    def better(self, watts: int, places: Sequence[Place]) -> None:
        """Take a layout if it is the first or has more watts."""
        if self.places is None or watts > self.watts:
            self.places, self.watts = tuple(places), watts
            self.clock.tell(self.watts, self.bound)

    def moved(self, places: Sequence[Place]) -> None:
        """Take a layout of the same watts instead of the best one."""
        assert self.places is not None
        self.places = tuple(places)

    def lower(self, bound: float) -> None:
        """Take a bound if it is lower; to the next watts that a layout can have."""
        if math.isfinite(bound):
            self.bound = min(self.bound, self.whole(bound))
        self.clock.tell(self.watts, self.bound)

    def raise_floor(self, floor: int) -> None:
        """Only layouts of at least so many watts matter from now on."""
        if self.places is None or self.watts < floor:
            self.places, self.watts = None, max(floor, self.watts)

    def whole(self, watts: float) -> int:
        """Down to what a layout can have; floating point must not cost a layout that is just there."""
        return whole(watts, self.grain)


def whole(watts: float, grain: int) -> int:
    """Down to a multiple of the grain, with slack for floating point."""
    return int((watts + SLACK) // grain * grain)


def places_of(candidates: Candidates, which: Ints) -> list[Place]:
    """Kind and corner of the candidates with these numbers."""
    rows = (candidates.kind[which], candidates.x_mm[which], candidates.y_mm[which])
    return [(int(k), int(x), int(y)) for k, x, y in zip(*rows, strict=True)]


def watts_of(kinds: Sequence[Kind], places: Sequence[Place]) -> int:
    """What these places have together, tenths."""
    return sum(kinds[k].watts for k, _, _ in places)
