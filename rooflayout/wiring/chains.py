"""Chains: panels in the order in which they are connected, and how long that is.

Lengths are straight from centre to centre, in whole tenths of a millimetre so that equal ones are equal.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from itertools import combinations, pairwise

from rooflayout.job import Point

Lengths = tuple[tuple[int, ...], ...]
EXACT_CHAIN = 7  # panels; a longer chain is improved by exchanges instead
TENTHS = 10
NEVER = 10**12


def lengths_between(points: Sequence[Point]) -> Lengths:
    """Tenths of a millimetre from every point to every other; points in mm."""
    return tuple(tuple(round(TENTHS * math.dist(a, b)) for b in points) for a in points)


def chain_length(lengths: Lengths, chain: Sequence[int]) -> int:
    """Tenths of a millimetre along a chain."""
    return sum(lengths[a][b] for a, b in pairwise(chain))


def shortened(lengths: Lengths, chain: Sequence[int]) -> list[int]:
    """The same panels in an order of less length, or the chain itself.

    The shortest order up to EXACT_CHAIN panels, above it one that cannot be bettered by turning a
    stretch round or by moving a stretch of up to three.
    """
    if len(chain) <= EXACT_CHAIN:
        best = split_exactly(lengths, sorted(chain), (len(chain),))[0] if len(chain) > 2 else list(chain)
        return best if chain_length(lengths, best) < chain_length(lengths, chain) else list(chain)
    current = list(chain)
    while _turn_a_stretch(lengths, current) or _move_a_stretch(lengths, current):
        pass
    return current


def split_exactly(lengths: Lengths, members: Sequence[int], sizes: Sequence[int]) -> list[list[int]]:
    """The members in chains of the given sizes, of the least total length.

    By dynamic programming over subsets: for up to about ten members. The sizes must add up to them.
    """
    chains = _Subsets(lengths, members, max(sizes))

    @cache
    def best(left: int, sizes_left: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
        if not sizes_left:
            return 0, ()
        first = (left & -left).bit_length() - 1
        others = [i for i in range(first + 1, len(members)) if left >> i & 1]
        found: tuple[int, tuple[int, ...]] = (NEVER, ())
        for size in dict.fromkeys(sizes_left):
            rest = list(sizes_left)
            rest.remove(size)
            for picked in combinations(others, size - 1):
                mask = 1 << first | sum(1 << i for i in picked)
                own = chains.length(mask)
                if own >= found[0]:
                    continue
                more, masks = best(left & ~mask, tuple(rest))
                if own + more < found[0]:
                    found = own + more, (mask, *masks)
        return found

    _, masks = best((1 << len(members)) - 1, tuple(sorted(sizes)))
    return [chains.chain(mask) for mask in masks]


class _Subsets:
    """The shortest chain through every subset of up to most members (Held and Karp 1962)."""

    def __init__(self, lengths: Lengths, members: Sequence[int], most: int) -> None:
        self._members = members
        n = len(members)
        self._between = [[lengths[a][b] for b in members] for a in members]
        self._ending: list[list[int]] = [[NEVER] * n for _ in range(1 << n)]
        for mask in range(1, 1 << n):
            if mask.bit_count() <= most:
                self._fill(mask)

    def _fill(self, mask: int) -> None:
        inside = [i for i in range(len(self._members)) if mask >> i & 1]
        row = self._ending[mask]
        for last in inside:
            before = self._ending[mask & ~(1 << last)]
            between = self._between[last]
            row[last] = min((before[i] + between[i] for i in inside if i != last), default=0)

    def length(self, mask: int) -> int:
        return min(self._ending[mask])

    def chain(self, mask: int) -> list[int]:
        row = self._ending[mask]
        last = row.index(min(row))
        chain = [last]
        while mask != 1 << last:
            rest = mask & ~(1 << last)
            wanted, before = self._ending[mask][last], self._ending[rest]
            previous = next(
                i
                for i in range(len(self._members))
                if rest >> i & 1 and before[i] + self._between[last][i] == wanted
            )
            chain.append(previous)
            mask, last = rest, previous
        return [self._members[i] for i in chain]


def inserted(lengths: Lengths, chain: Sequence[int], who: int) -> tuple[int, int]:
    """(how much longer the chain gets, where) when who joins it at the best place."""
    if not chain:
        return 0, 0
    to = lengths[who]
    best = min((to[chain[0]], 0), (to[chain[-1]], len(chain)))
    for i in range(1, len(chain)):
        a, b = chain[i - 1], chain[i]
        longer = to[a] + to[b] - lengths[a][b]
        if longer < best[0]:
            best = longer, i
    return best


def _turn_a_stretch(lengths: Lengths, chain: list[int]) -> bool:
    """Turns a stretch round where that shortens the chain; False when there is none."""
    n = len(chain)
    for i in range(n - 1):
        for j in range(i + 1, n):
            first, last = chain[i], chain[j]
            saved = 0
            if i > 0:
                saved += lengths[chain[i - 1]][first] - lengths[chain[i - 1]][last]
            if j < n - 1:
                saved += lengths[last][chain[j + 1]] - lengths[first][chain[j + 1]]
            if saved > 0:
                chain[i : j + 1] = chain[i : j + 1][::-1]
                return True
    return False


def _move_a_stretch(lengths: Lengths, chain: list[int]) -> bool:
    """Moves a stretch of up to three where that shortens the chain; False when there is none."""
    before = chain_length(lengths, chain)
    for size in (1, 2, 3):
        for i in range(len(chain) - size + 1):
            stretch, rest = chain[i : i + size], chain[:i] + chain[i + size :]
            own = chain_length(lengths, rest) + chain_length(lengths, stretch)
            for j in range(len(rest) + 1):
                for way in (stretch, stretch[::-1]):
                    joints = own
                    if j > 0:
                        joints += lengths[rest[j - 1]][way[0]]
                    if j < len(rest):
                        joints += lengths[way[-1]][rest[j]]
                    if 0 < j < len(rest):
                        joints -= lengths[rest[j - 1]][rest[j]]
                    if joints < before:
                        chain[:] = rest[:j] + way + rest[j:]
                        return True
    return False
