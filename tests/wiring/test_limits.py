"""Each electrical rule alone; the published values stand in tests/published/."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.job import Battery, ControllerModel, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.misses import misses

PANEL = PanelModel(
    model="Test 100",
    length_mm=1195,
    width_mm=540,
    power_w=100.0,
    voc_v=22.0,
    vmp_v=18.5,
    isc_a=5.8,
    imp_a=5.405,
    voc_pct_per_k=-0.27,
    isc_pct_per_k=0.04,
    power_pct_per_k=-0.34,
)
BLANK = PanelModel(model="Blank 100", length_mm=1195, width_mm=540, power_w=100.0)
TRACKER = ControllerModel(
    model="Test 15",
    max_pv_v=75.0,
    max_pv_isc_a=15.0,
    max_charge_a=15.0,
    battery_v=(12.0, 24.0),
    start_above_battery_v=5.0,
    efficiency_pct=98.0,
)
BATTERY = Battery(nominal_v=12.0, charge_v=14.4)
TEMPERATURES = Temperatures(
    coldest_cell_c=-20.0,
    coldest_source="test",
    hottest_air_c=40.0,
    hottest_cell_c=90.0,
    hottest_source="test",
)


@pytest.mark.parametrize(
    ("coldest_c", "factor"),
    [
        (40, 1.0),
        (25, 1.0),
        (24.9, 1.02),  # between 25 and 24: the colder row
        (20, 1.02),
        (19.5, 1.04),
        (0, 1.10),
        (-0.5, 1.12),
        (-40, 1.25),
        (-40.5, 1.262),  # below the table: 0.4 % per K
        (-50, 1.3),
    ],
)
def test_cold_factor_takes_the_colder_row(coldest_c: float, factor: float) -> None:
    assert limits.cold_factor(coldest_c) == pytest.approx(factor, abs=1e-12)


@given(st.floats(-60, 40), st.floats(0, 30))
def test_cold_factor_never_falls_with_cold(coldest_c: float, colder_by_k: float) -> None:
    assert limits.cold_factor(coldest_c - colder_by_k) >= limits.cold_factor(coldest_c)


def test_cold_voc_by_the_panels_own_coefficient() -> None:
    assert limits.cold_voc_v(PANEL, -20.0) == pytest.approx(22.0 * (1 + 0.0027 * 45))


def test_cold_voc_by_the_table_without_coefficient() -> None:
    assert limits.cold_voc_v(replace(PANEL, voc_pct_per_k=None), -20.0) == pytest.approx(22.0 * 1.18)


def test_flush_cell_agrees_with_pvlib() -> None:
    temperature = pytest.importorskip("pvlib").temperature
    constants = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["close_mount_glass_glass"]
    for air_c in (-10.0, 25.0, 40.0, 47.5):
        expected_c = temperature.sapm_cell(1000.0, air_c, 1.0, **constants)
        assert limits.flush_cell_c(air_c) == pytest.approx(expected_c, abs=1e-9)


def test_open_rack_cell_agrees_with_pvlib() -> None:
    temperature = pytest.importorskip("pvlib").temperature
    constants = temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["open_rack_glass_glass"]
    for air_c in (-10.0, 25.0, 40.0, 47.5):
        expected_c = temperature.sapm_cell(1000.0, air_c, 1.0, **constants)
        assert limits.open_rack_cell_c(air_c) == pytest.approx(expected_c, abs=1e-9)


def test_vmp_coefficient_is_power_less_current() -> None:
    assert limits.vmp_pct_per_k(PANEL) == pytest.approx(-0.38)


def test_vmp_coefficient_with_blanks() -> None:
    assert limits.vmp_pct_per_k(replace(PANEL, isc_pct_per_k=None)) == pytest.approx(-0.39)
    assert limits.vmp_pct_per_k(replace(PANEL, power_pct_per_k=None)) == -0.50


def test_hot_vmp_falls_faster_than_voc() -> None:
    assert limits.hot_vmp_v(PANEL, 90.0) == pytest.approx(18.5 * (1 - 0.0038 * 65))
    assert limits.hot_vmp_v(PANEL, 90.0) / 18.5 < limits.cold_voc_v(PANEL, 90.0) / 22.0


def test_hot_vmp_is_never_negative() -> None:
    assert limits.hot_vmp_v(replace(PANEL, power_pct_per_k=-34.0), 90.0) == 0.0


def test_design_isc() -> None:
    assert limits.design_isc_a(10.0) == 12.5


def test_needed_vmp() -> None:
    assert limits.needed_vmp_v(BATTERY, TRACKER) == pytest.approx(19.4)


def test_charge_current_up_to_the_limit() -> None:
    assert limits.charge_a(144.0, TRACKER, BATTERY) == pytest.approx(9.8)
    assert limits.charge_a(1000.0, TRACKER, BATTERY) == 15.0


def test_clipping_starts_where_the_charge_limit_is_reached() -> None:
    full_w = 15.0 * 14.4 / 0.98
    assert limits.clipped_w(full_w - 1, TRACKER, BATTERY) == 0.0
    assert limits.clipped_w(full_w + 50, TRACKER, BATTERY) == pytest.approx(50.0)


@given(st.floats(0, 3000))
def test_what_is_not_clipped_charges(power_w: float) -> None:
    kept_w = power_w - limits.clipped_w(power_w, TRACKER, BATTERY)
    assert limits.charge_a(power_w, TRACKER, BATTERY) * 14.4 == pytest.approx(kept_w * 0.98)


def test_most_in_series_at_the_coldest() -> None:
    assert limits.cold_voc_v(PANEL, -20.0) == pytest.approx(24.673)
    assert limits.most_in_series(PANEL, TRACKER, -20.0) == 3  # 74.02 V of 75 V
    assert limits.most_in_series(PANEL, TRACKER, -26.0) == 2  # 75.09 V would be too much


def test_most_in_series_heeds_the_panels_system_voltage() -> None:
    assert limits.most_in_series(replace(PANEL, max_system_v=50.0), TRACKER, -20.0) == 2
    assert limits.most_in_series(replace(PANEL, max_system_v=600.0), TRACKER, -20.0) == 3


def test_most_in_series_is_none_when_one_is_too_many() -> None:
    assert limits.most_in_series(PANEL, replace(TRACKER, max_pv_v=24.6), -20.0) == 0


@given(st.integers(1, 40), st.floats(5, 60))
def test_exactly_full_series_passes(count: int, voc_v: float) -> None:
    panel = replace(PANEL, voc_v=voc_v, voc_pct_per_k=None)
    tracker = replace(TRACKER, max_pv_v=count * limits.cold_voc_v(panel, -7.0))
    assert limits.most_in_series(panel, tracker, -7.0) == count


def test_least_in_series_at_the_hottest() -> None:
    # 18.5 V fall to 13.93 V: one panel cannot charge a 12 V battery on a flush roof
    assert limits.least_in_series(PANEL, TRACKER, BATTERY, 90.0) == 2
    assert limits.least_in_series(PANEL, TRACKER, Battery(24.0, 28.8), 90.0) == 3
    assert limits.least_in_series(PANEL, replace(TRACKER, start_above_battery_v=-5.0), BATTERY, 25.0) == 1


@given(st.integers(1, 40), st.floats(5, 60))
def test_exactly_enough_in_series_passes(count: int, vmp_v: float) -> None:
    panel = replace(PANEL, vmp_v=vmp_v)
    tracker = replace(TRACKER, start_above_battery_v=0.0)
    battery = Battery(12.0, count * limits.hot_vmp_v(panel, 88.0))
    assert limits.least_in_series(panel, tracker, battery, 88.0) == count


def test_no_series_is_long_enough_without_hot_voltage() -> None:
    dead = replace(PANEL, power_pct_per_k=-34.0)
    assert limits.least_in_series(dead, TRACKER, BATTERY, 90.0) == limits.NEVER_IN_SERIES


def test_most_in_parallel() -> None:
    assert limits.most_in_parallel(PANEL, TRACKER) == 2  # 14.5 A of 15 A
    assert limits.most_in_parallel(PANEL, replace(TRACKER, max_pv_isc_a=14.5)) == 2
    assert limits.most_in_parallel(PANEL, replace(TRACKER, max_pv_isc_a=7.2)) == 0


def test_serves_battery() -> None:
    assert limits.serves_battery(TRACKER, Battery(24.0, 28.8))
    assert not limits.serves_battery(TRACKER, Battery(48.0, 57.6))


def test_string_fuses() -> None:
    rated = replace(PANEL, isc_a=10.0, max_series_fuse_a=25.0)
    assert not limits.needs_string_fuses(rated, 1)
    assert not limits.needs_string_fuses(rated, 3)  # exactly 25 A
    assert limits.needs_string_fuses(rated, 4)
    assert not limits.needs_string_fuses(PANEL, 2)
    assert limits.needs_string_fuses(PANEL, 3)  # no rating known


@pytest.mark.parametrize(
    ("call", "column"),
    [
        (lambda: limits.cold_voc_v(BLANK, 0.0), "voc_v"),
        (lambda: limits.hot_vmp_v(BLANK, 90.0), "vmp_v"),
        (lambda: limits.most_in_parallel(BLANK, TRACKER), "isc_a"),
    ],
)
def test_a_blank_figure_is_named(call, column: str) -> None:
    with pytest.raises(ValueError, match=f"Blank 100 has no {column}"):
        call()


def test_no_miss_when_some_length_fits() -> None:
    assert misses(PANEL, TRACKER, BATTERY, TEMPERATURES) == []


def test_miss_of_the_battery() -> None:
    (miss,) = misses(PANEL, replace(TRACKER, battery_v=(24.0, 48.0)), BATTERY, TEMPERATURES)
    assert (miss.limit, miss.value, miss.allowed, miss.unit) == ("battery_v", 12.0, 24.0, "V")
    assert miss.sentence == "Test 15 charges 24 or 48 V batteries; this battery is nominally 12 V."


def test_miss_of_one_panel_in_the_cold() -> None:
    (miss,) = misses(PANEL, replace(TRACKER, max_pv_v=24.0), BATTERY, TEMPERATURES)
    assert (miss.controller, miss.panel, miss.limit) == ("Test 15", "Test 100", "max_pv_v")
    assert miss.value == pytest.approx(24.673)
    assert miss.sentence == (
        "One Test 100 on Test 15 reaches 24.7 V open-circuit at -20 °C, "
        "0.7 V above the 24 V that the input takes."
    )


def test_miss_between_heat_and_cold() -> None:
    (miss,) = misses(PANEL, replace(TRACKER, max_pv_v=45.0), BATTERY, TEMPERATURES)
    assert miss.limit == "max_pv_v"
    assert miss.value == pytest.approx(2 * 24.673)
    assert miss.sentence == (
        "Test 100 on Test 15 needs 2 in series to keep 19.4 V in the heat "
        "(13.9 V each with cells at 90 °C), but 2 reach 49.3 V open-circuit at -20 °C, "
        "4.3 V above the 45 V that the input takes."
    )


def test_miss_of_the_panels_system_voltage() -> None:
    (miss,) = misses(replace(PANEL, max_system_v=40.0), TRACKER, BATTERY, TEMPERATURES)
    assert (miss.limit, miss.allowed) == ("max_system_v", 40.0)
    assert miss.sentence.endswith("9.3 V above the 40 V that the panel may carry.")


def test_miss_of_the_current() -> None:
    (miss,) = misses(PANEL, replace(TRACKER, max_pv_isc_a=7.0), BATTERY, TEMPERATURES)
    assert (miss.limit, miss.value, miss.allowed, miss.unit) == ("max_pv_isc_a", 7.25, 7.0, "A")
    assert "7.2 A short-circuit (1.25 times 5.8 A), 0.2 A above the 7 A" in miss.sentence


def test_miss_by_a_hair_does_not_print_as_nothing() -> None:
    (miss,) = misses(PANEL, replace(TRACKER, max_pv_isc_a=7.249), BATTERY, TEMPERATURES)
    assert "0.001 A above" in miss.sentence


def test_miss_of_a_panel_without_hot_voltage() -> None:
    dead = replace(PANEL, power_pct_per_k=-34.0)
    (miss,) = misses(dead, TRACKER, BATTERY, TEMPERATURES)
    assert miss.limit == "start_above_battery_v"
    assert "Check the panel's coefficients" in miss.sentence


def test_all_misses_are_listed() -> None:
    poor = replace(TRACKER, battery_v=(48.0,), max_pv_v=20.0, max_pv_isc_a=5.0)
    found = [miss.limit for miss in misses(PANEL, poor, BATTERY, TEMPERATURES)]
    assert found == ["battery_v", "max_pv_v", "max_pv_isc_a"]


@given(
    max_pv_v=st.floats(10, 300),
    max_pv_isc_a=st.floats(1, 60),
    start_v=st.floats(0, 6),
    battery_v=st.sampled_from([12.0, 24.0, 48.0]),
)
def test_misses_agree_with_the_counts(
    max_pv_v: float, max_pv_isc_a: float, start_v: float, battery_v: float
) -> None:
    tracker = replace(TRACKER, max_pv_v=max_pv_v, max_pv_isc_a=max_pv_isc_a, start_above_battery_v=start_v)
    battery = Battery(battery_v, battery_v * 1.2)
    wireable = (
        limits.serves_battery(tracker, battery)
        and limits.least_in_series(PANEL, tracker, battery, 90.0)
        <= limits.most_in_series(PANEL, tracker, -20.0)
        and limits.most_in_parallel(PANEL, tracker) >= 1
    )
    found = misses(PANEL, tracker, battery, TEMPERATURES)
    assert wireable == (found == [])
    for miss in found:
        assert miss.value != miss.allowed
        assert re.search(r"Test 100|Test 15", miss.sentence)


@pytest.mark.parametrize(
    ("system_v", "cap_v", "limit_v"),
    [(None, None, 75.0), (50.0, None, 50.0), (None, 60.0, 60.0), (50.0, 60.0, 50.0), (90.0, 90.0, 75.0)],
)
def test_a_strings_limit_is_the_least_of_input_panel_and_installer(
    system_v: float | None, cap_v: float | None, limit_v: float
) -> None:
    assert limits.string_limit_v(replace(PANEL, max_system_v=system_v), TRACKER, cap_v) == limit_v


@pytest.mark.parametrize(
    ("volts", "words"),
    [((), "no"), ((12.0,), "12"), ((12.0, 24.0), "12 or 24"), ((12, 36, 48), "12, 36 or 48")],
)
def test_served_voltages_in_words(volts: tuple[float, ...], words: str) -> None:
    assert limits.served_text(replace(TRACKER, battery_v=volts)) == words
