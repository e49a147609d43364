"""The battery day by day where days are alike, by hand."""

from __future__ import annotations

import time
from dataclasses import replace

import numpy as np
import pytest
from drawn_battery import LITHIUM, a_job, alike
from scipy.optimize import brentq

from rooflayout.energy.battery import charge_efficiency, run_days, simulate, usable_pct, usable_wh
from rooflayout.energy.daylight import over_and_short_wh
from rooflayout.job import Battery
from rooflayout.needs import Driving, Load

DARK = [[(0.0, 30.0)]] * 12
LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


# --- capacity


@pytest.mark.parametrize(
    ("chemistry", "share"),
    [("lithium", 90.0), ("gel", 50.0), ("agm", 50.0), ("flooded", 50.0), (None, 50.0)],
)
def test_usable_share_is_the_chemistrys(chemistry, share: float) -> None:
    """Common practice, no source."""
    assert usable_pct(Battery(12.0, 14.4, 100.0, chemistry=chemistry)) == share
    assert usable_pct(Battery(12.0, 14.4, 100.0, chemistry=chemistry, usable_pct=70.0)) == 70.0


@pytest.mark.parametrize(("nominal_v", "wh"), [(12.0, 2160.0), (24.0, 4320.0), (48.0, 8640.0)])
def test_usable_wh_by_voltage(nominal_v: float, wh: float) -> None:
    assert usable_wh(Battery(nominal_v, nominal_v * 1.2, 200.0, chemistry="lithium")) == pytest.approx(wh)


def test_without_a_capacity_there_is_nothing_to_simulate() -> None:
    assert usable_wh(Battery(12.0, 14.4)) is None
    assert simulate(a_job(100.0, Battery(12.0, 14.4)), alike(100.0)) is None
    assert simulate(a_job(100.0, None), alike(100.0)) is None


def test_charge_efficiency_by_chemistry() -> None:
    """Common practice, no source."""
    assert charge_efficiency(LITHIUM) == 0.96
    assert charge_efficiency(Battery(12.0, 14.4, chemistry="gel")) == 0.85
    assert charge_efficiency(Battery(12.0, 14.4)) == 0.85


# --- days that are alike, by hand


def one_day(over: float, short: float, night: float, room: float, efficiency: float, first: float):
    return run_days(np.array([[over]]), np.array([[short]]), np.array([night]), room, efficiency, first)


def test_one_day_by_hand() -> None:
    """1000 Wh full; night takes 120 (880), morning 10; 162.5 fill 130 at 80 %; evening takes 10."""
    run = one_day(280.0, 20.0, 120.0, 1000.0, 0.8, 1000.0)
    assert run.sunrise_wh[0, 0] == pytest.approx(880.0)
    assert run.sunset_wh[0, 0] == pytest.approx(990.0)
    assert run.spilled_wh[0, 0] == pytest.approx(280.0 - 162.5)
    assert run.lost_wh[0, 0] == pytest.approx(32.5)
    assert run.wanted_wh[0, 0] == 0.0


def test_the_night_comes_first_and_the_sun_does_not_help_it() -> None:
    """50 Wh are left at sunset and the night wants 120: 70 are wanting, however sunny the next day."""
    run = one_day(5000.0, 0.0, 120.0, 1000.0, 0.8, 50.0)
    assert run.sunrise_wh[0, 0] == 0.0
    assert run.wanted_wh[0, 0] == pytest.approx(70.0)


def test_the_morning_comes_before_the_sun_and_the_evening_after_it() -> None:
    """150 left: 120 by night, 30 of the morning's 40; then 50 of 62.5 are put in and 40 taken out."""
    run = one_day(62.5, 80.0, 120.0, 1000.0, 0.8, 150.0)
    assert run.wanted_wh[0, 0] == pytest.approx(10.0)
    assert run.sunset_wh[0, 0] == pytest.approx(10.0)


def test_dark_days_draw_on_the_battery() -> None:
    """300 less 120 by night and 100 by day leave 80; then 40 are wanting at night and 120 by day."""
    run = run_days(np.zeros((1, 2)), np.array([[100.0, 120.0]]), np.full(2, 120.0), 1000.0, 0.8, 300.0)
    assert run.sunset_wh[0] == pytest.approx([80.0, 0.0])
    assert run.wanted_wh[0] == pytest.approx([0.0, 40.0 + 120.0])


def over_and_short(sun: float, draw: float, nights: float = 0.5) -> tuple[float, float]:
    over, short = over_and_short_wh(np.array([sun]), np.array([draw]), np.array([nights]))
    return float(over[0]), float(short[0])


def test_constant_sun_and_load() -> None:
    """600 Wh a day out of 1200: the same at every sunrise, full less an evening and a night."""
    over, short = over_and_short(800.0, 600.0)
    found = simulate(a_job(600.0), alike(800.0))
    assert found is not None
    assert found.empty_pct == (0.0,) * 12
    left_pct = 100.0 * (1200.0 - short / 2.0 - 300.0) / 1200.0
    for soc in (found.soc_low_pct, found.soc_middle_pct, found.soc_high_pct):
        assert soc == pytest.approx((left_pct,) * 12)
    assert found.soc_band_pct == pytest.approx(np.full((365, 3), left_pct))
    assert found.books.lost_wh == pytest.approx(365 * (300.0 + short) * (1 / 0.96 - 1))
    spilled = over - (300.0 + short) / 0.96
    assert found.books.spilled_wh == pytest.approx(365 * spilled)
    assert found.spilled_pct == pytest.approx((100.0 * spilled / 800.0,) * 12)


def test_just_enough_and_just_too_little() -> None:
    """Night, morning and evening are put back at 96 % by what is over at noon: 0.1 % less will not do."""
    need = brentq(
        lambda sun: 0.96 * over_and_short(sun, 600.0)[0] - 300.0 - over_and_short(sun, 600.0)[1], 300, 900
    )
    enough = simulate(a_job(600.0), alike(1.001 * need))
    little = simulate(a_job(600.0), alike(0.999 * need))
    assert enough is not None
    assert little is not None
    assert enough.soc_low_pct == pytest.approx((enough.soc_high_pct[0],) * 12)
    assert little.soc_low_pct[11] < little.soc_low_pct[0] < enough.soc_low_pct[0]


@pytest.mark.parametrize("nights", [0.25, 0.5, 0.75])
def test_a_longer_night_lies_deeper_at_sunrise(nights: float) -> None:
    found = simulate(a_job(600.0), alike(1200.0), night_share=(nights,) * 12)
    assert found is not None
    short = over_and_short(1200.0, 600.0, nights)[1]
    assert found.soc_middle_pct == pytest.approx((100.0 - (600.0 * nights + short / 2.0) / 12.0,) * 12)


def test_loads_by_night_and_by_day() -> None:
    """600 of 1200 Wh gone at sunrise if all is drawn at night; by day what the morning's sun is short."""
    deep, even, shallow = (
        simulate(replace(a_job(0.0), loads=(Load("it", 600.0, when=when),)), alike(1200.0))
        for when in ("night", None, "day")
    )
    assert deep is not None
    assert even is not None
    assert shallow is not None
    assert deep.soc_middle_pct == pytest.approx((50.0,) * 12)
    short = over_and_short(1200.0, 600.0, 0.0)[1]
    assert shallow.soc_middle_pct == pytest.approx((100.0 - short / 24.0,) * 12)
    assert deep.soc_middle_pct < even.soc_middle_pct < shallow.soc_middle_pct
    for found in (deep, even, shallow):
        assert found.books.drawn_wh == pytest.approx(365 * 600.0)


def test_nothing_drawn_stays_full_and_spills_all() -> None:
    found = simulate(a_job(0.0), alike(700.0))
    assert found is not None
    assert found.soc_low_pct == (100.0,) * 12
    assert found.empty_pct == (0.0,) * 12
    assert found.books.spilled_wh == pytest.approx(365 * 700.0)
    assert found.spilled_pct == pytest.approx((100.0,) * 12)


def test_more_drawn_than_given_is_always_empty() -> None:
    found = simulate(a_job(600.0), alike(590.0))
    assert found is not None
    assert found.empty_pct == (100.0,) * 12
    assert found.soc_high_pct == (0.0,) * 12


def test_a_battery_without_end_never_runs_empty() -> None:
    found = simulate(a_job(600.0, replace(LITHIUM, capacity_ah=1e9)), DARK)
    assert found is not None
    assert found.empty_pct == (0.0,) * 12
    assert found.soc_low_pct == pytest.approx((100.0,) * 12, abs=0.01)


def test_the_months_spills_are_the_years() -> None:
    """Shares by month times what each month could give are the books' Wh; dark months spill nothing."""
    days = [[(0.0, 1.0)] if m == 0 else [(300.0, 1.0), (900.0 + 100.0 * m, 2.0)] for m in range(12)]
    job = a_job(500.0, driving=Driving(0.5, 20.0, months=(5, 6)))
    found = simulate(job, days, years=400)
    assert found is not None
    assert found.spilled_pct[0] == 0.0
    given = [
        n * (sum(w * k for w, k in d) / sum(k for _, k in d)) for d, n in zip(days, LENGTHS, strict=True)
    ]
    for month in (4, 5):
        given[month] += LENGTHS[month] * 132.0  # 20 A x 13.2 V x half an hour
    spilled = sum(pct / 100.0 * wh for pct, wh in zip(found.spilled_pct, given, strict=True))
    assert spilled == pytest.approx(found.books.spilled_wh, rel=0.01)  # the drawn days are not quite the mean


def test_only_the_dark_months_run_empty() -> None:
    days = [[(0.0, 1.0)] if m in (0, 11) else [(2000.0, 1.0)] for m in range(12)]
    found = simulate(a_job(600.0), days)
    assert found is not None
    assert found.empty_pct[1:11] == pytest.approx((100.0 / 28.0,) + (0.0,) * 9)  # the night into 1 February
    assert found.empty_pct[0] == pytest.approx(100.0)
    assert found.empty_pct[11] == pytest.approx(100.0 * 30 / 31)  # full but for an evening on 30 November


def test_driving_fills_it_in_its_months() -> None:
    """30 A x 13.2 V x 2 h = 792 Wh a day carry 600 Wh where the sun gives nothing."""
    found = simulate(a_job(600.0, driving=Driving(2.0, 30.0, months=tuple(range(4, 13)))), DARK)
    assert found is not None
    assert found.empty_pct[4:] == (0.0,) * 8
    assert found.empty_pct[1:3] == (100.0, 100.0)
    assert found.books.given_wh == pytest.approx(275 * 792.0)


@pytest.mark.parametrize(("nominal_v", "capacity_ah"), [(12.0, 400.0), (24.0, 200.0), (48.0, 100.0)])
def test_only_wh_count_not_volts(nominal_v: float, capacity_ah: float) -> None:
    days = [[(200.0, 1.0), (900.0, 1.0)]] * 12
    reference = simulate(a_job(600.0, Battery(12.0, 14.4, 400.0, chemistry="gel")), days, years=20)
    battery = Battery(nominal_v, nominal_v * 1.2, capacity_ah, chemistry="gel")
    assert simulate(a_job(600.0, battery), days, years=20) == reference


def test_it_takes_no_time() -> None:
    days = [[(k * 100.0, 6.0) for k in (1, 3, 5, 7, 9)]] * 12
    simulate(a_job(600.0), days, years=1)  # numpy is loaded then
    begun = time.process_time()
    simulate(a_job(600.0), days)
    assert time.process_time() - begun < 0.3
