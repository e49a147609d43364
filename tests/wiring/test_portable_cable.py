"""The cable of a portable panel's own controller to the battery, by hand."""

from __future__ import annotations

from dataclasses import replace

from cabled_roofs import ALDER, GIVEN, PAIR, runs_of

from rooflayout.plan import PortableString
from rooflayout.wiring.portable_cable import to_the_battery

SET = PortableString("Awning set", "Finch 200", "Reed", True, 1, 1, 25.9, 17.0, 10.0, 200.0, 13.5, 0.0)
REED = replace(ALDER, model="Reed", max_charge_a=20.0)


def test_it_carries_its_fuse_and_keeps_to_the_drop() -> None:
    """Fuse 25 A. 52 °C inside: 2.5 mm² for 90 °C carries 30 A x sqrt(38/60) = 23.9 A, 4 mm² 31.8 A; 10 AWG is
    the first whose fuse may be 25 A (12 AWG: 20 A). 4 mm² loses 2 x 1.5 m x 5.09 ohm/km x 1.2751 x 13.5 A =
    0.263 V, 2.2 % of 12 V."""
    job, wiring = runs_of(PAIR)
    metric, awg = to_the_battery(job, wiring, SET, REED)
    assert metric is not None
    assert awg is not None
    assert (metric.label, awg.label) == ("4 mm²", "10 AWG")


def test_a_longer_way_takes_thicker_cable() -> None:
    """4 m: 4 mm² would lose 5.8 %, 6 mm² 3.9 %, 10 mm² 2.2 % of 12 V."""
    job, wiring = runs_of(PAIR, replace(GIVEN, controller_to_battery_mm=4000))
    metric, _ = to_the_battery(job, wiring, SET, REED)
    assert metric is not None
    assert metric.label == "10 mm²"
