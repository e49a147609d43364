"""Volts, amperes and Wh of charging, by hand; and ampere-hours counted in and out of a cell's own curve."""

from __future__ import annotations

import numpy as np
import pytest

from rooflayout.energy.battery import charge_efficiency, run_days
from rooflayout.energy.charging import Feed, charging_v, limit_w
from rooflayout.job import Battery

LITHIUM = Battery(12.0, 14.4, 100.0, chemistry="lithium")

# Volts at rest of a lithium iron phosphate cell by its charge, and what its resistance adds at a quarter of
# its capacity an hour: typical figures, from memory. Of the Ah put in 99.5 % come out: from memory.
CHARGE = np.array([0.05, 0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.9, 0.95, 1.0])
REST_V = np.array([3.05, 3.18, 3.23, 3.27, 3.29, 3.30, 3.33, 3.34, 3.35, 3.45])
RESISTANCE_V = 0.04
AH_BACK = 0.995


def cells_v(charge: np.ndarray, sign: float) -> np.ndarray:
    """Of four cells in a row, while they charge (1) or give (-1)."""
    return 4.0 * (np.interp(charge, CHARGE, REST_V) + sign * RESISTANCE_V)


def test_volts_while_charging_lie_half_way() -> None:
    """Common practice, no source."""
    assert charging_v(LITHIUM) == pytest.approx(13.2)
    assert charging_v(Battery(24.0, 28.8)) == pytest.approx(26.4)
    assert charging_v(Battery(48.0, 56.8)) == pytest.approx(52.4)
    assert limit_w(LITHIUM, 60.0) == pytest.approx(792.0)
    assert limit_w(LITHIUM, 0.0) > 0.0


def test_ampere_hours_in_and_out_of_a_lithium_battery() -> None:
    """10 to 100 %, 25 A in: the volts, the Wh of an ampere-hour and the Wh back, by counting ampere-hours.

    Amperes x charge voltage says 8 % too much of what goes in. Amperes x volts while charging is within 2 %,
    and the charge efficiency within 3 points; with nominal over charge voltage on top it would say 18 % less.
    """
    charge = np.linspace(0.1, 1.0, 1000)
    in_v, out_v = cells_v(charge, 1.0).mean(), cells_v(charge, -1.0).mean()
    assert charging_v(LITHIUM) == pytest.approx(in_v, rel=0.02)
    assert LITHIUM.charge_v / in_v > 1.05
    wh_back = AH_BACK * out_v / in_v
    assert charge_efficiency(LITHIUM) == pytest.approx(wh_back, abs=0.03)
    assert charge_efficiency(LITHIUM) * LITHIUM.nominal_v / LITHIUM.charge_v < 0.87 * wh_back
    assert LITHIUM.nominal_v < out_v  # so a lithium battery's Wh, at 12 V, are on the careful side


def test_an_hour_of_30_a_by_hand() -> None:
    """30 Ah in, 29.85 out; at 13.0 V they are 388 Wh for the loads. Here 30 A x 13.2 V x 96 % are 380 Wh."""
    over = np.array([[30.0 * charging_v(LITHIUM)]])
    run = run_days(over, np.zeros((1, 1)), np.zeros(1), 1080.0, charge_efficiency(LITHIUM), 100.0)
    assert run.sunset_wh[0, 0] - 100.0 == pytest.approx(380.16)
    assert run.sunset_wh[0, 0] - 100.0 == pytest.approx(30.0 * AH_BACK * 13.0, rel=0.03)


def test_a_feed_by_hand() -> None:
    """100 W and 500 W through 95 %, at most 400 W; the cable drops 2 % at 400 W, half of it at 200 W."""
    feed = Feed(np.array([0.0, 200.0 / 0.95, 500.0]), 0.95, 400.0, 2.0)
    assert feed.could_w() == pytest.approx([0.0, 198.0, 475.0 * 0.98])
    assert feed.passed_w() == pytest.approx([0.0, 198.0, 400.0])
    assert feed.passed_w(0.5) == pytest.approx([0.0, 100.0 * 0.995, 237.5 * (1.0 - 0.02 * 237.5 / 400.0)])
    assert Feed(np.array([7.0, 9e9])).passed_w(1.1) == pytest.approx([7.7, 9.9e9])  # no wiring, no limit


def test_clouds_that_come_and_go_are_clipped_while_it_is_sunny() -> None:
    """300 W of which 60 W are from the sky, sunny 40 % of the hour: 660 W then, of which 400 W pass."""
    feed = Feed(np.array([300.0, 300.0, 60.0, 300.0]), 1.0, 400.0)
    sunny = np.array([0.4, 1.0, 0.0, 0.9])
    least = feed.least_passed_w(np.full(4, 60.0), sunny)
    assert least == pytest.approx([0.4 * 400.0 + 0.6 * 60.0, 300.0, 60.0, 300.0])
