"""The search without wiring first: the same watts and proofs as with wiring alone; what is lost is known."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest
from small_random_jobs import CONTROLLER, clock_of, packed, random_job, rectangle

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing import beside, unminded
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.loose import with_room
from rooflayout.packing.rules import PairOption, Rules, models_of, rules_of
from rooflayout.packing.search import Packing, Search
from rooflayout.packing.teams import search
from rooflayout.packing.unminded import Minded, search_minding
from rooflayout.wiring.options import StringOption, Supply, TrackerClass

A = PanelModel("A", 500, 500, 100.0)
B = PanelModel("B", 1000, 500, 210.0)
C = PanelModel("C", 700, 400, 105.0)
D = PanelModel("D", 300, 500, 55.0)


def rules_for(job: Job, trackers: int, ways: tuple[tuple[int, int], ...]) -> Rules:
    """One class of so many trackers; ways: (in series, most parallel), alike for every model."""
    return rules_of(job, models_of(job), kinds_of(job, models_of(job)), supply_for(job, trackers, ways))


def supply_for(job: Job, trackers: int, ways: tuple[tuple[int, int], ...]) -> Supply:
    options = tuple(StringOption(m, 0, s, p) for m in models_of(job) for s, p in ways)
    return Supply((TrackerClass(CONTROLLER, trackers),), options)


def shed(*models: PanelModel) -> Job:
    return Job("shed", (rectangle("top", 2000, 1000),), PanelRules(models))


def minded(job: Job, rules: Rules) -> Minded:
    return search_minding(tuple(field_of(job, f) for f in job.facets), rules, clock_of(), lambda search: None)


def test_where_the_best_layout_can_be_wired_nothing_is_lost() -> None:
    """Four B in two rows have 840 W; three trackers take them."""
    found = minded(shed(A, B, C, D), rules_for(shed(A, B, C, D), 3, ((1, 8),)))
    assert found.nothing_lost
    assert found.found.packing.watts == found.found.packing.bound >= 8400


def test_where_it_cannot_the_wired_one_is_searched() -> None:
    """Strings of three on three trackers: three, six or nine panels, but four B fill the roof with 840 W."""
    job = shed(B, replace(B, model="B2", stock=0), A)
    rules = rules_for(job, 3, ((3, 1),))
    found = minded(job, rules)
    fields = tuple(field_of(job, f) for f in job.facets)
    assert found.found.packing.watts == search(fields, rules, clock_of()).packing.watts < 8400


def test_the_same_watts_and_proof_as_with_wiring_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    minding, asked = beside.search_minding, set()

    def noted(
        fields: tuple[Field, ...],
        rules: Rules,
        clock: Clock,
        dived: Callable[[Search], None],
        opened: Callable[[], None],
    ) -> Minded:
        asked.add(seed)
        return minding(fields, rules, clock, dived, opened)

    for seed in range(16):
        random = Random(seed)
        job = random_job(random, 100, facets=random.randint(1, 2), kept=seed % 2 == 0, cells=36)
        ways = tuple((s, random.randint(1, 3)) for s in random.sample((1, 2, 3), random.randint(1, 2)))
        supply = supply_for(job, random.randint(3, 5), ways)
        with monkeypatch.context() as patched:
            patched.setattr(beside, "search_minding", noted)
            new = packed(job, supply)
        with monkeypatch.context() as patched:
            patched.setattr(
                beside,
                "search_minding",
                lambda fields, rules, clock, dived, opened: Minded(search(fields, rules, clock, dived), None),
            )
            old = packed(job, supply)
        assert (new.watts, new.bound_watts, new.proven) == (old.watts, old.bound_watts, old.proven), seed
    assert len(asked) >= 6, asked  # the others have few trackers, or wiring that binds nothing


def test_stopped_at_once_there_is_still_a_wired_layout_or_none() -> None:
    job = shed(A, B, C, D)
    clock = replace(clock_of(), stopped=lambda: True)
    rules = rules_for(job, 3, ((1, 8),))
    packing = search_minding((field_of(job, job.facets[0]),), rules, clock, lambda search: None).found.packing
    assert packing.places
    assert unminded.allowed_by(rules, [k for k, _, _ in packing.places], packing.watts)


def test_a_layout_without_proof_that_can_be_wired_is_where_the_wired_search_begins(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    job = shed(A, B, C, D)
    settle = Search.settle

    def unproven(self: Search, rounds: int | None = None) -> Packing | None:
        found = settle(self, rounds)
        return None if found is None else replace(found, bound=found.bound + 100)

    def at_once(self: Search) -> Packing:
        inc = self.incumbent
        return Packing(inc.watts, inc.bound, inc.places or ())

    monkeypatch.setattr(Search, "settle", unproven)
    monkeypatch.setattr(Search, "run", at_once)
    found = minded(job, rules_for(job, 3, ((1, 8),))).found
    assert found.rules.wired
    assert found.packing.watts >= 8400


def test_pairs_of_more_panels_than_there_is_room_for_are_left_out() -> None:
    """2 m²: six A take 1.5 m², and one B 0.5 m²; a seventh A or a second B is too much."""
    job = shed(A, B)
    pairs = tuple(PairOption((0, 1), 0, (a, b)) for a in range(1, 9) for b in range(1, 5))
    rules = replace(rules_for(job, 1, ((1, 8),)), pairs=pairs)
    left = {p.panels for p in with_room([field_of(job, job.facets[0])], rules).pairs}
    assert left == {(a, b) for a in range(1, 9) for b in range(1, 5) if a * 0.25 + b * 0.5 <= 2.0}
    assert (6, 1) in left
    assert (7, 1) not in left
