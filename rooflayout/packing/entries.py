"""Matrices with few entries, row by row or column by column, as HiGHS takes them.

scipy has them too, but takes as long to load as a layout in rows takes to find.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Ints
from rooflayout.packing.grid import Floats

Index = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Entries:
    """Line after line: those of line i are number starts[i] to starts[i + 1]; index is where across."""

    starts: Index  # one more than there are lines
    index: Index
    values: Floats

    def __len__(self) -> int:
        return len(self.values)


def lines_of(line: Ints, across: Ints | Index, values: Floats, count: int) -> Entries:
    """Entries in any order as so many lines; no two of them may stand in the same place."""
    order = np.lexsort((across, line))
    starts = np.zeros(count + 1, dtype=np.int32)
    starts[1:] = np.cumsum(np.bincount(line, minlength=count))
    return Entries(starts, across[order].astype(np.int32), np.asarray(values, dtype=np.float64)[order])
