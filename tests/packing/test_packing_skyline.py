"""Layouts grown from below: every set that fits is seen, and the best is found and proven.

Whether a set fits is asked of CP-SAT with free coordinates (fitting.py), which knows nothing of skylines.
"""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random

import numpy as np
import pytest
from exhaustive_roofs import best, ranks
from small_random_jobs import clock_of
from test_packing_published import job_of
from test_packing_sets import RASTER, pieces_and_rules, scarce_job

from rooflayout.job import Job
from rooflayout.packing.beam import Beams
from rooflayout.packing.ceiling import area_bound
from rooflayout.packing.clearance import field_of
from rooflayout.packing.fitting import fits
from rooflayout.packing.incumbent import Incumbent
from rooflayout.packing.pieces import Pieces, Sheet, Sort, Way
from rooflayout.packing.skyline import Skyline, sums, unfilled
from rooflayout.packing.states import NOTHING, States, tidy

PUBLISHED = Path(__file__).parents[1] / "benchmarks" / "instances" / "knapsack.json"


def beams_of(job: Job) -> tuple[Beams, Incumbent, Pieces]:
    pieces, rules = pieces_and_rules(job)
    assert pieces is not None
    bound = area_bound(tuple(field_of(job, facet) for facet in job.facets), rules)
    incumbent = Incumbent(clock_of(), rules.grain(), rules.kept_watts(), 0, bound)
    return Beams(pieces, rules, incumbent), incumbent, pieces


def bare(seeds: range) -> list[int]:
    """The seeds whose roofs beams suit."""
    found = ((seed, pieces_and_rules(scarce_job(seed))[0]) for seed in seeds)
    return [seed for seed, pieces in found if pieces is not None and Beams.suit(pieces)]


def random_pieces(seed: int) -> Pieces:
    """Five or six different panels, up to half of a sheet of 9 x 9 to 13 x 13 wide and deep."""
    random = Random(seed)
    wide, deep = random.randint(9, 13), random.randint(9, 13)
    sides = [
        (random.randint(2, wide // 2 + 1), random.randint(2, deep // 2 + 1))
        for _ in range(random.choice((5, 6)))
    ]
    ways = tuple(Way(n, 0, w, d) for n, (w, d) in enumerate(sides))
    sorts = tuple(Sort(n, 1, (n,), 10 * w * d) for n, (w, d) in enumerate(sides))
    return Pieces((Sheet(0, 0, 1, 1, wide, deep, ()),), ways, sorts)


def sets_seen(pieces: Pieces, *, shifted: bool) -> set[tuple[int, ...]]:
    """The sets of panels of all states, with nothing let go."""
    skyline = Skyline(pieces)
    states, seen = skyline.empty(), set()
    while len(states):
        states = skyline.with_raised(states, 0)
        made = [skyline.made(states, some) for _, some in skyline.children(states, 0, shifted)]
        states = skyline.joined([own for own in made if len(own)] or made[:1])
        same = np.unique(np.column_stack([states.x, states.y, states.used]), axis=0, return_index=True)[1]
        states = states.take(same)
        seen.update(map(tuple, states.used.tolist()))
    return seen


def sets_that_fit(pieces: Pieces) -> set[tuple[int, ...]]:
    every = product((0, 1), repeat=len(pieces.sorts))
    return {c for c in every if any(c) and fits(pieces, c, clock_of(), 5.0).found}


@pytest.mark.parametrize("seed", range(1, 5))
def test_every_set_that_fits_is_seen_and_no_other(seed: int) -> None:
    pieces = random_pieces(seed)
    assert sets_seen(pieces, shifted=True) == sets_that_fit(pieces)


def leaning() -> Pieces:
    """10 x 8; by hand: 5 x 5 on 3 x 3 leaves a gap of 2 beside the 3 x 3, and 5 x 8 leans on the 5 x 5."""
    ways = (Way(0, 0, 3, 3), Way(1, 0, 5, 5), Way(2, 0, 5, 8))
    sorts = tuple(Sort(n, 1, (n,), 10 * w.wide * w.deep) for n, w in enumerate(ways))
    return Pieces((Sheet(0, 0, 1, 1, 10, 8, ()),), ways, sorts)


@pytest.mark.parametrize("shifted", [True, False])
def test_a_panel_that_leans_on_one_above_the_niche_is_seen_only_with_shifts(shifted: bool) -> None:
    skyline = Skyline(leaning())
    states = skyline.empty()
    for _ in range(3):
        states = skyline.with_raised(states, 0)
        states = skyline.joined([skyline.made(states, c) for _, c in skyline.children(states, 0, shifted)])
    layouts = {frozenset(skyline.pieces_of(path)) for path in states.path}
    assert (frozenset({(0, 0, 0), (1, 0, 3), (2, 5, 0)}) in layouts) == shifted


def test_the_niche_between_two_walls_of_full_height_does_not_end_a_layout() -> None:
    # 8 x 4: two of 2 x 4 with a gap of 1 between them at most: 3 x 1 on the right still goes on, by hand
    ways = (Way(0, 0, 2, 4), Way(1, 0, 3, 1))
    sorts = (Sort(0, 2, (0,), 80), Sort(1, 1, (1,), 30))
    pieces = Pieces((Sheet(0, 0, 1, 1, 8, 4, ()),), ways, sorts)
    assert (2, 1) in sets_seen(pieces, shifted=True)


def most_below(skyline: Skyline, states: States) -> int:
    """The most watts of anything that grows from these states."""
    most = int(states.watts.max())
    while len(states):
        states = skyline.with_raised(states, 0)
        states = skyline.joined([skyline.made(states, some) for _, some in skyline.children(states, 0, True)])
        most = max(most, int(states.watts.max(initial=0)))
    return most


def test_nothing_that_grows_from_a_panel_has_more_watts_than_its_bound() -> None:
    skyline = Skyline(random_pieces(3))
    states, tight = skyline.with_raised(skyline.empty(), 0), 0
    for _ in range(2):
        for _, some in skyline.children(states, 0, True):
            for number in range(len(some)):
                one = some.take(np.array([number]))
                most = most_below(skyline, skyline.made(states, one))
                assert most <= one.bound[0] + 1e-6
                tight += one.bound[0] < most * 1.1
        _, first = next(iter(skyline.children(states, 0, True)))
        states = skyline.with_raised(skyline.made(states, first), 0)
    assert tight >= 3  # some bounds are near: the test would see one that is too low


def test_sums_and_what_they_leave_unfilled_as_by_hand() -> None:
    found = sums([3, 5, 5], 12)
    assert np.flatnonzero(found).tolist() == [0, 3, 5, 8, 10]
    assert unfilled(found).tolist() == [0, 1, 2, 0, 1, 0, 1, 2, 0, 1, 0, 1, 2]


def test_stretches_of_no_width_go_and_neighbours_of_one_height_are_joined() -> None:
    x, y = np.array([[0, 2, 2, 5, 9, 9]]), np.array([[4, 7, 4, 1, NOTHING]])
    ends, tops = tidy(x, y)
    assert (ends.tolist(), tops.tolist()) == ([[0, 5, 9]], [[4, 1]])


@pytest.mark.parametrize("seed", bare(range(150, 420)))
def test_beams_alone_find_and_prove_the_watts_of_exhaustive_search(seed: int) -> None:
    job = scarce_job(seed)
    beams, incumbent, _ = beams_of(job)
    beams.run(5.0, clock_of())
    assert incumbent.settled()
    assert incumbent.watts == pytest.approx(10 * best(ranks(job, RASTER)).watts)


def test_many_of_these_roofs_have_mass_money_or_models_to_mind() -> None:
    jobs = [scarce_job(seed) for seed in bare(range(150, 420))]
    assert sum(j.panels.most_models is not None for j in jobs) >= 10
    assert sum(j.panels.most_mass_kg is not None or j.panels.budget is not None for j in jobs) >= 10


@pytest.mark.parametrize(("name", "proven"), [("gcut4", False), ("gcut12", True)])
def test_beams_alone_reach_published_optima(name: str, proven: bool) -> None:
    # Beasley 1985, one copy of each item, by the file named; gcut4's proof takes some seconds more
    instances = {i["name"]: i for i in json.loads(PUBLISHED.read_text(encoding="utf-8"))}
    instance = instances[name]
    beams, incumbent, _ = beams_of(job_of(instance))
    beams.run(0.15, clock_of())
    assert (incumbent.watts, incumbent.settled()) == (10 * instance["optimum"], proven)


def test_the_same_layout_again() -> None:
    found = []
    for _ in range(2):
        beams, incumbent, _ = beams_of(scarce_job(9))
        beams.run(1.0, clock_of())
        found.append(incumbent.places)
    assert found[0] == found[1] is not None


def gcut4() -> Job:
    instances = {i["name"]: i for i in json.loads(PUBLISHED.read_text(encoding="utf-8"))}
    return job_of(instances["gcut4"])


def test_beams_stop_once_others_found_more_after_them() -> None:
    beams, incumbent, _ = beams_of(gcut4())
    beams.run(0.01, clock_of())
    assert incumbent.places is not None
    assert not incumbent.settled()
    incumbent.better(incumbent.watts + incumbent.grain, incumbent.places[:1])
    beams.run(0.01, clock_of())
    assert beams.tried == 0


def test_beams_stop_once_they_gain_nothing() -> None:
    beams, incumbent, _ = beams_of(gcut4())
    incumbent.better(613_800, ((0, 0, 0),))  # the best there is; its proof takes more effort than this
    beams.run(0.01, clock_of())
    assert beams.tried > 0
    beams.run(0.01, clock_of())
    assert beams.tried == 0


def test_no_beams_where_something_stands_on_the_sheet_or_there_are_two() -> None:
    pieces = random_pieces(0)
    (sheet,) = pieces.sheets
    assert Beams.suit(pieces)
    assert not Beams.suit(replace(pieces, sheets=(replace(sheet, taken=((0, 0, 1, 1),)),)))
    assert not Beams.suit(replace(pieces, sheets=(sheet, sheet)))
