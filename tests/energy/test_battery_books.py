"""The battery's books: no Wh comes from nowhere and none is lost, by day and by year."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_battery import a_job
from hypothesis import given, settings
from hypothesis import strategies as st

from rooflayout.energy.battery import CHARGE_EFFICIENCY_PCT, run_days, simulate
from rooflayout.energy.daylight import over_and_short_wh
from rooflayout.job import Battery
from rooflayout.needs import Driving


@settings(deadline=None, max_examples=150)
@given(
    wh=st.lists(st.lists(st.floats(0.0, 5000.0), min_size=6, max_size=6), min_size=1, max_size=4),
    demand=st.lists(st.floats(0.0, 3000.0), min_size=6, max_size=6),
    dark=st.floats(0.0, 1.0),
    room_wh=st.floats(1.0, 20_000.0),
    efficiency=st.floats(0.5, 1.0),
    filled=st.floats(0.0, 1.0),
)
def test_no_wh_comes_or_goes(wh, demand, dark, room_wh, efficiency, filled) -> None:
    """Each day: given = drawn + spilled + lost + what the battery holds more; between empty and full."""
    given_wh, demand_wh = np.array(wh), np.array(demand)
    over, short = over_and_short_wh(given_wh, demand_wh, np.full(6, dark))
    run = run_days(over, short, demand_wh * dark, room_wh, efficiency, filled * room_wh)
    before = np.column_stack([np.full(len(wh), filled * room_wh), run.sunset_wh[:, :-1]])
    drawn = demand_wh - run.wanted_wh
    books = drawn + run.spilled_wh + run.lost_wh + run.sunset_wh - before
    assert books == pytest.approx(given_wh, abs=1e-6)
    for state in (run.sunrise_wh, run.sunset_wh):
        assert (state >= 0.0).all()
        assert (state <= room_wh).all()
    for flow in (run.wanted_wh, run.spilled_wh, run.lost_wh):
        assert (flow >= -1e-9).all()
    assert (run.wanted_wh <= demand_wh + 1e-9).all()
    ends_full = run.sunset_wh + short / 2.0 >= room_wh - 1e-6
    assert ends_full[run.spilled_wh > 1e-6].all()  # spilled only by a full battery


@settings(deadline=None, max_examples=20)
@given(
    kinds=st.lists(st.tuples(st.floats(0.0, 4000.0), st.floats(0.1, 9.0)), min_size=1, max_size=5),
    wh_day=st.floats(1.0, 3000.0),
    chemistry=st.sampled_from(list(CHARGE_EFFICIENCY_PCT)),
    driven=st.booleans(),
)
def test_the_years_books_balance(kinds, wh_day, chemistry, driven) -> None:
    job = a_job(
        wh_day,
        Battery(24.0, 28.8, 120.0, chemistry=chemistry),
        driving=Driving(1.0, 20.0, months=(1, 2)) if driven else None,
    )
    found = simulate(job, [kinds] * 12, years=5)
    assert found is not None
    b = found.books
    assert b.drawn_wh + b.spilled_wh + b.lost_wh + b.kept_wh == pytest.approx(b.given_wh, rel=1e-9, abs=1e-3)
    assert b.drawn_wh + b.wanted_wh == pytest.approx(365 * wh_day)
