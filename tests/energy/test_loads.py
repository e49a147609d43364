"""What is drawn by month, worked out by hand: Wh over efficiency, idle watts times hours."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rooflayout.energy import loads
from rooflayout.job import Battery, Job, PanelRules
from rooflayout.needs import Driving, Inverter, Load

FRIDGE = Load("fridge", 480.0, power_w=40.0)
COOKER = Load("cooker", 900.0, power_w=1800.0, inverter=True, months=(6, 7, 8))


def a_job(*own: Load, inverter: Inverter | None = None, **more) -> Job:
    return Job("a job", (), PanelRules(()), loads=own, inverter=inverter or Inverter(90.0, 6.0), **more)


def test_what_runs_through_the_inverter_costs_more() -> None:
    assert loads.load_wh_day(COOKER, Inverter(90.0)) == pytest.approx(1000.0)
    assert loads.load_wh_day(FRIDGE, Inverter(90.0)) == 480.0


def test_demand_follows_the_months_and_the_inverter_idles_only_in_them() -> None:
    """480 Wh all year; from June to August 900 / 0.9 more, and 6 W x 24 h of the inverter."""
    demand = loads.demand_wh_day(a_job(FRIDGE, COOKER))
    assert demand == pytest.approx((480.0,) * 5 + (480.0 + 1000.0 + 144.0,) * 3 + (480.0,) * 4)


def test_what_is_drawn_at_night() -> None:
    """480 Wh at night, 1000 by day, the inverter's 144 evenly: of 1624 a quarter's 36 more are at night."""
    job = a_job(replace(FRIDGE, when="night"), replace(COOKER, when="day"))
    shares = loads.night_draw_share(job, (0.25,) * 12)
    assert shares == pytest.approx((1.0,) * 5 + ((480.0 + 36.0) / 1624.0,) * 3 + (1.0,) * 4)
    assert loads.night_draw_share(a_job(FRIDGE, COOKER), (0.25,) * 12) == pytest.approx((0.25,) * 12)
    assert loads.night_draw_share(a_job(), (0.25, 0.5) * 6) == (0.25, 0.5) * 6


def test_the_inverter_idles_for_its_hours_and_once_for_all_loads() -> None:
    two = (Load("a", 90.0, inverter=True), Load("b", 180.0, inverter=True))
    demand = loads.demand_wh_day(a_job(*two, inverter=Inverter(90.0, 10.0, hours_day=4.0)))
    assert demand == pytest.approx((100.0 + 200.0 + 40.0,) * 12)


def test_an_inverter_that_nothing_runs_through_draws_nothing() -> None:
    assert loads.demand_wh_day(a_job(FRIDGE)) == (480.0,) * 12
    assert loads.demand_wh_day(a_job(Load("unused", 0.0, inverter=True))) == (0.0,) * 12
    assert loads.demand_wh_day(a_job()) == (0.0,) * 12


@pytest.mark.parametrize(
    ("nominal_v", "charge_v", "wh"), [(12, 14.4, 864), (24, 28.8, 1728), (48, 57.6, 3456)]
)
def test_driving_gives_amperes_at_the_charge_voltage(nominal_v: float, charge_v: float, wh: float) -> None:
    driving = Driving(2.0, 30.0, months=(7, 8))
    own = loads.driving_wh_day(a_job(driving=driving, battery=Battery(nominal_v, charge_v)))
    assert own == pytest.approx((0.0,) * 6 + (wh, wh) + (0.0,) * 4)


def test_driving_gives_nothing_without_battery_or_without_driving() -> None:
    assert loads.driving_wh_day(a_job(driving=Driving(2.0, 30.0))) == (0.0,) * 12
    assert loads.driving_wh_day(a_job(battery=Battery(12.0, 14.4))) == (0.0,) * 12


def test_a_running_load_takes_its_watts_the_inverters_losses_and_its_idle_draw() -> None:
    assert loads.load_w(FRIDGE, Inverter(90.0, 6.0)) == 40.0
    assert loads.load_w(COOKER, Inverter(90.0, 6.0)) == pytest.approx(2006.0)
    assert loads.load_w(Load("lamps", 60.0), Inverter()) is None


def test_hours_that_the_sun_alone_carries_a_load() -> None:
    """Two kinds of day a month, every other day each: full sun of 50 W from 9 to 15 h, or of 30 W."""
    month = np.repeat(np.arange(1, 13), 48)
    weight_days = np.full(576, 15.0)
    hour = np.tile(np.arange(24), 24)
    sunny = np.tile(np.repeat([True, False], 24), 12)
    power_w = np.where((hour >= 9) & (hour < 15), np.where(sunny, 50.0, 30.0), 0.0)
    own = loads.load_hours(a_job(FRIDGE, Load("lamps", 60.0)), month, weight_days, power_w)
    assert [hours.load for hours in own] == ["fridge"]
    assert own[0].hours_day == pytest.approx((3.0,) * 12)
    exactly = loads.load_hours(a_job(Load("fan", 100.0, power_w=30.0)), month, weight_days, power_w)
    assert exactly[0].hours_day == pytest.approx((6.0,) * 12)
    two_headings = np.array([power_w, np.zeros(576)])
    half = loads.load_hours(a_job(FRIDGE), month, weight_days, two_headings)
    assert half[0].hours_day == pytest.approx((1.5,) * 12)


def test_hours_of_a_weather_file_count_day_by_day() -> None:
    """January and July, hour by hour of every day (31 days of weight 1): 8 h above its watts in July."""
    month = np.repeat([1, 7], 31 * 24)
    hour = np.tile(np.arange(24), 62)
    power_w = np.where((month == 7) & (hour >= 8) & (hour < 16), 100.0, 0.0)
    own = loads.load_hours(a_job(FRIDGE), month, np.ones(len(month)), power_w)[0].hours_day
    assert own[6] == pytest.approx(8.0)
    assert own[:6] == (0.0,) * 6
    assert own[7:] == (0.0,) * 5  # no hour of those months is known


def test_no_hours_of_sun_for_what_runs_at_night() -> None:
    month, weight_days, power_w = np.array([1, 1]), np.array([15.5, 15.5]), np.array([0.0, 100.0])
    lamp = Load("lamp", 60.0, 30.0)
    by_day, by_night = (
        loads.load_hours(a_job(replace(lamp, when=when)), month, weight_days, power_w)
        for when in ("day", "night")
    )
    assert by_day == loads.load_hours(a_job(lamp), month, weight_days, power_w)
    assert len(by_day) == 1
    assert by_night == ()
