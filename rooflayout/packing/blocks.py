"""The most watts in a clear rectangle: cut in two again and again, or in five round a middle block.

Cutting in two gives guillotine layouts. Five blocks, one along each side and one in the middle like a
pinwheel, give the first-order layouts that cutting in two cannot (Morabito and Morales 1998, "A simple and
effective recursive procedure for the manufacturer's pallet loading problem", J. Oper. Res. Soc. 49; from
memory). Blocks are cut again in the same way. Sides are rounded down to sums of pitches (normal patterns),
so a table over all of them holds the best filling of every clear rectangle that is not larger.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.clearance import Ints
from rooflayout.packing.kinds import Kind

MOST_STATES = 60_000  # rectangles in a table: with more no table is made
FIVE_EFFORT = 300_000_000  # ways to cut in five that are looked at, over the whole table
FIVE_EACH = 6_000_000  # and for each rectangle but the whole
SLICE = 4_000_000  # ways looked at in one piece, for memory

Spot = tuple[int, int, int]  # kind (position in the sizes), x and y from the rectangle's corner


@dataclass(frozen=True, slots=True)
class Size:
    """What is laid into the rectangle: pitches and watts (tenths)."""

    pitch_x_mm: int
    pitch_y_mm: int
    watts: int


def sizes_of(kinds: Sequence[Kind]) -> list[Size]:
    """The kinds as sizes, in their order."""
    return [Size(k.pitch_x_mm, k.pitch_y_mm, k.watts) for k in kinds]


def sums_to(pitches: Sequence[int], most: int) -> Ints:
    """All sums of pitches from 0 to most."""
    reached = np.zeros(most + 1, dtype=bool)
    reached[0] = True
    for pitch in sorted(set(pitches)):
        for at in range(pitch, most + 1):
            if reached[at - pitch]:
                reached[at] = True
    return np.nonzero(reached)[0].astype(np.int64)


class Blocks:
    """The best filling known of every clear rectangle up to width by depth (mm, a gap included in both)."""

    def __init__(self, sizes: Sequence[Size], width_mm: int, depth_mm: int) -> None:
        self._sizes = list(sizes)
        self._xs = sums_to([s.pitch_x_mm for s in sizes], max(0, width_mm))
        self._ys = sums_to([s.pitch_y_mm for s in sizes], max(0, depth_mm))
        self.made = len(self._xs) * len(self._ys) <= MOST_STATES
        if not self.made:
            return
        self._x_of, self._y_of = _down(self._xs, max(0, width_mm)), _down(self._ys, max(0, depth_mm))
        shape = (len(self._xs), len(self._ys))
        self._watts = np.zeros(shape, dtype=np.int64)
        self._how = np.full((*shape, 5), -1, dtype=np.int64)  # what it is cut to, see _cut
        self._grain = int(np.gcd.reduce([s.watts for s in sizes]))
        self._density = max(s.watts / (s.pitch_x_mm * s.pitch_y_mm) for s in sizes)
        self._left = FIVE_EFFORT
        self._fill()

    def watts(self, width_mm: int, depth_mm: int) -> int:
        """Tenths of a watt that a clear rectangle holds at least. 0 where no table was made."""
        if not self.made or width_mm < 0 or depth_mm < 0:
            return 0
        return int(self._watts[self._x_of[width_mm], self._y_of[depth_mm]])

    def table(self, widths_mm: Ints, depths_mm: Ints) -> Ints:
        """watts of many rectangles at once, none with a negative side."""
        return self._watts[self._x_of[widths_mm], self._y_of[depths_mm]]

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
        if way == 0:
            found.append((at[0], x, y))
            return []
        if way == 1:
            cut = at[0]
            return [self._block(cut, h, x, y), self._block(w - cut, h, x + cut, y)]
        if way == 2:
            cut = at[0]
            return [self._block(w, cut, x, y), self._block(w, h - cut, x, y + cut)]
        if way == 3:
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
                self._take(i, self._ys >= size.pitch_y_mm, size.watts, np.array([0, number, 0, 0, 0]))
        cuts = self._xs[(self._xs > 0) & (2 * self._xs <= w)]
        if len(cuts):
            both = self._watts[self._x_of[cuts]] + self._watts[self._x_of[w - cuts]]
            best = both.argmax(axis=0)
            better = both.max(axis=0) > self._watts[i]
            self._watts[i, better] = both.max(axis=0)[better]
            self._how[i, better, 0], self._how[i, better, 1] = 1, cuts[best[better]]

    def _take(self, i: int, deep: np.ndarray, watts: int, how: Ints) -> None:
        better = deep & (self._watts[i] < watts)
        self._watts[i, better], self._how[i, better] = watts, how

    def _in_smaller(self, i: int, j: int) -> None:
        """As much as the next smaller rectangle holds."""
        for i_less, j_less in ((i - 1, j), (i, j - 1)):
            if self._watts[i_less, j_less] > self._watts[i, j]:
                self._watts[i, j] = self._watts[i_less, j_less]
                self._how[i, j] = (3, self._xs[i_less], self._ys[j_less], 0, 0)

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
            self._how[i, j] = (2, cuts[best], 0, 0, 0)

    def _in_five(self, i: int, j: int, whole: bool) -> None:
        """Five blocks round one in the middle, unless the watts cannot become more."""
        w, h = int(self._xs[i]), int(self._ys[j])
        best = int(self._watts[i, j])
        spare = w * h * self._density - best - self._grain  # watts' worth of area that may stay empty
        if spare < -1e-6:
            return
        xs, ys = _raster(self._xs[: i + 1], self._x_of, w), _raster(self._ys[: j + 1], self._y_of, h)
        ways = len(xs) ** 2 * len(ys) ** 2 // 4
        if not ways or ways > self._left or (ways > FIVE_EACH and not whole):
            return
        self._left -= ways
        d = self._density
        t, fx, fy = self._watts, self._x_of, self._y_of
        upper = t[np.ix_(fx[xs], fy[h - ys])]  # [x1, y1]: the block up the left side
        top = t[np.ix_(fx[w - xs], fy[h - ys])]  # [x1, y2]
        low = t[np.ix_(fx[xs], fy[ys])]  # [x2, y1]
        right = t[np.ix_(fx[w - xs], fy[ys])]  # [x2, y2]
        waste = [  # of each, against all of it filled at the best density
            d * xs[:, None] * (h - ys) - upper,
            d * (w - xs)[:, None] * (h - ys) - top,
            d * xs[:, None] * ys - low,
            d * (w - xs)[:, None] * ys - right,
        ]
        inner_y = fy[np.maximum(ys[None, :] - ys[:, None], 0)]  # [y1, y2]
        for a in range(len(xs) - 1):
            ones, twos = np.nonzero(waste[0][a] <= spare)[0], np.nonzero(waste[1][a] <= spare)[0]
            if not len(ones) or not len(twos):
                continue
            second = np.arange(a + 1, len(xs))
            second = second[
                (waste[2][second][:, ones].min(axis=1) <= spare)
                & (waste[3][second][:, twos].min(axis=1) <= spare)
            ]
            if not len(second):
                continue
            inner = t[fx[xs[second] - xs[a]]][:, inner_y[np.ix_(ones, twos)]]
            total = inner + (upper[a, ones] + low[np.ix_(second, ones)])[:, :, None]
            total += (top[a, twos] + right[np.ix_(second, twos)])[:, None, :]
            total[:, ones[:, None] >= twos[None, :]] = 0
            at = int(total.argmax())
            if total.flat[at] > best:
                best = int(total.flat[at])
                b, c, e = np.unravel_index(at, total.shape)
                t[i, j] = best
                self._how[i, j] = (4, xs[a], xs[second[b]], ys[ones[c]], ys[twos[e]])
                spare = w * h * d - best - self._grain
                if spare < -1e-6:
                    return


def _down(sums: Ints, most: int) -> Ints:
    """For every length from 0 to most the position of the largest sum that is not longer."""
    return np.searchsorted(sums, np.arange(most + 1), side="right") - 1


def _raster(sums: Ints, down: Ints, length: int) -> Ints:
    """Where to cut: the sums that the far side, rounded down to a sum, leaves (raster points)."""
    return np.unique(sums[down[length - sums[down[length - sums]]]])[1:-1]
