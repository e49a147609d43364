"""The battery in made-up weather: against dams by the textbook and against real days as they followed."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from drawn_battery import LITHIUM, a_job
from real_days import MONTH_OF, STATIONS, five_kinds, hourly_sun, nights

from rooflayout.energy.battery import run_days, simulate
from rooflayout.energy.day_kinds import PERSISTENCE, draw_wh
from rooflayout.energy.daylight import over_and_short_wh


@pytest.mark.parametrize("room_days", [1, 2, 5])
def test_a_dam_by_the_textbook(room_days: int) -> None:
    """Each day one day's draw too much or too little by the toss of a coin: a random walk between two walls.

    All room_days + 1 states are equally likely in the long run (the transition matrix is symmetric), and it
    lacks on the days that lose while empty: 1 / (2 (room_days + 1)).
    """
    month_of = np.tile(MONTH_OF, 2)
    coin = draw_wh([[(0.0, 1.0), (1.0, 1.0)]] * 12, month_of, years=600, persistence=0.0)
    run = run_days(coin, 1.0 - coin, np.zeros(730), float(room_days), 1.0)
    lacks = (run.wanted_wh[:, 365:] > 0.25).mean()
    assert lacks == pytest.approx(0.5 / (room_days + 1), abs=0.006)


@pytest.mark.parametrize("persistence", [0.0, 0.3, 0.7])
def test_a_dam_with_weather_that_lasts(persistence: float) -> None:
    """The same walk with a chance to repeat yesterday, against its transition matrix (numpy)."""
    room = 3
    states = list(product(range(room + 1), (-1, 1)))  # what is in it, what today was
    matrix = np.zeros((len(states), len(states)))
    for (i, (level, today)), step in product(enumerate(states), (-1, 1)):
        chance = (1.0 - persistence) / 2.0 + (persistence if step == today else 0.0)
        matrix[i, states.index((min(max(level + step, 0), room), step))] += chance
    likely = np.linalg.matrix_power(matrix, 5000)[0]
    empties = states.index((0, -1))  # a losing day that leaves nothing
    lacks = sum(likely[i] * matrix[i, empties] for i, (level, _) in enumerate(states) if level == 0)
    month_of = np.tile(MONTH_OF, 2)
    coin = draw_wh([[(0.0, 1.0), (1.0, 1.0)]] * 12, month_of, years=600, persistence=persistence)
    run = run_days(coin, 1.0 - coin, np.zeros(730), float(room), 1.0)
    assert (run.wanted_wh[:, 365:] > 0.25).mean() == pytest.approx(lacks, abs=0.008)


def test_weather_that_lasts_empties_it_more_often() -> None:
    days = [[(100.0, 1.0), (700.0, 1.0), (1300.0, 1.0)]] * 12
    often = []
    for persistence in (0.0, 0.3, 0.6, 0.9):
        found = simulate(a_job(600.0), days, persistence=persistence)
        assert found is not None
        often.append(float(np.mean(found.empty_pct)))
    assert often == sorted(often)
    assert often[-1] > 1.5 * often[0]


DRAWS, ROOM_DAYS = np.array(list(product((0.5, 0.7, 0.9), (0.6, 0.75, 1.0, 1.5, 3.0, 5.0)))).T


def drawn_by_the_hour(station: str, when: str | None) -> np.ndarray:
    """[365, 24] parts of a day's draw: evenly, or while the sun is up or down, noon being at 12."""
    if when is None:
        return np.full((365, 24), 1.0 / 24.0)
    half_h = 12.0 * (1.0 - nights(station)[MONTH_OF])[:, None]
    begin, end = np.arange(24), np.arange(1, 25)
    lit = np.clip(np.minimum(end, 12.0 + half_h) - np.maximum(begin, 12.0 - half_h), 0.0, 1.0)
    shares = lit if when == "day" else 1.0 - lit
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))


def empty_days_hour_by_hour_pct(station: str, when: str | None = None) -> np.ndarray:
    """[draws and batteries] The real hours in their order, twice, of which the second time counts."""
    hours, drawn = hourly_sun(station), drawn_by_the_hour(station, when)
    room = DRAWS * ROOM_DAYS
    state, empty_days = room.copy(), np.zeros(len(DRAWS))
    for day in range(2 * 365):
        empty = np.zeros(len(DRAWS), dtype=bool)
        for sun, part in zip(hours[day % 365], drawn[day % 365], strict=True):
            more = sun - DRAWS * part
            state = np.minimum(state + np.where(more > 0.0, 0.9 * more, more), room)
            empty |= state < -1e-9
            state = np.maximum(state, 0.0)
        empty_days += empty if day >= 365 else 0
    return 100.0 * empty_days / 365


def empty_days_made_up_pct(station: str, persistence: float, when: str | None = None) -> np.ndarray:
    """[draws and batteries] Made-up days from five quantiles by month, the first year not counted."""
    month_of = np.tile(MONTH_OF, 2)
    made = draw_wh(five_kinds(station), month_of, years=60, persistence=persistence)
    night = nights(station)[month_of] if when is None else np.full(730, float(when == "night"))
    found = []
    for draw, room_days in zip(DRAWS, ROOM_DAYS, strict=True):
        over, short = over_and_short_wh(made, np.full(730, draw), night)
        run = run_days(over, short, draw * night, draw * room_days, 0.9)
        found.append(100.0 * (run.wanted_wh[:, 365:] > 1e-9).mean())
    return np.array(found)


def test_made_up_years_run_empty_as_often_as_real_ones() -> None:
    """Three stations, three draws (in parts of the mean sun), six batteries: the real hours in their order.

    In the mean 2 days in a hundred apart, nowhere more than 7, and no more than 4 with a battery of a day's
    draw or more. Weather that does not last at all comes farther off.
    """
    apart, unlasting = [], []
    for station in STATIONS:
        real = empty_days_hour_by_hour_pct(station)
        apart.append(np.abs(empty_days_made_up_pct(station, PERSISTENCE) - real))
        unlasting.append(np.abs(empty_days_made_up_pct(station, 0.0) - real))
    assert np.mean(apart) < 2.0
    assert np.max(apart) < 7.0
    assert np.max(np.array(apart)[:, ROOM_DAYS >= 1.0]) < 4.0
    assert np.mean(apart) < np.mean(unlasting)


@pytest.mark.parametrize("when", ["night", "day"])
def test_so_do_they_with_all_drawn_by_night_or_by_day(when: str) -> None:
    """The same stations, draws and batteries: in the mean 1 day in a hundred apart, nowhere more than 5."""
    apart = [
        np.abs(empty_days_made_up_pct(s, PERSISTENCE, when) - empty_days_hour_by_hour_pct(s, when))
        for s in STATIONS
    ]
    assert np.mean(apart) < 1.0
    assert np.max(apart) < 5.0


def test_low_middle_and_high_are_in_order_and_a_bigger_battery_fares_no_worse() -> None:
    days = [[(k * f, 1.0) for k in (150.0, 400.0, 900.0)] for f in (1, 1, 2, 3, 3, 4, 4, 3, 2, 2, 1, 1)]
    small = simulate(a_job(600.0), days)
    big = simulate(a_job(600.0, replace(LITHIUM, capacity_ah=300.0)), days)
    assert small is not None
    assert big is not None
    for low, middle, high in small.soc_band_pct:
        assert 0.0 <= low <= middle <= high <= 100.0
    assert all(b <= a + 1e-9 for a, b in zip(small.empty_pct, big.empty_pct, strict=True))
    assert np.mean(big.empty_pct) < np.mean(small.empty_pct)


def test_the_same_seed_gives_the_same_and_another_nearly_the_same() -> None:
    days = [[(100.0, 1.0), (700.0, 1.0), (1300.0, 1.0)]] * 12
    a, b, c = (simulate(a_job(600.0), days, seed=s) for s in (0, 0, 1))
    assert a is not None
    assert c is not None
    assert a == b
    assert a != c
    assert a.empty_pct == pytest.approx(c.empty_pct, abs=4.0)
