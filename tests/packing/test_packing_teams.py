"""Searching team by team gives what searching the whole gives."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from small_random_jobs import CONTROLLER, clock_of, packed, random_job, random_supply, rectangle

from rooflayout.job import Facet, Job, KeptPanel, PanelModel, PanelRules
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.search import Search
from rooflayout.packing.team_rules import kinds_in, restricted, teams_of
from rooflayout.packing.teams import search
from rooflayout.wiring.options import UNLIMITED, StringOption, Supply, TrackerClass
from rooflayout.wiring.unlike import UnlikePair

A, B, C = (
    PanelModel(name, 600, 400, watts, turnable=False)
    for name, watts in (("A", 90.0), ("B", 80.0), ("C", 70.0))
)


def parts(job: Job, supply: Supply | None) -> tuple[tuple[Field, ...], Rules]:
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model] in job.panels.models)
    return tuple(field_of(job, f) for f in job.facets), rules_of(job, models, kinds, supply)


def check(job: Job, supply: Supply | None) -> None:
    fields, rules = parts(job, supply)
    assert teams_of(rules) is not None
    by_teams, whole = search(fields, rules, clock_of()).packing, Search(fields, rules, clock_of()).run()
    assert (by_teams.watts, by_teams.bound, by_teams.proven) == (whole.watts, whole.watts, True)


@pytest.mark.parametrize("seed", range(14))
def test_few_trackers(seed: int) -> None:
    random = Random(500 + seed)
    facets = random.choice((1, 2))
    job = random_job(random, 100, facets, cells=40 // facets)
    while len(job.panels.models) < 3:
        job = random_job(random, 100, facets, cells=40 // facets)
    supply = random_supply(random, job, trackers=1 + seed % 2)
    if teams_of(parts(job, supply)[1]) is None:
        every = tuple(StringOption(m, 0, 1, 2) for m in job.panels.models)
        supply = Supply((TrackerClass(CONTROLLER, 1 + seed % 2),), every)
    check(job, supply)


def test_few_models_on_many_trackers_that_may_be_shared() -> None:
    """The kept model is the one that is allowed; the trackers that others might share make no teams."""
    job = Job(
        "t",
        (rectangle("m", 1800, 400),),
        PanelRules((A, B, C), most_models=1),
        kept=(KeptPanel(A, "m", 0.0, 0.0),),
    )
    options = tuple(StringOption(m, 0, 1, 2) for m in (A, B, C))
    supply = Supply((TrackerClass(CONTROLLER, 3),), options)
    pair = UnlikePair(0, ("m", "m"), (A, B), (1, 1), (1, 1), 1.0)
    found = packed(job, replace(supply, pairs=(pair,)))
    assert (found.watts, found.proven) == (270.0, True)


@pytest.mark.parametrize("seed", range(14))
def test_few_models(seed: int) -> None:
    random = Random(700 + seed)
    facets = random.choice((1, 2))
    job = random_job(random, 100, facets, cells=40 // facets)
    while len(job.panels.models) < 4:
        job = random_job(random, 100, facets, cells=40 // facets)
    check(replace(job, panels=replace(job.panels, most_models=1 + seed % 2)), None)


def test_kept_panels_of_another_model_do_not_hide_the_better_team() -> None:
    """300 W are there; four C of 180 W beat two B of 200 W (sold out then)."""
    old = PanelModel("old", 500, 500, 300.0)
    facets = (rectangle("F1", 1500, 500), rectangle("F2", 1000, 500))
    models = (PanelModel("B", 500, 500, 200.0, stock=2), PanelModel("C", 500, 500, 180.0))
    job = Job("x", facets, PanelRules(models, most_models=2), kept=(KeptPanel(old, "F1", 0, 0),))
    found = packed(job)
    assert (found.watts, found.bound_watts, found.proven) == (1020.0, 1020.0, True)


def small_rules(
    supply: Supply | None,
    most_models: int | None = None,
    kept: tuple[KeptPanel, ...] = (),
    facets: tuple[Facet, ...] = (rectangle("F0", 1200, 800), rectangle("F1", 1200, 800)),
) -> Rules:
    return parts(Job("x", facets, PanelRules((A, B, C), most_models=most_models), kept=kept), supply)[1]


def supply_for(trackers: int, *models: PanelModel) -> Supply:
    return Supply((TrackerClass(CONTROLLER, trackers),), tuple(StringOption(m, 0, 1, 2) for m in models))


def test_teams_are_as_large_as_there_are_trackers() -> None:
    one, two = teams_of(small_rules(supply_for(1, A, B))), teams_of(small_rules(supply_for(2, A, B)))
    assert one == [(0,), (1,), (3,), (4,)]
    assert two is not None
    assert len(two) == 6
    assert teams_of(small_rules(supply_for(3, A, B))) is None
    assert teams_of(small_rules(supply_for(UNLIMITED, A, B))) is None


def test_teams_of_models_have_all_their_groups() -> None:
    assert teams_of(small_rules(None)) is None
    assert teams_of(small_rules(None, most_models=3)) is None
    assert teams_of(small_rules(None, most_models=1)) == [(0, 3), (1, 4), (2, 5)]
    own = (KeptPanel(C, "F0", 0, 0),)
    assert teams_of(small_rules(None, most_models=2, kept=own)) == [(0, 2, 3, 5), (1, 2, 4, 5)]


def test_restricted_rules_are_the_same_rules_for_fewer_groups() -> None:
    few = PanelModel("A", 600, 400, 90.0, stock=2)
    job = Job("x", (rectangle("F0", 1200, 800), rectangle("F1", 1200, 800)), PanelRules((few, B, C)))
    rules = parts(job, supply_for(2, few, C))[1]
    team = (2, 3)  # C on the first facet, A on the second
    small = restricted(rules, team)
    assert kinds_in(rules, team) == [3, 4, 5]
    assert [(k.model, k.facet) for k in small.kinds] == [(2, 0), (0, 1), (0, 1)]
    assert [(g.model, g.facet, g.kinds) for g in small.groups] == [(2, 0, (0,)), (0, 1, (1, 2))]
    assert small.caps[0].per_kind == (0, 1, 1)
    assert [
        (o.group, o.in_series, o.most_parallel) for o in sorted(small.options, key=lambda o: o.group)
    ] == [(0, 1, 2), (1, 1, 2)]
    assert small.group_of_kind.tolist() == [0, 1, 1]
    assert small.model_of_kind.tolist() == [2, 0, 0]
    assert small.grain() == rules.grain()
