"""Made-up years of days, drawn from the kinds of day that each month has.

Weather lasts: with the chance PERSISTENCE a day is of the same kind as the day before, else it is drawn
anew by the weights of its month. Days k apart are then alike with correlation PERSISTENCE to the power k.
Its value is the mean correlation of one day's sun with the next one's in three typical years (0.25 Sand
Point, 0.32 Greensboro, 0.34 Miami; tests/energy/test_day_kinds.py works them out again); Graham, Hollands
and Huget 1988 found 0.29 for the clearness of days, from memory. Kinds are taken in the order of their Wh, so
that a dull spell lasts over the end of a month.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

PERSISTENCE = 0.3


def draw_wh(
    days: Sequence[Sequence[tuple[float, float]]],
    month_of: NDArray[np.int64],
    *,
    years: int,
    persistence: float = PERSISTENCE,
    seed: int = 0,
) -> NDArray[np.float64]:
    """Wh of every day [years, days]; month_of [days] says which of the twelve (0 to 11) each lies in.

    days: by month the (Wh, weight) of each kind of day; a month without any gives nothing.
    """
    import numpy as np  # not at the top: help must come without it

    rank = ranks(years, len(month_of), persistence, seed)
    drawn = np.zeros(rank.shape)
    for month, kinds in enumerate(days):
        own = month_of == month
        known = sorted((wh, weight) for wh, weight in kinds if weight > 0.0)
        if not known or not own.any():
            continue
        wh, weights = np.array(known).T
        up_to = np.cumsum(weights) / weights.sum()
        kind = np.searchsorted(up_to[:-1], rank[:, own], side="right")
        drawn[:, own] = wh[kind]
    return drawn


def ranks(years: int, days: int, persistence: float, seed: int) -> NDArray[np.float64]:
    """[years, days] of numbers from 0 to 1: which part of its month's days each is, the dullest first."""
    import numpy as np  # not at the top: help must come without it

    random = np.random.default_rng(seed)
    fresh = random.random((years, days))
    anew = random.random((years, days)) >= persistence
    anew[:, 0] = True
    since = np.maximum.accumulate(np.where(anew, np.arange(days), 0), axis=1)
    return np.asarray(np.take_along_axis(fresh, since, axis=1))


def mean_wh_day(kinds: Sequence[tuple[float, float]]) -> float:
    """Mean Wh a day of a month from the (Wh, weight) of its kinds of day; 0 where there are none."""
    weight = sum(w for _, w in kinds)
    return sum(wh * w for wh, w in kinds) / weight if weight > 0.0 else 0.0
