"""Names, watts, strings, trackers, controllers and the claim of proof: each rule held and broken."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import (
    NAN,
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
    the_good_job,
    the_good_plan,
    with_layout,
    with_panel,
    with_string,
    with_wiring,
)

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Controllers, Facet, KeptPanel, PanelRules, WiringRules
from rooflayout.plan import Wiring

GOOD_JOB, GOOD = the_good_job(), the_good_plan()
LOAD = GOOD.wiring.controllers[0] if GOOD.wiring else a_load("", "")
KEPT = KeptPanel(REED, "main", 3000, 1500)
K1 = a_panel("K1", 3000, 1500, REED, kept=True)


def bare(*strings: object, unwired: tuple[str, ...] = ()) -> object:
    """The good plan's panels with other strings, no figures stated."""
    plan = a_plan(*GOOD.layout.panels, strings=strings, watts=NAN, bound_watts=NAN)  # type: ignore[arg-type]
    return with_wiring(plan, unwired=unwired)


def test_the_good_plan_holds() -> None:
    assert inspect_plan(GOOD_JOB, GOOD) == []


def test_names_are_unique() -> None:
    assert codes(a_job(), a_plan(a_panel("P1", 40, 40), a_panel("P1", 1460, 40))) == {"name-twice"}
    assert codes(GOOD_JOB, with_string(GOOD, 1, string="S1")) == {"name-twice"}
    assert codes(GOOD_JOB, with_wiring(GOOD, controllers=(LOAD, LOAD))) == {"name-twice"}


def test_a_panels_watts_are_its_models() -> None:
    assert codes(GOOD_JOB, with_panel(GOOD, 0, watts=200.04)) == set()
    assert codes(GOOD_JOB, with_panel(GOOD, 0, watts=200.1)) == {"panel-watts"}
    assert codes(GOOD_JOB, with_panel(GOOD, 0, watts=NAN)) == set()


def test_the_layouts_watts_add_up() -> None:
    plan = a_plan(a_panel("P1", 40, 40), a_panel("P2", 1460, 40, REED))
    assert codes(a_job(), plan) == set()
    assert codes(a_job(), with_layout(plan, watts=300.1, bound_watts=400)) == {"layout-watts"}
    assert codes(a_job(), with_layout(plan, watts=299.9, bound_watts=400)) == {"layout-watts"}
    assert codes(a_job(), with_layout(plan, watts=NAN)) == set()


def test_only_wired_panels_count_where_wiring_is_asked() -> None:
    job = replace(GOOD_JOB, kept=(KEPT,))
    plan = with_wiring(with_layout(GOOD, panels=(K1, *GOOD.layout.panels)), unwired=("K1",))
    assert codes(job, plan) == set()
    assert codes(job, with_layout(plan, watts=900, bound_watts=900)) == {"layout-watts"}


def test_proven_means_that_the_bound_equals_the_watts() -> None:
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=800.05)) == set()
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=800.1)) == {"proof"}
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=NAN)) == {"proof"}
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=800.1, status="best found")) == set()
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=NAN, status="best found")) == set()


@pytest.mark.parametrize("status", ["proven", "best found"])
def test_the_bound_is_not_below_the_watts(status: str) -> None:
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=799.95, status=status)) == set()
    assert codes(GOOD_JOB, with_layout(GOOD, bound_watts=799.9, status=status)) == {"bound"}


def test_a_bound_over_the_positions_tried_binds_no_others() -> None:
    """800 W, by hand better than the 750 W that were proven over the positions tried."""
    better = with_layout(GOOD, bound_watts=750, true_bound_watts=800, status="best found")
    assert codes(GOOD_JOB, better) == set()
    assert codes(GOOD_JOB, with_layout(better, status="proven")) == {"proof"}
    assert codes(GOOD_JOB, with_layout(better, true_bound_watts=799.9)) == {"bound"}
    assert codes(GOOD_JOB, with_layout(GOOD, true_bound_watts=799.9)) == {"bound"}
    (told,) = inspect_plan(GOOD_JOB, with_layout(better, status="proven"))
    assert told.text.endswith("(a layout with positions that were not tried is 'best found')")


def test_nothing_fits_means_that_nothing_new_is_placed() -> None:
    job = a_job(kept=(KEPT,))
    assert codes(job, a_plan(K1, status="nothing fits")) == set()
    assert codes(job, a_plan(K1, a_panel("P1", 40, 40), status="nothing fits")) == {"status"}


def test_no_wiring_though_the_job_asks_for_it() -> None:
    assert codes(GOOD_JOB, replace(GOOD, wiring=None)) == {"unwired"}
    assert codes(GOOD_JOB, a_plan()) == set()
    nothing = a_plan(K1, status="nothing fits", watts=0, bound_watts=0)
    assert codes(replace(GOOD_JOB, kept=(KEPT,)), nothing) == set()


def test_wiring_that_cannot_be_checked() -> None:
    job = replace(GOOD_JOB, battery=None, controllers=None)
    assert codes(job, GOOD) == {"wiring-unchecked"}
    assert GOOD.wiring is not None
    empty = Wiring((), (), (), GOOD.wiring.temperatures)
    assert codes(job, replace(GOOD, wiring=empty)) == set()
    assert codes(job, replace(GOOD, wiring=replace(empty, controllers=(LOAD,)))) == {"wiring-unchecked"}


def test_a_new_panel_is_on_exactly_one_string() -> None:
    two = bare(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3"))
    assert codes(GOOD_JOB, two) == set()  # type: ignore[arg-type]
    assert codes(GOOD_JOB, bare(a_string("S1", "P1", "P4"))) == {"panel-unwired"}  # type: ignore[arg-type]
    twice = bare(
        a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3"), a_string("S3", "P1", "P2", tracker=2)
    )
    assert codes(GOOD_JOB, twice) == {"panel-twice"}  # type: ignore[arg-type]
    assert texts(GOOD_JOB, twice)[0] == "P1 is wired 2 times, on S1, S3; 1 is allowed"  # type: ignore[arg-type]
    itself = bare(
        a_string("S1", "P1", "P1"), a_string("S2", "P2", "P3"), a_string("S3", "P4", "P4", tracker=2)
    )
    assert codes(GOOD_JOB, itself) == {"panel-twice"}  # type: ignore[arg-type]


def test_listing_a_new_panel_as_unwired_does_not_excuse_it() -> None:
    plan = bare(a_string("S1", "P1", "P4"), unwired=("P2", "P3"))
    assert codes(GOOD_JOB, plan) == {"panel-unwired"}  # type: ignore[arg-type]


def test_the_unwired_list_names_kept_panels_on_no_string() -> None:
    job = replace(GOOD_JOB, kept=(KEPT,))
    plan = with_layout(GOOD, panels=(K1, *GOOD.layout.panels))
    assert codes(job, with_wiring(plan, unwired=("K1",))) == set()
    assert codes(job, plan) == {"unwired-list"}
    assert codes(job, with_wiring(plan, unwired=("K1", "K2"))) == {"unwired-list"}
    assert codes(job, with_wiring(plan, unwired=("K1", "P1"))) == {"unwired-list"}


def test_a_string_names_panels_that_are_there() -> None:
    found = bare(a_string("S1", "P1", "P4", "P9"), a_string("S2", "P2", "P3", tracker=2))
    assert codes(GOOD_JOB, found) == {"string-panel"}  # type: ignore[arg-type]
    empty = bare(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3"), a_string("S3", tracker=2))
    assert codes(GOOD_JOB, empty) == {"string-empty"}  # type: ignore[arg-type]


def test_a_strings_panels_are_of_one_model() -> None:
    near = replace(REED, vmp_v=20.0, length_mm=1400, width_mm=700, power_w=200, model="Rush")
    job = replace(GOOD_JOB, panels=PanelRules((*GOOD_JOB.panels.models, near)))
    plan = with_panel(
        bare(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3", tracker=2)), 0, model="Rush"
    )  # type: ignore[arg-type]
    assert codes(job, plan) == {"string-mixed"}
    assert texts(job, plan) == ["S1 has panels of 2 models (Fen, Rush); 1 is allowed"]


def test_a_strings_panels_are_on_one_facet() -> None:
    plan = with_panel(
        bare(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3", tracker=2)), 0, facet="rear"
    )  # type: ignore[arg-type]
    assert codes(GOOD_JOB, plan) == {"string-mixed"}


def test_a_string_states_its_own_model_and_facet() -> None:
    assert codes(GOOD_JOB, with_string(GOOD, 0, model="Reed")) == {"string-model"}
    assert codes(GOOD_JOB, with_string(GOOD, 0, facet="rear")) == {"string-facet"}
    assert codes(GOOD_JOB, with_string(GOOD, 0, facet="", model="")) == set()


def test_parallel_strings_are_equal_in_count() -> None:
    big = replace(OTTER, max_pv_isc_a=60)
    unlike = a_plan(
        *GOOD.layout.panels,
        a_panel("P5", 1460, 1460 - 300, facet="main"),
        strings=(a_string("S1", "P1", "P4", "P5"), a_string("S2", "P2", "P3")),
    )
    job = a_wired_job((big,), spacing=GOOD_JOB.spacing)
    assert codes(job, unlike) == {"strings-unlike"}
    apart = with_string(unlike, 1, tracker=2)
    assert codes(job, apart) == set()


def test_parallel_strings_of_two_models_or_facets_get_on() -> None:
    """A panel of a third less voltage loses far more than 2 %; one that is only called otherwise, nothing."""
    assert REED.voc_v is not None
    assert REED.vmp_v is not None
    low = replace(REED, model="Rush", voc_v=REED.voc_v * 0.66, vmp_v=REED.vmp_v * 0.66)
    job = replace(GOOD_JOB, panels=PanelRules((*GOOD_JOB.panels.models, low)))
    plan = bare(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3"))
    for index in (0, 3):
        plan = with_panel(plan, index, model="Rush")  # type: ignore[arg-type]
    assert "strings-unlike" in codes(job, plan)  # type: ignore[arg-type]
    job = replace(GOOD_JOB, panels=PanelRules((*GOOD_JOB.panels.models, replace(REED, model="Rush"))))
    assert "strings-unlike" not in codes(job, plan)  # type: ignore[arg-type]
    wide = Facet("rear", ((0, 0), (5000, 0), (5000, 2200), (0, 2200)), slope_deg=70.0, downhill="+y")
    plan = bare(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3"))
    for index in (0, 3):
        plan = with_panel(plan, index, facet="rear")  # type: ignore[arg-type]
    job = replace(GOOD_JOB, facets=(GOOD_JOB.facets[0], wide))
    assert codes(job, plan) == set()  # type: ignore[arg-type]
    strict = replace(job, wiring_rules=WiringRules(most_mismatch_pct=0.0))
    assert codes(strict, plan) == {"strings-unlike"}  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["C2", "C0", "C01", "Otter", "", "c1", "C1 "])
def test_a_controller_is_one_of_the_fitted(name: str) -> None:
    plan = bare(a_string("S1", "P1", "P4", controller=name), a_string("S2", "P2", "P3"))
    assert codes(GOOD_JOB, plan) == {"unknown-controller"}  # type: ignore[arg-type]


def test_a_stated_controller_that_is_not_fitted() -> None:
    plan = with_wiring(GOOD, controllers=(LOAD, a_load("C2", "Otter")))
    assert codes(GOOD_JOB, plan) == {"unknown-controller"}
    two = replace(GOOD_JOB, controllers=Controllers((OTTER,), (OTTER, OTTER)))
    assert texts(GOOD_JOB, plan) == ["the plan names C2; fitted are C1 Otter"]
    assert codes(two, plan) == set()


def test_a_fitted_controller_states_its_own_model() -> None:
    other = replace(OTTER, model="Vole")
    job = replace(GOOD_JOB, controllers=Controllers((OTTER, other), (other,)))
    assert codes(job, GOOD) == {"controller-model"}
    assert texts(job, GOOD) == ["C1 states the model Otter; fitted there is the Vole"]
    assert codes(job, with_wiring(GOOD, controllers=(replace(LOAD, model=""),))) == set()


def test_a_chosen_controller_is_in_the_catalogue() -> None:
    job = replace(GOOD_JOB, controllers=Controllers((OTTER,), choose=True))
    assert codes(job, GOOD) == set()
    assert codes(job, with_wiring(GOOD, controllers=(replace(LOAD, model="Vole"),))) == {"unknown-controller"}
    assert codes(job, with_wiring(GOOD, controllers=())) == {"unknown-controller"}


@pytest.mark.parametrize(("tracker", "breach"), [(1, False), (2, False), (0, True), (3, True), (-1, True)])
def test_a_tracker_is_one_that_the_controller_has(tracker: int, breach: bool) -> None:
    plan = with_string(GOOD, 1, tracker=tracker)
    assert codes(GOOD_JOB, plan) == ({"unknown-tracker"} if breach else set())
