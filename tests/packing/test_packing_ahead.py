"""Layouts of smaller panels begun before the search has ended: the same ones, and never another search's."""

from __future__ import annotations

import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from small_random_jobs import clock_of, rectangle, square_on

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import missing
from rooflayout.packing.ahead import Ahead, Ending
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.missing import GROWN, GROWN_MANY, grown_for, grown_layout, small_layout
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Search

HATCH = square_on("hatch", "roof", 900, 400, 1500, 1000)
MODELS = (
    PanelModel("A", 1195, 541, 130.0),
    PanelModel("B", 1002, 673, 140.0),
    PanelModel("C", 760, 676, 105.0),
)
ROOF = Job("shed", (rectangle("roof", 3150, 1990),), PanelRules(MODELS), (HATCH,), Spacing(10, 20))


@pytest.fixture
def fields() -> tuple[Field, ...]:
    return tuple(field_of(ROOF, facet) for facet in ROOF.facets)


@pytest.fixture
def pool() -> Iterator[ThreadPoolExecutor]:
    with ThreadPoolExecutor(max_workers=1) as threads:
        yield threads


def layouts_of(fields: tuple[Field, ...], search: Search, watts: int) -> tuple[tuple[Place, ...], ...]:
    known = fields, search, watts, clock_of()
    assert grown_for(search) == GROWN
    return (small_layout(*known), *(grown_layout(*known, *how) for how in GROWN))


def searched(fields: tuple[Field, ...]) -> Search:
    models = models_of(ROOF)
    search = Search(fields, rules_of(ROOF, models, kinds_of(ROOF, models), None), clock_of())
    search.prepare()
    return search


def test_what_is_begun_early_is_what_would_come_later(
    fields: tuple[Field, ...], pool: ThreadPoolExecutor
) -> None:
    search = searched(fields)
    watts = search.incumbent.watts
    ahead = Ahead(pool, fields, Ending(clock_of()))
    ahead.begin(search)
    search.settle()
    ahead.end(search)
    assert ahead.result() == layouts_of(fields, search, watts)
    assert any(ahead.result())


def test_of_the_search_that_ended_and_of_no_other(
    fields: tuple[Field, ...], pool: ThreadPoolExecutor
) -> None:
    first, last = searched(fields), searched(fields)
    last.settle()
    ahead = Ahead(pool, fields, Ending(clock_of()))
    ahead.begin(first)
    ahead.end(last)
    assert ahead.result() == layouts_of(fields, last, last.incumbent.watts)


def test_nothing_where_there_was_no_search(fields: tuple[Field, ...], pool: ThreadPoolExecutor) -> None:
    ahead = Ahead(pool, fields, Ending(clock_of()))
    ahead.begin(searched(fields))
    ahead.end(None)
    assert ahead.result() == ()


def test_no_longer_than_asked(fields: tuple[Field, ...], pool: ThreadPoolExecutor) -> None:
    ending = Ending(clock_of())
    ending.end = time.monotonic() - 1
    ahead = Ahead(pool, fields, ending)
    ahead.end(searched(fields))
    assert not any(ahead.result())


def test_told_once_when_the_best_is_proven(fields: tuple[Field, ...]) -> None:
    told: list[tuple[int, bool]] = []
    search = searched(fields)
    search.when_settled = lambda s: told.append((s.incumbent.watts, s.incumbent.settled()))
    packing = search.settle()
    assert packing is not None
    assert told == [(packing.watts, True)]


def test_not_told_where_nothing_is_proven(fields: tuple[Field, ...]) -> None:
    told: list[Search] = []
    search = searched(fields)
    search.incumbent.bound = 2 * search.incumbent.bound
    search.when_settled = told.append
    assert search.settle(rounds=0) is not None
    assert told == []


def test_with_many_places_facets_are_made_longer_fewer_times(monkeypatch: pytest.MonkeyPatch) -> None:
    search = searched((field_of(ROOF, ROOF.facets[0]),))
    assert search.fine is not None
    for fewer, grown in ((0, GROWN), (1, GROWN_MANY)):
        monkeypatch.setattr(missing, "MANY", len(search.fine.candidates) - fewer)
        assert grown_for(search) == grown
    assert len(GROWN_MANY) < len(GROWN)
