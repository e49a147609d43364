"""Strings that share shade: a string gives what its weakest panel gives, so dark panels belong together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

from rooflayout.job import Point

LEAST = 0.01  # of a panel's year: less shade is none, and a new sharing out must save as much


def lost(strings: Sequence[Sequence[int]], loss: Sequence[float]) -> float:
    """Panels' years that the strings lose: of each its worst panel's share times its panels."""
    return sum(len(string) * max(loss[i] for i in string) for string in strings)


def dark_strings(
    strings: Sequence[Sequence[int]], loss: Sequence[float], centres_mm: Sequence[Point]
) -> list[list[int]]:
    """Where it saves LEAST or more: strings for all shaded panels, of sizes taken from the given ones; else
    none. The other panels are free to be shared out anew.

    loss: of each panel (a number from the strings), what shade takes of its year, 0 to 1. Panels in order
    of shade, darkest first, cut into strings one after another, lose least; which size comes when is tried
    out. A string that is not filled by shaded panels takes the nearest of the others.
    """
    order = sorted((i for string in strings for i in string), key=lambda i: (-loss[i], i))
    least, sizes = _best_sizes(tuple(sorted(len(s) for s in strings)), tuple(loss[i] for i in order))
    if lost(strings, loss) - least < LEAST:
        return []
    found: list[list[int]] = []
    left = [i for i in order if loss[i] >= LEAST]
    clear = [i for i in order if loss[i] < LEAST]
    for size in sizes:
        if not left:
            break
        own, left = left[:size], left[size:]
        while len(own) < size:
            nearest = min(clear, key=lambda i: (min(math.dist(centres_mm[i], centres_mm[j]) for j in own), i))
            clear.remove(nearest)
            own.append(nearest)
        found.append(own)
    return found


def _best_sizes(sizes: tuple[int, ...], loss: tuple[float, ...]) -> tuple[float, tuple[int, ...]]:
    """What strings cut from panels in order of shade lose at least, and the order of sizes for that."""

    @cache
    def best(left: tuple[int, ...], start: int) -> tuple[float, tuple[int, ...]]:
        if not left:
            return 0.0, ()
        found = []
        for size in sorted(set(left)):
            rest = list(left)
            rest.remove(size)
            later, order = best(tuple(rest), start + size)
            found.append((size * loss[start] + later, (size, *order)))
        return min(found)

    return best(sizes, 0)
