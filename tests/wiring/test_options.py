"""What may go on which tracker, by hand: 12 V, -5 °C and 42 °C unless said otherwise."""

from __future__ import annotations

from dataclasses import replace

import pytest
from wired_roofs import (
    ASH,
    CATALOGUE,
    DUCK,
    ELM,
    FIR,
    GOOSE,
    OAK_TWIN,
    SWAN,
    YEW_48,
    a_job,
    temperatures,
)

from rooflayout.job import Controllers, Job, KeptPanel, PanelRules, WiringRules
from rooflayout.wiring import limits
from rooflayout.wiring.options import LONGEST_SERIES, UNLIMITED, Supply, supply_of, within_cap


def supply(job: Job, capped: bool = True) -> Supply:
    return supply_of(job, temperatures(job), capped)


def ways_of(job: Job, model: str, controller: str, capped: bool = True) -> dict[int, int]:
    """in_series: most_parallel."""
    found = supply(job, capped)
    return {
        o.in_series: o.most_parallel
        for o in found.options
        if o.model.model == model and found.classes[o.tracker_class].controller.model == controller
    }


def test_equal_fitted_controllers_are_one_class_with_all_their_trackers() -> None:
    classes = supply(a_job(OAK_TWIN, ELM, OAK_TWIN)).classes
    assert [(c.controller, c.trackers) for c in classes] == [(OAK_TWIN, 4), (ELM, 1)]


def test_a_controller_for_another_battery_is_left_out() -> None:
    assert [c.controller for c in supply(a_job(YEW_48, ELM)).classes] == [ELM]
    assert [c.controller for c in supply(a_job(YEW_48, ELM, nominal_v=48)).classes] == [YEW_48]


def test_series_and_parallel_by_hand() -> None:
    """Goose 200: 26.2 V cold and 15.2 V hot, 12.9 A to design for; Elm 20: 100 V, 25 A, needs 18.4 V."""
    assert limits.cold_voc_v(GOOSE, -5.0) == pytest.approx(26.195, abs=0.01)
    assert limits.hot_vmp_v(GOOSE, temperatures(a_job(ELM)).hottest_cell_c) == pytest.approx(15.32, abs=0.05)
    assert ways_of(a_job(ELM), "Goose 200", "Elm 20") == {2: 1, 3: 1}
    assert ways_of(a_job(ELM), "Duck 100", "Elm 20") == {2: 3, 3: 3, 4: 3}
    assert ways_of(a_job(ELM), "Heron 150", "Elm 20") == {1: 4, 2: 4}


def test_the_installers_cap_shortens_strings() -> None:
    """Duck 100 reaches 24.8 V cold: 2 x stay below 60 V, 4 x below 100 V. Heron 150 reaches 49.0 V."""
    capped = a_job(ELM, wiring_rules=WiringRules(most_string_v=60.0))
    assert ways_of(capped, "Duck 100", "Elm 20") == {2: 3}
    assert ways_of(capped, "Heron 150", "Elm 20") == {1: 4}
    loose = a_job(ELM, wiring_rules=WiringRules(most_string_v=500.0))
    assert supply(loose) == supply(a_job(ELM))
    just = 2 * limits.cold_voc_v(DUCK, -5.0)
    assert 2 in ways_of(a_job(ELM, wiring_rules=WiringRules(most_string_v=just)), "Duck 100", "Elm 20")
    below = WiringRules(most_string_v=just - 0.001)
    assert ways_of(a_job(ELM, wiring_rules=below), "Duck 100", "Elm 20") == {}


def test_models_of_kept_panels_count_as_well() -> None:
    job = a_job(ELM, panels=PanelRules((GOOSE,)), kept=(KeptPanel(DUCK, "main", 0, 0),))
    assert {o.model for o in supply(job).options} == {GOOSE, DUCK}
    assert {o.model for o in supply(replace(job, kept=())).options} == {GOOSE}


@pytest.mark.parametrize("blank", ["voc_v", "vmp_v", "isc_a"])
def test_a_model_without_a_needed_figure_has_no_options(blank: str) -> None:
    job = a_job(ELM, panels=PanelRules((replace(GOOSE, **{blank: None}), DUCK)))
    assert {o.model for o in supply(job).options} == {DUCK}


def test_strings_are_no_longer_than_the_longest_planned() -> None:
    tiny = replace(DUCK, model="Tiny", voc_v=2.0, vmp_v=1.7)
    job = a_job(replace(FIR, max_pv_v=600), panels=PanelRules((tiny,)))
    assert max(o.in_series for o in supply(job).options) == LONGEST_SERIES


def test_choosing_offers_every_model_that_serves_the_battery_without_limit() -> None:
    classes = supply(a_job()).classes
    assert [c.controller for c in classes] == [ASH, ELM, OAK_TWIN, FIR]
    assert {c.trackers for c in classes} == {UNLIMITED}


def test_choosing_keeps_a_tracker_alone_within_the_cap() -> None:
    """Elm 20 uses 20 A x 14.4 V / 0.97 = 297 W, so at a cap of 10 % it carries up to 330 W."""
    assert ways_of(a_job(), "Goose 200", "Elm 20") == {}  # two in series are 400 W
    assert ways_of(a_job(), "Duck 100", "Elm 20") == {2: 1, 3: 1}
    assert ways_of(a_job(), "Duck 100", "Elm 20", capped=False) == {2: 3, 3: 3, 4: 3}
    assert ways_of(a_job(ELM), "Duck 100", "Elm 20") == {2: 3, 3: 3, 4: 3}  # fitted: no cap


def test_the_cap_follows_the_job() -> None:
    loose = replace(a_job(), controllers=Controllers(CATALOGUE, choose=True, most_clipped_pct=30.0))
    assert ways_of(loose, "Goose 200", "Elm 20") == {2: 1}  # 400 W: 25.8 % clipped


def test_a_cap_that_is_just_met_holds() -> None:
    job = a_job()
    assert job.battery is not None
    exactly_w = 20 * 14.4 / 0.97 / 0.9
    assert within_cap(exactly_w, ELM, job.battery, 10.0)
    assert not within_cap(exactly_w + 0.01, ELM, job.battery, 10.0)
    assert within_cap(1e6, ELM, job.battery, None)
    assert within_cap(1e6, ELM, job.battery, 100.0)


def test_a_job_without_battery_cannot_be_supplied() -> None:
    with pytest.raises(ValueError, match="no battery"):
        supply_of(replace(a_job(ELM), battery=None), temperatures(a_job(ELM)))


def test_no_option_is_listed_twice() -> None:
    for job in (a_job(), a_job(OAK_TWIN, ELM, OAK_TWIN, FIR), a_job(nominal_v=48)):
        options = supply(job).options
        assert len(options) == len(set(options))
        assert all(o.most_parallel >= 1 and o.in_series >= 1 for o in options)
    assert SWAN in {o.model for o in supply(a_job()).options}
