"""How figures of energy are shown: alike on the terminal, on the sheets and in sentences.

No year is like the one before, so more digits would be false precision; plan.json and months.csv have more.
"""

from __future__ import annotations

TENS_FROM_WH = 100.0
KILO_FROM_WH = 10_000.0


def shown_wh(wh: float) -> float:
    """Wh to tens from 100 on, whole below; beyond 10 000 Wh three digits of it."""
    for least, unit in ((1e6, 10_000), (1e5, 1000), (KILO_FROM_WH, 100), (TENS_FROM_WH, 10)):
        if round(abs(wh) / unit) * unit >= least:
            return float(round(wh / unit) * unit)
    return float(round(wh))


def wh_figure(wh: float) -> str:
    """Wh where the unit stands elsewhere: "410", "12300"."""
    return f"{int(shown_wh(wh))}"


def wh_words(wh: float) -> str:
    """Wh with their unit: "410 Wh", "2130 Wh", "12.3 kWh"."""
    shown = shown_wh(wh)
    return f"{shown / 1000.0:g} kWh" if abs(shown) >= KILO_FROM_WH else f"{wh_figure(wh)} Wh"


def pct_figure(pct: float) -> str:
    """A share in % without decimals, its sign standing elsewhere: "< 1" where it is not nothing but near."""
    whole = f"{pct:.0f}"
    return "< 1" if pct > 0.0 and whole == "0" else whole


def days_words(days: float) -> str:
    """Days to a tenth: "1 day", "2.4 days"."""
    return _one_or_more(days, "day", "days")


def hours_words(hours: float) -> str:
    """Hours to a tenth: "1 hour", "5.2 hours"."""
    return _one_or_more(hours, "hour", "hours")


def _one_or_more(value: float, one: str, many: str) -> str:
    words = f"{value:.1f}".removesuffix(".0")
    return f"{words} {one if words == '1' else many}"
