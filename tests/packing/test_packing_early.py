"""Dives beside the prices: taken after the same rounds on every machine, and they end what is settled."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from exhaustive_roofs import best, ranks
from relaxed_by_hand import problem_of
from small_random_jobs import clock_of, random_job, rectangle, square_on
from watched_layouts import Watched

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import early, search
from rooflayout.packing.clearance import field_of
from rooflayout.packing.early import ROUNDS, Early
from rooflayout.packing.incumbent import SLACK
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Search

SIZES = ((1210, 541, 110.0), (1485, 668, 170.0), (760, 352, 45.0), (1020, 580, 100.0))
MODELS = tuple(PanelModel(f"M{i}", a, b, watts) for i, (a, b, watts) in enumerate(SIZES))
HATCH = square_on("hatch", "main", 1503, 611, 2007, 1108, clearance_mm=30)
ROOF = Job("roof", (rectangle("main", 3610, 1790),), PanelRules(MODELS), (HATCH,), Spacing(15, 30))


def prepared(workers: int) -> Search:
    models = models_of(ROOF)
    kinds = kinds_of(ROOF, models)
    fields = tuple(field_of(ROOF, facet) for facet in ROOF.facets)
    found = Search(fields, rules_of(ROOF, models, kinds, None), clock_of(60, workers))
    found.prepare()
    return found


def test_prices_and_layouts_are_the_same_with_one_worker_as_with_two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Halves are priced at once with two, and dives made beside the prices."""
    monkeypatch.setattr(search, "SMALL", 0)
    began: list[int] = []
    dived = early.dived
    monkeypatch.setattr(early, "dived", lambda *how: began.append(1) or dived(*how))
    one = prepared(1)
    in_one = len(began)
    two = prepared(2)
    assert len(began) == 2 * in_one >= 2
    assert (one.incumbent.watts, one.incumbent.places) == (two.incumbent.watts, two.incumbent.places)
    assert one.incumbent.bound == two.incumbent.bound
    assert one.fine is not None
    assert two.fine is not None
    assert np.array_equal(one.fine.prices.reduced_cost, two.fine.prices.reduced_cost)
    assert one.fine.prices.rows == two.fine.prices.rows


def free_case() -> tuple[Watched, int]:
    """A small roof with no rule but its geometry, and its best watts (tenths)."""
    job = replace(random_job(Random(11), 100, 1, cells=24), kept=())
    job = replace(job, panels=PanelRules(tuple(replace(m, stock=None) for m in job.panels.models)))
    return Watched(problem_of(job)), round(best(ranks(job, 100)).watts * 10)


def test_it_ends_where_a_layout_has_what_the_bound_allows_and_not_before() -> None:
    for higher, ends in ((SLACK / 2, True), (1.0, False)):
        watched, most = free_case()
        watched.incumbent.bound = 10**9
        bound = most + higher * watched.rules.grain()
        with ThreadPoolExecutor(1) as pool:
            beside = Early(lambda prices, w=watched: replace(w.asked, prices=prices), watched.incumbent, pool)
            told = [beside.watch(bound, bound, lambda w=watched: w.asked.prices) for _ in range(ROUNDS + 1)]
        assert told == [False] * ROUNDS + [ends]
        assert watched.incumbent.watts == most
        watched.check()


def test_a_dive_is_taken_after_its_rounds_however_long_it_takes() -> None:
    """What is known by which round does not depend on how fast a machine is."""
    watched, most = free_case()
    watched.incumbent.clock.workers = 2
    go_on = threading.Event()
    with ThreadPoolExecutor(1) as pool:
        pool.submit(go_on.wait, 10)  # so that the dive is late
        beside = Early(lambda prices: replace(watched.asked, prices=prices), watched.incumbent, pool)
        for _ in range(ROUNDS):
            beside.watch(2.0 * most, 2.0 * most, lambda: watched.asked.prices)
            assert watched.incumbent.places is None
        threading.Timer(0.2, go_on.set).start()
        begun = time.monotonic()
        beside.watch(2.0 * most, 2.0 * most, lambda: watched.asked.prices)
        assert watched.incumbent.watts == most
        assert time.monotonic() - begun > 0.1
        beside.take()


def test_far_from_the_bound_nothing_is_begun() -> None:
    watched, most = free_case()
    with ThreadPoolExecutor(1) as pool:
        beside = Early(lambda prices: replace(watched.asked, prices=prices), watched.incumbent, pool)
        value = most * (1.0 - early.NEARING * 1.01)
        assert not beside.watch(most, value, lambda: pytest.fail("nobody asks for prices"))
        beside.take()
    assert watched.incumbent.places is None
