"""Which panel joins which string, so that the panels of a string are neighbours."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import combinations, pairwise, product

from rooflayout.job import Point
from rooflayout.wiring.chains import Lengths, lengths_between, shortened, split_exactly
from rooflayout.wiring.exchange import Exchange
from rooflayout.wiring.shaded import dark_strings

EXACT_PANELS = 12  # up to so many the shortest chains are proven
STRIPS = (0.5, 1.0, 2.0)  # widths of the strips that a first order winds through, in nearest distances
MOST_STARTS = 3  # of these orders, the best ones, are bettered by exchanges
MOST_CUTS = 50_000  # states of cutting an order up at the best places; above it is cut as it comes


def split_into_strings(
    centres_mm: Sequence[Point],
    trackers: Sequence[tuple[int, int]],
    loss: Sequence[float] | None = None,
) -> list[list[list[int]]]:
    """Panels of one group in the strings of their trackers: for each tracker its strings, for each
    string its panels (numbers of centres) in the order of connection.

    trackers are (in series, in parallel) and take up all the panels. The chains that link the panels
    of a string, centre to centre, are as short as can be in total: proven for up to EXACT_PANELS, by
    exchanges above. Strings of one tracker lie near one another as far as that leaves it open.
    loss: what shade takes of each panel's year, 0 to 1; then strings share shade (shaded.py), whatever cable
    that takes. Raises ValueError when the trackers do not take exactly the panels.
    """
    sizes = [in_series for in_series, in_parallel in trackers for _ in range(in_parallel)]
    if sum(sizes) != len(centres_mm):
        raise ValueError(f"{len(centres_mm)} panels do not make strings of {sizes}")
    strings = _strings(centres_mm, sizes)
    if loss is not None and any(loss):
        strings = _sharing_shade(centres_mm, strings, loss)
    result: list[list[list[int]]] = [[] for _ in trackers]
    for size in sorted(set(sizes)):
        alike = sorted((s for s in strings if len(s) == size), key=min)
        which = [i for i, tracker in enumerate(trackers) if tracker[0] == size]
        middles = [_middle(centres_mm, s) for s in alike]
        together = _gather(middles, [trackers[i][1] for i in which])
        for i, members in zip(which, together, strict=True):
            result[i] = [alike[m] for m in members]
    return result


def _sharing_shade(
    centres_mm: Sequence[Point], strings: list[list[int]], loss: Sequence[float]
) -> list[list[int]]:
    """Strings of the same sizes in which shaded panels come together, each as short as can be."""
    dark = dark_strings(strings, loss, centres_mm)
    if not dark:
        return strings
    taken = {i for string in dark for i in string}
    rest = [i for i in range(len(centres_mm)) if i not in taken]
    sizes = [len(s) for s in strings]
    for string in dark:
        sizes.remove(len(string))
    clear = _strings([centres_mm[i] for i in rest], sizes) if sizes else []
    lengths = lengths_between(centres_mm)
    found = [shortened(lengths, string) for string in dark]
    return found + [[rest[k] for k in string] for string in clear]


def leave_out(centres_mm: Sequence[Point], may_leave: Sequence[int], count: int) -> list[int]:
    """So many of the panels that may be left out: again and again the one farthest from all others."""
    left = list(range(len(centres_mm)))
    for _ in range(count):
        alone = {
            i: min((math.dist(centres_mm[i], centres_mm[j]) for j in left if j != i), default=0.0)
            for i in may_leave
            if i in left
        }
        left.remove(max(alone, key=lambda i: (alone[i], i)))
    return [i for i in range(len(centres_mm)) if i not in left]


def _strings(centres_mm: Sequence[Point], sizes: list[int]) -> list[list[int]]:
    """The chains, in any order."""
    if not sizes:
        return []
    lengths = lengths_between(centres_mm)
    if len(centres_mm) <= EXACT_PANELS:
        return split_exactly(lengths, range(len(centres_mm)), sizes)
    cuts = [_cut(lengths, order, sizes) for order in _orders(centres_mm, lengths)]
    starts = [Exchange(lengths, strings) for strings in cuts]
    starts.sort(key=Exchange.total)
    for start in starts[:MOST_STARTS]:
        start.settle()
    return min(starts, key=Exchange.total).strings


def _orders(centres_mm: Sequence[Point], lengths: Lengths) -> list[list[int]]:
    """Orders that wind to and fro through strips along x and along y."""
    nearest = sorted(min(n for j, n in enumerate(row) if j != i) for i, row in enumerate(lengths))
    typical_mm = max(1.0, nearest[len(nearest) // 2] / 10)
    found: list[list[int]] = []
    for across in (1, 0):
        for share in STRIPS:
            order: list[int] = []
            for number, strip in enumerate(_strips(centres_mm, across, share * typical_mm)):
                strip.sort(key=lambda i: (centres_mm[i][1 - across], i), reverse=number % 2 == 1)
                order += strip
            if order not in found:
                found.append(order)
    return found


def _strips(centres_mm: Sequence[Point], across: int, width_mm: float) -> list[list[int]]:
    """Panels in strips, the first with the highest values of the coordinate across them."""
    strips: list[list[int]] = []
    start = -math.inf
    for i in sorted(range(len(centres_mm)), key=lambda i: (-centres_mm[i][across], i)):
        if not strips or start - centres_mm[i][across] > width_mm:
            strips.append([])
            start = centres_mm[i][across]
        strips[-1].append(i)
    return strips


def _cut(lengths: Lengths, order: list[int], sizes: list[int]) -> list[list[int]]:
    """The order cut into chains of the given sizes where that saves most."""
    kinds = sorted(Counter(sizes).items(), reverse=True)
    if math.prod(times + 1 for _, times in kinds) > MOST_CUTS:
        return _cut_as_it_comes(order, sorted(sizes, reverse=True))
    gaps = [0, *(lengths[a][b] for a, b in pairwise(order)), 0]
    saved: dict[tuple[int, ...], tuple[int, int]] = {}  # strings of each size so far: tenths saved, last size
    for state in product(*(range(times + 1) for _, times in kinds)):
        end = sum(n * size for n, (size, _) in zip(state, kinds, strict=True))
        before = [
            (saved[_without(state, k)][0] + gaps[end], size)
            for k, (size, _) in enumerate(kinds)
            if state[k] > 0
        ]
        saved[state] = max(before, default=(0, 0))
    state, backwards = tuple(times for _, times in kinds), []
    while any(state):
        backwards.append(saved[state][1])
        state = _without(state, [size for size, _ in kinds].index(backwards[-1]))
    return _cut_as_it_comes(order, backwards[::-1])


def _without(state: tuple[int, ...], k: int) -> tuple[int, ...]:
    return tuple(n - (i == k) for i, n in enumerate(state))


def _cut_as_it_comes(order: list[int], sizes: list[int]) -> list[list[int]]:
    strings, start = [], 0
    for size in sizes:
        strings.append(order[start : start + size])
        start += size
    return strings


def _gather(middles_mm: list[Point], sizes: list[int]) -> list[list[int]]:
    """Strings (numbers of middles) in parties of the given sizes, each near one another."""
    left = list(range(len(middles_mm)))
    parties: list[list[int]] = []
    for size in sizes:
        first = left[0]
        party = sorted(left, key=lambda i: (math.dist(middles_mm[first], middles_mm[i]), i))[:size]
        left = [i for i in left if i not in party]
        parties.append(party)
    while _swap_members(middles_mm, parties):
        pass
    return [sorted(party) for party in parties]


def _swap_members(middles_mm: list[Point], parties: list[list[int]]) -> bool:
    """True when a swap between two parties brought their members nearer to one another."""
    for one, two in combinations(parties, 2):
        if len(one) == len(two) == 1:
            continue
        now = _spread(middles_mm, one) + _spread(middles_mm, two)
        for i, j in product(range(len(one)), range(len(two))):
            a, b = list(one), list(two)
            a[i], b[j] = two[j], one[i]
            if _spread(middles_mm, a) + _spread(middles_mm, b) < now - 1e-6:
                one[:], two[:] = a, b
                return True
    return False


def _spread(middles_mm: list[Point], party: list[int]) -> float:
    return sum(math.dist(middles_mm[a], middles_mm[b]) for a, b in combinations(party, 2))


def _middle(centres_mm: Sequence[Point], string: list[int]) -> Point:
    return (
        sum(centres_mm[i][0] for i in string) / len(string),
        sum(centres_mm[i][1] for i in string) / len(string),
    )
