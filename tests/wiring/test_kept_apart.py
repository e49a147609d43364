"""Kept panels in strings of their own (issue 4), else a caution: common practice, no source."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from wired_roofs import DUCK, ELM, FIR, MAIN, a_job, a_roof, temperatures

from rooflayout.wiring.kept_apart import kept_among_new, split_apart, strings_for_kept
from rooflayout.wiring.notes import wiring_notes
from rooflayout.wiring.wire import wire


@pytest.mark.parametrize(
    ("trackers", "kept", "strings"),
    [
        ([(3, 2)], 3, (1,)),
        ([(3, 2)], 1, None),
        ([(3, 2)], 0, (0,)),
        ([(2, 2), (2, 1)], 2, (0, 1)),  # a whole tracker before a part of one
        ([(2, 1), (3, 1)], 3, (0, 1)),
        ([(2, 3), (3, 1)], 5, (1, 1)),
    ],
)
def test_whole_strings_that_take_up_the_kept(
    trackers: list[tuple[int, int]], kept: int, strings: tuple[int, ...] | None
) -> None:
    assert strings_for_kept(trackers, kept) == strings


def test_strings_against_every_way() -> None:
    """Beside all ways written out: one is found where there is one, with the fewest trackers of both."""
    sorts = [(n, p) for n in (1, 2, 3) for p in (1, 2)]
    for trackers in itertools.product(sorts, repeat=3):
        for kept in range(sum(n * p for n, p in trackers) + 1):
            ways = [
                way
                for way in itertools.product(*(range(p + 1) for _, p in trackers))
                if sum(own * n for own, (n, _) in zip(way, trackers, strict=True)) == kept
            ]
            mixed = [sum(0 < own < p for own, (_, p) in zip(way, trackers, strict=True)) for way in ways]
            found = strings_for_kept(trackers, kept)
            assert (found is None) == (not ways)
            if found is not None:
                assert mixed[ways.index(found)] == min(mixed)


def test_apart_although_a_mixed_string_would_be_shorter() -> None:
    """Kept ones at 0 and 10 m, new ones at 1 and 11 m: neighbours would mix them."""
    centres = [(0.0, 0.0), (1000.0, 0.0), (10_000.0, 0.0), (11_000.0, 0.0)]
    (strings,) = split_apart(centres, [True, False, True, False], [(2, 2)])
    assert sorted(sorted(s) for s in strings) == [[0, 2], [1, 3]]
    (mixed,) = split_apart(centres, [True, False, False, False], [(2, 2)])
    assert sorted(sorted(s) for s in mixed) == [[0, 1], [2, 3]]


def test_a_wiring_keeps_them_apart_where_it_can() -> None:
    """Six in a row, the second and the fifth kept, two in series: neighbours would mix both."""
    job, roof = a_roof(a_job(FIR), (DUCK, 6, MAIN, 2))
    places = [(roof[i].x_mm, roof[i].y_mm) for i in (0, 2, 3, 5, 1, 4)]
    roof = tuple(replace(p, x_mm=x, y_mm=y) for p, (x, y) in zip(roof, places, strict=True))
    stay = tuple(replace(k, x_mm=x, y_mm=y) for k, (x, y) in zip(job.kept, places[4:], strict=True))
    job = replace(job, kept=stay)
    panels, wiring = wire(job, temperatures(job), roof)
    kept = {p.panel for p in panels if p.kept}
    assert [len(s.panels) for s in wiring.strings] == [2, 2, 2]
    assert sorted(len(kept & set(s.panels)) for s in wiring.strings) == [0, 0, 2]
    assert kept_among_new(wiring, panels) == ()


def test_else_a_caution_names_them() -> None:
    job, roof = a_roof(a_job(ELM), (DUCK, 2, MAIN, 1))
    panels, wiring = wire(job, temperatures(job), roof)
    assert [len(s.panels) for s in wiring.strings] == [2]
    (note,) = [n for n in wiring_notes(job, wiring, panels) if n.code == "kept-among-new"]
    assert note.severity == "caution"
    assert note.text.startswith("Kept panels in series with new ones: S1 (K1). The weakest panel")
    assert "measure K1 beside a new one in the same sun" in note.text
