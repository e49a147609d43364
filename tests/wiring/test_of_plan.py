"""What strings and controllers of a plan are held against; figures by hand from cabled_roofs.py."""

from __future__ import annotations

from dataclasses import replace

import pytest
from cabled_roofs import ALDER, FINCH, wired

from rooflayout.job import WiringRules
from rooflayout.wiring.of_plan import controller_on, limit_v, needed_v, worst_tracker_a

TWO_TRACKERS = [[[(FINCH, 2)] * 2, [(FINCH, 2)]]]


def test_a_limit_that_the_plan_states_comes_first() -> None:
    job, _, wiring = wired(TWO_TRACKERS)
    assert limit_v(job, wiring, replace(wiring.strings[0], limit_v=99.0)) == 99.0
    assert limit_v(job, wiring, wiring.strings[0]) == 150


def test_the_least_of_tracker_panel_and_installer() -> None:
    capped, _, wiring = wired(TWO_TRACKERS, wiring_rules=WiringRules(most_string_v=60.0))
    assert limit_v(capped, wiring, wiring.strings[0]) == 60.0
    weak, _, wiring = wired([[[(replace(FINCH, max_system_v=50.0), 2)]]])
    assert limit_v(weak, wiring, wiring.strings[0]) == 50.0


def test_what_the_job_does_not_know_is_none() -> None:
    job, _, wiring = wired(TWO_TRACKERS)
    other = replace(wiring, controllers=(replace(wiring.controllers[0], model="Rowan"),))
    assert controller_on(job, other, "C1") is None
    assert controller_on(job, wiring, "C9") is None
    assert limit_v(job, other, wiring.strings[0]) is None
    assert needed_v(job, other, wiring.strings[0]) is None
    assert needed_v(replace(job, battery=None), wiring, wiring.strings[0]) is None
    assert needed_v(replace(job, controllers=None), wiring, wiring.strings[0]) is None


def test_charge_voltage_and_what_the_tracker_needs_above_it() -> None:
    """14.4 V at 12 V nominal and 5 V above."""
    job, _, wiring = wired(TWO_TRACKERS, of=replace(ALDER, start_above_battery_v=5.0))
    assert needed_v(job, wiring, wiring.strings[0]) == pytest.approx(14.4 + 5.0)


def test_the_tracker_that_carries_most() -> None:
    """Two strings of 10 A on one tracker, one on the other: 1.25 x 20 A."""
    _, _, wiring = wired(TWO_TRACKERS)
    assert worst_tracker_a(wiring, "C1") == pytest.approx(25.0)
    assert worst_tracker_a(wiring, "C2") == 0.0
