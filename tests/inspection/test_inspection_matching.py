"""Facet, model, sides, turning and kept panels: each rule held, and broken by a hair."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import FEN, MAIN, REED, a_job, a_panel, a_plan, codes, texts, with_panel

from rooflayout.job import KeptPanel, PanelRules

KEPT = KeptPanel(REED, "main", 3000, 1100, turned=True)
KEPT_JOB = a_job(kept=(KEPT,))
KEPT_PLAN = a_plan(a_panel("K1", 3000, 1100, REED, turned=True, kept=True), a_panel("P1", 40, 40))


def test_an_unknown_facet_is_a_breach() -> None:
    assert codes(a_job(), a_plan(a_panel("P1", 40, 40, facet="rear"))) == set()
    plan = a_plan(a_panel("P1", 40, 40, facet="roar"))
    assert codes(a_job(), plan) == {"unknown-facet"}
    assert texts(a_job(), plan) == ["P1 lies on 'roar'; the job's facets are main, rear"]


def test_an_unknown_model_is_a_breach() -> None:
    plan = with_panel(a_plan(a_panel("P1", 40, 40)), 0, model="Fenn")
    assert "unknown-model" in codes(a_job(), plan)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("field", ["along_x_mm", "along_y_mm"])
@pytest.mark.parametrize(
    ("off", "breach"),
    [
        (0, False),
        (0.4, False),
        (1, False),
        (1.1, True),
        (-0.1, True),
        (-1, True),
        (1 + 1e-5, True),
        (-1e-5, True),
    ],
)
def test_sides_are_the_catalogues_or_rounded_up(turned: bool, field: str, off: float, breach: bool) -> None:
    panel = a_panel("P1", 40, 40, turned=turned)
    plan = a_plan(replace(panel, **{field: getattr(panel, field) + off}))
    assert codes(a_job(), plan) == ({"panel-size"} if breach else set())


def test_turned_and_sides_belong_together() -> None:
    plan = a_plan(replace(a_panel("P1", 40, 40), turned=True))
    assert codes(a_job(), plan) == {"panel-size"}
    assert texts(a_job(), plan)[0] == "P1 measures 1400 mm along x; Fen, turned, measures 700 mm"


def test_a_panel_is_turned_only_when_its_model_may_be() -> None:
    fixed = replace(FEN, turnable=False)
    plan = a_plan(a_panel("P1", 40, 40, turned=True))
    assert codes(a_job(), plan) == set()
    assert codes(a_job(panels=PanelRules((fixed,))), plan) == {"turned"}
    assert codes(a_job(panels=PanelRules((fixed,))), a_plan(a_panel("P1", 40, 40))) == set()


def test_a_kept_panel_may_lie_turned_though_new_ones_may_not() -> None:
    fixed = replace(REED, turnable=False)
    assert (
        codes(a_job(kept=(replace(KEPT, model=fixed),), panels=PanelRules((FEN, fixed))), KEPT_PLAN) == set()
    )


def test_kept_panels_at_their_place_hold() -> None:
    assert codes(KEPT_JOB, KEPT_PLAN) == set()


def test_a_kept_panel_left_out_is_a_breach() -> None:
    plan = a_plan(a_panel("P1", 40, 40))
    assert codes(KEPT_JOB, plan) == {"kept-missing"}
    assert texts(KEPT_JOB, plan) == [
        "the job keeps a Reed at (3000, 1100) mm on main, turned; the plan has no kept panel there"
    ]


@pytest.mark.parametrize(
    "changes", [{"x_mm": 3001}, {"y_mm": 1099.9}, {"facet": "rear", "x_mm": 1000, "y_mm": 900}]
)
def test_a_kept_panel_moved_is_a_breach(changes: dict[str, object]) -> None:
    assert codes(KEPT_JOB, with_panel(KEPT_PLAN, 0, **changes)) == {"kept-missing", "kept-invented"}


def test_a_kept_panel_turned_or_of_another_model_is_a_breach() -> None:
    way = with_panel(KEPT_PLAN, 0, turned=False, along_x_mm=1000, along_y_mm=500)
    assert codes(KEPT_JOB, way) == {"kept-missing", "kept-invented"}
    other = with_panel(KEPT_PLAN, 0, model="Fen", along_x_mm=700, along_y_mm=1400)
    assert codes(KEPT_JOB, other) >= {"kept-missing", "kept-invented"}


def test_a_kept_panel_called_new_is_a_breach() -> None:
    assert codes(KEPT_JOB, with_panel(KEPT_PLAN, 0, kept=False)) == {"kept-missing"}


def test_an_invented_kept_panel_is_a_breach() -> None:
    plan = a_plan(*KEPT_PLAN.layout.panels, a_panel("K2", 2000, 40, REED, kept=True))
    assert codes(KEPT_JOB, plan) == {"kept-invented"}
    assert texts(KEPT_JOB, plan) == [
        "K2, a Reed at (2000, 40) mm on main, is called kept; "
        "the job keeps a Reed at (3000, 1100) mm on main, turned"
    ]
    assert codes(a_job(), a_plan(a_panel("K1", 40, 40, kept=True))) == {"kept-invented"}


def test_one_kept_panel_is_matched_once() -> None:
    twin = a_job(kept=(KEPT, KEPT), facets=(MAIN,))
    assert "kept-missing" in codes(twin, KEPT_PLAN)
    twice = a_plan(*KEPT_PLAN.layout.panels, replace(KEPT_PLAN.layout.panels[0], panel="K2"))
    assert "kept-invented" in codes(KEPT_JOB, twice)
