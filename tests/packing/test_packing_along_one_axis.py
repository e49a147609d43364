"""A near miss along one axis that hides behind a larger one: panels too small along one axis only."""

from __future__ import annotations

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.plan import Plan
from rooflayout.planner import plan_job

SIDES = ((1762, 1049, 391.0), (1181, 343, 83.0), (1733, 1137, 419.0), (737, 429, 67.0))


def planned(depth_mm: float) -> Plan:
    models = tuple(PanelModel(f"P{n}", *sides) for n, sides in enumerate(SIDES))
    roof = Facet("roof", ((0.0, 0.0), (3301.0, 0.0), (3301.0, depth_mm), (0.0, depth_mm)))
    corners = ((2558.0, 785.0), (2878.0, 785.0), (2878.0, 969.0), (2558.0, 969.0))
    box = Obstacle("box", "roof", "other", outline_mm=corners, clearance_mm=20.0)
    return plan_job(Job("narrow", (roof,), PanelRules(models), (box,), Spacing(20, 40)), time_limit_s=60)


def test_five_millimetres_are_told_and_carry_what_was_promised() -> None:
    plan = planned(1538.0)
    (miss,) = plan.near_misses
    assert (miss.axis, miss.short_mm, miss.watts) == ("y", 5, 51.0)
    deeper = planned(1538.0 + miss.short_mm)
    assert deeper.layout.watts == plan.layout.watts + miss.watts
    assert planned(1538.0 + miss.short_mm - 1).layout.watts == plan.layout.watts
