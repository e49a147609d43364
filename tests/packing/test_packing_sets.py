"""Roofs where stock binds: sets of panels first, against exhaustive search and against published optima.

Exhaustive search (exhaustive_roofs.py) shares nothing with the packing.
"""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import pytest
from exhaustive_roofs import best, counts_of, ranks
from small_random_jobs import clock_of, packed, random_job, rectangle

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing.ceiling import area_bound
from rooflayout.packing.clearance import field_of
from rooflayout.packing.copies import Copies
from rooflayout.packing.fitting import at_once, fits, pushed
from rooflayout.packing.incumbent import Incumbent
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.pieces import Pieces, pieces_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.search import Search
from rooflayout.packing.sets import Sets

RASTER = 100


def scarce_job(seed: int) -> Job:
    """A random roof of 36 cells at most, with one or two of each model."""
    random = Random(seed)
    job = random_job(random, RASTER, random.choice((1, 1, 2)), cells=36)
    models = tuple(replace(m, stock=random.choice((1, 1, 2))) for m in job.panels.models)
    return replace(job, panels=replace(job.panels, models=models))


def pieces_and_rules(job: Job) -> tuple[Pieces | None, Rules]:
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if any(m is models[k.model] for m in job.panels.models))
    rules = rules_of(job, models, kinds, None)
    return pieces_of(tuple(field_of(job, facet) for facet in job.facets), rules), rules


def in_pieces(seeds: range) -> list[int]:
    """The seeds whose roofs are searched by sets."""
    return [seed for seed in seeds if pieces_and_rules(scarce_job(seed))[0] is not None]


def sets_of(job: Job) -> tuple[Sets, Incumbent, Pieces]:
    pieces, rules = pieces_and_rules(job)
    assert pieces is not None
    fields = tuple(field_of(job, facet) for facet in job.facets)
    kept = rules.kept_watts()
    incumbent = Incumbent(clock_of(), rules.grain(), kept, 0, area_bound(fields, rules))
    return Sets(pieces, rules, incumbent), incumbent, pieces


@pytest.mark.parametrize("seed", range(36))
def test_with_scarce_panels_watts_proof_and_choice_equal_exhaustive_search(seed: int) -> None:
    job = scarce_job(seed)
    found, possible = packed(job), ranks(job, RASTER)
    watts = best(possible).watts
    assert (found.watts, found.bound_watts, found.proven) == (watts, watts, True)
    assert possible.get(counts_of(job, found.panels)) == best(possible)


def test_many_of_these_roofs_are_searched_by_sets() -> None:
    assert len(in_pieces(range(36))) >= 18


@pytest.mark.parametrize("seed", in_pieces(range(200, 260)))
def test_rounds_of_sets_alone_end_with_the_watts_of_exhaustive_search(seed: int) -> None:
    job = scarce_job(seed)
    sets, incumbent, _ = sets_of(job)
    sets.run(time.monotonic() + 20)
    assert incumbent.settled()
    assert incumbent.watts == pytest.approx(10 * best(ranks(job, RASTER)).watts)


def small_roof() -> Job:
    """5 x 4 cells, four models of one panel each: 3 x 2, 2 x 3, 3 x 3, 4 x 1; no panel may be turned."""
    sizes = ((3, 2), (2, 3), (3, 3), (4, 1))
    models = tuple(
        PanelModel(f"M{n}", w * RASTER, h * RASTER, 10.0 * w * h, stock=1, turnable=False)
        for n, (w, h) in enumerate(sizes)
    )
    return Job("small", (rectangle("roof", 5 * RASTER, 4 * RASTER),), PanelRules(models))


@pytest.mark.parametrize(
    ("counts", "fit"),
    [
        ((1, 1, 0, 1), True),  # 3 x 2 beside 2 x 3, 4 x 1 above
        ((0, 1, 1, 1), True),  # by hand: 3 x 3 beside 2 x 3 fill three rows, 4 x 1 the fourth
        ((1, 0, 1, 0), False),  # 2 and 3 rows are more than 4, 3 and 3 columns more than 5
        ((0, 0, 0, 0), True),
    ],
)
def test_whether_a_set_fits_as_by_hand(counts: tuple[int, ...], fit: bool) -> None:
    pieces, _ = pieces_and_rules(small_roof())
    assert pieces is not None
    assert fits(pieces, counts, clock_of(), 5.0).status == ("OPTIMAL" if fit else "INFEASIBLE")


def test_a_set_that_does_not_fit_is_cut_down_to_the_panels_that_clash() -> None:
    sets, _, _ = sets_of(small_roof())
    less, _ = sets._less((1, 1, 1, 0))
    assert less == (1, 0, 1, 0)


def test_larger_panels_in_place_of_smaller_ones_are_barred_too() -> None:
    job = small_roof()
    models = (*job.panels.models, PanelModel("M4", 3 * RASTER, 4 * RASTER, 1.0, stock=1, turnable=False))
    sets, _, _ = sets_of(replace(job, panels=PanelRules(models)))
    sets._bar((1, 0, 1, 0, 0))  # with the 3 x 4 in place of the 3 x 3 or of the 3 x 2
    assert {(1, 0, 1, 0, 0), (1, 0, 0, 0, 1), (0, 0, 1, 0, 1)} <= set(sets._barred)


def test_at_once_finds_and_proves_the_best_set() -> None:
    pieces, rules = pieces_and_rules(small_roof())
    assert pieces is not None
    found = at_once(pieces, Copies(pieces, rules, 0), 0, 3000, clock_of(), 5.0)
    assert (found.status, found.value, found.bound) == ("OPTIMAL", 1900, 1900)  # 190 W: 19 of 20 cells


def test_pushed_panels_touch_and_do_not_overlap() -> None:
    pieces, _ = pieces_and_rules(small_roof())
    assert pieces is not None
    assert sorted(pushed(pieces, [(1, 3, 1), (3, 1, 0)])) == [(1, 0, 1), (3, 0, 0)]


def test_a_floor_that_nothing_reaches_gives_no_layout() -> None:
    job = small_roof()
    _, rules = pieces_and_rules(job)
    search = Search((field_of(job, job.facets[0]),), rules, clock_of(), floor=1910)
    search.prepare()
    assert search.settle() is None
    assert search.sound_bound() < 1910


def test_the_same_job_gives_the_same_places_again() -> None:
    job = scarce_job(3)
    assert packed(job).panels == packed(job).panels
