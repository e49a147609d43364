"""Large roofs of many models: the few densest first, and the others where they bring more."""

from __future__ import annotations

from dataclasses import replace

import pytest
from plans_of_packed import breaches_of
from small_random_jobs import clock_of, rectangle, square_on
from test_packing_beside import prepared
from test_packing_large import as_packed

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import by_few as by_few_room
from rooflayout.packing import search as search_room
from rooflayout.packing import sweeps as sweeps_room
from rooflayout.packing.by_few import many, search_by_few
from rooflayout.packing.incumbent import Place
from rooflayout.packing.kinds import densest_models

SIZES = (
    (1010, 730, 150),
    (1150, 640, 148),
    (930, 800, 148),
    (590, 410, 41),
    (1210, 500, 115),
    (460, 330, 24),
)
MODELS = tuple(PanelModel(f"M{n}", float(a), float(b), float(w)) for n, (a, b, w) in enumerate(SIZES))
HATCH = square_on("hatch", "roof", 1200, 700, 1600, 1100, clearance_mm=40)
ROOF = Job("roof", (rectangle("roof", 2910, 2170),), PanelRules(MODELS), (HATCH,), Spacing(20, 30))


@pytest.fixture(autouse=True)
def _short(monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole roof as a large one, with one round."""
    monkeypatch.setattr(sweeps_room, "AGAIN", 1)
    monkeypatch.setattr(sweeps_room, "MORE_MODELS", ((9,),))
    monkeypatch.setattr(sweeps_room, "plunges", lambda *asked: iter(()))


def test_densest_models_come_first() -> None:
    """W/m2 with gaps of 20 mm: 194, 192, 190, 156, 180, 143."""
    _, rules = prepared(ROOF)
    assert densest_models(rules.kinds) == [0, 1, 2, 4, 3, 5]


def test_where_rules_bind_or_models_are_few_all_go_together() -> None:
    _, rules = prepared(ROOF)
    assert many(rules)
    assert not many(prepared(replace(ROOF, panels=PanelRules(MODELS[:3])))[1])
    scarce = (replace(MODELS[0], stock=2), *MODELS[1:])
    assert not many(prepared(replace(ROOF, panels=PanelRules(scarce)))[1])


def test_the_layout_holds_and_has_what_the_few_have_at_least(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search_room, "is_large", lambda *asked: True)
    monkeypatch.setattr(by_few_room, "is_large", lambda *asked: True)
    fields, rules = prepared(ROOF)
    few = by_few_room._of_the_few(fields, rules, clock_of(20), 1 << 40)
    assert {rules.kinds[k].model for k, _, _ in few} <= {0, 1, 2}
    watts = sum(rules.kinds[k].watts for k, _, _ in few)
    first, second = (search_by_few(fields, rules, clock_of(20)) for _ in range(2))
    assert first == second
    assert first.watts == sum(rules.kinds[k].watts for k, _, _ in first.places)
    assert first.watts > watts
    assert {rules.kinds[k].model for k, _, _ in first.places} - {0, 1, 2}
    assert breaches_of(ROOF, as_packed(ROOF, list(first.places))) == []


def test_where_the_roof_is_not_large_for_the_few_prices_follow_sweeps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """What each way found is handed on; the second is asked to go on from the first."""
    fields, rules = prepared(ROOF)
    asked = []

    def searched(
        fields: object, own: object, clock: object, start: tuple[Place, ...], swept: bool
    ) -> tuple[Place, ...]:
        asked.append((start, swept))
        return (*start, (len(start), 30, 30))

    monkeypatch.setattr(by_few_room, "_searched", searched)
    monkeypatch.setattr(by_few_room, "is_large", lambda *asked: False)
    found = by_few_room._of_the_few(fields, rules, clock_of(20), 1 << 40)
    assert asked == [((), True), (((0, 30, 30),), False)]
    assert found == ((0, 30, 30), (1, 30, 30))
