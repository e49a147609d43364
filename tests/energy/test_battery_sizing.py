"""Sizes of battery and panels: arithmetic that anyone can redo, worked out by hand.

No published example of it stands in the references; what is usual in the trade is marked.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from rooflayout.energy.battery import run_days
from rooflayout.energy.sizing import (
    USUAL_W_PER_AH,
    days_without_sun,
    refill_hours,
    warm_sun_w,
    watts_per_ah,
)
from rooflayout.job import Battery, ControllerModel, Controllers, Facet, Job, PanelModel, PanelRules
from rooflayout.plan import CableRun, ControllerLoad, Mismatch, PanelString, Temperatures, Wiring

GEL = Battery(12.0, 14.4, 400.0, chemistry="gel")  # 2400 Wh usable
LITHIUM = Battery(24.0, 28.8, 100.0, chemistry="lithium")  # 2160 Wh usable
NONE_KNOWN = Battery(12.0, 14.4)
ROOF = Facet("roof", ((0.0, 0.0), (5000.0, 0.0), (5000.0, 3000.0)))
GABLE = Facet("gable", ROOF.outline_mm, slope_deg=60.0)
MILD = Temperatures(0.0, "", 30.0, 60.0, "")


def job(most_a: float) -> Job:
    controller = ControllerModel("Moss", 100.0, 60.0, most_a, (12.0,), efficiency_pct=97.0)
    panel = PanelModel("Fern 100", 1000.0, 600.0, 100.0, power_pct_per_k=-0.35)
    controllers = Controllers((controller,), (controller,))
    return Job("", (ROOF, GABLE), PanelRules((panel,)), battery=GEL, controllers=controllers)


def string(name: str, controller: str) -> PanelString:
    return PanelString(name, controller, 1, "roof", "Fern 100", ("P1",) * 4, 96.0, 56.0, 5.9, 400.0)


def carries(controller: str, set_a: float | None = None) -> ControllerLoad:
    return ControllerLoad(controller, "Moss", 400.0, 5.9, 20.0, 0.0, 0.0, set_a)


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


# Flush cells in air of 20 °C have 20 + 1000 exp(-2.98 - 0.0471) + 1 = 69.46 °C (King and others 2004), so
# that -0.35 % per K leaves 84.44 %; 96 % twice for dirt and the rest, the controller 97 %: of 400 W 301.94 W.
@pytest.mark.parametrize(
    ("most_a", "set_a", "watts"),
    [(30.0, None, 301.94), (20.0, None, 264.0), (30.0, 10.0, 132.0), (30.0, 25.0, 301.94)],
)
def test_warm_panels_in_full_sun_pass_at_most_the_charge_current(
    most_a: float, set_a: float | None, watts: float
) -> None:
    """At 13.2 V while it charges; a controller that is set down passes what it is set to."""
    wiring = Wiring((string("S1", "C1"),), (carries("C1", set_a),), (), MILD)
    assert warm_sun_w(job(most_a), wiring) == pytest.approx(watts, abs=0.01)


def test_controllers_add_up_each_with_its_own_strings_and_without_any_nothing_comes() -> None:
    both = (string("S1", "C1"), string("S2", "C2"))
    two = Wiring(both, (carries("C1"), carries("C2", 10.0)), (), MILD)
    assert warm_sun_w(job(30.0), two) == pytest.approx(301.94 + 132.0, abs=0.01)
    assert warm_sun_w(job(30.0), Wiring((), (), (), MILD)) == 0.0


def test_a_facet_gets_the_cosine_of_its_slope_of_a_sun_overhead() -> None:
    """60°: half the light, and cells 24.73 K above the air instead of 49.46 K, so that -0.35 % per K leaves
    93.09 %; 96 % twice, the controller 97 %: 400 W give 166.44 W, and on both sides of a gable twice that."""
    one = replace(string("S1", "C1"), facet="gable")
    both = (one, replace(one, string="S2", controller="C2"))
    assert warm_sun_w(job(30.0), Wiring((one,), (carries("C1"),), (), MILD)) == pytest.approx(
        166.44, abs=0.02
    )
    two = Wiring(both, (carries("C1"), carries("C2")), (), MILD)
    assert warm_sun_w(job(30.0), two) == pytest.approx(332.88, abs=0.04)


def run(start: str, drop_pct: float) -> CableRun:
    return CableRun(start, "string", start, "", 6, 3000, False, 4, "12", 30, 0.5, drop_pct, None, True, "")


def test_full_sun_comes_through_cables_and_unlike_strings_as_the_harvest_does() -> None:
    """Each of 400 W gives 0.96 x 0.96 x 0.8444 = 0.77822 W, so of a string's 3 % its cables drop 2.335 %,
    and of the tracker's joined 1 % 0.778 %; unlike strings lose 2 %, the controller 3 %. Of what is left,
    285.9 W of the 30 A x 13.2 V that its cable drops 4 % at, 0.722 of 4 % go."""
    plain = Wiring((string("S1", "C1"),), (carries("C1"),), (), MILD)
    runs = (run("S1", 3.0), run("C1 tracker 1 joint", 1.0), run("C1", 4.0))
    lossy = replace(plain, runs=runs, mismatch=(Mismatch("C1", 1, ("S1", "S2"), 2.0),))
    out_w = 400.0 * 0.77822 * (1.0 - 0.04 * 0.77822) * 0.98 * 0.97
    right_w = out_w * (1.0 - 0.04 * out_w / 396.0)
    assert warm_sun_w(job(30.0), lossy) == pytest.approx(right_w, abs=0.01)
    assert warm_sun_w(job(30.0), lossy) < 0.94 * warm_sun_w(job(30.0), plain)


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
