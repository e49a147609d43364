"""A facet as near misses see it: its box and the named things on it, as round as they are.

Along an axis a thing forbids a panel one interval, which depends on where the panel stands along the other.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rooflayout.packing.clearance import TOLERANCE_MM, Block, Bools, Field, Floats, Ints, RoundBlock
from rooflayout.packing.contacts import transposed

EDGE = "the edge"
END = -1  # the number of the facet's end, beside the numbers of things
Axis = Literal["x", "y"]
AXES: tuple[Axis, ...] = ("x", "y")


@dataclass(frozen=True, slots=True)
class Thing:
    """What stands on a facet or cuts into it, with what it forbids, clearance included."""

    name: str
    block: Block

    @property
    def box_mm(self) -> tuple[float, float, float, float]:
        """The box round it: x0, y0, x1, y1."""
        return self.block.bounds_mm()

    def is_box(self) -> bool:
        """Whether it fills the box round it."""
        return not isinstance(self.block, RoundBlock) and self.block.axis_parallel()


@dataclass(frozen=True, slots=True)
class Walls:
    """First and last place of each panel's corner along an axis, and whose walls they are."""

    low_mm: Floats
    high_mm: Floats
    lows: Ints  # numbers of things, or END
    highs: Ints


@dataclass(frozen=True, slots=True)
class Give:
    """Things, or the facet's end, give way by so much: where panels end at them, or where panels begin."""

    numbers: tuple[int, ...]  # of things, or END
    mm: int
    where: Literal["ends", "begins"]

    def of(self, number: int) -> int:
        return self.mm if number in self.numbers else 0


NOTHING = Give((), 0, "ends")


@dataclass(slots=True)
class Ground:
    """One facet; axes are 0 for x and 1 for y."""

    field: Field
    things: Sequence[Thing]
    boxes: Floats = dataclasses.field(init=False)  # (things, 4): x0, y0, x1, y1
    _blocks: tuple[tuple[Block, ...], tuple[Block, ...]] = dataclasses.field(init=False)
    _slanted: list[int] = dataclasses.field(init=False)
    _known: dict[tuple[int, int, float, float, float], tuple[float, float]] = dataclasses.field(init=False)

    def __post_init__(self) -> None:
        self.boxes = np.array([t.box_mm for t in self.things], dtype=np.float64).reshape(-1, 4)
        blocks = tuple(t.block for t in self.things)
        self._blocks = blocks, tuple(transposed(b) for b in blocks)
        self._slanted = [n for n, t in enumerate(self.things) if not t.is_box()]
        self._known = {}

    def name(self, number: int) -> str:
        return EDGE if number == END else self.things[number].name

    def ends(self, axis: int) -> tuple[float, float]:
        """First and last whole millimetre that a panel may cover."""
        f = self.field
        low, high = (f.x_min, f.x_max) if axis == 0 else (f.y_min, f.y_max)
        return math.ceil(low - TOLERANCE_MM), math.floor(high + TOLERANCE_MM)

    def like(self, number: int) -> tuple[int, ...]:
        """What belongs to the same obstacle; for an edge all edges, as the edge distance is one for all."""
        name = self.name(number)
        own = tuple(n for n, t in enumerate(self.things) if t.name == name)
        return (END, *own) if name == EDGE else own

    def walls_at(self, axis: int, side: Floats, near: Floats, at: Floats, give: Give = NOTHING) -> Walls:
        """What stands in each panel's way along an axis, when it stands at so much along the other one.

        side: (panels, 2), mm. near: where about along the axis, which says on which side of a thing it goes.
        """
        other = 1 - axis
        low = self.boxes[:, axis] - side[:, axis, None]  # (panels, things): it may not be past this
        high = np.broadcast_to(self.boxes[:, 2 + axis], low.shape).copy()  # nor before this
        inside = (at[:, None] > self.boxes[:, other] - side[:, other, None] + TOLERANCE_MM) & (
            at[:, None] < self.boxes[:, 2 + other] - TOLERANCE_MM
        )
        for n in self._slanted:
            for i in np.nonzero(inside[:, n])[0].tolist():
                low[i, n], high[i, n] = self._forbidden(axis, n, side[i, axis], side[i, other], at[i])
                inside[i, n] = low[i, n] < high[i, n]
        return self._nearest(axis, side, near, (low, high), inside, give)

    def walls_of(self, axis: int, side: Floats, corner: Floats, chosen: Bools) -> Walls:
        """The same of chosen things (panels, things), wherever the panels stand along the other axis.

        Of round and slanted ones what is in the way at the panels' corners.
        """
        other = 1 - axis
        low = self.boxes[:, axis] - side[:, axis, None]
        high = np.broadcast_to(self.boxes[:, 2 + axis], low.shape).copy()
        chosen = chosen.copy()
        for n in self._slanted:
            for i in np.nonzero(chosen[:, n])[0].tolist():
                found = self._forbidden(axis, n, side[i, axis], side[i, other], corner[i, other])
                low[i, n], high[i, n] = found
                chosen[i, n] = found[0] < found[1]
        return self._nearest(axis, side, corner[:, axis], (low, high), chosen)

    def _nearest(
        self,
        axis: int,
        side: Floats,
        near: Floats,
        forbidden: tuple[Floats, Floats],
        use: Bools,
        give: Give = NOTHING,
    ) -> Walls:
        """The nearest wall on each side, in whole millimetres; the facet's ends where there is none."""
        low, high = forbidden
        start, end = self.ends(axis)
        past = near[:, None] - high >= low - near[:, None]
        before = np.where(use & past, np.ceil(high - TOLERANCE_MM), -np.inf)
        behind = np.where(use & ~past, np.floor(low + TOLERANCE_MM), np.inf)
        way = np.array([give.of(n) for n in range(len(self.things))], dtype=np.float64)
        if give.where == "ends":
            behind, end = behind + way, end + give.of(END)
        else:
            before, start = before - way, start - give.of(END)
        before = np.column_stack([np.full(len(side), start), before])
        behind = np.column_stack([end - side[:, axis], behind])
        lows, highs = before.argmax(axis=1), behind.argmin(axis=1)
        rows = np.arange(len(side))
        return Walls(before[rows, lows], behind[rows, highs], lows - 1, highs - 1)

    def gaps(self, axis: int, corner: Floats, side: Floats) -> Floats:
        """How far each panel is from each thing along an axis (panels, things), mm; negative: how deep in it.

        From a round or slanted thing as the panel stands along the other axis; where that is beside it, from
        the box round it.
        """
        start, end = corner[:, axis], corner[:, axis] + side[:, axis]
        found = np.maximum(start[:, None] - self.boxes[:, 2 + axis], self.boxes[:, axis] - end[:, None])
        for n in self._slanted:
            for i in np.nonzero(found[:, n] < 0)[0].tolist():
                other = 1 - axis
                low, high = self._forbidden(axis, n, side[i, axis], side[i, other], corner[i, other])
                if low < high:
                    found[i, n] = max(start[i] - high, low - start[i])
        return np.asarray(found)

    def depths(self, number: int, w: float, h: float, xs: Ints, ys: Ints) -> Floats:
        """How far a w x h panel with its corner at (x, y) enters a thing, along the axis where that is less.

        (len(xs) * len(ys),), x by x, mm; 0 where it does not.
        """
        low_x, high_x = self._blocks[0][number].forbidden_x(w, h, ys.astype(np.float64))
        low_y, high_y = self._blocks[1][number].forbidden_x(h, w, xs.astype(np.float64))
        x, y = xs[:, None], ys[None, :]
        along_x = np.minimum(x - low_x[None, :], high_x[None, :] - x)
        along_y = np.minimum(y - low_y[:, None], high_y[:, None] - y)
        return np.asarray(np.maximum(0.0, np.minimum(along_x, along_y))).ravel()

    def slanted(self) -> Sequence[int]:
        """The numbers of things that do not fill the box round them."""
        return self._slanted

    def slanted_edges(self) -> list[int]:
        """Of these, the parts that slanted edges cut off."""
        return [n for n in self._slanted if self.things[n].name == EDGE]

    def _forbidden(
        self, axis: int, number: int, along: float, across: float, at: float
    ) -> tuple[float, float]:
        """The open interval that a thing takes from a panel of these sides; empty where low > high."""
        key = (axis, number, along, across, at)
        if key not in self._known:
            low, high = self._blocks[axis][number].forbidden_x(along, across, np.array([at]))
            self._known[key] = float(low[0]), float(high[0])
        return self._known[key]
