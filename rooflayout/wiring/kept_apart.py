"""Kept panels in strings of their own, where whole strings take up just so many of them.

A panel that has been on a roof for years gives less current than a new one of its model, and holds the whole
string down to it: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.job import Point
from rooflayout.plan import Note, PlacedPanel, Wiring
from rooflayout.wiring.neighbours import split_into_strings

Trackers = Sequence[tuple[int, int]]  # panels in series, strings in parallel

MUCH_LESS_PCT = (
    5.0  # so much less current than a new one is told to be too little: common practice, no source
)


def strings_for_kept(trackers: Trackers, kept: int) -> tuple[int, ...] | None:
    """How many strings of each tracker take up exactly so many kept panels; None where none do.

    As few trackers as can be have both; of such ways the first trackers are filled first.
    """
    ways: dict[int, tuple[int, tuple[int, ...]]] = {
        0: (0, ())
    }  # panels taken up: trackers with both, strings
    for in_series, in_parallel in trackers:
        found: dict[int, tuple[int, tuple[int, ...]]] = {}
        for taken, (mixed, strings) in ways.items():
            for own in range(in_parallel, -1, -1):
                after = taken + own * in_series
                way = (mixed + (0 < own < in_parallel), (*strings, own))
                if after <= kept and (after not in found or way[0] < found[after][0]):
                    found[after] = way
        ways = found
    return ways[kept][1] if kept in ways else None


def split_apart(
    centres_mm: Sequence[Point],
    kept: Sequence[bool],
    trackers: Trackers,
    loss: Sequence[float] | None = None,
) -> list[list[list[int]]]:
    """neighbours.split_into_strings, with kept panels in strings of their own where that goes."""
    strings = strings_for_kept(trackers, sum(kept))
    if strings is None or not any(kept) or all(kept):
        return split_into_strings(centres_mm, trackers, loss)
    result: list[list[list[int]]] = [[] for _ in trackers]
    for stays in (True, False):
        which = [i for i, k in enumerate(kept) if k is stays]
        counts = [own if stays else every - own for own, (_, every) in zip(strings, trackers, strict=True)]
        slots = [k for k, count in enumerate(counts) if count]
        parts = split_into_strings(
            [centres_mm[i] for i in which],
            [(trackers[k][0], counts[k]) for k in slots],
            None if loss is None else [loss[i] for i in which],
        )
        for k, chains in zip(slots, parts, strict=True):
            result[k] += [[which[i] for i in chain] for chain in chains]
    return result


def kept_among_new(wiring: Wiring, panels: Sequence[PlacedPanel]) -> tuple[Note, ...]:
    """A caution on the strings in which kept panels are in series with new ones."""
    kept = {p.panel for p in panels if p.kept}
    told, old = [], []
    for string in wiring.strings:
        own = [name for name in string.panels if name in kept]
        if own and len(own) < len(string.panels):
            told.append(f"{string.string} ({', '.join(own)})")
            old += own
    if not told:
        return ()
    it = old[0] if len(old) == 1 else "each of them"
    text = (
        f"Kept panels in series with new ones: {', '.join(told)}. The weakest panel holds its whole string "
        f"down: before joining, measure {it} beside a new one in the same sun. Where Isc is more than "
        f"{MUCH_LESS_PCT:g} % lower, or Voc is that of fewer cells, leave it out (common practice)."
    )
    return (Note("caution", "kept-among-new", text),)
