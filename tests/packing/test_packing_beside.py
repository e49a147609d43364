"""Bounds for every layout whatever, and what a few millimetres more would carry."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from random import Random
from threading import Event
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import unary_union
from small_random_jobs import clock_of, packed, rectangle, square_on
from test_packing_any_roof import roofs

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing import ahead, beside, stock
from rooflayout.packing import ceiling as ceiling_room
from rooflayout.packing.ceiling import ceiling
from rooflayout.packing.clearance import Field, RoundBlock, field_of
from rooflayout.packing.contacts import free_at
from rooflayout.packing.eased import eased, widened
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.teams import Found
from rooflayout.packing.unminded import Minded

SLOW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
ROOM = ((0.0, 0.0), (2000.0, 0.0), (2000.0, 1400.0), (0.0, 1400.0))
PLATE = PanelModel("Plate", 1000, 500, 100.0, turnable=False)


def prepared(job: Job) -> tuple[tuple[Field, ...], Rules]:
    models = models_of(job)
    rules = rules_of(job, models, kinds_of(job, models), None)
    return tuple(field_of(job, f) for f in job.facets), rules


def bound_w(job: Job) -> float:
    return ceiling(*prepared(job), time.monotonic() + 20) / 10


@SLOW
@given(roofs(slanted=True))
def test_no_layout_exceeds_the_ceiling(job: Job) -> None:
    assert bound_w(job) >= packed(job, seconds=3).watts - 1e-6


def test_out_of_time_the_ceiling_is_the_area(monkeypatch: pytest.MonkeyPatch) -> None:
    job = Job("hall", (rectangle("roof", 5000, 3000),), PanelRules((PLATE,)), (), Spacing(0, 0))
    monkeypatch.setattr(ceiling_room, "FEW_PANELS", 0)
    monkeypatch.setattr(ceiling_room, "WHOLE_PANELS", 0)
    late = ceiling(*prepared(job), time.monotonic() - 1) / 10
    assert late >= 3000 - 1e-6  # thirty fill the roof
    assert late <= 3000 * 1.2


def test_a_full_roof_meets_its_ceiling() -> None:
    job = Job("full", (rectangle("roof", 3000, 1500),), PanelRules((PLATE,)), (), Spacing(0, 0))
    assert bound_w(job) == pytest.approx(900, abs=0.01)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(roofs(slanted=True), st.integers(0, 2**32 - 1), st.sampled_from([1, 4, 16]))
def test_whatever_is_free_on_the_roof_is_free_on_the_eased_roof(job: Job, seed: int, finer: int) -> None:
    random = np.random.default_rng(seed)
    fields, rules = prepared(job)
    for kind in rules.kinds:
        field = fields[kind.facet]
        x = random.integers(math.floor(field.x_min), math.ceil(field.x_max) + 1, 300)
        y = random.integers(math.floor(field.y_min), math.ceil(field.y_max) + 1, 300)
        free = free_at(field, kind, x, y)
        assert not (free & ~free_at(eased(field, finer), kind, x, y)).any()
        assert not (free & ~free_at(widened(eased(field, finer)), kind, x, y)).any()


def test_the_eased_roof_has_lines_along_the_axes_only_and_most_of_what_stands_there() -> None:
    vent = Obstacle("vent", "roof", centre_mm=(900, 700), diameter_mm=400)
    nose = Facet("roof", ((0, 0), (2000, 0), (2000, 1100), (1700, 1400), (0, 1400)))
    job = Job("nose", (nose,), PanelRules((PLATE,)), (vent,))
    field = field_of(job, nose)
    easier = eased(field)
    assert field.slanted()
    assert not easier.slanted()
    real, rects = (unary_union([b.shape() for b in of.blocks]) for of in (field, easier))
    assert rects.area > 0.85 * real.area
    assert rects.difference(real).area < 1e-6 * real.area


def test_finer_rectangles_fill_more_and_never_all() -> None:
    vent = Obstacle("vent", "roof", centre_mm=(900, 700), diameter_mm=400)
    nose = Facet("roof", ((0, 0), (2000, 0), (2000, 1100), (1700, 1400), (0, 1400)))
    field = field_of(Job("nose", (nose,), PanelRules((PLATE,)), (vent,)), nose)
    areas = [unary_union([b.shape() for b in eased(field, n).blocks]).area for n in (1, 4, 16)]
    real = unary_union([b.shape() for b in field.blocks]).area
    assert areas[0] < areas[1] < areas[2] < real
    assert areas[2] > 0.985 * real


def test_a_bound_for_panels_that_stand_anywhere() -> None:
    """From 300.5 to 1300.5 mm two panels of 500 mm stand side by side, but not on whole millimetres."""
    roof = Facet("roof", ((300.5, 0.0), (1300.5, 0.0), (1300.5, 500.0), (300.5, 500.0)))
    found = packed(Job("half", (roof,), PanelRules((PanelModel("P", 500, 500, 100),)), (), Spacing(0, 0)))
    assert (found.watts, found.bound_watts, found.true_bound_watts) == (100, 100, 200)
    assert (
        packed(
            Job("whole", (rectangle("roof", 1000.5, 500.4),), PanelRules((PanelModel("P", 500, 500, 100),)))
        ).true_bound_watts
        == 200
    )


def test_a_slanted_nose_and_a_diamond_cost_no_proof_with_finer_rectangles() -> None:
    """One plate goes beside the diamond, and none between it and the nose: by hand."""
    diamond = ((1000.0, 100.0), (1150.0, 250.0), (1000.0, 400.0), (850.0, 250.0))
    kite = Obstacle("kite", "roof", outline_mm=diamond)
    nose = Facet("roof", ((0, 0), (1500, 0), (1500, 350), (1350, 500), (0, 500)))
    found = packed(Job("kite", (nose,), PanelRules((PanelModel("P", 840, 480, 100),)), (kite,)))
    assert found.watts == found.bound_watts == found.true_bound_watts == 100


def test_rectangles_in_a_circle_are_nearly_as_wide_and_as_high() -> None:
    """Panels that stand beside a vent or behind it come no nearer than half a millimetre."""
    vent = Obstacle("vent", "roof", centre_mm=(900, 700), diameter_mm=400)
    field = field_of(Job("vent", (Facet("roof", ROOM),), PanelRules((PLATE,)), (vent,)), Facet("roof", ROOM))
    (circle,) = [b.shape() for b in field.blocks if isinstance(b, RoundBlock)]
    inside = unary_union([b.shape() for b in eased(field).blocks if b.shape().intersects(circle)])
    for real, rect in zip(circle.bounds, inside.bounds, strict=True):
        assert abs(real - rect) <= 0.5


def test_a_round_vent_beside_the_panels_costs_no_proof() -> None:
    vent = Obstacle("vent", "roof", centre_mm=(1250, 250), diameter_mm=200)
    job = Job("vent", (rectangle("roof", 1500, 1000),), PanelRules((PLATE,)), (vent,), Spacing(0, 0))
    found = packed(job)
    assert found.watts == found.true_bound_watts == 200


def test_the_bound_for_all_positions_waits_for_nothing_once_the_best_is_proven(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Smaller panels and the choice among equals each take as long as it takes the bound to begin."""
    begun, came_first = Event(), []
    bound_by_prices = beside._bound_by_prices

    def begins(*arguments: Any) -> int:
        begun.set()
        return bound_by_prices(*arguments)

    def waits(*_: Any) -> tuple[Place, ...]:
        came_first.append(begun.wait(5))
        return ()

    def chooses(*_: Any) -> None:
        came_first.append(begun.wait(5))

    monkeypatch.setattr(beside, "_bound_by_prices", begins)
    monkeypatch.setattr(ahead, "small_layout", waits)
    monkeypatch.setattr(Search, "choose", chooses)
    vent = Obstacle("vent", "roof", centre_mm=(1250, 250), diameter_mm=200)
    packed(Job("vent", (rectangle("roof", 1500, 1000),), PanelRules((PLATE,)), (vent,), Spacing(0, 0)))
    assert len(came_first) == 2
    assert all(came_first)


# near misses


def test_what_is_missing_across_is_told() -> None:
    job = Job("short", (rectangle("roof", 1020, 988),), PanelRules((PLATE,)), (), Spacing(0, 0))
    (miss,) = packed(job).near_misses
    assert (miss.facet, miss.axis, miss.short_mm, miss.watts) == ("roof", "y", 12, 100.0)
    assert (miss.between, miss.panels) == (("the edge", "the edge"), (("Plate", 2),))


def test_what_is_missing_beside_an_obstacle_names_it() -> None:
    hatch = square_on("hatch", "roof", 1993, 100, 2300, 400)
    job = Job("hatch", (rectangle("roof", 2310, 510),), PanelRules((PLATE,)), (hatch,), Spacing(0, 0))
    (miss,) = packed(job).near_misses
    assert (miss.axis, miss.short_mm, miss.between) == ("x", 7, ("the edge", "hatch"))


@pytest.mark.parametrize(("depth", "told"), [(940, 1), (939, 0), (1000, 0)])
def test_far_from_enough_and_just_enough_are_no_near_misses(depth: int, told: int) -> None:
    job = Job("short", (rectangle("roof", 1020, depth),), PanelRules((PLATE,)), (), Spacing(0, 0))
    assert len(packed(job).near_misses) == told


@pytest.mark.parametrize("short", [1, 10, 20])
def test_pitches_in_whole_centimetres_are_missed_as_well(short: int) -> None:
    """2 x 1140 mm, 20 mm between them and 2 x 20 mm at the edges take 2340 mm."""
    panel = PanelModel("P", 1140, 500, 165, turnable=False)
    job = Job("t", (rectangle("m", 2340 - short, 540),), PanelRules((panel,)), (), Spacing(20, 20))
    (miss,) = packed(job).near_misses
    assert (miss.axis, miss.short_mm, miss.watts) == ("x", short, 165)


def test_what_the_rules_forbid_is_no_near_miss() -> None:
    rules = PanelRules((replace(PLATE, stock=1),))
    job = Job("short", (rectangle("roof", 1020, 988),), rules, (), Spacing(0, 0))
    assert packed(job).near_misses == ()


@pytest.mark.parametrize("seed", range(18))
def test_with_the_missing_millimetres_the_watts_are_there(seed: int) -> None:
    """Asked again of a roof that is longer by what is missing, where the far edge is what is too near."""
    random = Random(seed)
    models = tuple(
        PanelModel(
            f"M{i}", random.randint(500, 1300), random.randint(300, 700), float(random.randint(60, 250))
        )
        for i in range(3)
    )
    hatch = square_on("hatch", "main", 700, 300, 1100, 700)
    roof = rectangle("main", random.randint(1800, 3200), random.randint(900, 1700))
    job = Job("longer", (roof,), PanelRules(models), (hatch,), Spacing(10, 20))
    found = packed(job)
    assert found.proven
    for miss in found.near_misses:
        if miss.between[1] != "the edge":
            continue
        _, (w, _), (_, h), _ = roof.outline_mm
        longer = (w + miss.short_mm, h) if miss.axis == "x" else (w, h + miss.short_mm)
        more = packed(replace(job, facets=(rectangle("main", *longer),)))
        assert more.watts >= found.watts + miss.watts


def test_an_octagon_with_thousands_of_places_costs_no_proof() -> None:
    """One round of rectangles leaves 1323 W; on a raster of 10 mm CP-SAT with every position finds 1056."""
    corners = ((205, 0), (1564, 0), (1730, 323), (1730, 893), (1525, 1340), (166, 1340), (0, 1017), (0, 447))
    models = (PanelModel("M0", 445, 335, 57), PanelModel("M1", 680, 305, 132))
    job = Job("octagon", (Facet("roof", corners),), PanelRules(models), (), Spacing(10, 15))
    fields, rules = prepared(job)
    ease = beside._Ease(fields, anywhere=False)
    assert beside._bound_by_prices(ease, rules, clock_of(120.0), None, 10560) == 10560


def four_beside_a_vent() -> tuple[tuple[Field, ...], Rules]:
    """Four plates of 100 W fit beside the vent; by area five would."""
    vent = Obstacle("vent", "roof", centre_mm=(1000, 700), diameter_mm=300)
    return prepared(
        Job("vent", (rectangle("roof", 2000, 1400),), PanelRules((PLATE,)), (vent,), Spacing(0, 0))
    )


def test_where_the_eased_roof_has_too_many_places_a_raster_bounds_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stock, "MOST_CANDIDATES", 1)
    fields, rules = four_beside_a_vent()
    assert beside.area_bound(fields, rules) == 5000
    assert beside._bound_by_prices(beside._Ease(fields, anywhere=False), rules, clock_of(), None, 0) == 4000


@pytest.mark.parametrize(("reached", "bound"), [(0, 4000), (4500, 4500), (5000, 5000)])
def test_where_the_eased_teams_leave_more_a_raster_does_too(
    reached: int, bound: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    fields, rules = four_beside_a_vent()
    monkeypatch.setattr(beside, "bound_by_teams", lambda *_: 5000)
    ease = beside._Ease(fields, anywhere=False)
    assert beside._bound_by_teams(ease, rules, clock_of(), lambda: reached) == bound


@pytest.mark.parametrize(("late_s", "bound"), [(0.0, 4000), (100.0, 5000)])
def test_beside_a_search_without_an_end_a_raster_is_asked_once_it_takes_long(
    late_s: float, bound: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    fields, rules = four_beside_a_vent()

    def without_end(fields: tuple[Field, ...], rules: Rules, clock: Clock, *_: Any) -> Minded:
        while not clock.over():
            time.sleep(0.05)
        return Minded(Found(Packing(3000, 5000, ()), rules, None, ()), None)

    monkeypatch.setattr(beside, "search_minding", without_end)
    monkeypatch.setattr(beside, "rough_bound", beside.area_bound)
    monkeypatch.setattr(beside, "LATE_S", late_s)
    found = beside.search_all(fields, rules, clock_of(3.0))
    assert (found.packing.watts, found.packing.bound, found.bound) == (3000, bound, bound)
