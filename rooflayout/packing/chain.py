"""Points said one from another: rows with few entries in place of long ones.

A panel covers a hundred points and more, so rows "covered at most once" are long. But points near one
another are covered by nearly the same panels. So a point's row says what is covered there, less what is
covered at an earlier point that differs little from it. With a column for the room that each point has to
spare that is the same programme, five to eight times sparser.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Bits, Floats

Number = TypeVar("Number", np.int8, np.float64)
ALONE = -1  # before a point that is said for itself
LINES = 2  # looked at before that of each point, where all points would be too many


def before_all(covers: Bools, family: Ints, first: int) -> Ints:
    """For the points from number first on: of all earlier ones the one that differs least, or ALONE.

    covers: by point and place. Points of different families are never said from one another.
    """
    if first == len(covers):
        return np.zeros(0, dtype=np.int64)
    whole = covers.astype(np.float32)
    size = whole.sum(axis=1)
    differ = size[first:, None] + size[None, :] - 2 * (whole[first:] @ whole.T)
    number = np.arange(len(covers))
    able = (number[None, :] < number[first:, None]) & (family[None, :] == family[first:, None])
    differ = np.where(able, differ, np.inf)
    best = differ.argmin(axis=1)
    far = differ[np.arange(len(best)), best] + 1 >= size[first:]
    return np.where(far, ALONE, best)


def before_near(bits: Bits, family: Ints, x_mm: Ints, y_mm: Ints) -> Ints:
    """The same for many points, which must be in the order of family, y, x: of some around each.

    bits: by point and place, eight places a byte. Looked at are the one before each point on its line, and
    the nearest to the left and right on LINES lines before.
    """
    count = len(bits)
    before = np.full(count, ALONE)
    if count < 2:
        return before
    least = np.bitwise_count(bits).sum(axis=1, dtype=np.int64)
    for other in _earlier(family, x_mm, y_mm):
        able = np.nonzero((other >= 0) & (family[other] == family))[0]
        differ = np.bitwise_count(bits[able] ^ bits[other[able]]).sum(axis=1, dtype=np.int64) + 1
        less = differ < least[able]
        before[able[less]], least[able[less]] = other[able[less]], differ[less]
    return before


def _earlier(family: Ints, x_mm: Ints, y_mm: Ints) -> Iterator[Ints]:
    """For each point some that come before it, one array after the other; negative where there is none."""
    count = len(x_mm)
    new_line = (np.diff(y_mm) != 0) | (np.diff(family) != 0)
    line = np.concatenate([[0], np.cumsum(new_line)])
    wide = int(x_mm.max() - x_mm.min()) + 1
    key = line * wide + x_mm - x_mm.min()  # ascending
    yield np.arange(count) - 1
    for back in range(1, LINES + 1):
        right = np.searchsorted(key, key - back * wide)
        for other in (right - 1, right):
            yield np.where((other >= 0) & (line[other] == line - back), other, -1)


def said(covers: Bools, before: Ints) -> NDArray[np.int8]:
    """What is covered at each point, less what is covered at the one before it."""
    return less(covers.astype(np.int8), before)


def said_sparsely(bits: Bits, before: Ints) -> tuple[Ints, Ints, Floats]:
    """What said gives where it is not 0: point, place and value of each; bits: as before_near has them."""
    linked = before != ALONE
    differ = bits.copy()
    differ[linked] ^= bits[before[linked]]
    point, byte = np.nonzero(differ)
    which, bit = np.nonzero(np.unpackbits(differ[point, byte][:, None], axis=1))
    point, byte = point[which], byte[which]
    covered = bits[point, byte] >> (7 - bit) & 1
    return point, byte * 8 + bit, np.where(covered, 1.0, -1.0)


def less(values: NDArray[Number], before: Ints) -> NDArray[Number]:
    """Of each point its values less those of the one before it."""
    found = values.copy()
    linked = before != ALONE
    found[linked] -= values[before[linked]]
    return found


def paid(duals: Floats, before: Ints) -> Floats:
    """What covering each point costs, from the duals of the rows that say one from another."""
    linked = np.nonzero(before != ALONE)[0]
    found = duals.copy()
    np.subtract.at(found, before[linked], duals[linked])
    return found
