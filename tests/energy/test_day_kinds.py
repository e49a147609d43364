"""Made-up years: each kind of day as often as it should be, and as like the day before as weather is."""

from __future__ import annotations

import numpy as np
import pytest
from real_days import MONTH_OF, STATIONS, daily_sun

from rooflayout.energy.day_kinds import PERSISTENCE, draw_wh, mean_wh_day, ranks
from rooflayout.months import DAYS_IN_MONTH


def next_day_correlation(days: np.ndarray, apart: int = 1) -> float:
    """Correlation of days so far apart within months, each month against its own mean and spread."""
    z = np.zeros(365)
    for month in range(12):
        own = month == MONTH_OF
        z[own] = (days[own] - days[own].mean()) / days[own].std()
    same = MONTH_OF[apart:] == MONTH_OF[:-apart]
    return float((z[apart:] * z[:-apart])[same].mean())


def test_the_year_has_its_days() -> None:
    assert sum(DAYS_IN_MONTH) == 365


def test_every_kind_comes_as_often_as_it_weighs() -> None:
    kinds = [[(0.0, 1.0), (10.0, 2.0), (30.0, 5.0), (99.0, 0.0)]] * 12
    drawn = draw_wh(kinds, MONTH_OF, years=400)
    shares = [(drawn == wh).mean() for wh in (0.0, 10.0, 30.0, 99.0)]
    assert shares == pytest.approx([0.125, 0.25, 0.625, 0.0], abs=0.005)
    assert drawn.mean() == pytest.approx(mean_wh_day(kinds[0]), abs=0.2)


def test_the_order_of_the_kinds_does_not_matter() -> None:
    kinds = [(5.0, 1.0), (1.0, 3.0), (9.0, 2.0)]
    a, b = (draw_wh([k] * 12, MONTH_OF, years=3) for k in (kinds, kinds[::-1]))
    assert (a == b).all()


def test_months_draw_from_their_own_days_and_an_unknown_month_gives_nothing() -> None:
    drawn = draw_wh([[(float(m), 1.0)] for m in range(11)] + [[]], MONTH_OF, years=2)
    assert (drawn == np.where(MONTH_OF == 11, 0, MONTH_OF)).all()


@pytest.mark.parametrize("persistence", [0.0, 0.3, 0.8])
def test_days_are_as_like_the_next_ones_as_asked(persistence: float) -> None:
    """First-order: correlation p between neighbours, p squared two days apart (definition, any textbook)."""
    rank = ranks(400, 365, persistence, seed=1)
    for apart in (1, 2):
        found = np.corrcoef(rank[:, apart:].ravel(), rank[:, :-apart].ravel())[0, 1]
        assert found == pytest.approx(persistence**apart, abs=0.01)
    assert rank.mean() == pytest.approx(0.5, abs=0.01)


def test_always_the_same_kind_and_a_dull_spell_lasts_over_the_months_end() -> None:
    kinds = [[(10.0 * m, 1.0), (10.0 * m + 5.0, 1.0)] for m in range(12)]
    drawn = draw_wh(kinds, MONTH_OF, years=20, persistence=1.0)
    dull = drawn[:, :1] == 0.0
    assert (drawn == 10.0 * MONTH_OF + np.where(dull, 0.0, 5.0)).all()
    assert 0 < dull.sum() < 20


def test_the_persistence_is_that_of_typical_years() -> None:
    """Within 0.08 at each station, within 0.03 in the mean; two days apart little is left."""
    found = [next_day_correlation(daily_sun(s)) for s in STATIONS]
    assert found == pytest.approx([PERSISTENCE] * 3, abs=0.08)
    assert np.mean(found) == pytest.approx(PERSISTENCE, abs=0.03)
    later = np.mean([next_day_correlation(daily_sun(s), 2) for s in STATIONS])
    assert later == pytest.approx(PERSISTENCE**2, abs=0.05)


def test_the_mean_of_a_month_counts_the_weights() -> None:
    assert mean_wh_day([(100.0, 1.0), (400.0, 3.0)]) == pytest.approx(325.0)
    assert mean_wh_day([]) == 0.0
