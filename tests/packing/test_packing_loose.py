"""Wiring that binds nothing: when it is said, every layout can be wired, and plans come out alike."""

from __future__ import annotations

import itertools
from dataclasses import replace
from random import Random

import pytest
from small_random_jobs import CONTROLLER, clock_of, packed, random_job, rectangle

from rooflayout.job import ControllerModel, Job, PanelModel, PanelRules
from rooflayout.packing import pack as door
from rooflayout.packing.around import allowed_by
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.loose import most_panels, trackers_needed, wires_anything
from rooflayout.packing.rules import Rules, models_of, rules_of, unwired
from rooflayout.wiring.options import UNLIMITED, StringOption, Supply, TrackerClass

A = PanelModel("A", 500, 500, 100.0)
B = PanelModel("B", 1000, 500, 210.0)


def supply_for(models: tuple[PanelModel, ...], trackers: int, ways: tuple[tuple[int, int], ...]) -> Supply:
    """One class of so many trackers; ways: (in series, most parallel), alike for every model."""
    options = tuple(StringOption(m, 0, s, p) for m in models for s, p in ways)
    return Supply((TrackerClass(CONTROLLER, trackers),), options)


def said(job: Job, supply: Supply) -> tuple[bool, Rules]:
    models = models_of(job)
    rules = rules_of(job, models, kinds_of(job, models), supply)
    return wires_anything([field_of(job, f) for f in job.facets], rules), rules


def shed(*models: PanelModel) -> Job:
    """Room for eight A or four B by area."""
    return Job("shed", (rectangle("top", 2000, 1000),), PanelRules(models))


def test_as_many_panels_as_the_area_and_the_stock_allow() -> None:
    for model, most in ((A, 8), (B, 4), (replace(A, stock=3), 3), (replace(A, stock=90), 8)):
        job = shed(model)
        _, rules = said(job, supply_for((model,), 1, ((1, 1),)))
        assert most_panels([field_of(job, f) for f in job.facets], rules, 0) == most


def test_trackers_that_any_number_takes() -> None:
    """By hand: four at most each: two for eight. Pairs only: never three. Up to three: eight is 3 + 3 + 2."""
    for ways, needed in (
        (((1, 8),), {0: 1}),
        (((1, 4),), {0: 2}),
        (((2, 4),), {}),
        (((1, 1), (2, 1), (3, 1)), {0: 3}),
    ):
        _, rules = said(shed(A), supply_for((A,), 9, ways))
        assert trackers_needed(rules, 0, 8) == needed


def test_one_tracker_for_each_group_is_enough_and_one_fewer_is_not() -> None:
    every = ((1, 8),)
    assert said(shed(A, B), supply_for((A, B), 2, every))[0]
    assert not said(shed(A, B), supply_for((A, B), 1, every))[0]
    assert said(shed(A, B), supply_for((A, B), UNLIMITED, ((1, 1),)))[0]
    assert not said(shed(A, B), supply_for((A,), 9, every))[0], "B cannot be wired at all"


def test_what_is_said_holds_for_every_layout() -> None:
    """On random small jobs: where it says yes, every choice of up to so many panels a group can be wired."""
    yes = 0
    for seed in range(60):
        random = Random(seed)
        job = random_job(random, 100, kept=False, cells=24)
        ways = tuple((s, random.randint(1, 8)) for s in range(1, random.randint(2, 4)))
        supply = supply_for(models_of(job), random.randint(1, 6), ways)
        loose, rules = said(job, supply)
        if not loose:
            continue
        yes += 1
        fields = [field_of(job, f) for f in job.facets]
        counts = [range(most_panels(fields, rules, g) + 1) for g in range(len(rules.groups))]
        cases = list(itertools.islice(itertools.product(*counts), 2000))
        for case in random.sample(cases, min(12, len(cases))):
            kinds = [g.kinds[0] for g, n in zip(rules.groups, case, strict=True) for _ in range(n)]
            if kinds:
                bare = replace(rules, caps=(), most_models=None)
                assert allowed_by(bare, kinds, 0), (seed, case)
    assert yes >= 10


def test_plans_have_the_same_watts_either_way(monkeypatch: pytest.MonkeyPatch) -> None:
    compared = 0
    for seed in range(20):
        random = Random(seed)
        job = random_job(random, 100, kept=seed % 2 == 0, cells=36)
        supply = supply_for(models_of(job), random.choice((3, 6, UNLIMITED)), ((1, 4), (2, 3)))
        if not said(job, supply)[0]:
            continue
        compared += 1
        short = packed(job, supply)
        with monkeypatch.context() as patched:
            patched.setattr(door, "wires_anything", lambda fields, rules: False)
            whole = packed(job, supply)
        assert (short.watts, short.bound_watts, short.proven) == (
            whole.watts,
            whole.bound_watts,
            whole.proven,
        )
        assert short.wiring_costs_watts == whole.wiring_costs_watts == 0.0
    assert compared >= 8


def test_a_model_that_only_other_controllers_take_is_still_asked_for() -> None:
    """B fits no controller that is there; with the change it carries 840 W where A carries 800 W."""
    job = shed(A, B)
    small = supply_for((A,), 2, ((1, 8),))
    other = Supply((TrackerClass(ControllerModel("D", 150.0, 90.0, 90.0, (12.0,)), 2),), ())
    other = replace(other, options=supply_for((A, B), 2, ((1, 8),)).options)
    found = door.pack(job, small, clock_of(), lambda: [other])
    assert found.watts == 800.0
    assert found.wiring_costs_watts == 40.0
    assert found.freed_watts == (40.0,)


def test_other_rules_still_count_without_those_of_wiring() -> None:
    job = replace(shed(A, B), panels=PanelRules((A, B), most_models=1))
    _, rules = said(job, supply_for((A, B), 2, ((1, 8),)))
    bare = unwired(rules)
    assert (bare.wired, bare.most_models, bare.groups) == (False, 1, rules.groups)
