"""Windows from the bound down: looked at beforehand or not they end with the best; late layouts are taken."""

from __future__ import annotations

import time

import numpy as np
import pytest
from small_choices import case
from small_random_jobs import clock_of
from test_packing_early import ROOF
from watched_layouts import Watched

from rooflayout.packing import closing
from rooflayout.packing.clearance import field_of
from rooflayout.packing.closing import LAST, Closing, Windows
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Search

FREE = range(0, 24, 2)  # seeds without wiring
SEEDS = range(24)


def watched(seed: int) -> tuple[Watched, int]:
    """A small problem with prices; and its best watts (tenths), kept panels included."""
    problem, most = case(seed)
    found = Watched(problem)
    return found, most * problem[2].grain() + found.incumbent.kept


@pytest.mark.parametrize("before", ["nothing", "a look", "a dive", "both"])
def test_what_was_narrowed_before_changes_nothing_of_the_end(
    before: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(closing, "SMALL_WINDOW", 0)
    monkeypatch.setattr(closing, "SMALL_WIRED", 0)
    known = 0
    for seed in SEEDS:
        found, most = watched(seed)
        windows = Windows(found.asked)
        if before in ("a look", "both"):
            windows.look()
        known += windows._known is not None
        if before in ("a dive", "both"):
            windows.dive()
        windows.descend(10.0)
        assert (found.incumbent.watts, found.incumbent.settled()) == (most, True), seed
        found.check()
    assert (known > len(SEEDS) // 4) == (before in ("a look", "both"))


def test_a_window_that_was_looked_at_is_not_narrowed_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(closing, "SMALL_WINDOW", 0)
    lows: list[float] = []
    narrowed = closing.narrowed
    monkeypatch.setattr(closing, "narrowed", lambda *how: lows.append(how[2]) or narrowed(*how))
    for seed in FREE:
        found, _ = watched(seed)
        windows = Windows(found.asked)
        lows.clear()
        windows.look()
        windows.dive()
        windows.descend(10.0)
        assert len(set(lows)) == len(lows), seed


def test_a_late_layout_is_taken_once_when_the_first_window_has_been_looked_at() -> None:
    looked = 0
    for seed in FREE:
        found, most = watched(seed)
        taken: list[bool] = []
        ends: list[Closing] = []
        ends.append(Closing(found.asked, lambda t=taken, e=ends: t.append(e[0]._windows._known is not None)))
        for _ in range(3):
            ends[0].round()
        assert len(taken) == 1
        looked += taken[0]
        assert found.incumbent.watts == most
    assert looked > len(FREE) // 2


def test_a_late_layout_is_taken_where_there_is_no_time_for_a_round() -> None:
    models = models_of(ROOF)
    kinds = kinds_of(ROOF, models)
    fields = tuple(field_of(ROOF, facet) for facet in ROOF.facets)
    search = Search(fields, rules_of(ROOF, models, kinds, None), clock_of(60, 2))
    search.prepare(answers=False)
    one = (0, 30, 30)
    assert search.fine is not None
    search._late = lambda: search.incumbent.better(kinds[0].watts, (one,))
    search.incumbent.clock.deadline = time.monotonic() - 1.0
    found = search.settle()
    assert found is not None
    assert found.places == (one,)
    assert not found.proven


@pytest.mark.parametrize("seed", SEEDS)
def test_a_window_takes_all_that_is_left_if_that_is_little_more(seed: int) -> None:
    found, _ = watched(seed)
    asked, inc = found.asked, found.incumbent
    rest = asked.enough(inc.least())
    low, keep = closing._window(asked, int(np.ceil(len(rest) / LAST)))
    assert (low, keep.tolist()) == (inc.least(), rest.tolist())
    fewest = len(asked.enough(inc.bound))
    low, keep = closing._window(asked, 1)
    assert len(keep) <= max(1, int(fewest * closing.WIDER)) or low == inc.bound
    assert keep.tolist() == asked.enough(low).tolist()
