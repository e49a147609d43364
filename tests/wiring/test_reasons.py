"""Why panels cannot be wired: which limit, which controller, by how much. 12 V, -5 °C and 42 °C."""

from __future__ import annotations

from dataclasses import replace

import pytest
from wired_roofs import ASH, DUCK, ELM, FIR, GOOSE, HERON, SWAN, YEW_48, a_job, panel, temperatures

from rooflayout.job import Controllers, Job, KeptPanel, PanelModel, PanelRules, WiringRules
from rooflayout.wiring.options import supply_of
from rooflayout.wiring.reasons import why_not, why_not_model

HIGH = panel("High 300", 300, 95.0, 4.0)


def said(job: Job) -> list[str]:
    return why_not(job, temperatures(job))


def using(job: Job, *models: PanelModel) -> Job:
    return replace(job, panels=PanelRules(models))


def choosing(job: Job, *catalogue: object) -> Job:
    return replace(job, controllers=Controllers(catalogue, (), True))  # type: ignore[arg-type]


def test_nothing_to_say_when_every_model_can_be_wired() -> None:
    assert said(a_job(FIR)) == []
    assert said(a_job()) == []


def test_too_high_a_voltage_in_the_cold() -> None:
    """95 V x (1 + 0.0026 x 30) = 102.4 V."""
    assert said(using(a_job(ELM), HIGH)) == [
        "One High 300 on Elm 20 reaches 102.4 V open-circuit at -5 °C, "
        "2.4 V above the 100 V that the input takes."
    ]


def test_no_length_of_string_both_hot_and_cold() -> None:
    (sentence,) = said(using(a_job(ASH, nominal_v=24), HERON))
    assert "needs 2 in series to keep 32.8 V in the heat" in sentence
    assert "2 reach 98.1 V open-circuit at -5 °C, 23.1 V above the 75 V" in sentence


def test_too_much_current() -> None:
    """1.25 x 13.4 A = 16.75 A."""
    assert said(using(a_job(ASH), SWAN)) == [
        "Swan 400 counts as 16.8 A short-circuit (1.25 times 13.4 A), 3.8 A above the 13 A that Ash 10 takes."
    ]


def test_the_installers_own_cap_on_a_string() -> None:
    """Heron 150 is 49.0 V in the cold; two Goose 200 are 52.4 V, and one gives 15.3 V in the heat."""
    capped = replace(a_job(ELM), wiring_rules=WiringRules(most_string_v=45.0))
    assert said(using(capped, HERON)) == [
        "One Heron 150 on Elm 20 reaches 49.0 V open-circuit at -5 °C, "
        "4.0 V above the 45 V that the job allows a string (most_string_v)."
    ]
    (sentence,) = said(using(capped, GOOSE))
    assert sentence.startswith("Goose 200 on Elm 20 needs 2 in series to keep 18.4 V in the heat")
    assert sentence.endswith("7.4 V above the 45 V that the job allows a string (most_string_v).")
    assert said(using(replace(capped, wiring_rules=WiringRules(most_string_v=60.0)), HERON, GOOSE)) == []


def test_a_cap_above_the_inputs_own_limit_is_not_named() -> None:
    capped = replace(a_job(ELM), wiring_rules=WiringRules(most_string_v=101.0))
    assert said(using(capped, HIGH)) == said(using(a_job(ELM), HIGH))


def test_a_controller_for_another_battery_is_told_once() -> None:
    assert said(a_job(YEW_48)) == ["Yew 80 charges 48 V batteries; this battery is nominally 12 V."]


def test_the_controller_that_comes_nearest_is_named() -> None:
    """102.4 V is 2.4 V too much for Elm 20 (100 V) and 27 V too much for Ash 10 (75 V)."""
    (sentence,) = said(using(a_job(ASH, YEW_48, ELM), HIGH))
    assert "Elm 20" in sentence


def test_of_misses_of_one_controller_all_are_told() -> None:
    both = panel("Both 900", 900, 95.0, 21.0)
    (sentence,) = said(using(a_job(ELM), both))
    assert "102.4 V open-circuit" in sentence
    assert "26.2 A short-circuit" in sentence


def test_the_cap_on_clipping_when_choosing() -> None:
    """Ash 10 uses 10 A x 14.4 V / 0.97 = 148.5 W, so of 200 W it cuts off 51.5 W or 25.8 %."""
    assert said(using(choosing(a_job(), ASH), DUCK)) == [
        "Ash 10 charges with 10 A at 14.4 V, so it would cut off 52 W of 2 Duck 100 in series (200 W): "
        "25.8 %, where most_clipped_pct allows 10 %."
    ]
    assert said(using(a_job(ASH), DUCK)) == []  # fitted: no cap


def test_too_small_a_stock_for_the_shortest_string() -> None:
    job = using(a_job(ELM), replace(GOOSE, stock=1))
    assert said(job) == ["Goose 200 on Elm 20 needs at least 2 in series on one facet; there is 1."]
    assert said(using(a_job(ELM), replace(GOOSE, stock=2))) == []
    assert said(replace(job, kept=(KeptPanel(replace(GOOSE, stock=1), "main", 0, 0),))) == []
    assert said(using(a_job(ELM), replace(GOOSE, stock=0))) == []  # the user knows


def test_a_lonely_kept_panel() -> None:
    job = replace(using(a_job(ELM), DUCK), kept=(KeptPanel(GOOSE, "main", 0, 0),))
    assert said(job) == ["Goose 200 on Elm 20 needs at least 2 in series on one facet; there is 1."]
    there_are_two = why_not_model(job, temperatures(job), GOOSE, there=2)
    assert there_are_two == []


def test_of_controllers_that_would_do_as_well_the_planned_one_is_named() -> None:
    job = replace(
        using(choosing(a_job(), FIR, replace(FIR, model="Fir 70")), DUCK),
        kept=(KeptPanel(GOOSE, "main", 0, 0),),
    )
    for planned in ("Fir 60", "Fir 70"):
        (sentence,) = why_not_model(job, temperatures(job), GOOSE, planned={planned})
        assert sentence == f"Goose 200 on {planned} needs at least 2 in series on one facet; there is 1."


def test_a_planned_controller_is_named_before_one_that_comes_nearer() -> None:
    """As above Elm 20 misses by 2.4 V, Ash 10 by 27 V."""
    job = using(a_job(ASH, YEW_48, ELM), HIGH)
    (sentence,) = why_not_model(job, temperatures(job), HIGH, planned={"Ash 10"})
    assert sentence.startswith("One High 300 on Ash 10 reaches 102.4 V")
    (sentence,) = why_not_model(job, temperatures(job), HIGH, planned={"unknown"})
    assert "Elm 20" in sentence


def test_models_told_elsewhere_are_left_out() -> None:
    job = using(a_job(ELM), HIGH)
    assert why_not(job, temperatures(job), besides={HIGH.model}) == []


def test_a_blank_figure() -> None:
    job = using(a_job(ELM), replace(GOOSE, voc_v=None, isc_a=None))
    assert said(job) == ["Goose 200 has no voc_v, isc_a in the catalogue; wiring needs it."]


def test_strings_longer_than_are_planned() -> None:
    """0.588 V x (1 - 0.00375 x 66.46) = 0.441 V in the heat, so 18.4 V take 42 in series."""
    cell = panel("Cell 3", 3, 0.7, 10.0)
    (sentence,) = said(using(a_job(replace(FIR, max_pv_v=600.0, max_pv_isc_a=100.0)), cell))
    assert sentence == (
        "Cell 3 on Fir 60 needs 42 in series, 22 more than the 20 of the longest string that is planned."
    )


def test_no_controller_at_all() -> None:
    job = replace(a_job(ELM), controllers=Controllers((), (), False))
    assert said(job) == ["There is no controller to wire to."]


def test_every_model_without_options_is_explained() -> None:
    """Nothing that the supply leaves out goes without a reason, and nothing it offers gets one."""
    models = (DUCK, GOOSE, HERON, SWAN, HIGH)
    for nominal_v in (12.0, 24.0, 48.0):
        for fitted in ((ASH,), (ELM,), (FIR,), (YEW_48,), ()):
            job = using(a_job(*fitted, nominal_v=nominal_v), *models)
            offered = {o.model.model for o in supply_of(job, temperatures(job)).options}
            explained = {m.model for m in models if why_not_model(job, temperatures(job), m)}
            assert explained == {m.model for m in models} - offered


def test_a_job_without_battery_is_refused() -> None:
    with pytest.raises(ValueError, match="no battery"):
        why_not(replace(a_job(ELM), battery=None), temperatures(a_job(ELM)))
