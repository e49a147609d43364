"""The rules as sums over kinds: figures, limits, groups, options."""

from __future__ import annotations

import numpy as np
import pytest
from small_random_jobs import CONTROLLER, rectangle

from rooflayout.job import Job, KeptPanel, PanelModel, PanelRules
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, mass_g, models_of, price_cents, rules_of
from rooflayout.wiring.options import StringOption, Supply, TrackerClass

A = PanelModel("A", 600, 400, 100.0, mass_kg=5.5, price=79.99, stock=3)
B = PanelModel("B", 500, 500, 90.5, mass_kg=None, price=None)
OLD = PanelModel("old", 300, 300, 44.0, mass_kg=2.25)
FACETS = (rectangle("F0", 2000, 1000), rectangle("F1", 1000, 1000))
KEPT = (KeptPanel(OLD, "F1", 0, 0), KeptPanel(OLD, "F1", 300, 0), KeptPanel(A, "F0", 0, 0))


def rules(panels: PanelRules, supply: Supply | None = None, kept: tuple[KeptPanel, ...] = KEPT) -> Rules:
    job = Job("x", FACETS, panels, kept=kept)
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model] in panels.models)
    return rules_of(job, models, kinds, supply)


def test_models_for_sale_come_first_and_kept_ones_once() -> None:
    assert models_of(Job("x", FACETS, PanelRules((A, B)), kept=KEPT)) == (A, B, OLD)


def test_stock_counts_a_models_new_panels_on_all_facets_both_ways_round() -> None:
    (cap,) = rules(PanelRules((A, B))).caps
    kinds = rules(PanelRules((A, B))).kinds
    assert cap.limit == 3  # the kept one is not taken from stock
    assert list(cap.per_kind) == [int(k.model == 0) for k in kinds]
    assert sum(cap.per_kind) == 4  # two facets, two ways round


def test_a_limit_of_nothing_is_a_limit() -> None:
    sold_out = PanelModel("A", 600, 400, 100.0, stock=0)
    (cap,) = rules(PanelRules((sold_out,)), kept=()).caps
    assert cap.limit == 0
    mass, budget = rules(PanelRules((B,), most_mass_kg=0.0, budget=0.0), kept=()).caps
    assert (mass.limit, budget.limit) == (0, 0)


def test_mass_counts_kept_panels_and_budget_does_not() -> None:
    _, mass, budget = rules(PanelRules((A, B), most_mass_kg=30.0, budget=200.0)).caps
    assert mass.limit == 30_000 - 2 * 2250 - 5500
    assert budget.limit == 20_000
    kinds = rules(PanelRules((A, B))).kinds
    assert list(mass.per_kind) == [5500 if k.model == 0 else 0 for k in kinds]
    assert list(budget.per_kind) == [7999 if k.model == 0 else 0 for k in kinds]


@pytest.mark.parametrize("limit", [0.1, 0.3, 12.7, 100.1, 333.33])
def test_a_limit_is_not_lost_to_binary(limit: float) -> None:
    mass, budget = rules(PanelRules((B,), most_mass_kg=limit, budget=limit), kept=()).caps
    assert (mass.limit, budget.limit) == (round(limit * 1000), round(limit * 100))


def test_whole_grams_and_cents_never_make_a_panel_lighter_or_cheaper() -> None:
    assert mass_g(PanelModel("A", 1, 1, 1.0, mass_kg=7.0001)) == 7001
    assert mass_g(PanelModel("A", 1, 1, 1.0, mass_kg=5.5)) == 5500
    assert price_cents(PanelModel("A", 1, 1, 1.0, price=0.29)) == 29
    assert (mass_g(B), price_cents(B)) == (0, 0)


def test_a_group_is_one_model_on_one_facet() -> None:
    found = rules(PanelRules((A, B)))
    said = {(g.facet, g.model): (len(g.kinds), g.kept, g.kept_watts) for g in found.groups}
    assert said == {
        (0, 0): (2, 1, 1000),
        (0, 1): (1, 0, 905),
        (1, 0): (2, 0, 1000),
        (1, 1): (1, 0, 905),
        (1, 2): (0, 2, 440),
    }
    for number, group in enumerate(found.groups):
        assert np.nonzero(found.group_of_kind == number)[0].tolist() == list(group.kinds)
    assert found.kept_models == {0, 2}
    assert found.kept_watts() == 1000 + 2 * 440


def test_layouts_differ_by_the_grain() -> None:
    assert rules(PanelRules((A,)), kept=()).grain() == 1000
    assert rules(PanelRules((A, B)), kept=()).grain() == 5
    assert rules(PanelRules((A,)), kept=KEPT[:1]).grain() == 40
    assert rules(PanelRules(()), kept=()).grain() == 1


def test_options_are_told_by_group() -> None:
    options = (StringOption(A, 0, 2, 3), StringOption(OLD, 1, 1, 4))
    supply = Supply((TrackerClass(CONTROLLER, 2), TrackerClass(CONTROLLER, 5)), options)
    found = rules(PanelRules((A, B)), supply)
    assert found.wired
    assert found.trackers == (2, 5)
    said = {
        (
            found.groups[o.group].facet,
            found.groups[o.group].model,
            o.tracker_class,
            o.in_series,
            o.most_parallel,
        )
        for o in found.options
    }
    assert said == {(0, 0, 0, 2, 3), (1, 0, 0, 2, 3), (1, 2, 1, 1, 4)}
    assert not rules(PanelRules((A, B))).wired


def test_too_heavy_already_nothing_more_goes_on_not_even_a_panel_of_unknown_mass() -> None:
    (mass,) = rules(PanelRules((B,), most_mass_kg=9.9)).caps  # the kept ones have 10 kg
    assert mass.limit == 0
    assert all(value > 0 for value in mass.per_kind)
    (mass,) = rules(PanelRules((B,), most_mass_kg=10.0)).caps
    assert set(mass.per_kind) == {0}
