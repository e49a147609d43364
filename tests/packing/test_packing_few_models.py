"""Few trackers and many models: the layout of few models, and the search by teams of models after it."""

from __future__ import annotations

from dataclasses import replace
from math import comb
from random import Random
from typing import Any

import pytest
from small_random_jobs import CONTROLLER, clock_of, packed, random_models, rectangle, square_on

from rooflayout.job import Facet, Job, KeptPanel, Obstacle, PanelModel, PanelRules
from rooflayout.packing import few_models, stock, unminded
from rooflayout.packing.around import allowed_by
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.few_models import begin_with_few_models, worth_it
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, models_of, rules_of, unwired
from rooflayout.packing.search import Search
from rooflayout.packing.team_rules import (
    MOST_TEAMS,
    kinds_in,
    most_wired_models,
    restricted,
    teams_by_models,
)
from rooflayout.packing.unminded import search_minding
from rooflayout.wiring.options import StringOption, Supply, TrackerClass
from rooflayout.wiring.unlike import UnlikePair

SIX = tuple(PanelModel(f"M{n}", 400 + 50 * n, 300, 60.0 + 7 * n) for n in range(6))


def bare(models: tuple[PanelModel, ...], facets: int = 1) -> Job:
    roofs = tuple(rectangle(f"f{n}", 1400, 800, (2000.0 * n, 0.0)) for n in range(facets))
    return Job("t", roofs, PanelRules(models))


def supply_for(job: Job, trackers: int, most_parallel: int = 2) -> Supply:
    options = tuple(StringOption(m, 0, 1, most_parallel) for m in models_of(job))
    return Supply((TrackerClass(CONTROLLER, trackers),), options)


def parts(job: Job, supply: Supply) -> tuple[tuple[Field, ...], Rules]:
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model] in job.panels.models)
    return tuple(field_of(job, f) for f in job.facets), rules_of(job, models, kinds, supply)


def random_roof(seed: int) -> tuple[Job, Supply]:
    """Six models on a cluttered roof, on three trackers that take few panels each."""
    random = Random(seed)
    job = bare(random_models(random, 100, 6, equal_density=seed % 2 == 0))
    x, y = random.randrange(100, 1100, 100), random.randrange(100, 500, 100)
    job = replace(job, obstacles=(square_on("hatch", "f0", x, y, x + 200, y + 200),))
    models = tuple(replace(m, stock=None) for m in job.panels.models)
    job = replace(job, panels=replace(job.panels, models=models))
    options = tuple(
        StringOption(m, c, random.randint(1, 2), random.randint(1, 2)) for m in models for c in (0, 1)
    )
    return job, Supply((TrackerClass(CONTROLLER, 1), TrackerClass(CONTROLLER, 2)), options)


def test_a_team_is_every_choice_of_as_many_models_as_there_are_trackers() -> None:
    job = bare(SIX, facets=2)
    _, rules = parts(job, supply_for(job, 3))
    teams = teams_by_models(rules)
    assert teams is not None
    assert len(teams) == len(set(teams)) == comb(6, 3)
    for team in teams:
        models = {rules.groups[g].model for g in team}
        assert len(models) == 3
        assert team == tuple(g for g, group in enumerate(rules.groups) if group.model in models)


def test_kept_models_are_in_every_team() -> None:
    job = replace(bare(SIX), kept=(KeptPanel(SIX[4], "f0", 0.0, 0.0),))
    _, rules = parts(job, supply_for(job, 3))
    teams = teams_by_models(rules)
    assert teams is not None
    assert len(teams) == comb(5, 3)
    assert all(4 in {rules.groups[g].model for g in team} for team in teams)


@pytest.mark.parametrize("trackers", [6, 7])
def test_no_teams_where_every_model_may_have_a_tracker(trackers: int) -> None:
    job = bare(SIX)
    _, rules = parts(job, supply_for(job, trackers))
    assert teams_by_models(rules) is None
    assert not worth_it(rules)


@pytest.mark.parametrize(("trackers", "few_enough"), [(3, True), (5, False)])
def test_no_teams_where_there_are_too_many(trackers: int, few_enough: bool) -> None:
    """Of eleven models any three are 165 teams, any five 462."""
    models = tuple(PanelModel(f"M{n}", 400 + 10 * n, 300, 60.0) for n in range(11))
    _, rules = parts(bare(models), supply_for(bare(models), trackers))
    assert (comb(11, trackers) <= MOST_TEAMS) == few_enough
    assert (teams_by_models(rules) is not None) == few_enough


def test_unlike_models_that_share_a_tracker_count_twice() -> None:
    job = bare(SIX)
    pair = UnlikePair(0, ("f0", "f0"), (SIX[0], SIX[1]), (1, 1), (1, 1), 1.0)
    supply = supply_for(job, 3)
    assert most_wired_models(parts(job, supply)[1]) == 3
    assert most_wired_models(parts(job, replace(supply, pairs=(pair,)))[1]) == 6


@pytest.mark.parametrize("seed", range(8))
def test_by_teams_of_models_as_by_searching_all_at_once(seed: int) -> None:
    job, supply = random_roof(seed)
    fields, rules = parts(job, supply)
    assert teams_by_models(rules) is not None
    minded = search_minding(fields, rules, clock_of(), lambda search: None)
    whole = Search(fields, rules, clock_of()).run()
    found = minded.found.packing
    assert (found.watts, found.bound, found.proven) == (whole.watts, whole.watts, True)
    assert minded.free is not None
    assert minded.by_teams or found.watts == minded.free.sound_bound()  # no need of teams
    assert minded.by_teams == (seed != 0)
    if minded.found.rules.wired:
        assert allowed_by(rules, [k for k, _, _ in found.places], found.watts)


@pytest.mark.parametrize("seed", range(6))
def test_the_layout_of_few_models_is_near_the_best(seed: int) -> None:
    """Within a panel of a dozen; nothing is promised, but much less would be of no use."""
    job, supply = random_roof(seed)
    fields, rules = parts(job, supply)
    search = Search(fields, rules, clock_of())
    begin_with_few_models(fields, rules, clock_of(), search.pool, search.incumbent)
    inc = search.incumbent
    assert inc.places is not None
    assert allowed_by(rules, [k for k, _, _ in inc.places], inc.watts)
    best = Search(fields, rules, clock_of()).run()
    assert 0.9 * best.watts <= inc.watts <= best.watts


def test_workers_do_not_change_the_layout() -> None:
    job, supply = random_roof(3)
    fields, rules = parts(job, supply)
    found = []
    for workers in (1, 2, 2):
        search = Search(fields, rules, clock_of())
        begin_with_few_models(fields, rules, clock_of(workers=workers), search.pool, search.incumbent)
        found.append((search.incumbent.watts, search.incumbent.places))
    assert found[0] == found[1] == found[2]


def sizes_tried(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Of how many models each set is, as they are tried from now on; on one facet."""
    sizes: list[int] = []

    def noted(rules: Rules, team: tuple[int, ...]) -> Rules:
        sizes.append(len(team))
        return restricted(rules, team)

    monkeypatch.setattr(few_models, "restricted", noted)
    return sizes


def test_no_more_sets_of_models_than_the_places_allow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of each size one batch, once its places are used up."""
    job, supply = random_roof(3)
    fields, rules = parts(job, supply)
    sizes = sizes_tried(monkeypatch)
    monkeypatch.setattr(few_models, "MOST_PLACES", 1)
    search = Search(fields, rules, clock_of())
    begin_with_few_models(fields, rules, clock_of(), search.pool, search.incumbent)
    assert sizes == [n for n in (1, 2, 3) for _ in range(few_models.TOGETHER)]


def test_beside_something_round_the_bound_for_all_positions_is_that_of_all_models() -> None:
    """It is above the watts, and not far: the eased roof is searched by teams too."""
    job, supply = random_roof(1)
    vent = Obstacle("vent", "f0", centre_mm=(700.0, 400.0), diameter_mm=210.0)
    job = replace(job, obstacles=(vent,))
    found = packed(job, supply)
    fields, rules = parts(job, supply)
    assert search_minding(fields, rules, clock_of(), lambda search: None).by_teams
    assert found.proven
    assert found.watts <= found.true_bound_watts <= 1.1 * found.watts


def test_stopped_after_each_model_alone_there_is_a_layout(monkeypatch: pytest.MonkeyPatch) -> None:
    job, supply = random_roof(3)
    fields, rules = parts(job, supply)
    sizes = sizes_tried(monkeypatch)
    clock = replace(clock_of(), stopped=lambda: len(sizes) > 6)
    search = Search(fields, rules, clock_of())
    begin_with_few_models(fields, rules, clock, search.pool, search.incumbent)
    assert sizes == [1] * 6 + [2]
    assert search.incumbent.places is not None


def nosed(monkeypatch: pytest.MonkeyPatch) -> tuple[tuple[Field, ...], Rules]:
    """A roof on which all models together have too many places for the steps that two of them may have."""
    job, supply = random_roof(3)
    nose = Facet(
        "f0", ((0.0, 0.0), (1100.0, 0.0), (1400.0, 300.0), (1400.0, 500.0), (1100.0, 800.0), (0.0, 800.0))
    )
    fields, rules = parts(replace(job, facets=(nose,)), supply)
    monkeypatch.setattr(stock, "SLANT_CANDIDATES", 150)
    monkeypatch.setattr(stock, "TOO_MANY_CANDIDATES", 200)
    monkeypatch.setattr(stock, "MUCH_FEWER", 1.0)
    return fields, rules


def test_few_models_have_no_other_positions_than_all_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the bound of all of them would not hold for few."""
    fields, rules = nosed(monkeypatch)
    free = Search(fields, unwired(rules), clock_of())
    free.prepare()
    assert free.fine is not None
    all_of_them = places(free)
    team = tuple(g for g, group in enumerate(rules.groups) if group.model < 2)
    numbers = kinds_in(rules, team)

    def of_team(fields: tuple[Field, ...]) -> set[Place]:
        search = Search(fields, restricted(rules, team), clock_of())
        search.prepare()
        return {(numbers[k], x, y) for k, x, y in places(search)}

    assert of_team(free.fields_as_tried()) <= all_of_them
    assert not of_team(fields) <= all_of_them  # they would have finer steps by themselves


def places(search: Search) -> set[Place]:
    assert search.fine is not None
    at = search.fine.candidates
    return set(zip(at.kind.tolist(), at.x_mm.tolist(), at.y_mm.tolist(), strict=True))


def test_after_the_search_without_wiring_all_keep_to_its_positions(monkeypatch: pytest.MonkeyPatch) -> None:
    fields, rules = nosed(monkeypatch)
    seen: list[tuple[bool, int]] = []
    made = Search.__init__

    def noted(self: Search, fields: tuple[Field, ...], *rest: Any, **named: Any) -> None:
        seen.extend((field.slant_step_fixed, field.slant_step_mm) for field in fields)
        made(self, fields, *rest, **named)

    monkeypatch.setattr(Search, "__init__", noted)
    minded = search_minding(fields, rules, clock_of(), lambda search: None)
    assert minded.free is not None
    (step,) = {field.slant_step_mm for field in minded.free.fields_as_tried()}
    assert seen[:2] == [(False, 10)] * 2  # with wiring, which waits for those without, and without
    assert set(seen[2:]) == {(True, step)}
    assert len(seen) > 20


def test_no_teams_where_one_is_large_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    job, supply = random_roof(3)
    fields, rules = parts(job, supply)
    assert search_minding(fields, rules, clock_of(), lambda search: None).by_teams
    monkeypatch.setattr(
        unminded, "is_large", lambda fields, rules, clock: len({k.model for k in rules.kinds}) < 6
    )
    assert not search_minding(fields, rules, clock_of(), lambda search: None).by_teams
