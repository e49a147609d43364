"""Bounds from lattices: each step of the proof by itself, the relaxation by scipy, known optima."""

from __future__ import annotations

import math
import time
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.sparse import csr_matrix
from small_random_jobs import packed, random_job, rectangle, square_on
from test_packing_any_roof import roofs
from test_packing_beside import prepared
from test_packing_published import EVERY, job_of

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import ceiling as ceiling_room
from rooflayout.packing import lattice as lattice_room
from rooflayout.packing.ceiling import ceiling
from rooflayout.packing.contacts import free_at
from rooflayout.packing.descent import descend, moved, start_at
from rooflayout.packing.lattice import Axis, Lattice
from rooflayout.packing.rasters import axes_for

SLOW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
PLATE, LITTLE = PanelModel("Plate", 1000, 600, 120.0), PanelModel("Little", 700, 450, 61.0)
VENT = square_on("vent", "roof", 1300, 700, 1700, 1100, clearance_mm=40)
ROOF = Job("roof", (rectangle("roof", 4030, 2570),), PanelRules((PLATE, LITTLE)), (VENT,), Spacing(20, 30))
PALLETS_AND_BINS = ("plp_14_10_3_2", "plp_30_22_7_4", "plp_57_44_12_5", "plp_74_46_7_5", "cgcut1", "gcut2")
PALLETS_AND_BINS += ("gcut10", "ngcut5_rot", "hopper_C1_1", "afsharian_75_C12M5R10N1_D1")
RASTERS = st.fractions(min_value=60, max_value=400, max_denominator=7)


def lattice_of(job: Job, raster_x: float = 150.0, raster_y: float = 1000 / 7) -> Lattice:
    fields, rules = prepared(job)
    return Lattice(fields[0], rules.kinds, Axis(raster_x, 40.0), Axis(raster_y))


def on_lattices(job: Job, monkeypatch: pytest.MonkeyPatch, seconds: float = 20.0, **more: Any) -> float:
    """Watts of the ceiling where only lattices are asked."""
    monkeypatch.setattr(ceiling_room, "FEW_PANELS", 0)
    monkeypatch.setattr(ceiling_room, "WHOLE_PANELS", 0)
    monkeypatch.setattr(ceiling_room, "cells_in", lambda left_s: 0)  # no mesh
    return ceiling(*prepared(job), time.monotonic() + seconds, **more) / 10


# the proof, step by step


@given(
    RASTERS, st.integers(0, 10**7), st.integers(60_000, 3_000_000), st.integers(0, 5000), st.integers(0, 9)
)
def test_panels_that_keep_apart_take_different_points(
    raster: Any, at_um: int, pitch_um: int, gap_um: int, tenths: int
) -> None:
    axis = Axis(float(raster), float(raster) * tenths / 10)
    first = axis.last(at_um / 1000)
    second = axis.last((at_um + pitch_um + gap_um) / 1000)
    assert second >= first + axis.points_of(pitch_um / 1000)


def test_a_first_line_a_whole_raster_away_is_one_at_the_edge() -> None:
    """55 mm are 187 rasters of 5 / 17 mm, which floating point leaves 3e-15 mm short."""
    raster = 5 / 17
    assert 0.99 * raster < 55 % raster < raster
    assert Axis.with_line_at(raster, 55).last(0.0) == 0
    assert Axis.with_line_at(raster, 55).last(55.0) == 187
    with pytest.raises(ValueError, match="first line"):
        Axis(raster, 55 % raster)


@SLOW
@given(roofs(slanted=True), RASTERS, st.integers(0, 2**32 - 1))
def test_what_is_free_on_the_roof_is_open_on_the_lattice(job: Job, raster: Any, seed: int) -> None:
    random = np.random.default_rng(seed)
    fields, rules = prepared(job)
    for number, field in enumerate(fields):
        kinds = [k for k in rules.kinds if k.facet == number]
        narrowest = min(min(k.pitch_x_mm, k.pitch_y_mm) for k in kinds)
        axis_x = Axis(min(float(raster), narrowest), 0.0)
        axis_y = Axis(min(float(raster), narrowest), min(float(raster), narrowest) / 3)
        for kind in kinds:
            lattice = Lattice(field, [kind], axis_x, axis_y)
            x = random.integers(math.ceil(field.x_min), math.ceil(field.x_max) + 1, 200)
            y = random.integers(math.ceil(field.y_min), math.ceil(field.y_max) + 1, 200)
            for p, q in zip(x[free := free_at(field, kind, x, y)].tolist(), y[free].tolist(), strict=True):
                assert lattice.open[0][axis_x.last(p - field.x_min), axis_y.last(q - field.y_min)]


@pytest.mark.parametrize("few", [0, 9])
def test_worths_and_takings_are_sums_over_the_points_of_a_place(
    few: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lattice_room, "FEW_KINDS", few)
    lattice, random = lattice_of(ROOF), np.random.default_rng(1)
    prices = random.random(lattice.shape)
    used = [random.random(o.shape) for o in lattice.open]
    worths, taken = lattice.worths(prices), np.zeros(lattice.shape)
    for worth, use, (a, b) in zip(worths, used, lattice.points, strict=True):
        for i, j in np.ndindex(worth.shape):
            assert worth[i, j] == pytest.approx(prices[i : i + a, j : j + b].sum())
            taken[i : i + a, j : j + b] += use[i, j]
    assert lattice.taken(used) == pytest.approx(taken)


@pytest.mark.parametrize("seed", range(8))
def test_no_panel_beats_prices_put_right(seed: int) -> None:
    lattice = lattice_of(ROOF)
    wild = np.random.default_rng(seed).random(lattice.shape) ** 3 * 10
    right = lattice.put_right(wild)
    for worth, open_, watts in zip(lattice.worths(right), lattice.open, lattice.watts, strict=True):
        assert open_.any()
        assert worth[open_].min() >= watts * (1 - 1e-9)
    assert lattice.put_right(right).sum() <= right.sum() * (1 + 1e-9)


def test_prices_of_nothing_bound_nothing() -> None:
    lattice = lattice_of(ROOF)
    assert math.isinf(lattice.bound(np.zeros(lattice.shape)))


def test_lines_between_lose_nothing() -> None:
    old = lattice_of(ROOF)
    fields, rules = prepared(ROOF)
    x, y = (axis.halved() for axis in old.axes)
    new = Lattice(fields[0], rules.kinds, x, y)
    found = descend(old, start_at(old), lambda bound: False)
    assert moved(old, found, new).bound <= found.bound * (1 + 1e-9)


# the descent


def relaxed_by_scipy(lattice: Lattice) -> float:
    """The lattice's relaxation written out in full: a column for each open place, a row for each point."""
    columns, watts = [], []
    for open_, w, (a, b) in zip(lattice.open, lattice.watts, lattice.points, strict=True):
        for i, j in zip(*np.nonzero(open_), strict=True):
            covered = np.zeros(lattice.shape)
            covered[i : i + a, j : j + b] = 1.0
            columns.append(covered.ravel())
            watts.append(w)
    matrix = csr_matrix(np.array(columns).T)
    found = linprog(-np.array(watts), A_ub=matrix, b_ub=np.ones(matrix.shape[0]))
    assert found.status == 0, found.message
    return -float(found.fun)


@pytest.mark.parametrize("rasters", [(200.0, 200.0), (170.0, 205.0), (155.0, 1000 / 7)])
def test_the_descent_comes_to_the_relaxation(rasters: tuple[float, float]) -> None:
    lattice = lattice_of(ROOF, *rasters)
    exact = relaxed_by_scipy(lattice)
    found = descend(lattice, start_at(lattice), lambda bound: False)
    assert exact * (1 - 1e-9) <= found.bound <= exact * 1.004
    assert lattice.bound(found.prices) == pytest.approx(found.bound)


def test_the_descent_ends_when_told_and_holds_then() -> None:
    lattice = lattice_of(ROOF)
    start = start_at(lattice)
    assert descend(lattice, start, lambda bound: True) is start
    assert start.bound >= relaxed_by_scipy(lattice)


# the ceiling


@pytest.mark.parametrize("name", PALLETS_AND_BINS)
def test_no_published_optimum_exceeds_the_ceiling(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    instance = EVERY[name]
    monkeypatch.setattr(ceiling_room, "TRIED", 2)
    monkeypatch.setattr(ceiling_room, "FIRST_WORK", 50_000)
    monkeypatch.setattr(ceiling_room, "MOST_WORK", 50_000)
    assert on_lattices(job_of(instance), monkeypatch, 3.0) >= instance["optimum"] - 1e-6


@SLOW
@given(roofs(slanted=True), st.integers(20, 5_000))
def test_no_layout_exceeds_the_ceiling_of_any_lattice(job: Job, work: int) -> None:
    best = packed(job, seconds=3).watts
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(ceiling_room, "FIRST_WORK", work)
        patched.setattr(ceiling_room, "MOST_WORK", 4 * work)
        assert on_lattices(job, patched, 1.0) >= best - 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_no_best_layout_exceeds_the_ceiling_of_lattices(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    job = random_job(Random(seed), raster=130, facets=1 + seed % 2, cells=60)
    found = packed(job, seconds=5)
    monkeypatch.setattr(ceiling_room, "FIRST_WORK", (300, 3000, 12_000)[seed % 3])
    monkeypatch.setattr(ceiling_room, "MOST_WORK", 15_000)
    assert on_lattices(job, monkeypatch) >= found.watts - 1e-6


def test_an_exact_fit_is_bounded_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is lost where sides divide the roof, although 1000 / 3 is no whole number of millimetres."""
    monkeypatch.setattr(ceiling_room, "FIRST_WORK", 5_000)
    monkeypatch.setattr(ceiling_room, "MOST_WORK", 20_000)
    third = PanelModel("Third", 1000, 500, 100.0, turnable=False)
    job = Job("full", (rectangle("roof", 7000, 3500),), PanelRules((third,)), (), Spacing(0, 0))
    assert on_lattices(job, monkeypatch) == pytest.approx(4900, abs=0.01)


def test_what_is_reached_ends_the_descent(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = time.monotonic()
    bound_w = on_lattices(ROOF, monkeypatch, 60.0, reached=lambda: 10**6)
    assert time.monotonic() - begun < 5
    assert 1200 < bound_w < 2000


def test_the_same_roof_has_the_same_ceiling(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ceiling_room, "MOST_WORK", 30_000)
    monkeypatch.setattr(ceiling_room, "FIRST_WORK", 6_000)
    assert on_lattices(ROOF, monkeypatch) == on_lattices(ROOF, monkeypatch)


def test_rasters_are_no_wider_than_panels_and_points_as_few_as_asked() -> None:
    fields, rules = prepared(ROOF)
    for most in (400, 4000, 40_000):
        for x, y in axes_for(fields[0], rules.kinds, most, 5):
            assert max(x.raster_mm, y.raster_mm) <= min(k.pitch_x_mm for k in rules.kinds)
            assert math.prod(Lattice(fields[0], rules.kinds, x, y).shape) <= 1.3 * most
    assert axes_for(fields[0], rules.kinds, 4, 5) == []
