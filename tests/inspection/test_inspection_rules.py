"""Models in use, stock, number of models, mass and budget: each held, and broken by one or a hair."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import (
    FEN,
    OTTER,
    REED,
    a_job,
    a_load,
    a_panel,
    a_plan,
    a_string,
    a_wired_job,
    codes,
    texts,
    with_wiring,
)

from rooflayout.job import Job, KeptPanel, MountingSpace, PanelModel, PanelRules
from rooflayout.plan import MountedBox

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


HUNG = replace(OTTER, length_mm=200, width_mm=150, height_mm=80)
SPACE = MountingSpace(460, 190, 80, 20)
BOXES = (MountedBox("C1", 20, 20, 200, 150), MountedBox("C2", 240, 20, 200, 150))


def hanging(boxes: tuple[MountedBox, ...] | None = BOXES, space: MountingSpace | None = SPACE) -> list[str]:
    job = a_wired_job((HUNG, HUNG), mounting_space=space)
    plan = a_plan(a_panel("P1", 40, 40), a_panel("P2", 1460, 40), strings=(a_string("S1", "P1", "P2"),))
    loads = (a_load("C1", "Otter"), a_load("C2", "Otter"))
    return texts(job, with_wiring(plan, controllers=loads, mounted=boxes))


def moved(box: int, **changes: float | str) -> list[str]:
    boxes = list(BOXES)
    boxes[box] = replace(boxes[box], **changes)  # type: ignore[arg-type]
    return hanging(tuple(boxes))


def test_boxes_with_their_clearance_hold() -> None:
    assert hanging() == []
    assert hanging(None) == []
    assert hanging(space=None) == []


def test_boxes_keep_their_clearance_to_the_edges() -> None:
    edge = "is 19.9 mm from an edge of the mounting space; at least 20 mm"
    assert moved(0, x_mm=19.9) == [f"C1 {edge}"]
    assert moved(0, y_mm=19.9) == [f"C1 {edge}"]
    assert moved(1, x_mm=240.1) == [f"C2 {edge}"]
    assert moved(1, y_mm=20.1) == [f"C2 {edge}"]
    assert hanging(space=replace(SPACE, width_mm=459.9)) == [f"C2 {edge}"]


def test_boxes_keep_their_clearance_to_each_other() -> None:
    assert moved(0, x_mm=20.1) == ["C1 and C2 hang 19.9 mm apart; at least 20 mm"]
    above = (BOXES[0], MountedBox("C2", 20, 190, 200, 150))
    assert hanging(above, MountingSpace(460, 400, 80, 20)) == []
    nearer = (BOXES[0], replace(above[1], y_mm=189.9))
    assert hanging(nearer, MountingSpace(460, 400, 80, 20)) == [
        "C1 and C2 hang 19.9 mm apart; at least 20 mm"
    ]


def test_boxes_are_of_the_models_size_upright_and_not_too_deep() -> None:
    roomy = MountingSpace(900, 900, 80, 20)
    turned = (replace(BOXES[0], along_x_mm=150, along_y_mm=200), BOXES[1])
    assert hanging(turned, roomy) == [
        "C1 hangs as 150 x 200 mm; Otter is 200 mm there",
        "C1 hangs as 150 x 200 mm; Otter is 150 mm there",
    ]
    assert hanging(space=replace(SPACE, depth_mm=79.9)) == [
        "C1 is 80 mm deep; the space has 79.9 mm",
        "C2 is 80 mm deep; the space has 79.9 mm",
    ]


def test_every_controller_hangs_once() -> None:
    assert hanging(BOXES[:1]) == ["C2 is hung nowhere"]
    assert "C3 is not a controller" in moved(1, controller="C3")
    assert "C1 hangs in 2 places" in moved(1, controller="C1")
    assert moved(1, x_mm=float("nan")) != []
