"""Windows pushed to one corner: never worse, always a layout under every rule, and better in the end."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from plans_of_packed import breaches_of
from small_random_jobs import clock_of, rectangle
from test_packing_large import BARN, BIG, LITTLE, VENT, as_packed

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing import sweeps as sweeps_room
from rooflayout.packing.bands import row_layouts
from rooflayout.packing.clearance import field_of
from rooflayout.packing.incumbent import Incumbent, Place
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.sweeps import CORNERS, sweep

ONE = replace(BARN, panels=PanelRules((BIG,)))


def begun(job: Job, layout: list[Place] | None = None) -> tuple[Rules, Incumbent]:
    models = models_of(job)
    kinds = kinds_of(job, models)
    rules = rules_of(job, models, kinds, None)
    if layout is None:
        layout, *_ = row_layouts([field_of(job, f) for f in job.facets], kinds)
    inc = Incumbent(clock_of(60), rules.grain(), 0, 0, 1 << 40)
    inc.better(sum(kinds[k].watts for k, _, _ in layout), layout)
    return rules, inc


def swept(job: Job, seconds: float, layout: list[Place] | None = None) -> tuple[Rules, Incumbent, int]:
    """Rules, what is left after so many seconds, and watts before."""
    rules, inc = begun(job, layout)
    before = inc.watts
    sweep([field_of(job, f) for f in job.facets], rules, inc, time.monotonic() + seconds)
    return rules, inc, before


@pytest.mark.parametrize("job", [BARN, ONE, replace(ONE, obstacles=(*BARN.obstacles, VENT))])
def test_it_gains_and_leaves_a_layout(job: Job) -> None:
    rules, inc, before = swept(job, 2)
    assert inc.watts > before
    assert inc.places is not None
    assert inc.watts == sum(rules.kinds[k].watts for k, _, _ in inc.places)
    assert breaches_of(job, as_packed(job, list(inc.places))) == []


def test_stock_and_models_are_kept() -> None:
    """The layout it begins with has eleven of one model; pushed about, it never has more."""
    job = replace(BARN, panels=PanelRules((replace(BIG, stock=11), replace(LITTLE, stock=3))))
    models = models_of(job)
    kinds = kinds_of(job, models)
    one = next(i for i, k in enumerate(kinds) if k.model == 0)
    row = [(one, 50, 50), (one, 50, 7000), (one, 15000, 7000)]
    rules, inc, before = swept(job, 3, row)
    assert inc.places is not None
    assert inc.watts >= before
    for cap in rules.caps:
        assert sum(cap.per_kind[k] for k, _, _ in inc.places) <= cap.limit
    assert breaches_of(job, as_packed(job, list(inc.places))) == []


def test_slivers_gather_until_a_panel_goes_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """A row with room for 18 panels has 17, each with a 17th of a panel beside it: no window of 16 holds
    17, but pushed aside one after the other they make room for the eighteenth."""
    monkeypatch.setattr(sweeps_room, "ONE_MODEL", ((9, 16),))
    panel = PanelModel("A", 520, 400, 100.0, turnable=False)
    job = Job("row", (rectangle("roof", 18 * 520, 400),), PanelRules((panel,)))
    _, inc, _ = swept(job, 30, [(0, n * 550 + 1, 0) for n in range(17)])
    assert inc.watts == 18 * 1000


def test_the_same_work_gives_the_same_layout() -> None:
    """Ended by what it has done, not by the clock: the row is full, so it stops by itself."""
    panel = PanelModel("A", 520, 400, 100.0, turnable=False)
    job = Job("row", (rectangle("roof", 10 * 520 + 50, 400),), PanelRules((panel,)))
    layouts = [swept(job, 60, [(0, n * 525, 0) for n in range(10)])[1].places for _ in range(2)]
    assert layouts[0] == layouts[1]
    assert len(set(CORNERS)) == 4


def test_rounds_end_after_so_many_or_so_many_in_vain(monkeypatch: pytest.MonkeyPatch) -> None:
    rules, inc = begun(ONE)
    corners: list[object] = []
    monkeypatch.setattr(sweeps_room, "_away_from", lambda corner, *asked: corners.append(corner) or [])
    sweeps_room._in_rounds([], rules, inc, [(9,), (16, 25)], 3, lambda: False)
    assert corners == [*CORNERS, *CORNERS, *CORNERS, *CORNERS]  # 9; 16 and 25; 9
    corners.clear()
    sweeps_room._in_rounds([], rules, inc, [(9,), (16, 25)], 3, lambda: False, most=1)
    assert corners == [*CORNERS]


def test_layouts_from_the_relaxation_are_taken_where_they_are_better(monkeypatch: pytest.MonkeyPatch) -> None:
    rules, inc = begun(ONE)
    full, fewer = inc.places or (), (inc.places or ())[:-9]
    watts = inc.watts
    monkeypatch.setattr(sweeps_room, "plunges", lambda *asked: iter([fewer, full, fewer]))
    monkeypatch.setattr(sweeps_room, "_away_from", lambda *asked: [])
    inc.places, inc.watts = None, 0
    inc.better(watts - 3 * rules.kinds[0].watts, full[:-3])
    sweep([field_of(ONE, f) for f in ONE.facets], rules, inc, time.monotonic() + 60)
    assert (inc.watts, inc.places) == (watts, full)
