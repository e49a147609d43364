"""What is left of the hot voltage behind the cables: stated rightly, and enough where usual ones allow it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_plan import JOB, WIDE, the_cabled_plan, with_run
from hand_made import codes, texts, with_wiring

from rooflayout.job import Controllers, Job
from rooflayout.plan import Plan

HOT_V = 30.54  # of two Fen in series; see hand_made.the_good_plan
SINGLE = 4


def stating(index: int, volts: float | None, plan: Plan | None = None) -> Plan:
    """The plan with a string's voltage at its controller stated."""
    plan = plan or the_cabled_plan()
    assert plan.wiring is not None
    strings = list(plan.wiring.strings)
    strings[index] = replace(strings[index], vmp_hot_at_controller_v=volts)
    return with_wiring(plan, strings=tuple(strings))


def needing(volts: float) -> Job:
    """The job with a controller that needs so many volts beside 14.4 V of the battery."""
    assert JOB.battery is not None
    eager = replace(WIDE, start_above_battery_v=volts - JOB.battery.charge_v)
    return replace(JOB, controllers=Controllers((eager,), (eager,)))


@pytest.mark.parametrize(
    ("index", "lost_v"),
    [(0, 0.424 + 0.279), (3, 0.678)],  # by hand in cabled_plan.py; its AWG sizes are thicker
)
def test_what_reaches_the_controller_is_the_hot_voltage_less_the_drop(index: int, lost_v: float) -> None:
    assert codes(JOB, stating(index, HOT_V - lost_v)) == set()
    assert codes(JOB, stating(index, None)) == set()
    assert codes(JOB, stating(index, HOT_V)) == {"hot-voltage"}
    assert codes(JOB, stating(index, HOT_V - 1.3 * lost_v)) == {"hot-voltage"}


def test_the_voltage_is_told() -> None:
    """Ours is by 1.14 times solid copper, where cabled_plan.py has the standard's largest resistance."""
    assert texts(JOB, stating(3, HOT_V)) == ["S4 states that 30.54 V reach C1 in the heat; it is 29.89 V"]


def test_the_thinner_of_the_two_rows_counts() -> None:
    """18 AWG, 0.823 mm², in place of 8 AWG: 2 x 8 m x 9.8 A x 26.7 mohm/m (solid) x 1.14."""
    thin = with_run(SINGLE, size_awg="18")
    lost_v = 2 * 8 * 9.8 * 0.017241 / 0.823 * (1 + 0.00393 * 70) * 1.14
    assert "hot-voltage" not in codes(JOB, stating(3, HOT_V - lost_v, thin))
    assert "hot-voltage" in codes(JOB, stating(3, HOT_V - 0.678, thin))


def test_thicker_cable_would_keep_the_controller_going() -> None:
    """R5, 6 mm², leaves 29.86 V; 10 mm² would leave 30.54 - 0.678 x 1.95 / 3.39 = 30.15 V."""
    assert codes(needing(29.7), the_cabled_plan()) == set()
    assert codes(needing(30.0), the_cabled_plan()) >= {"hot-drop"}
    assert any(text.startswith("S4 gives 30.5 V with its cells at 89.5 °C; behind R5 (metric sizes)")
               for text in texts(needing(30.0), the_cabled_plan()))  # fmt: skip


def test_where_no_usual_cable_would_do_the_plan_itself_says_so() -> None:
    assert "hot-drop" not in codes(needing(30.4), the_cabled_plan())


def test_awg_sizes_that_are_too_thin_are_found_too() -> None:
    plan = with_run(SINGLE, size_awg="14")
    assert any("behind R5 (AWG sizes)" in text for text in texts(needing(29.7), plan))
