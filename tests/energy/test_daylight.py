"""Sun over draw and draw over sun in a day, against the half sine wave summed up in small steps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from rooflayout.energy.daylight import over_and_short_wh


def of_one(sun: float, demand: float, nights: float) -> tuple[float, float]:
    over, short = over_and_short_wh(np.array([sun]), np.array([demand]), np.array([nights]))
    return float(over[0]), float(short[0])


def summed_up(sun: float, demand: float, nights: float) -> tuple[float, float]:
    """By scipy's integration over the hours of daylight."""
    hours, draw_w = 24.0 * (1.0 - nights), demand / 24.0

    def more_w(t: float) -> float:
        return sun * np.pi / (2.0 * hours) * np.sin(np.pi * t / hours) - draw_w

    return (
        quad(lambda t: max(more_w(t), 0.0), 0.0, hours, limit=300)[0],
        quad(lambda t: max(-more_w(t), 0.0), 0.0, hours, limit=300)[0],
    )


def test_a_wave_twice_as_high_as_the_draw() -> None:
    """10 W drawn over 12 h, a top of 20 W (152.8 Wh): 152.8 cos 30° - 80 Wh from 30° to 150°."""
    sun = 20.0 * 12.0 * 2.0 / np.pi
    over, short = of_one(sun, 240.0, 0.5)
    assert over == pytest.approx(sun * np.sqrt(3.0) / 2.0 - 80.0)
    assert short == pytest.approx(over - (sun - 120.0))


@pytest.mark.parametrize("sun", [50.0, 200.0, 300.0, 700.0, 5000.0])
@pytest.mark.parametrize("nights", [0.3, 0.5, 0.7])
def test_as_summed_up(sun: float, nights: float) -> None:
    assert of_one(sun, 600.0, nights) == pytest.approx(summed_up(sun, 600.0, nights), rel=1e-4, abs=1e-3)


def test_the_ends() -> None:
    assert of_one(0.0, 600.0, 0.5) == (0.0, 300.0)  # no sun
    assert of_one(700.0, 0.0, 0.5) == (700.0, 0.0)  # nothing drawn
    assert of_one(0.0, 0.0, 0.5) == (0.0, 0.0)
    assert of_one(0.0, 600.0, 1.0) == (0.0, 0.0)  # the polar night takes it all by night
    assert of_one(500.0, 600.0, 0.0)[1] > 100.0  # midnight sun: a low sun gives less than is drawn


@given(st.floats(0.0, 1e5), st.floats(0.0, 1e5), st.floats(0.0, 1.0))
def test_nothing_is_lost_between_them(sun: float, demand: float, nights: float) -> None:
    over, short = of_one(sun, demand, nights)
    draw = demand * (1.0 - nights)
    assert over - short == pytest.approx(sun - draw, abs=1e-6)
    assert 0.0 <= over <= sun + 1e-6
    assert -1e-9 <= short <= draw + 1e-6
