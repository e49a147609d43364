"""Whether a battery has so much to spare that "does not run empty" may be said.

The simulated days are no darker than one in ten (sky.py), so that no empty day among them does not mean that
there is none.
"""

from __future__ import annotations

from rooflayout.yields import Energy, MonthYield


def is_ample(month: MonthYield, usable_wh: float | None) -> bool:
    """No empty day, none with less sun either, and on a low morning a whole day's draw is in the battery.

    A low morning is one in ten (soc_low_pct); the day's draw is what a day without any sun takes. False where
    one of these is not known.
    """
    if month.empty_pct is None or month.empty_less_sun_pct is None or month.soc_low_pct is None:
        return False
    if usable_wh is None or month.empty_pct > 0.0 or month.empty_less_sun_pct > 0.0:
        return False
    return month.soc_low_pct / 100.0 * usable_wh >= month.demand_wh_day


def year_is_ample(energy: Energy) -> bool:
    """Whether every month is ample."""
    return all(is_ample(month, energy.usable_wh) for month in energy.months)
