"""A thousand panels, wired, among obstacles, are inspected within three seconds."""

from __future__ import annotations

import time
from dataclasses import replace

from hand_made import FEN, OTTER, a_panel, a_plan, a_string, a_wired_job, with_panel

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Controllers, Facet, Job, Obstacle
from rooflayout.plan import Plan

COLUMNS, ROWS = 40, 25


def a_large_job() -> tuple[Job, Plan]:
    """Panels in a grid with the least gaps; above them a strip with round and slanted obstacles."""
    step_x, step_y = FEN.length_mm + 20, FEN.width_mm + 20
    wide, high = 40 + COLUMNS * step_x + 20, 40 + ROWS * step_y + 20
    roof = Facet("main", ((0, 0), (wide, 0), (wide, high + 1000), (0, high + 1000)))
    obstacles = []
    for i in range(20):
        x, y = 500 + 2000 * i, high + 200
        sail = ((x, y), (x + 300, y + 100), (x + 100, y + 400))
        obstacles.append(Obstacle(f"sail {i}", "main", outline_mm=sail, clearance_mm=50))
        obstacles.append(Obstacle(f"vent {i}", "main", centre_mm=(x + 800, y + 200), diameter_mm=300))
    places = [(40 + c * step_x, 40 + r * step_y) for r in range(ROWS) for c in range(COLUMNS)]
    panels = [a_panel(f"P{i}", x, y) for i, (x, y) in enumerate(places, 1)]
    strings = tuple(
        a_string(f"S{i}", f"P{2 * i - 1}", f"P{2 * i}", controller=f"C{(i + 1) // 2}", tracker=1 + i % 2)
        for i in range(1, len(panels) // 2 + 1)
    )
    job = a_wired_job(facets=(roof,), obstacles=tuple(obstacles))
    job = replace(job, controllers=Controllers((OTTER,), (OTTER,) * 250))
    return job, a_plan(*panels, strings=strings)


def test_a_thousand_panels_within_three_seconds() -> None:
    job, plan = a_large_job()
    assert len(plan.layout.panels) == 1000
    start = time.perf_counter()
    assert inspect_plan(job, plan) == []
    assert time.perf_counter() - start < 3


def test_one_breach_among_a_thousand_panels_is_found() -> None:
    job, plan = a_large_job()
    place = plan.layout.panels[537]
    found = inspect_plan(job, with_panel(plan, 537, x_mm=place.x_mm + 1))
    assert [b.text for b in found] == ["P538 and P539 are 19 mm apart; at least 20 mm"]
