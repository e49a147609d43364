"""Models in use, stock, number of models, mass and budget: each held, and broken by one or a hair."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import FEN, REED, a_job, a_panel, a_plan, codes, texts

from rooflayout.job import Job, KeptPanel, PanelModel, PanelRules

THREE = a_plan(a_panel("P1", 40, 40), a_panel("P2", 1460, 40), a_panel("P3", 40, 40, facet="rear"))
MIXED = a_plan(a_panel("P1", 40, 40), a_panel("P2", 1460, 40, REED))
KEPT = KeptPanel(REED, "main", 3000, 1200)
WITH_KEPT = a_plan(a_panel("K1", 3000, 1200, REED, kept=True), a_panel("P1", 40, 40))


def rules(*models: PanelModel, kept: tuple[KeptPanel, ...] = (), **limits: float | None) -> Job:
    return a_job(panels=PanelRules(models, **limits), kept=kept)  # type: ignore[arg-type]


def test_a_new_panel_is_of_a_model_in_use() -> None:
    assert codes(rules(FEN, REED, kept=(KEPT,)), WITH_KEPT) == set()
    assert codes(rules(FEN, kept=(KEPT,)), WITH_KEPT) == set()
    more = a_plan(*WITH_KEPT.layout.panels, a_panel("P2", 1460, 40, REED))
    assert codes(rules(FEN, REED, kept=(KEPT,)), more) == set()
    assert codes(rules(FEN, kept=(KEPT,)), more) == {"model-not-in-use"}


def test_stock_counts_over_all_facets() -> None:
    assert codes(rules(replace(FEN, stock=3)), THREE) == set()
    assert codes(rules(replace(FEN, stock=2)), THREE) == {"stock"}
    assert texts(rules(replace(FEN, stock=2)), THREE) == ["3 new Fen are placed; 2 are in stock"]


def test_kept_panels_take_nothing_from_the_stock() -> None:
    assert codes(rules(FEN, replace(REED, stock=0), kept=(KEPT,)), WITH_KEPT) == set()
    more = a_plan(*WITH_KEPT.layout.panels, a_panel("P2", 1460, 40, REED))
    assert codes(rules(FEN, replace(REED, stock=0), kept=(KEPT,)), more) == {"stock"}


@pytest.mark.parametrize(("job_kept", "plan"), [((), MIXED), ((KEPT,), WITH_KEPT)])
def test_most_models_counts_kept_ones(job_kept: tuple[KeptPanel, ...], plan: object) -> None:
    assert codes(rules(FEN, REED, kept=job_kept, most_models=2), plan) == set()  # type: ignore[arg-type]
    assert codes(rules(FEN, REED, kept=job_kept, most_models=1), plan) == {"most-models"}  # type: ignore[arg-type]


def test_most_mass_counts_kept_ones() -> None:
    # 11.0 kg and 6.0 kg
    assert codes(rules(FEN, REED, kept=(KEPT,), most_mass_kg=17.0), WITH_KEPT) == set()
    tight = rules(FEN, REED, kept=(KEPT,), most_mass_kg=16.9)
    assert codes(tight, WITH_KEPT) == {"most-mass"}
    assert texts(tight, WITH_KEPT) == ["the panels weigh 17 kg together; at most 16.9 kg"]


def test_a_sum_of_tenths_does_not_exceed_itself() -> None:
    light = replace(FEN, mass_kg=0.1)  # 0.1 + 0.1 + 0.1 > 0.3 in floating point
    assert codes(rules(light, most_mass_kg=0.3), THREE) == set()


def test_an_unknown_mass_cannot_hold_a_limit() -> None:
    blank = replace(FEN, mass_kg=None)
    assert codes(rules(blank), THREE) == set()
    assert codes(rules(blank, most_mass_kg=1000), THREE) == {"mass-unknown"}
    assert texts(rules(blank, most_mass_kg=1000), THREE) == [
        "the mass of Fen is not given; at most 1000 kg cannot be shown to hold"
    ]


def test_the_budget_counts_new_panels_only() -> None:
    assert codes(rules(FEN, REED, kept=(KEPT,), budget=150), WITH_KEPT) == set()
    assert codes(rules(FEN, REED, kept=(KEPT,), budget=149.9), WITH_KEPT) == {"budget"}
    assert codes(rules(FEN, budget=450), THREE) == set()
    assert texts(rules(FEN, budget=449), THREE) == ["the new panels cost 450 together; the budget is 449"]


def test_an_unknown_price_cannot_hold_a_budget() -> None:
    blank = replace(FEN, price=None)
    assert codes(rules(blank), THREE) == set()
    assert codes(rules(blank, budget=1e6), THREE) == {"price-unknown"}


def test_a_kept_panels_price_is_not_asked_for() -> None:
    kept = replace(KEPT, model=replace(REED, price=None))
    assert codes(rules(FEN, kept=(kept,), budget=150), WITH_KEPT) == set()
