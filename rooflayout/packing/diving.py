"""Which choices are dived into, and what becomes of the layouts that dives come to."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Ints
from rooflayout.packing.dive import dive
from rooflayout.packing.expand import MUCH
from rooflayout.packing.incumbent import places_of
from rooflayout.packing.narrow import DEAR, dearest

FIRST_EFFORT = 1.0  # deterministic seconds for a layout, to begin with
NEAR = 0.01  # of the bound: a layout that is not so near is improved before better ones are ruled out
DIVES = (1, 2)  # places taken after one solution, in one dive and the other
DIVES_EACH = 2  # times at most
SMALL_DIVES_EACH = 10  # where a dive takes a tenth of a second


def most_promising(asked: Asked, size: int) -> Ints:
    """So many of the candidates with which most watts are possible, in order."""
    return np.sort(np.argsort(-asked.prices.reduced_cost, kind="stable")[:size])


def dived(asked: Asked, size: int, share: float = DEAR) -> Ints | None:
    """So many of the most promising, straight down from their relaxation; share as for dearest."""
    keep = asked.held(most_promising(asked, size))
    if not len(keep):
        return None
    choice = Choice(asked.grid, asked.rules, asked.candidates.kind, keep, *dearest(asked, share))
    return dive(asked, choice, DIVES[0])


def dive_roughly(asked: Asked, size: int) -> None:
    """What that comes to as a layout."""
    take_dived(asked, dived(asked, size))


def dive_both(asked: Asked, choice: Choice) -> None:
    """Both ways of diving, at once where there are workers; of layouts with equal watts the first's.

    Where that comes to nothing near the bound, both again and again with the points that were too full on
    the way, for as long as there were any.
    """
    inc = asked.incumbent
    ways = [(choice, DIVES[0]), (choice.copy(), DIVES[1])]
    large = choice.size() > MUCH
    with ThreadPoolExecutor(max_workers=inc.clock.workers) as pool:
        for _ in range(DIVES_EACH if large else SMALL_DIVES_EACH):
            points = [len(way.covers) for way, _ in ways]
            for chosen in list(pool.map(lambda way: dive(asked, *way), ways)):
                take_dived(asked, chosen)
            if inc.near(NEAR) or points == [len(way.covers) for way, _ in ways]:
                return


def take_dived(asked: Asked, chosen: Ints | None) -> None:
    """What a dive came to; it minds no rule but the roof, so where there are others the best part of it."""
    if chosen is not None:
        take(asked, chosen, kept_to=not asked.rules.bound())


def take(asked: Asked, chosen: Ints, kept_to: bool) -> None:
    """Candidates as a layout. kept_to: whether all rules are, with kept panels as they are."""
    inc = asked.incumbent
    asked.answer(chosen, FIRST_EFFORT)  # with the kept panels that can be wired beside them
    if kept_to:
        watts = np.array([k.watts for k in asked.rules.kinds], dtype=np.int64)[asked.candidates.kind[chosen]]
        inc.better(int(watts.sum()) + inc.kept, places_of(asked.candidates, chosen))
