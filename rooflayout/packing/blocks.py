"""The most watts in a clear rectangle: cut in two again and again, or in five round a middle block.

Cutting in two gives guillotine layouts. Five blocks, one along each side and one in the middle like a
pinwheel, give the first-order layouts that cutting in two cannot (Morabito and Morales 1998, "A simple and
effective recursive procedure for the manufacturer's pallet loading problem", J. Oper. Res. Soc. 49; from
memory). Blocks are cut again in the same way. Sides are rounded down to sums of pitches (normal patterns),
so a table over all of them holds the best filling of every clear rectangle that is not larger.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.clearance import TOLERANCE_MM, Bools, Field, Ints
from rooflayout.packing.incumbent import SLACK, Place
from rooflayout.packing.kinds import Kind
from rooflayout.packing.positions import sums_of

MOST_STATES = 60_000  # rectangles in a table: with more no table is made
FIVE_EFFORT = 300_000_000  # ways to cut in five that are looked at, over the whole table
FIVE_EACH = 6_000_000  # and for each rectangle but the whole
FIVE_WHOLE = 200_000_000  # and for the whole
ONE, BESIDE, ABOVE, SMALLER, FIVE = range(5)  # how a rectangle is cut

Spot = tuple[int, int, int]  # kind (position in the sizes), x and y from the rectangle's corner


@dataclass(frozen=True, slots=True)
class Size:
    """What is laid into the rectangle: pitches and watts (tenths)."""

    pitch_x_mm: int
    pitch_y_mm: int
    watts: int


def blocks_on(field: Field, kinds: Sequence[Kind], numbers: Sequence[int]) -> list[Place]:
    """Places on a facet on which nothing stands, for the kinds of these numbers; none on any other facet."""
    if field.blocks or not numbers:
        return []
    left, low = math.ceil(field.x_min - TOLERANCE_MM), math.ceil(field.y_min - TOLERANCE_MM)
    one = kinds[numbers[0]]
    width = math.floor(field.x_max + TOLERANCE_MM) - left + one.pitch_x_mm - one.w_mm
    depth = math.floor(field.y_max + TOLERANCE_MM) - low + one.pitch_y_mm - one.h_mm
    if width <= 0 or depth <= 0:
        return []
    sizes = [Size(kinds[n].pitch_x_mm, kinds[n].pitch_y_mm, kinds[n].watts) for n in numbers]
    spots = Blocks(sizes, width, depth).layout(width, depth)
    return [(numbers[k], left + x, low + y) for k, x, y in spots]


class Blocks:
    """The best filling known of every clear rectangle up to width by depth (mm, a gap included in both)."""

    def __init__(self, sizes: Sequence[Size], width_mm: int, depth_mm: int) -> None:
        self._sizes = list(sizes)
        self._xs = sums_of({0}, {s.pitch_x_mm for s in sizes}, max(0, width_mm))
        self._ys = sums_of({0}, {s.pitch_y_mm for s in sizes}, max(0, depth_mm))
        self.made = len(self._xs) * len(self._ys) <= MOST_STATES
        if not self.made:
            return
        self._x_of, self._y_of = _down(self._xs, max(0, width_mm)), _down(self._ys, max(0, depth_mm))
        shape = (len(self._xs), len(self._ys))
        self._watts = np.zeros(shape, dtype=np.int64)
        self._how = np.full((*shape, 5), -1, dtype=np.int64)  # how it is cut, and where
        self._grain = int(np.gcd.reduce([s.watts for s in sizes]))
        self._density = max(s.watts / (s.pitch_x_mm * s.pitch_y_mm) for s in sizes)
        self._left = FIVE_EFFORT
        self._fill()

    def watts(self, width_mm: int, depth_mm: int) -> int:
        """Tenths of a watt that a clear rectangle holds at least. 0 where no table was made."""
        if not self.made or width_mm < 0 or depth_mm < 0:
            return 0
        return int(self._watts[self._x_of[width_mm], self._y_of[depth_mm]])

    def layout(self, width_mm: int, depth_mm: int) -> list[Spot]:
        """That filling, from the corner nearest the origin."""
        if not self.watts(width_mm, depth_mm):
            return []
        found: list[Spot] = []
        todo = [(int(self._x_of[width_mm]), int(self._y_of[depth_mm]), 0, 0)]
        while todo:
            i, j, x, y = todo.pop()
            if self._watts[i, j]:
                todo += self._cut(i, j, x, y, found)
        return sorted(found, key=lambda spot: (spot[2], spot[1]))

    def _cut(self, i: int, j: int, x: int, y: int, found: list[Spot]) -> list[tuple[int, int, int, int]]:
        """The blocks of a rectangle, as it is and where; a single panel goes to found."""
        w, h = int(self._xs[i]), int(self._ys[j])
        way, *at = (int(v) for v in self._how[i, j])
        if way == ONE:
            found.append((at[0], x, y))
            return []
        if way == BESIDE:
            cut = at[0]
            return [self._block(cut, h, x, y), self._block(w - cut, h, x + cut, y)]
        if way == ABOVE:
            cut = at[0]
            return [self._block(w, cut, x, y), self._block(w, h - cut, x, y + cut)]
        if way == SMALLER:
            return [self._block(at[0], at[1], x, y)]
        x1, x2, y1, y2 = at
        return [
            self._block(x2, y1, x, y),
            self._block(w - x2, y2, x + x2, y),
            self._block(x2 - x1, y2 - y1, x + x1, y + y1),
            self._block(x1, h - y1, x, y + y1),
            self._block(w - x1, h - y2, x + x1, y + y2),
        ]

    def _block(self, w: int, h: int, x: int, y: int) -> tuple[int, int, int, int]:
        return int(self._x_of[w]), int(self._y_of[h]), x, y

    def _fill(self) -> None:
        """The table, smaller rectangles first: two blocks always, five where they may give more."""
        for i in range(1, len(self._xs)):
            self._in_two_across(i)
            for j in range(1, len(self._ys)):
                self._in_smaller(i, j)
                self._in_two_along(i, j)
                self._in_five(i, j, i == len(self._xs) - 1 and j == len(self._ys) - 1)

    def _in_two_across(self, i: int) -> None:
        """One panel, or two blocks side by side; all depths."""
        w = int(self._xs[i])
        for number, size in enumerate(self._sizes):
            if size.pitch_x_mm <= w:
                self._take(i, self._ys >= size.pitch_y_mm, size.watts, np.array([ONE, number, 0, 0, 0]))
        cuts = self._xs[(self._xs > 0) & (2 * self._xs <= w)]
        if len(cuts):
            both = self._watts[self._x_of[cuts]] + self._watts[self._x_of[w - cuts]]
            best = both.argmax(axis=0)
            better = both.max(axis=0) > self._watts[i]
            self._watts[i, better] = both.max(axis=0)[better]
            self._how[i, better, 0], self._how[i, better, 1] = BESIDE, cuts[best[better]]

    def _take(self, i: int, deep: Bools, watts: int, how: Ints) -> None:
        better = deep & (self._watts[i] < watts)
        self._watts[i, better], self._how[i, better] = watts, how

    def _in_smaller(self, i: int, j: int) -> None:
        """As much as the next smaller rectangle holds."""
        for i_less, j_less in ((i - 1, j), (i, j - 1)):
            if self._watts[i_less, j_less] > self._watts[i, j]:
                self._watts[i, j] = self._watts[i_less, j_less]
                self._how[i, j] = (SMALLER, self._xs[i_less], self._ys[j_less], 0, 0)

    def _in_two_along(self, i: int, j: int) -> None:
        """Two blocks one above the other."""
        h = int(self._ys[j])
        cuts = self._ys[(self._ys > 0) & (2 * self._ys <= h)]
        if not len(cuts):
            return
        row = self._watts[i]
        both = row[self._y_of[cuts]] + row[self._y_of[h - cuts]]
        best = int(both.argmax())
        if both[best] > row[j]:
            row[j] = both[best]
            self._how[i, j] = (ABOVE, cuts[best], 0, 0, 0)

    def _in_five(self, i: int, j: int, whole: bool) -> None:
        """Five blocks round one in the middle, unless the watts cannot become more."""
        w, h = int(self._xs[i]), int(self._ys[j])
        if self._spare(w, h, int(self._watts[i, j])) < 0:
            return
        xs, ys = _raster(self._xs[: i + 1], self._x_of, w), _raster(self._ys[: j + 1], self._y_of, h)
        ways = len(xs) ** 2 * len(ys) ** 2 // 4
        if not ways or ways > FIVE_WHOLE or (not whole and ways > min(self._left, FIVE_EACH)):
            return
        self._left -= ways
        for watts, how in self._pinwheels((w, h), xs, ys, int(self._watts[i, j])):
            self._watts[i, j], self._how[i, j] = watts, how

    def _spare(self, w: int, h: int, watts: int) -> float:
        """Watts' worth of area that may stay empty where there are more than so many watts."""
        return w * h * self._density - watts - self._grain + SLACK

    def _pinwheels(
        self, sides: tuple[int, int], xs: Ints, ys: Ints, best: int
    ) -> Iterator[tuple[int, tuple[int, ...]]]:
        """Better and better ways to cut in five: watts and how.

        Blocks on the left go up from y1, those on the right to y2; below they end at x2, above at x1.
        """
        w, h = sides
        t, fx, fy, d = self._watts, self._x_of, self._y_of, self._density
        left, top = t[np.ix_(fx[xs], fy[h - ys])], t[np.ix_(fx[w - xs], fy[h - ys])]  # [x1, y1], [x1, y2]
        low, right = t[np.ix_(fx[xs], fy[ys])], t[np.ix_(fx[w - xs], fy[ys])]  # [x2, y1], [x2, y2]
        empty_left, empty_top = d * np.outer(xs, h - ys) - left, d * np.outer(w - xs, h - ys) - top
        empty_low, empty_right = d * np.outer(xs, ys) - low, d * np.outer(w - xs, ys) - right
        middle = fy[np.maximum(ys[None, :] - ys[:, None], 0)]  # [y1, y2]
        for a in range(len(xs) - 1):
            spare = self._spare(w, h, best)
            ones, twos = np.nonzero(empty_left[a] <= spare)[0], np.nonzero(empty_top[a] <= spare)[0]
            if spare < 0 or not len(ones) or not len(twos):
                continue
            few = empty_low[a + 1 :, ones].min(axis=1) <= spare
            few &= empty_right[a + 1 :, twos].min(axis=1) <= spare
            seconds = a + 1 + np.nonzero(few)[0]
            if not len(seconds):
                continue
            total = t[fx[xs[seconds] - xs[a]]][:, middle[np.ix_(ones, twos)]]
            total += (left[a, ones] + low[np.ix_(seconds, ones)])[:, :, None]
            total += (top[a, twos] + right[np.ix_(seconds, twos)])[:, None, :]
            total[:, ones[:, None] >= twos[None, :]] = 0
            at = int(total.argmax())
            if total.flat[at] > best:
                best = int(total.flat[at])
                b, c, e = np.unravel_index(at, total.shape)
                yield best, (FIVE, int(xs[a]), int(xs[seconds[b]]), int(ys[ones[c]]), int(ys[twos[e]]))


def _down(sums: Ints, most: int) -> Ints:
    """For every length from 0 to most the position of the largest sum that is not longer."""
    return np.searchsorted(sums, np.arange(most + 1), side="right") - 1


def _raster(sums: Ints, down: Ints, length: int) -> Ints:
    """Where to cut: the sums that the far side, rounded down to a sum, leaves (raster points)."""
    return np.unique(sums[down[length - sums[down[length - sums]]]])[1:-1]
