"""What a plan states, against what follows from its panels: held within 0.5 %, broken just beyond."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import NAN, codes, texts, the_good_job, the_good_plan, with_string, with_wiring

from rooflayout.inspection.electrical import hottest_cell_c
from rooflayout.inspection.stated import agrees
from rooflayout.job import Site, WiringRules
from rooflayout.plan import Plan

JOB, GOOD = the_good_job(), the_good_plan()
assert GOOD.wiring is not None
TEMPERATURES = GOOD.wiring.temperatures
# Worked out by hand, see the_good_plan
STRING = {"voc_cold_v": 53.116, "vmp_hot_v": 30.5437, "isc_a": 10.3, "power_w": 400.0}
LOAD = {"power_w": 800.0, "isc_a": 20.6, "charge_a": 40.0, "clipped_w": 200.0, "clipped_pct": 25.0}


def with_load(**stated: float | None) -> Plan:
    assert GOOD.wiring is not None
    return with_wiring(GOOD, controllers=(replace(GOOD.wiring.controllers[0], **stated),))


@pytest.mark.parametrize(("field", "right"), STRING.items())
def test_a_strings_figures(field: str, right: float) -> None:
    for share, breach in ((0.9951, False), (1.0049, False), (0.994, True), (1.006, True)):
        assert codes(JOB, with_string(GOOD, 0, **{field: right * share})) == (
            {"stated-value"} if breach else set()
        )
    assert codes(JOB, with_string(GOOD, 0, **{field: NAN})) == set()


@pytest.mark.parametrize(("field", "right"), LOAD.items())
def test_a_controllers_figures(field: str, right: float) -> None:
    for share, breach in ((0.9951, False), (1.0049, False), (0.994, True), (1.006, True)):
        assert codes(JOB, with_load(**{field: right * share})) == ({"stated-value"} if breach else set())
    assert codes(JOB, with_load(**{field: NAN})) == set()


def test_the_text_names_stated_and_right() -> None:
    assert texts(JOB, with_string(GOOD, 0, voc_cold_v=49.0)) == ["S1 states voc_cold_v 49; it is 53.12"]
    assert texts(JOB, with_load(charge_a=53.3)) == ["C1 states charge_a 53.3; it is 40"]


def test_charge_without_clipping() -> None:
    # 800 W x 0.96 / 14.4 V = 53.33 A
    assert JOB.controllers is not None
    wide = tuple(replace(c, max_charge_a=60) for c in JOB.controllers.fitted)
    job = replace(JOB, controllers=replace(JOB.controllers, fitted=wide))
    right = with_load(charge_a=53.33, clipped_w=0.0, clipped_pct=0.0)
    assert codes(job, right) == set()
    assert texts(job, with_load(charge_a=40, clipped_w=0.0, clipped_pct=0.0)) == [
        "C1 states charge_a 40; it is 53.33"
    ]
    assert codes(job, with_load(charge_a=53.33, clipped_w=1.0, clipped_pct=0.0)) == {"stated-value"}


@pytest.mark.parametrize(
    ("changes", "limit_v"),
    [({}, 100.0), ({"most_string_v": 60.0}, 60.0), ({"max_system_v": 80.0}, 80.0)],
    ids=["input", "job", "panel"],
)
def test_a_strings_voltage_limit(changes: dict[str, float], limit_v: float) -> None:
    """The least of 100 V of the Otter, 600 V of the Fen, and what the job allows."""
    job = replace(JOB, wiring_rules=WiringRules(changes.get("most_string_v")))
    fen = tuple(replace(m, max_system_v=changes.get("max_system_v", 600.0)) for m in JOB.panels.models)
    job = replace(job, panels=replace(JOB.panels, models=fen))
    for share, breach in ((0.9951, False), (1.0049, False), (0.994, True), (1.006, True)):
        stated = with_string(GOOD, 0, limit_v=limit_v * share)
        assert codes(job, stated) == ({"stated-value"} if breach else set())
    assert codes(job, with_string(GOOD, 0, limit_v=NAN)) == set()
    assert codes(job, with_string(GOOD, 0, limit_v=None)) == set()


def test_a_charge_limit_that_is_set_down() -> None:
    """800 W x 0.96 / 14.4 V = 53.33 A; set to 30 A, 30 x 14.4 / 0.96 = 450 W are used and 350 W cut off."""
    right = with_load(set_a=30.0, charge_a=30.0, clipped_w=350.0, clipped_pct=43.75)
    assert codes(JOB, right) == set()
    assert codes(JOB, with_load(set_a=30.0)) == {"stated-value"}
    assert codes(JOB, with_load(set_a=45.0)) == set()  # no more than the Otter's own 40 A


def test_a_smaller_charge_current_counts_as_a_setting_where_the_battery_has_a_limit() -> None:
    assert JOB.battery is not None
    unset = with_load(charge_a=30.0, clipped_w=350.0, clipped_pct=43.75)
    assert codes(JOB, unset) == {"stated-value"}
    job = replace(JOB, battery=replace(JOB.battery, most_charge_a=30.0))
    assert codes(job, unset) == set()
    assert codes(job, with_load(charge_a=30.0)) == {"stated-value"}  # clipped as if it were 40 A
    assert codes(job, GOOD) == {"battery-charge"}


@pytest.mark.parametrize(("charge_a", "watts_off"), [(53.33, 0.0), (53.3, 0.0), (53.2, 2.0), (52.0, 20.0)])
def test_a_charge_current_rounded_down_is_no_setting(charge_a: float, watts_off: float) -> None:
    """800 W x 0.96 / 14.4 V = 53.333 A, on a controller that could charge with more, and a battery too."""
    assert JOB.battery is not None
    assert JOB.controllers is not None
    own = JOB.controllers.fitted[0]
    large = replace(JOB.controllers, fitted=(replace(own, max_charge_a=80.0), *JOB.controllers.fitted[1:]))
    job = replace(JOB, battery=replace(JOB.battery, most_charge_a=70.0), controllers=large)
    share = 100 * watts_off / 800
    assert codes(job, with_load(charge_a=charge_a, clipped_w=watts_off, clipped_pct=share)) == set()
    wrong = with_load(charge_a=charge_a, clipped_w=watts_off + 1.0, clipped_pct=share)
    assert codes(job, wrong) == {"stated-value"}


def test_a_controller_without_strings_states_nothing_but_zeros() -> None:
    assert GOOD.wiring is not None
    assert JOB.controllers is not None
    idle = replace(GOOD.wiring.controllers[0], controller="C2", **dict.fromkeys(LOAD, 0.0))
    job = replace(JOB, controllers=replace(JOB.controllers, fitted=JOB.controllers.fitted * 2))
    plan = with_wiring(GOOD, controllers=(*GOOD.wiring.controllers, idle))
    assert codes(job, plan) == set()
    wrong = replace(idle, power_w=1.0)
    assert codes(job, with_wiring(plan, controllers=(*GOOD.wiring.controllers, wrong))) == {"stated-value"}


@pytest.mark.parametrize(
    ("stated", "right", "holds"),
    [
        (100.5, 100, True),
        (100.51, 100, False),
        (5.7, 5.65, True),  # rounded to one decimal
        (5.6, 5.65, True),
        (5.69, 5.65, False),  # two decimals, but not those of 5.65
        (5.8, 5.65, False),
        (0.33, 1 / 3, True),
        (0.0, 1e-12, True),
        (0.1, 0.0, False),
        (-100, 100, False),
        (float("inf"), 100, False),
        (1.7e308, 100, False),
        (NAN, 100, True),
    ],
)
def test_what_agrees(stated: float, right: float, holds: bool) -> None:
    assert agrees(stated, right) is holds


@pytest.mark.parametrize("field", ["coldest_cell_c", "hottest_air_c", "hottest_cell_c"])
def test_the_stated_temperatures_are_the_jobs(field: str) -> None:
    stated = getattr(TEMPERATURES, field)
    for off, breach in ((0.0, False), (0.04, False), (0.1, True), (-0.1, True)):
        plan = with_wiring(GOOD, temperatures=replace(TEMPERATURES, **{field: stated + off}))
        assert codes(JOB, plan) == ({"temperature"} if breach else set())


def test_temperatures_that_the_job_leaves_open_are_the_plans_if_no_milder_than_assumed() -> None:
    job = replace(JOB, site=Site())
    assert codes(job, GOOD) == {"temperature"}  # -5 °C where -20 °C is assumed
    cold = replace(
        TEMPERATURES, coldest_cell_c=-20.0, hottest_air_c=45.0, hottest_cell_c=hottest_cell_c(45.0)
    )
    assert codes(job, with_wiring(GOOD, temperatures=cold)) == {"stated-value"}  # voc_cold_v is for -5 °C
    tepid = replace(cold, hottest_air_c=40.0, hottest_cell_c=hottest_cell_c(40.0))
    assert codes(job, with_wiring(GOOD, temperatures=tepid)) == {"temperature", "stated-value"}


def test_temperatures_milder_than_the_climate_data_say_are_a_breach() -> None:
    """In the far north -5 °C is no coldest morning, whatever the plan states."""
    job = replace(JOB, site=Site(latitude_deg=60.0, longitude_deg=25.0))
    assert "temperature" in codes(job, GOOD)
