"""One rounding for a figure of energy, wherever it is shown."""

from __future__ import annotations

from pathlib import Path

import pytest

import rooflayout
from rooflayout.rounding import days_words, hours_words, pct_figure, shown_wh, wh_figure, wh_words

SHOWS = ("terminal_energy.py", "energy/sentences.py", "documents/month_chart.py", "documents/energy_texts.py")


@pytest.mark.parametrize(
    ("wh", "figure", "words"),
    [
        (0.0, "0", "0 Wh"),
        (-0.3, "0", "0 Wh"),
        (3.44, "3", "3 Wh"),
        (94.6, "95", "95 Wh"),
        (99.7, "100", "100 Wh"),
        (412.3, "410", "410 Wh"),
        (996.0, "1000", "1000 Wh"),
        (1008.0, "1010", "1010 Wh"),
        (2134.0, "2130", "2130 Wh"),
        (9996.0, "10000", "10 kWh"),
        (12_345.0, "12300", "12.3 kWh"),
        (99_960.0, "100000", "100 kWh"),
        (407_640.0, "408000", "408 kWh"),
        (1_528_200.0, "1530000", "1530 kWh"),
    ],
)
def test_watt_hours(wh: float, figure: str, words: str) -> None:
    assert wh_figure(wh) == figure
    assert wh_words(wh) == words
    assert shown_wh(wh) == float(figure)


def test_days_and_hours() -> None:
    assert [days_words(v) for v in (1.0, 0.96, 2.0, 2.44)] == ["1 day", "1 day", "2 days", "2.4 days"]
    assert [hours_words(v) for v in (1.04, 5.16)] == ["1 hour", "5.2 hours"]


def test_who_shows_watt_hours_rounds_them_here() -> None:
    home = Path(rooflayout.__file__).parent
    for name in SHOWS:
        text = (home / name).read_text(encoding="utf-8")
        assert "rounding import" in text
        assert "wh_day:." not in text
        assert "wh_year:." not in text


def test_a_share_near_nothing_is_not_nothing() -> None:
    for pct, words in ((0.0, "0"), (0.04, "< 1"), (0.5, "< 1"), (0.51, "1"), (1.4, "1"), (99.7, "100")):
        assert pct_figure(pct) == words
