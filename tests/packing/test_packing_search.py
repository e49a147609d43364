"""The search as a whole: it stops when told, its bound is always true, and it always ends with the same."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from plans_of_packed import breaches_of
from small_random_jobs import CONTROLLER, clock_of, packed, rectangle, square_on

from rooflayout.job import Job, KeptPanel, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.pack import Clock, Packed, pack
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Search
from rooflayout.wiring.options import StringOption, Supply, TrackerClass

SIZES = ((1210, 541, 110.0), (1485, 668, 170.0), (760, 352, 45.0), (1020, 580, 100.0), (655, 505, 55.0))
MODELS = tuple(PanelModel(f"M{i}", a, b, watts) for i, (a, b, watts) in enumerate(SIZES))
HATCH = square_on("hatch", "main", 1503, 611, 2007, 1108, clearance_mm=30, opens="+x", reach_mm=300)
VENT = Obstacle("vent", "main", "vent", centre_mm=(3210, 1500), diameter_mm=250, clearance_mm=40)
MEDIUM = Job("medium", (rectangle("main", 3610, 1790),), PanelRules(MODELS[:3]), (HATCH,), Spacing(15, 30))
LARGE = Job("large", (rectangle("main", 6010, 2290),), PanelRules(MODELS), (HATCH, VENT), Spacing(15, 30))
SMALL = Job("small", (rectangle("main", 1700, 1100),), PanelRules(MODELS[2:]), (), Spacing(15, 30))
SUPPLY = Supply(
    (TrackerClass(CONTROLLER, 2),),
    tuple(StringOption(m, 0, in_series, 2) for m in MODELS for in_series in (1, 2)),
)


def run(job: Job, clock: Clock, supply: Supply | None = None) -> tuple[Packed, float]:
    start = time.monotonic()
    return pack(job, supply, clock), time.monotonic() - start


@pytest.mark.parametrize("job", [SMALL, LARGE], ids=lambda j: j.title)
@pytest.mark.parametrize("supply", [None, SUPPLY], ids=["bare", "wired"])
def test_stopped_at_once_it_returns_at_once(job: Job, supply: Supply | None) -> None:
    clock = Clock(time.monotonic() + 60, lambda: True, lambda watts, bound: None)
    found, seconds = run(job, clock, supply)
    assert seconds < 6  # the candidates are made before anyone asks
    assert found.bound_watts >= found.watts
    if supply is None:
        assert breaches_of(job, found) == []


def test_stopped_while_it_works_it_returns_soon() -> None:
    asked: list[float] = []

    def stopped() -> bool:
        asked.append(time.monotonic())
        return len(asked) > 20

    start = time.monotonic()
    found = pack(LARGE, None, Clock(start + 60, stopped, lambda watts, bound: None))
    assert len(asked) > 20
    assert time.monotonic() - asked[20] < 4
    assert breaches_of(LARGE, found) == []


@pytest.mark.parametrize("job", [SMALL, MEDIUM, LARGE], ids=lambda j: j.title)
def test_with_next_to_no_time_the_bound_is_still_true(job: Job) -> None:
    found, seconds = run(job, clock_of(0.1))
    assert seconds < 6
    assert breaches_of(job, found) == []
    assert found.proven == (found.watts == found.bound_watts)
    longer = packed(job, seconds=3)
    assert found.bound_watts >= longer.watts
    assert longer.bound_watts >= longer.watts >= found.watts
    assert breaches_of(job, longer) == []


@pytest.mark.parametrize("supply", [None, SUPPLY], ids=["bare", "wired"])
@pytest.mark.parametrize("job", [SMALL, MEDIUM], ids=lambda j: j.title)
def test_the_same_places_every_time_and_for_any_number_of_workers(job: Job, supply: Supply | None) -> None:
    one, two = (run(job, clock_of(60, workers), supply)[0] for workers in (1, 2))
    assert one.proven
    assert one == two


def test_it_tells_how_far_it_is() -> None:
    told: list[tuple[int, int]] = []
    found = pack(
        MEDIUM,
        None,
        Clock(time.monotonic() + 60, lambda: False, lambda watts, bound: told.append((watts, bound))),
    )
    assert found.proven
    assert told
    best, bounds = [w for w, _ in told], [b for _, b in told]
    assert best == sorted(best)
    assert bounds == sorted(bounds, reverse=True)
    assert all(w <= found.watts * 10 <= b for w, b in told)
    assert told[-1] == (round(found.watts * 10), round(found.watts * 10))


def test_nothing_fits_is_proven_too() -> None:
    job = Job("tiny", (rectangle("main", 300, 300),), PanelRules(MODELS))
    found = packed(job)
    assert (found.panels, found.watts, found.bound_watts, found.proven) == ((), 0.0, 0.0, True)
    assert breaches_of(job, found) == []


def test_no_models_and_no_room_between_the_edges() -> None:
    for job in (replace(SMALL, panels=PanelRules(())), replace(SMALL, spacing=Spacing(0, 900))):
        found = packed(job)
        assert (found.panels, found.watts, found.bound_watts, found.proven) == ((), 0.0, 0.0, True)


def test_kept_panels_come_first_and_stay() -> None:
    old = PanelModel("old", 700, 400, 60.5)
    kept = (KeptPanel(old, "main", 12.5, 31.0, True),)
    job = replace(SMALL, kept=kept)
    found = packed(job)
    first = found.panels[0]
    assert first.kept
    assert (first.x_mm, first.y_mm, first.along_x_mm, first.along_y_mm, first.turned) == (
        12.5,
        31.0,
        400,
        700,
        True,
    )
    assert found.watts == sum(p.watts for p in found.panels)
    assert breaches_of(job, found) == []


def test_only_round_and_slanted_roofs_have_another_bound_for_all_positions() -> None:
    square = packed(SMALL)
    assert square.true_bound_watts == square.bound_watts == square.watts
    vent = Obstacle("vent", "main", "vent", centre_mm=(800, 500), diameter_mm=200)
    round_ = packed(replace(SMALL, obstacles=(vent,)))
    assert round_.true_bound_watts >= round_.bound_watts == round_.watts


def test_bounds_of_a_coarse_raster_are_neither_told_nor_kept() -> None:
    """What was known before holds for all places, what the raster's prices say for its own."""
    told: list[tuple[int, int]] = []
    clock = replace(clock_of(), tell=lambda watts, bound: told.append((watts, bound)))
    models = models_of(SMALL)
    rules = rules_of(SMALL, models, kinds_of(SMALL, models), None)
    search = Search((field_of(SMALL, SMALL.facets[0]),), rules, clock)
    search.incumbent.lower(2500)
    search._on_raster(5)
    search.incumbent.lower(900)
    search.incumbent.better(600, [(0, 30, 30)])
    assert told[-2:] == [(0, 2500), (600, 2500)]
    assert search.sound_bound() == 2500
