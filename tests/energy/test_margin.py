"""When there is so much to spare that a battery may be said not to run empty."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rooflayout.energy.margin import is_ample, year_is_ample
from rooflayout.yields import Energy, MonthYield

# 400 Wh are drawn a day; half of 900 Wh are in it on a low morning
MONTH = MonthYield(6, 5.0, 18.0, 900.0, 0.0, 0.0, 400.0, 0.0, 50.0, 70.0, 90.0, "", 0.0, 0.0, 30.0)


def test_a_whole_days_draw_on_a_low_morning_is_ample() -> None:
    assert is_ample(MONTH, 900.0)
    assert is_ample(MONTH, 800.0)
    assert not is_ample(MONTH, 799.0)
    assert not is_ample(MONTH, None)


@pytest.mark.parametrize(
    ("name", "value"),
    [("empty_pct", 0.1), ("empty_less_sun_pct", 0.1), ("soc_low_pct", 44.0)]
    + [(name, None) for name in ("empty_pct", "empty_less_sun_pct", "soc_low_pct")],
)
def test_any_empty_day_or_a_lower_morning_is_not(name: str, value: float | None) -> None:
    assert not is_ample(replace(MONTH, **{name: value}), 900.0)  # type: ignore[arg-type]


def test_one_month_that_is_not_spoils_the_year() -> None:
    year = Energy((MONTH,) * 12, (), (), (), 1.0, 12.0, "", usable_wh=900.0)
    assert year_is_ample(year)
    assert not year_is_ample(replace(year, months=(*year.months[1:], replace(MONTH, soc_low_pct=40.0))))
