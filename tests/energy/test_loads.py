"""What is drawn by month, worked out by hand: Wh over efficiency, idle watts times hours."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rooflayout.energy import loads
from rooflayout.energy.outside import MEAN_DAYS
from rooflayout.energy.sky import SkyHours, lit_part, of_months
from rooflayout.energy.sun import mean_days, sun_positions, utc_times
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
    ("nominal_v", "charge_v", "wh"), [(12, 14.4, 792), (24, 28.8, 1584), (48, 57.6, 3168)]
)
def test_driving_gives_amperes_at_the_voltage_of_charging(
    nominal_v: float, charge_v: float, wh: float
) -> None:
    """30 A for 2 h half way from nominal to charge voltage: 13.2 V and its multiples."""
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


def hours_of(month: np.ndarray, weight_days: np.ndarray, lit: np.ndarray | None = None) -> SkyHours:
    """Hours of which only month and weight count."""
    none = np.zeros(len(month))
    return SkyHours(month, month, weight_days, none, none, none, none, none, lit=lit)


def half_wave(daylight_h: float) -> tuple[np.ndarray, np.ndarray]:
    """Hourly means of half a sine wave of top 1 round noon, and the lit part of each hour."""
    hour = np.arange(25.0)
    up, down = 12.0 - daylight_h / 2.0, 12.0 + daylight_h / 2.0
    past = np.clip(hour, up, down) - up
    means = np.diff(-np.cos(np.pi * past / daylight_h)) * daylight_h / np.pi
    return means, np.diff(past)


@pytest.mark.parametrize("daylight_h", [8.3, 9.0, 12.0, 14.9, 16.2])
@pytest.mark.parametrize("needed", [0.02, 0.2, 0.5, 0.8])
def test_hours_of_a_half_wave_are_the_formulas(daylight_h: float, needed: float) -> None:
    """Above a share of its top a half wave is (1 - 2 arcsin(share) / pi) of its length; 0.3 h near."""
    means, lit = half_wave(daylight_h)
    hours = loads.carried_part(means[None, :], needed, lit).sum()
    assert hours == pytest.approx(daylight_h * (1.0 - 2.0 * np.arcsin(needed) / np.pi), abs=0.3)
    assert hours <= daylight_h + 1e-9


def test_hours_are_nearer_by_parts_than_whole() -> None:
    """Root mean square over daylight of 8 to 16.5 h and six shares of the top."""
    off: dict[str, list[float]] = {"parts": [], "whole": []}
    for daylight_h in np.arange(8.0, 16.5, 0.37):
        means, lit = half_wave(daylight_h)
        for needed in (0.02, 0.1, 0.3, 0.5, 0.7, 0.9):
            true = daylight_h * (1.0 - 2.0 * np.arcsin(needed) / np.pi)
            off["parts"].append(loads.carried_part(means[None, :], needed, lit).sum() - true)
            off["whole"].append((means >= needed).sum() - true)
    rms = {how: float(np.sqrt(np.mean(np.square(errors)))) for how, errors in off.items()}
    assert rms["parts"] < 0.2
    assert rms["parts"] < rms["whole"] / 2.0


def test_hours_that_the_sun_alone_carries_a_load() -> None:
    """Two kinds of day a month, every other day each: full sun of 50 W from 9 to 15 h, or of 30 W.

    For 40 W the first hour and the last count from where the line from 25 W to 50 W passes 40 W: 0.7 of each.
    For 25 W they count in full sun whole, and else from where the line from 15 W to 30 W passes: 2/3 of each.
    """
    month = np.repeat(np.arange(1, 13), 48)
    sky = hours_of(month, np.full(576, 15.0))
    hour = np.tile(np.arange(24), 24)
    sunny = np.tile(np.repeat([True, False], 24), 12)
    power_w = np.where((hour >= 9) & (hour < 15), np.where(sunny, 50.0, 30.0), 0.0)
    own = loads.load_hours(a_job(FRIDGE, Load("lamps", 60.0)), sky, power_w)
    assert [hours.load for hours in own] == ["fridge"]
    assert own[0].hours_day == pytest.approx((5.4 / 2.0,) * 12)
    exactly = loads.load_hours(a_job(Load("fan", 100.0, power_w=25.0)), sky, power_w)
    assert exactly[0].hours_day == pytest.approx(((6.0 + 4.0 + 2.0 * 2.0 / 3.0) / 2.0,) * 12)
    two_headings = np.array([power_w, np.zeros(576)])
    half = loads.load_hours(a_job(FRIDGE), sky, two_headings)
    assert half[0].hours_day == pytest.approx((5.4 / 4.0,) * 12)


def test_hours_of_a_weather_file_count_day_by_day() -> None:
    """January and July, hour by hour of every day (31 days of weight 1): 100 W from 8 to 16 h in July.

    The lines from nothing at half past seven and to nothing at half past four pass 40 W 6 minutes outside.
    """
    month = np.repeat([1, 7], 31 * 24)
    hour = np.tile(np.arange(24), 62)
    power_w = np.where((month == 7) & (hour >= 8) & (hour < 16), 100.0, 0.0)
    own = loads.load_hours(a_job(FRIDGE), hours_of(month, np.ones(len(month))), power_w)[0].hours_day
    assert own[6] == pytest.approx(8.2)
    assert own[:6] == (0.0,) * 6
    assert own[7:] == (0.0,) * 5  # no hour of those months is known


def test_no_hours_of_sun_for_what_runs_at_night() -> None:
    sky, power_w = hours_of(np.array([1, 1]), np.array([15.5, 15.5])), np.array([0.0, 100.0])
    lamp = Load("lamp", 60.0, 30.0)
    by_day, by_night = (
        loads.load_hours(a_job(replace(lamp, when=when)), sky, power_w) for when in ("day", "night")
    )
    assert by_day == loads.load_hours(a_job(lamp), sky, power_w)
    assert len(by_day) == 1
    assert by_night == ()


def risen_h(latitude_deg: float) -> np.ndarray:
    """[12] hours from sunrise to sunset on Klein's mean days: pvlib's solar position algorithm."""
    pandas, solarposition = pytest.importorskip("pandas"), pytest.importorskip("pvlib.solarposition")
    days = [pandas.Timestamp("2025-01-01", tz="UTC") + pandas.Timedelta(days=n - 1) for n in MEAN_DAYS]
    found = solarposition.sun_rise_set_transit_spa(pandas.DatetimeIndex(days), latitude_deg, 0.0)
    return np.asarray((found.sunset - found.sunrise).dt.total_seconds()) / 3600.0


@pytest.mark.parametrize("latitude_deg", [40.72, -35.0, 55.0])
def test_a_load_of_next_to_nothing_is_carried_all_day_and_no_longer(latitude_deg: float) -> None:
    """A fifth of an hour less at most, and half an hour far north: refraction and the sun's disc lengthen
    pvlib's day by some ten minutes."""
    sky = of_months([3.0] * 12, [[1.0, 2.0, 3.0, 4.0, 5.0]] * 12, [15.0] * 12, mean_days(latitude_deg))
    (own,) = loads.load_hours(a_job(Load("alarm", 24.0, 1.0)), sky, 1000.0 * sky.ghi_w_m2)
    less = risen_h(latitude_deg) - np.array(own.hours_day)
    assert (less > 0.0).all()
    assert (less < 0.4).all()


def test_the_lit_part_of_a_weather_files_hours_adds_up_to_the_day() -> None:
    """Hours of Klein's mean days at 40.72 N: within a quarter of an hour of pvlib's sunrise to sunset."""
    utc = np.arange(24) + 0.5
    for day, risen in zip(MEAN_DAYS, risen_h(40.72), strict=True):
        altitude, azimuth, _ = sun_positions(utc_times(np.full(24, float(day)), utc), 40.72, 0.0)
        assert 0.0 < risen - lit_part(altitude, azimuth, 40.72).sum() < 0.25
