"""Bounds on a facet's own lines: sums by hand, the relaxation by scipy, known optima, any roof."""

from __future__ import annotations

import math
import time
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from scipy.optimize import linprog
from scipy.sparse import csr_matrix
from small_random_jobs import packed, random_job, rectangle, square_on
from test_packing_any_roof import roofs
from test_packing_beside import prepared
from test_packing_published import EVERY, job_of

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import ceiling as ceiling_room
from rooflayout.packing.ceiling import ceiling
from rooflayout.packing.descent import descend, start_at
from rooflayout.packing.mesh import MOST_CELLS, Mesh, cells_in, mesh_above, mesh_of

SLOW = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
PLATE, LITTLE = PanelModel("Plate", 1000, 600, 120.0), PanelModel("Little", 700, 450, 61.0)
VENT = square_on("vent", "roof", 1300, 700, 1700, 1100, clearance_mm=40)
ROOF = Job("roof", (rectangle("roof", 3030, 2070),), PanelRules((PLATE, LITTLE)), (VENT,), Spacing(20, 30))
PALLETS_AND_BINS = ("plp_14_10_3_2", "plp_30_22_7_4", "plp_57_44_12_5", "cgcut1", "gcut2", "ngcut5_rot")
PALLETS_AND_BINS += ("hopper_C1_1", "afsharian_75_C12M5R10N1_D1")


def mesh_for(job: Job) -> Mesh:
    fields, rules = prepared(job)
    mesh = mesh_of(fields[0], rules.kinds, range(len(rules.kinds)))
    assert mesh is not None
    return mesh


def on_meshes(job: Job, monkeypatch: pytest.MonkeyPatch, seconds: float = 20.0) -> float:
    """Watts of the ceiling where nothing is priced as a whole."""
    monkeypatch.setattr(ceiling_room, "FEW_PANELS", 0)
    monkeypatch.setattr(ceiling_room, "WHOLE_PANELS", 0)
    return ceiling(*prepared(job), time.monotonic() + seconds) / 10


def written_out(mesh: Mesh) -> tuple[np.ndarray, np.ndarray]:
    """Candidates by points, whether it takes it: said by millimetres; and each candidate's watts."""
    some, kinds = mesh.candidates, prepared(ROOF)[1].kinds
    x, y = np.meshgrid(mesh.grid.xs_mm, mesh.grid.ys_mm, indexing="ij")
    takes = [
        (
            (p <= x) & (x < p + kinds[k].pitch_x_mm) & (q <= y) & (y < q + kinds[k].pitch_y_mm)
        ).ravel()
        for k, p, q in zip(some.kind.tolist(), some.x_mm.tolist(), some.y_mm.tolist(), strict=True)
    ]  # fmt: skip
    return np.array(takes), np.array([kinds[k].watts for k in some.kind.tolist()], dtype=np.float64)


def test_worths_and_takings_are_sums_over_the_points_of_a_place() -> None:
    mesh, random = mesh_for(ROOF), np.random.default_rng(1)
    takes, _ = written_out(mesh)
    prices, used = random.random(mesh.shape), random.random(len(mesh.candidates))
    assert mesh.by_candidate(mesh.worths(prices)) == pytest.approx(takes @ prices.ravel())
    places = [
        np.where(open_, used[numbers], 0.0) for open_, numbers in zip(mesh.open, mesh.numbers, strict=True)
    ]
    assert mesh.taken(places).ravel() == pytest.approx(used @ takes)
    assert mesh.by_candidate(mesh.counts) == pytest.approx(takes.sum(axis=1))


@pytest.mark.parametrize("seed", range(8))
def test_no_panel_beats_prices_put_right(seed: int) -> None:
    mesh = mesh_for(ROOF)
    takes, watts = written_out(mesh)
    wild = np.random.default_rng(seed).random(mesh.shape) ** 3 * 10
    right = mesh.put_right(wild)
    assert np.all(takes @ right.ravel() >= watts * (1 - 1e-9))
    for point in np.random.default_rng(seed).integers(0, right.size, 40).tolist():
        needs = (watts / (takes @ wild.ravel()))[takes[:, point]].max(initial=0.0)
        assert right.ravel()[point] == pytest.approx(wild.ravel()[point] * needs)


def test_even_prices_are_true_and_prices_of_nothing_bound_nothing() -> None:
    mesh = mesh_for(ROOF)
    takes, watts = written_out(mesh)
    assert np.all(takes @ mesh.even().ravel() >= watts * (1 - 1e-9))
    assert math.isinf(mesh.bound(np.zeros(mesh.shape)))


def test_the_descent_comes_to_the_relaxation() -> None:
    """The relaxation written out in full, a column for each place, a row for each point, by scipy."""
    mesh = mesh_for(ROOF)
    takes, watts = written_out(mesh)
    matrix = csr_matrix(takes.T.astype(np.float64))
    found = linprog(-watts, A_ub=matrix, b_ub=np.ones(matrix.shape[0]))
    assert found.status == 0, found.message
    bound = descend(mesh, start_at(mesh), lambda bound: False, warm=True).bound
    assert -found.fun * (1 - 1e-9) <= bound <= -found.fun * 1.003


@pytest.mark.parametrize("name", PALLETS_AND_BINS)
def test_no_published_optimum_exceeds_it(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    instance = EVERY[name]
    assert on_meshes(job_of(instance), monkeypatch) >= instance["optimum"] - 1e-6


@SLOW
@given(roofs(slanted=True))
def test_no_layout_exceeds_it(job: Job) -> None:
    best = packed(job, seconds=3).watts
    with pytest.MonkeyPatch.context() as patched:
        assert on_meshes(job, patched) >= best - 1e-6


@pytest.mark.parametrize("seed", range(6))
def test_no_best_layout_exceeds_it(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    job = random_job(Random(seed), raster=130, facets=1 + seed % 2, cells=60)
    assert on_meshes(job, monkeypatch) >= packed(job, seconds=5).watts - 1e-6


def test_an_exact_fit_is_bounded_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    third = PanelModel("Third", 1000, 500, 100.0, turnable=False)
    job = Job("full", (rectangle("roof", 7000, 3500),), PanelRules((third,)), (), Spacing(0, 0))
    assert on_meshes(job, monkeypatch) == pytest.approx(4900, abs=0.01)


def test_lines_between_whole_millimetres_are_allowed_for() -> None:
    """From 0.4 mm to 1000.6 mm there is room for a panel of 1000 mm, though at no whole millimetre."""
    panel = PanelModel("P", 1000, 500, 100.0, turnable=False)
    job = Job("odd", (rectangle("roof", 1001.2, 501.2),), PanelRules((panel,)), (), Spacing(0, 0.6))
    fields, rules = prepared(job)
    assert mesh_for(job).watts == []
    above = mesh_above(fields[0], rules.kinds)
    assert above is not None
    assert start_at(above).bound == pytest.approx(1000)


def test_too_many_places_make_no_mesh() -> None:
    fields, rules = prepared(ROOF)
    assert mesh_of(fields[0], rules.kinds, range(4), most_cells=10) is None
    assert mesh_above(fields[0], rules.kinds, most_cells=0) is None
    assert cells_in(-1.0) == 0
    assert 0 < cells_in(1.0) < cells_in(5.0) <= cells_in(1e6) == MOST_CELLS
