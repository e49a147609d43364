"""Why a wiring is as it is: every sentence by hand. -5 °C and 42 °C (cells at 91.5 °C)."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from wired_roofs import DUCK, ELM, FIR, FRONT, GOOSE, HERON, MAIN, OAK_TWIN, a_job, a_roof, temperatures

from rooflayout.job import Controllers, Facet, Job, PanelModel, PanelRules, WiringRules
from rooflayout.wiring import limits
from rooflayout.wiring.because import because, drop_out_c
from rooflayout.wiring.groups import NotWirable
from rooflayout.wiring.wire import wire

BIG = replace(FIR, max_charge_a=200.0)


def said(job: Job, *parts: tuple[PanelModel, int, Facet]) -> dict[str, str]:
    job, panels = a_roof(job, *parts)
    return dict(wire(job, temperatures(job), panels)[1].because)


def test_a_controller_no_larger_than_the_battery_has_use_for_says_so() -> None:
    """400 W want 27 A; the battery takes 20 A, as an Elm 20 gives. With 21 A a Fir 60 is chosen."""
    job = replace(a_job(), controllers=Controllers((FIR, ELM), (), True))
    assert job.battery is not None
    clause = "More charge current would be worth nothing, as the battery takes only 20 A from the roof."
    bound = replace(job, battery=replace(job.battery, most_charge_a=20.0))
    assert said(bound, (GOOSE, 2, MAIN))["C1"].endswith(f". {clause}")
    loose = replace(job, battery=replace(job.battery, most_charge_a=21.0))
    assert "worth nothing" not in said(loose, (GOOSE, 2, MAIN))["C1"]
    fitted = replace(bound, controllers=Controllers((FIR, ELM), (ELM,)))
    assert "worth nothing" not in said(fitted, (GOOSE, 2, MAIN))["C1"]


def test_shorter_strings_would_drop_out_in_the_heat_and_longer_ones_are_dangerous() -> None:
    """18.4 V of 20.412 V x (1 - 0.00375 x (T - 25)): T = 51.3 °C. Four at -5 °C: 4 x 26.195 V = 104.8 V."""
    assert said(a_job(FIR), (GOOSE, 4, MAIN)) == {
        "C1": "Two in series, two in parallel: at 12 V a single panel would drop out with cells above 52 °C; "
        "four in series would reach 105 V in the cold, above 60 V DC."
    }


def test_a_limit_of_the_input_forbids_longer_strings() -> None:
    low = replace(FIR, max_pv_v=60.0)
    assert said(a_job(low), (GOOSE, 4, MAIN))["C1"].endswith(
        "four in series would reach 105 V in the cold, above the 60 V that the input takes."
    )


def test_the_installers_cap_forbids_longer_strings() -> None:
    job = a_job(FIR, wiring_rules=WiringRules(most_string_v=55.0))
    assert said(job, (GOOSE, 4, MAIN))["C1"].endswith(
        "four in series would reach 105 V in the cold, above the 55 V that the job allows a string "
        "(most_string_v)."
    )


def test_a_panels_own_limit_forbids_longer_strings() -> None:
    old = replace(GOOSE, max_system_v=55.0)
    job = a_job(FIR, panels=PanelRules((old,)))
    assert said(job, (old, 4, MAIN))["C1"].endswith("above the 55 V that the panel may carry.")


def test_more_current_than_the_input_takes_forbids_shorter_strings() -> None:
    """At 12 V eight strings of two would be 8 x 1.25 x 10.35 A = 103.5 A."""
    told = said(a_job(BIG), (GOOSE, 16, MAIN))["C1"]
    assert told.startswith(
        "Four in series, four in parallel: two in series, eight in parallel count as 103.5 A short-circuit, "
        "above the 65 A that the input takes"
    )


def test_too_much_loss_in_cable_forbids_shorter_strings() -> None:
    rated = replace(GOOSE, max_series_fuse_a=60.0)
    told = said(a_job(BIG, panels=PanelRules((rated,))), (rated, 8, MAIN))["C1"]
    assert told.startswith(
        "Four in series, two in parallel: two in series, four in parallel would lose 3.8 % even in 10 mm² "
        "cable, above 3 %; eight in series would reach 210 V"
    )


def test_fuses_forbid_shorter_strings() -> None:
    """Six Goose 200: three strings of two need fuses of at most 20 A, two strings of three do not."""
    assert said(a_job(BIG), (GOOSE, 6, MAIN))["C1"].startswith(
        "Three in series, two in parallel: two in series, three in parallel would need a fuse for each string"
    )


def test_less_current_where_nothing_else_counts() -> None:
    """12.94 V each in the cold, so three and four in series both stay below 60 V; 5.21 A a string."""
    small = replace(DUCK, model="Small", voc_v=12.0, vmp_v=10.5, max_series_fuse_a=60.0)
    assert said(a_job(BIG, panels=PanelRules((small,))), (small, 12, MAIN)) == {
        "C1": "Four in series, three in parallel: three in series, four in parallel would bring 20.8 A "
        "instead of 15.6 A, so more loss in the cable; six in series would reach 78 V in the cold, "
        "above 60 V DC."
    }


def test_a_number_that_does_not_divide() -> None:
    """Seven Goose 200 at 24 V need three in series (45.9 V in the heat; 32.8 V are needed)."""
    high = replace(FIR, max_pv_v=250.0)
    assert said(a_job(high, nominal_v=24.0), (GOOSE, 7, MAIN)) == {
        "C1": "Seven in series: seven panels do not divide into shorter strings of three or more."
    }


def test_never_enough_for_the_battery() -> None:
    """61.6 V of 4 x 20.412 V: T = 90.5 °C. 14 V at 25 °C are 15.6 V at -5 °C."""
    high = replace(FIR, max_pv_v=250.0)
    assert said(a_job(high, nominal_v=48.0), (GOOSE, 5, MAIN)) == {
        "C1": "Five in series: at 48 V four in series would drop out with cells above 91 °C."
    }
    flat = replace(HERON, vmp_v=14.0)
    assert said(a_job(FIR, panels=PanelRules((flat,))), (flat, 2, MAIN)) == {
        "C1": "Two in series: a single panel would never give the 18.4 V that charging 12 V takes."
    }


def test_one_panel_alone() -> None:
    """38.22 V x (1 - 0.00375 x 66.46) = 28.7 V."""
    assert said(a_job(ELM), (HERON, 1, MAIN)) == {
        "C1": "One panel alone: 28.7 V in the heat, where charging 12 V takes 18.4 V."
    }


def test_trackers_that_differ_are_told_one_by_one() -> None:
    told = said(a_job(OAK_TWIN), (GOOSE, 2, MAIN), (HERON, 1, FRONT))["C1"]
    assert told.startswith("Tracker 1, two in series: at 12 V")
    assert ". Tracker 2, one panel alone: 28.7 V" in told


def test_an_idle_controller_has_no_reason() -> None:
    assert set(said(a_job(FIR, ELM), (GOOSE, 2, MAIN))) == {"C1"}


def test_the_temperature_at_which_a_string_drops_out() -> None:
    for count, needed_v in itertools.product((1, 2, 3), (12.0, 18.4, 40.0)):
        cell_c = drop_out_c(GOOSE, count, needed_v)
        right = count * (GOOSE.vmp_v or 0.0) * (1 - 0.00375 * (cell_c - 25))
        assert right == pytest.approx(needed_v)
    assert drop_out_c(replace(GOOSE, vmp_v=0.0), 1, 10.0) == float("-inf")
    rising = replace(GOOSE, power_pct_per_k=0.1, isc_pct_per_k=0.05)
    assert (drop_out_c(rising, 1, 20.0), drop_out_c(rising, 1, 30.0)) == (float("inf"), float("-inf"))


def test_every_loaded_controller_has_a_reason_that_begins_with_its_strings() -> None:
    """Whatever the battery: 12, 24 and 48 V, with what the limits say of the neighbours."""
    for nominal_v, count in itertools.product((12.0, 24.0, 48.0), range(1, 13)):
        job, panels = a_roof(a_job(replace(BIG, max_pv_v=250.0), nominal_v=nominal_v), (GOOSE, count, MAIN))
        try:
            _, wiring = wire(job, temperatures(job), panels)
        except NotWirable:
            continue
        ((name, told),) = because(job, wiring)
        words = (
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
        )
        in_series = wiring.strings[0].in_series
        assert name == "C1"
        assert told.startswith(f"{words[in_series - 1].capitalize()} in series")
        assert job.battery is not None
        least = limits.least_in_series(GOOSE, BIG, job.battery, wiring.temperatures.hottest_cell_c)
        assert ("drop out" in told or "never give" in told) == (in_series == least > 1)
