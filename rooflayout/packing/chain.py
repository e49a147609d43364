"""Points said one from another: rows with few entries in place of long ones.

A panel covers a hundred points and more, so rows "covered at most once" are long. But points near one
another are covered by nearly the same panels. So a point's row says what is covered there, less what is
covered at an earlier point that differs little from it. With a column for the room that each point has to
spare that is the same programme, five to eight times sparser.
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sparse
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats

ALONE = -1  # before a point that is said for itself
AROUND = 4  # points looked at around each, where all would be too many


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


def before_near(covers: Bools, family: Ints, x_mm: Ints, y_mm: Ints) -> Ints:
    """The same for many points, which must be in the order of family, y, x: of some around each.

    These are the one before it on its line, and a few of the nearest.
    """
    count = len(covers)
    before = np.full(count, ALONE)
    if count < 2:
        return before
    bits = np.packbits(covers, axis=1)
    least = np.bitwise_count(bits).sum(axis=1, dtype=np.int64)
    places = np.stack([x_mm, y_mm], axis=1).astype(np.float64)
    near = cKDTree(places).query(places, k=min(AROUND + 1, count))[1].reshape(count, -1)[:, 1:]
    one = np.arange(count)
    for other in (one - 1, *near.T):
        able = np.nonzero((other >= 0) & (other < one) & (family[other] == family))[0]
        differ = np.bitwise_count(bits[able] ^ bits[other[able]]).sum(axis=1, dtype=np.int64) + 1
        less = differ < least[able]
        before[able[less]], least[able[less]] = other[able[less]], differ[less]
    return before


def chain_of(before: Ints) -> sparse.csr_matrix:
    """What takes from each point's row that of the point before it."""
    count, linked = len(before), np.nonzero(before != ALONE)[0]
    links = sparse.csr_matrix((np.ones(len(linked)), (linked, before[linked])), shape=(count, count))
    return sparse.eye(count, format="csr") - links


def said(covers: Bools, before: Ints) -> NDArray[np.int8]:
    """What is covered at each point, less what is covered at the one before it."""
    found = covers.astype(np.int8)
    linked = before != ALONE
    found[linked] -= covers[before[linked]]
    return found


def paid(duals: Floats, before: Ints) -> Floats:
    """What covering each point costs, from the duals of the rows that say one from another."""
    linked = np.nonzero(before != ALONE)[0]
    found = duals.copy()
    np.subtract.at(found, before[linked], duals[linked])
    return found
