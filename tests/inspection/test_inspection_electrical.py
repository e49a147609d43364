"""Each electrical rule held and broken by 0.1 V or 0.1 A; the formulas against published values."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import (
    FEN,
    NAN,
    OTTER,
    REED,
    UNSTATED,
    a_load,
    a_panel,
    a_plan,
    a_string,
    a_wired_job,
    codes,
    texts,
    with_wiring,
)

from rooflayout.inspection.electrical import (
    cold_factor,
    coldest_c,
    hottest_air_c,
    hottest_cell_c,
    vmp_hot_v,
    voc_cold_v,
)
from rooflayout.job import Battery, Controllers, Job, PanelModel, PanelRules, Site, WiringRules
from rooflayout.plan import Plan, PortableString, Temperatures

FOUR = (a_panel("P1", 40, 40), a_panel("P2", 1460, 40), a_panel("P3", 2880, 40), a_panel("P4", 40, 760))
TWO_STRINGS = a_plan(*FOUR, strings=(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3")))
# Worked out by hand: 2 x 24.5 V x (1 + 0.0028 x 30) at -5 °C; 2 x 20.4 V x (1 - 0.0039 x 64.4563) in 40 °C
COLD_V = 53.116
HOT_V = 30.5437
TRACKER_A = 2 * 10.3 * 1.25


def controlled(**limits: object) -> Job:
    return a_wired_job((replace(OTTER, **limits),))  # type: ignore[arg-type]


def with_fen(**values: object) -> Job:
    return a_wired_job(panels=PanelRules((replace(FEN, **values),)))  # type: ignore[arg-type]


def test_two_strings_on_a_tracker_hold() -> None:
    assert codes(a_wired_job(), TWO_STRINGS) == set()


def test_open_circuit_voltage_against_the_tracker() -> None:
    assert codes(controlled(max_pv_v=COLD_V), TWO_STRINGS) == set()
    assert codes(controlled(max_pv_v=COLD_V - 0.1), TWO_STRINGS) == {"pv-voltage"}
    assert texts(controlled(max_pv_v=50), TWO_STRINGS)[0] == (
        "S1 reaches 53.12 V open-circuit at -5 °C; C1 (Otter) takes at most 50 V"
    )


def test_open_circuit_voltage_against_the_panels_system_voltage() -> None:
    assert codes(with_fen(max_system_v=COLD_V), TWO_STRINGS) == set()
    assert codes(with_fen(max_system_v=COLD_V - 0.1), TWO_STRINGS) == {"system-voltage"}
    assert codes(with_fen(max_system_v=None), TWO_STRINGS) == set()


def test_open_circuit_voltage_against_the_jobs_own_cap() -> None:
    def capped(most_string_v: float) -> Job:
        return a_wired_job(wiring_rules=WiringRules(most_string_v=most_string_v))

    assert codes(capped(COLD_V), TWO_STRINGS) == set()
    assert codes(capped(COLD_V - 0.1), TWO_STRINGS) == {"most-string-voltage"}
    assert texts(capped(50), TWO_STRINGS)[0] == (
        "S1 reaches 53.12 V open-circuit at -5 °C; the job allows 50 V"
    )


def charged(most_charge_a: float, *stated: tuple[float, float | None], portable_a: float = 0.0) -> list[str]:
    """Breaches of the battery's limit with two strings of 400 W on an Otter each, (charge_a, set_a) stated.

    400 W x 0.96 / 14.4 V = 26.67 A each.
    """
    job = a_wired_job((OTTER, OTTER), battery=Battery(12, 14.4, most_charge_a=most_charge_a))
    plan = a_plan(*FOUR, strings=(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3", controller="C2")))
    loads = tuple(
        a_load(f"C{n}", "Otter", charge_a=charge_a, set_a=set_a)  # type: ignore[arg-type]
        for n, (charge_a, set_a) in enumerate(stated, 1)
    )
    guest = PortableString("suitcase", "Fen", "Otter", True, 1, 1, NAN, NAN, NAN, NAN, portable_a, NAN)
    plan = with_wiring(plan, controllers=loads, portable=(guest,) if portable_a else ())
    return [t for t in texts(job, plan) if "battery takes" in t]


def test_the_batterys_charge_current_is_shared() -> None:
    assert charged(53.4, (NAN, None), (NAN, None)) == []
    assert charged(53.2, (NAN, None), (NAN, None)) == [
        "the controllers may charge with 53.33 A together; the battery takes at most 53.2 A"
    ]
    assert charged(50.0, (25.0, None), (25.0, None)) == []  # stated to charge with less
    assert len(charged(49.9, (25.0, None), (25.0, None))) == 1


def test_settings_of_controllers_count_where_they_are_stated() -> None:
    """An Otter charges with 40 A by itself."""
    assert charged(65.0, (26.67, 25.0), (26.67, None)) == []
    assert len(charged(64.9, (26.67, 25.0), (26.67, None))) == 1
    assert charged(50.0, (20.0, 20.0), (20.0, 30.0)) == []
    assert len(charged(49.9, (20.0, 20.0), (20.0, 30.0))) == 1


def test_portable_panels_charge_the_same_battery() -> None:
    """10 A at 14.4 V are 12 A at 12 V, which a low battery has."""
    assert charged(62.0, (25.0, None), (25.0, None), portable_a=10.0) == []
    assert len(charged(61.9, (25.0, None), (25.0, None), portable_a=10.0)) == 1


def test_open_circuit_voltage_by_the_table_where_the_coefficient_is_blank() -> None:
    blank = with_fen(voc_pct_per_k=None)  # 2 x 24.5 V x 1.12 = 54.88 V
    held = replace(blank, controllers=Controllers((), (replace(OTTER, max_pv_v=54.88),)))
    broken = replace(blank, controllers=Controllers((), (replace(OTTER, max_pv_v=54.78),)))
    assert codes(held, TWO_STRINGS) == set()
    assert codes(broken, TWO_STRINGS) == {"pv-voltage"}


def test_operating_voltage_against_the_charge_voltage() -> None:
    assert codes(controlled(start_above_battery_v=HOT_V - 14.4 - 0.001), TWO_STRINGS) == set()
    assert codes(controlled(start_above_battery_v=HOT_V - 14.4 + 0.1), TWO_STRINGS) == {"charge-voltage"}
    higher = replace(controlled(start_above_battery_v=2), battery=Battery(24, HOT_V - 2 + 0.1))
    assert codes(higher, TWO_STRINGS) == {"charge-voltage"}
    assert texts(controlled(start_above_battery_v=20), TWO_STRINGS)[0] == (
        "S1 gives 30.54 V in 40 °C air, its cells at 89.5 °C; at least 34.4 V are needed, "
        "14.4 V to charge and 20 V above it for the Otter"
    )


def test_an_operating_voltage_that_just_suffices_holds() -> None:
    # Coefficients that cancel: 2 x 20.4 V = 40.8 V at any temperature.
    steady = with_fen(power_pct_per_k=0.05, isc_pct_per_k=0.05)
    for charge_v, breach in ((38.8, False), (38.8 + 1e-5, True)):
        job = replace(steady, battery=Battery(24, charge_v))
        assert codes(job, TWO_STRINGS) == ({"charge-voltage"} if breach else set())


def test_one_panel_alone_does_not_reach_the_battery() -> None:
    plan = a_plan(FOUR[0], strings=(a_string("S1", "P1"),))
    assert codes(a_wired_job(), plan) == {"charge-voltage"}


def test_short_circuit_current_against_the_tracker() -> None:
    assert codes(controlled(max_pv_isc_a=TRACKER_A), TWO_STRINGS) == set()
    assert codes(controlled(max_pv_isc_a=TRACKER_A - 0.1), TWO_STRINGS) == {"pv-current"}
    assert texts(controlled(max_pv_isc_a=25), TWO_STRINGS) == [
        "S1, S2 give 20.6 A short-circuit, 25.75 A with the factor of 1.25; "
        "C1 (Otter) takes at most 25 A a tracker"
    ]


def test_the_current_limit_is_per_tracker() -> None:
    apart = a_plan(*FOUR, strings=(a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3", tracker=2)))
    assert codes(controlled(max_pv_isc_a=TRACKER_A / 2), apart) == set()
    assert codes(controlled(max_pv_isc_a=TRACKER_A / 2 - 0.1), apart) == {"pv-current"}


def test_the_batterys_voltage_is_one_that_the_controller_serves() -> None:
    assert codes(controlled(battery_v=(12, 24)), TWO_STRINGS) == set()
    assert codes(controlled(battery_v=(24,)), TWO_STRINGS) == {"battery-voltage"}
    assert codes(controlled(battery_v=(12.1,)), TWO_STRINGS) == {"battery-voltage"}
    assert texts(controlled(battery_v=(24, 48)), TWO_STRINGS) == [
        "the battery has 12 V; C1 (Otter) serves 24, 48 V"
    ]


def test_a_controller_without_strings_need_not_serve_the_battery() -> None:
    job = a_wired_job((OTTER, replace(OTTER, model="Vole", battery_v=(48,))))
    assert codes(job, TWO_STRINGS) == set()


def test_what_the_charge_current_cuts_off_is_no_breach() -> None:
    assert codes(controlled(max_charge_a=1), TWO_STRINGS) == set()


@pytest.mark.parametrize("blank", ["voc_v", "vmp_v", "isc_a"])
def test_a_wired_panel_needs_its_electrical_values(blank: str) -> None:
    found = codes(with_fen(**{blank: None}), TWO_STRINGS)
    assert found == {"electrical-value"}


def test_the_jobs_temperatures_count_then_the_plans_then_the_defaults() -> None:
    stated = with_wiring(TWO_STRINGS, temperatures=Temperatures(-11, "", 38, NAN, ""))
    asked = a_wired_job()
    open_site = a_wired_job(site=Site(latitude_deg=50))
    assert (coldest_c(asked, stated), hottest_air_c(asked, stated)) == (-5, 40)
    assert (coldest_c(open_site, stated), hottest_air_c(open_site, stated)) == (-11, 38)
    assert (coldest_c(open_site, TWO_STRINGS), hottest_air_c(open_site, TWO_STRINGS)) == (-20, 45)
    no_site = a_wired_job(site=None)
    assert (coldest_c(no_site, stated), hottest_air_c(no_site, stated)) == (-11, 38)
    assert (coldest_c(no_site, a_plan()), hottest_air_c(no_site, a_plan())) == (-20, 45)


def test_a_job_without_temperatures_is_held_to_the_plans() -> None:
    # 2 x 24.5 V x (1 + 0.0028 x 45) = 55.174 V at -20 °C, 2 x 24.5 V x (1 + 0.0028 x 30) at -5 °C
    job = a_wired_job((replace(OTTER, max_pv_v=55),), site=None)
    warm = with_wiring(TWO_STRINGS, temperatures=replace(UNSTATED, coldest_cell_c=-5.0))
    assert codes(job, warm) == {"temperature"}  # -20 °C is assumed
    assert codes(job, TWO_STRINGS) == {"pv-voltage"}


def _panel(voc: float = 40, vmp: float = 33, **coefficients: float | None) -> PanelModel:
    return PanelModel("M", 1000, 1000, 300, voc_v=voc, vmp_v=vmp, isc_a=10, **coefficients)  # type: ignore[arg-type]


def test_cold_voltage_by_coefficient() -> None:
    # Common practice, no source: 49.5 V, -0.28 %/K, -5 °C gives 53.66 V, so 18 in series stay below 1000 V.
    panel = _panel(49.5, voc_pct_per_k=-0.28)
    assert voc_cold_v([panel], -5) == pytest.approx(53.66, abs=0.01)
    assert voc_cold_v([panel] * 18, -5) <= 1000 < voc_cold_v([panel] * 19, -5)
    # Common practice, no source: 45.8 V, -0.13 V/K, 0 °C gives 49.05 V.
    assert voc_cold_v([_panel(45.8, voc_pct_per_k=-0.13 / 45.8 * 100)], 0) == pytest.approx(49.05, abs=0.01)


# NEC table 690.7(A), from memory: from this °C down to that °C, the factor.
NEC_690_7_A = [
    (24, 20, 1.02),
    (19, 15, 1.04),
    (14, 10, 1.06),
    (9, 5, 1.08),
    (4, 0, 1.10),
    (-1, -5, 1.12),
    (-6, -10, 1.14),
    (-11, -15, 1.16),
    (-16, -20, 1.18),
    (-21, -25, 1.20),
    (-26, -30, 1.21),
    (-31, -35, 1.23),
    (-36, -40, 1.25),
]


@pytest.mark.parametrize(("warmest", "coldest", "factor"), NEC_690_7_A)
def test_cold_factors_of_the_table(warmest: int, coldest: int, factor: float) -> None:
    assert {cold_factor(t) for t in range(coldest, warmest + 1)} == {factor}
    # between whole degrees the colder row
    assert cold_factor(warmest + 0.9) == factor
    assert cold_factor(coldest - 0.1) > factor > cold_factor(warmest + 1)


def test_cold_factors_outside_the_table() -> None:
    assert [cold_factor(t) for t in (25, 25.1, 60)] == [1.0, 1.0, 1.0]
    assert cold_factor(24.9) == 1.02
    # the line that the table's upper rows lie on: 1 + 0.004 x (25 - T)
    assert cold_factor(-45) == pytest.approx(1.28)
    assert cold_factor(-40.1) == pytest.approx(1.2604)


def test_cold_voltage_by_the_table() -> None:
    # Common practice, no source: 15 panels of 35 V between 4 and -4 °F (-16 to -20 °C) reach 619.5 V,
    # more than 600 V, though their nominal 525 V do not.
    assert voc_cold_v([_panel(35)] * 15, -18) == pytest.approx(619.5)


def test_cell_temperature_of_a_flush_panel() -> None:
    # Computed with pvlib 0.16.1, temperature.sapm_cell, close_mount_glass_glass: 89.46 °C.
    assert hottest_cell_c(40) == pytest.approx(89.46, abs=0.005)


def test_cell_temperature_agrees_with_pvlib() -> None:
    # The model of King et al. 2004, SAND2004-3535, with the coefficients for close roof mounts.
    from pvlib.temperature import TEMPERATURE_MODEL_PARAMETERS, sapm_cell

    close_mount = TEMPERATURE_MODEL_PARAMETERS["sapm"]["close_mount_glass_glass"]
    for air in (-20, 0, 25, 45):
        assert hottest_cell_c(air) == pytest.approx(sapm_cell(1000, air, 1, **close_mount), abs=1e-9)


def test_hot_voltage_by_coefficient() -> None:
    # Common practice, no source: 35.4 V, -0.16 V/K, 55 °C gives 30.6 V; 36.4 V, -0.17 V/K, 70 °C, 28.75 V.
    one = _panel(vmp=35.4, power_pct_per_k=-0.16 / 35.4 * 100, isc_pct_per_k=0)
    other = _panel(vmp=36.4, power_pct_per_k=-0.17 / 36.4 * 100, isc_pct_per_k=0)
    assert vmp_hot_v([one], 55) == pytest.approx(30.6, abs=0.01)
    assert vmp_hot_v([other], 70) == pytest.approx(28.75, abs=0.01)


def test_hot_voltage_with_blank_coefficients() -> None:
    # 33 V x 3 panels, cells 60 K above 25 °C
    given = _panel(power_pct_per_k=-0.34, isc_pct_per_k=0.06)
    assert vmp_hot_v([given] * 3, 85) == pytest.approx(99 * (1 - 0.0040 * 60))
    assert vmp_hot_v([_panel(power_pct_per_k=-0.34)] * 3, 85) == pytest.approx(99 * (1 - 0.0039 * 60))
    assert vmp_hot_v([_panel(isc_pct_per_k=0.06)] * 3, 85) == pytest.approx(99 * (1 - 0.0050 * 60))
    assert vmp_hot_v([_panel()] * 3, 85) == pytest.approx(99 * (1 - 0.0050 * 60))


def test_a_chosen_controller_is_held_to_its_own_limits() -> None:
    small = replace(OTTER, model="Shrew", max_pv_v=50)
    chosen = a_wired_job(controllers=())
    chosen = replace(chosen, controllers=Controllers((OTTER, small), choose=True))
    good: Plan = with_wiring(TWO_STRINGS, controllers=(a_load("C1", "Otter"),))
    assert codes(chosen, good) == set()
    bad = with_wiring(TWO_STRINGS, controllers=(a_load("C1", "Shrew"),))
    assert codes(chosen, bad) == {"pv-voltage"}


def test_the_second_fitted_controller_is_c2() -> None:
    job = a_wired_job((replace(OTTER, max_pv_v=50), OTTER))
    second = a_plan(FOUR[0], FOUR[3], strings=(a_string("S1", "P1", "P4", controller="C2"),))
    first = a_plan(FOUR[0], FOUR[3], strings=(a_string("S1", "P1", "P4", controller="C1"),))
    assert codes(job, second) == set()
    assert codes(job, first) == {"pv-voltage"}


def test_a_small_panel_of_higher_voltage_works_alone_only_where_it_is_cool() -> None:
    # 20 V x (1 - 0.005 x 64.4563) = 13.55 V in 40 °C air; 20 V x (1 - 0.005 x 24.4563) = 17.55 V in 0 °C air
    plan = a_plan(a_panel("P1", 40, 40, REED), strings=(a_string("S1", "P1"),))
    assert codes(a_wired_job(), plan) == {"charge-voltage"}
    assert codes(a_wired_job(site=Site(coldest_c=-5, hottest_c=0)), plan) == set()
