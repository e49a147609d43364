"""Sizes of battery and panels: arithmetic that anyone can redo, worked out by hand.

No published example of it stands in the references; what is usual in the trade is marked.
"""

from __future__ import annotations

import numpy as np
import pytest

from rooflayout.energy.battery import run_days
from rooflayout.energy.sizing import (
    USUAL_W_PER_AH,
    days_without_sun,
    full_sun_w,
    refill_hours,
    watts_per_ah,
)
from rooflayout.job import Battery
from rooflayout.plan import ControllerLoad, Temperatures, Wiring

GEL = Battery(12.0, 14.4, 400.0, chemistry="gel")  # 2400 Wh usable
LITHIUM = Battery(24.0, 28.8, 100.0, chemistry="lithium")  # 2160 Wh usable
NONE_KNOWN = Battery(12.0, 14.4)
MILD = Temperatures(0.0, "", 30.0, 60.0, "")


def carries(charge_a: float, set_a: float | None = None) -> ControllerLoad:
    return ControllerLoad("C1", "any", 900.0, 20.0, charge_a, 0.0, 0.0, set_a)


def test_days_without_sun_count_the_month_of_most_demand() -> None:
    assert days_without_sun(GEL, (800.0,) * 11 + (1200.0,)) == pytest.approx(2.0)
    assert days_without_sun(LITHIUM, (720.0,) * 12) == pytest.approx(3.0)


def test_days_without_sun_are_not_told_without_capacity_or_demand() -> None:
    assert days_without_sun(NONE_KNOWN, (800.0,) * 12) is None
    assert days_without_sun(GEL, (0.0,) * 12) is None


@pytest.mark.parametrize("nights", [0.0, 0.5, 1.0])
def test_the_simulation_runs_empty_after_as_many_days(nights: float) -> None:
    """2400 Wh and 1000 Wh a day without sun: 2.4 days, so the third is the first that wants something."""
    short = np.full((1, 5), 1000.0 * (1.0 - nights))
    run = run_days(np.zeros((1, 5)), short, np.full(5, 1000.0 * nights), 2400.0, 0.85)
    assert (run.wanted_wh[0] > 1e-9).tolist() == [False, False, True, True, True]
    assert run.wanted_wh[0, 2] == pytest.approx(600.0)


@pytest.mark.parametrize(("set_a", "watts"), [(None, 720.0), (30.0, 432.0), (60.0, 720.0)])
def test_full_sun_passes_the_charge_current(set_a: float | None, watts: float) -> None:
    """50 A at 14.4 V, or what the controller is set down to."""
    wiring = Wiring((), (carries(50.0, set_a),), (), MILD)
    assert full_sun_w(GEL, wiring) == pytest.approx(watts)


def test_controllers_add_up_and_without_any_nothing_comes() -> None:
    assert full_sun_w(LITHIUM, Wiring((), (carries(10.0), carries(20.0)), (), MILD)) == pytest.approx(864.0)
    assert full_sun_w(GEL, Wiring((), (), (), MILD)) == 0.0


def test_refill_hours_cost_the_charge_efficiency() -> None:
    """Four fifths of 2160 Wh over 96 % are 1800 Wh; of 2400 Wh over 85 %, 2259 Wh."""
    assert refill_hours(LITHIUM, 600.0) == pytest.approx(3.0)
    assert refill_hours(GEL, 500.0) == pytest.approx(2400.0 * 0.8 / 0.85 / 500.0)


def test_refill_takes_longer_with_loads_running_and_may_never_end() -> None:
    assert refill_hours(LITHIUM, 600.0, load_w=240.0) == pytest.approx(5.0)
    assert refill_hours(LITHIUM, 600.0, load_w=600.0) is None
    assert refill_hours(LITHIUM, 0.0) is None
    assert refill_hours(NONE_KNOWN, 600.0) is None


def test_the_simulation_refills_in_as_many_hours() -> None:
    """3 h x 600 W fill it from 20 % to the last Wh, and spill none."""
    run = run_days(np.array([[1800.0]]), np.zeros((1, 1)), np.zeros(1), 2160.0, 0.96, first_wh=432.0)
    assert run.sunset_wh[0, 0] == pytest.approx(2160.0)
    assert run.spilled_wh[0, 0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("nominal_v", "capacity_ah"), [(12.0, 400.0), (24.0, 200.0), (48.0, 100.0)])
def test_watts_per_ah_count_as_at_12_v(nominal_v: float, capacity_ah: float) -> None:
    """900 W beside 4800 Wh: 2.25 W for each Ah at 12 V, as is usual (common practice, no source)."""
    ratio = watts_per_ah(Battery(nominal_v, nominal_v * 1.2, capacity_ah), 900.0)
    assert ratio == pytest.approx(2.25)
    assert USUAL_W_PER_AH[0] <= ratio <= USUAL_W_PER_AH[1]


def test_watts_per_ah_are_not_told_without_a_capacity() -> None:
    assert watts_per_ah(NONE_KNOWN, 900.0) is None
