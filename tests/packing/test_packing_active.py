"""Steps of the places that matter: they come to the relaxation of all places, and their bounds hold."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from small_random_jobs import packed, random_job
from test_packing_beside import prepared
from test_packing_lattice import PALLETS_AND_BINS, ROOF, lattice_of, on_lattices, relaxed_by_scipy
from test_packing_published import EVERY, job_of

from rooflayout.packing import active as active_room
from rooflayout.packing import ceiling as ceiling_room
from rooflayout.packing.active import ActiveWalk, some_steps
from rooflayout.packing.descent import WARM, Pointed, Walk, descend, start_at
from rooflayout.packing.mesh import mesh_of


def active(lattice: Pointed) -> ActiveWalk:
    return ActiveWalk(lattice, some_steps(lattice, start_at(lattice), lambda bound: False), WARM)


@pytest.mark.parametrize("rasters", [(200.0, 200.0), (155.0, 1000 / 7)])
def test_the_descent_comes_to_the_relaxation_of_all_places(
    rasters: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(active_room, "MOST_SHARE", 0.5)
    lattice = lattice_of(ROOF, *rasters)
    exact = relaxed_by_scipy(lattice)
    found = descend(lattice, start_at(lattice), lambda bound: False, walk=active(lattice))
    assert exact * (1 - 1e-9) <= found.bound <= exact * 1.004
    assert lattice.bound(found.prices) == pytest.approx(found.bound)


@pytest.mark.parametrize("on_mesh", [False, True])
def test_a_step_is_as_of_all_places_where_all_matter(on_mesh: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same steps as descent.Walk takes, but for single precision there."""
    monkeypatch.setattr(active_room, "MOST_SHARE", 1.0)
    fields, rules = prepared(ROOF)
    mesh = mesh_of(fields[0], rules.kinds, range(len(rules.kinds)))
    lattice: Pointed | None = mesh if on_mesh else lattice_of(ROOF)
    assert lattice is not None
    start = start_at(lattice)
    walk = Walk(lattice, start, WARM)
    few = ActiveWalk(lattice, start, WARM, room=np.inf)
    for _ in range(20):
        walk.step()
        few.step()
    assert few.here().prices == pytest.approx(walk.here().prices, rel=1e-3, abs=1e-2)
    for one, other in zip(few.uses, walk.uses, strict=True):
        assert one == pytest.approx(other, rel=1e-3, abs=1e-4)


def test_only_places_that_may_be_worth_their_points_are_stepped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(active_room, "MOST_SHARE", 0.2)
    lattice = lattice_of(ROOF)
    walk = active(lattice)
    for _ in range(5):
        for _ in range(100):
            walk.step()
        walk.ask()
    used = sum(int((uses > active_room.USED).sum()) for uses in walk.uses)
    few = sum(len(which) for which in walk._which)
    everyone = sum(int(open_.sum()) for open_ in lattice.open)
    assert used <= few <= everyone / 2


def test_closed_places_are_never_used_again() -> None:
    lattice = lattice_of(ROOF)
    walk = active(lattice)
    for _ in range(50):
        walk.step()
    shut = [used > 0.05 for used in walk.uses]
    assert any(there.any() for there in shut)
    walk.close(shut)
    walk.ask()
    for _ in range(50):
        walk.step()
    for uses, there in zip(walk.uses, shut, strict=True):
        assert not uses[there].any()


@pytest.mark.parametrize("name", PALLETS_AND_BINS[::4])
def test_no_published_optimum_exceeds_the_ceiling(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ceiling_room, "MANY_MODELS", 1)
    monkeypatch.setattr(ceiling_room, "POINTS_PER_PANEL", 150)
    monkeypatch.setattr(ceiling_room, "MOST_WORK", 50_000)
    instance = EVERY[name]
    assert on_lattices(job_of(instance), monkeypatch, 1.0) >= instance["optimum"] - 1e-6


@pytest.mark.parametrize("seed", range(4))
def test_no_best_layout_exceeds_the_ceiling(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ceiling_room, "MANY_MODELS", 1)
    monkeypatch.setattr(ceiling_room, "POINTS_PER_PANEL", (40, 150)[seed % 2])
    monkeypatch.setattr(ceiling_room, "MOST_WORK", 10_000)
    job = random_job(Random(seed), raster=130, facets=1 + seed % 2, cells=60)
    assert on_lattices(job, monkeypatch) >= packed(job, seconds=5).watts - 1e-6
