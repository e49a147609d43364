"""Windows from the bound down: looked at beforehand or not they end with the best; late layouts are taken."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from small_choices import case
from small_random_jobs import clock_of, rectangle
from test_packing_early import ROOF
from watched_layouts import Watched

from rooflayout.packing import closing, early
from rooflayout.packing import search as search_module
from rooflayout.packing.clearance import field_of
from rooflayout.packing.closing import LAST, Closing, Windows
from rooflayout.packing.incumbent import places_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Search
from rooflayout.packing.tree import Tree

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
    """Windows of few candidates, several of them one below the other."""
    monkeypatch.setattr(closing, "SMALL_WINDOW", 0)
    monkeypatch.setattr(closing, "SMALL_WIRED", 0)
    monkeypatch.setattr(closing, "FIRST_WINDOW", 4)
    monkeypatch.setattr(closing, "NEXT_WINDOW", 6)
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


def test_a_lower_window_is_narrowed_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is known of a window says nothing of a lower one, and is forgotten once a tree went on from it."""
    monkeypatch.setattr(closing, "SMALL_WINDOW", 0)
    seen = 0
    for seed in FREE:
        found, most = watched(seed)
        windows, grain = Windows(found.asked), found.incumbent.grain
        every = np.arange(len(found.asked.candidates))
        above = windows._narrowed(most + grain, every)
        below = windows._narrowed(most - 5 * grain, every)
        assert above is not None
        assert below is not None
        seen += len(below[0].keep) > len(above[0].keep)
        assert windows._narrowed(most, every) is below
        windows._decided(most - 5 * grain, every, 0.0)  # the tree has no nodes to spend
        assert windows._known is None
    assert seen > len(FREE) // 2


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


@pytest.mark.parametrize("effort", [0.0, 0.002, 0.12])
def test_a_tree_that_came_to_no_end_is_gone_on_with(effort: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """With no node, one, and so many as settle these roofs at once; the end is the same."""
    monkeypatch.setattr(closing, "SMALL_WINDOW", 0)
    monkeypatch.setattr(closing, "MIDDLING_WINDOW", 0)
    made: list[Tree] = []
    monkeypatch.setattr(closing, "Tree", lambda *how: made.append(Tree(*how)) or made[-1])
    left = 0
    for seed in FREE:
        found, most = watched(seed)
        windows = Windows(found.asked)
        made.clear()
        windows.descend(effort)
        unfinished, nodes = windows._tree, [tree.nodes for tree in made]
        left += unfinished is not None
        windows.descend(10.0)
        assert (found.incumbent.watts, found.incumbent.settled()) == (most, True), seed
        assert windows._tree is None
        assert unfinished is None or made[len(nodes) - 1] is unfinished[0]
        assert unfinished is None or unfinished[0].nodes > nodes[-1]
        found.check()
    assert (left > len(FREE) // 2) == (effort < 0.1), left


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


@pytest.mark.parametrize("kept", [0, 1])
def test_a_roof_without_room_for_a_panel_more(kept: int) -> None:
    """What stays counts, although no window holds anything new."""
    job = replace(ROOF, facets=(rectangle("main", 700, 400),), obstacles=())
    models = models_of(job)
    rules = rules_of(job, models, kinds_of(job, models), None)
    groups = tuple(
        replace(g, kept=kept, kept_watts=1000 * kept) if n == 0 else g for n, g in enumerate(rules.groups)
    )
    search = Search((field_of(job, job.facets[0]),), replace(rules, groups=groups), clock_of(20, 2))
    search.prepare(late=True)
    found = search.settle()
    assert found is not None
    assert (found.watts, found.bound, found.places) == (1000 * kept, 1000 * kept, ())


def test_a_dive_however_slow_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last one is taken beside the first window: by then with one worker, later with two."""
    monkeypatch.setattr(search_module, "SMALL", 0)
    dived = early.dived
    found = []
    for workers, late_s in ((1, 0.0), (2, 0.0), (2, 0.2)):
        monkeypatch.setattr(early, "dived", lambda *how, s=late_s: time.sleep(s) or dived(*how))
        models = models_of(ROOF)
        fields = tuple(field_of(ROOF, facet) for facet in ROOF.facets)
        rules = rules_of(ROOF, models, kinds_of(ROOF, models), None)
        found.append(Search(fields, rules, clock_of(60, workers)).run())
    assert found[0] == found[1] == found[2]
    assert found[0].proven


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


def test_what_is_left_is_not_taken_where_it_is_wider_than_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else nothing at all would be decided: bound_from asks for no wider ones."""
    seen = 0
    for seed in FREE:
        found, _ = watched(seed)
        asked, inc = found.asked, found.incumbent
        rest = len(asked.enough(inc.least()))
        if len(asked.enough(inc.bound)) < rest - 1 and rest - 1 >= rest / LAST:
            monkeypatch.setattr(closing, "FIRST_WINDOW", rest - 1)
            before = inc.bound
            Windows(asked).descend(10.0, rest - 1)
            assert inc.bound < before or inc.settled()
            seen += 1
    assert seen >= 3, seen


@pytest.mark.parametrize(("near", "quickly"), [(1.0, True), (-1.0, False)])
def test_a_quick_try_goes_first_where_the_layout_is_near(
    near: float, quickly: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(closing, "QUICKLY_NEAR", near)
    order: list[str] = []
    for name in ("descend_quickly", "descend", "dive"):
        done = getattr(Windows, name)
        monkeypatch.setattr(Windows, name, lambda own, *how, n=name, d=done: order.append(n) or d(own, *how))
    seen = 0
    for seed in FREE:
        found, most = watched(seed)
        kind = int(found.asked.candidates.kind[0])
        found.incumbent.better(
            found.rules.kinds[kind].watts, places_of(found.asked.candidates, np.array([0]))
        )
        order.clear()
        rounds = Closing(found.asked)
        rounds.round()
        seen += bool(order)
        assert order[:1] == ["descend_quickly"] or not quickly or not order
        assert "descend_quickly" not in order or quickly
        assert found.incumbent.watts == most
        assert rounds._windows._tree is None  # nothing is kept of what is settled
    assert seen > len(FREE) // 2


def test_a_quick_try_has_so_many_nodes_for_all_windows_together(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, value in (("SMALL_WINDOW", 0), ("MIDDLING_WINDOW", 0), ("FIRST_WINDOW", 4), ("NEXT_WINDOW", 6)):
        monkeypatch.setattr(closing, name, value)
    made: list[Tree] = []
    monkeypatch.setattr(closing, "Tree", lambda *how: made.append(Tree(*how)) or made[-1])
    several = left = 0
    for nodes in (1, 2, 4):
        monkeypatch.setattr(closing, "QUICKLY", nodes)
        for seed in FREE:
            found, most = watched(seed)
            windows = Windows(found.asked)
            made.clear()
            windows.descend_quickly()
            assert sum(tree.nodes for tree in made) <= nodes
            several += len(made) > 1
            left += not found.incumbent.settled()
            windows.descend(10.0)
            assert (found.incumbent.watts, found.incumbent.settled()) == (most, True), seed
    assert several
    assert left
