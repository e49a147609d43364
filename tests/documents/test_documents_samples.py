"""The hand-made plans that the other tests draw must themselves be roofs one could build."""

from __future__ import annotations

from itertools import combinations

import pytest
from shapely import Point, Polygon
from shapely import box as rectangle

from .samples import SAMPLES


@pytest.mark.parametrize("name", SAMPLES)
def test_panels_keep_every_distance(name: str) -> None:
    job, plan = SAMPLES[name]()
    edge, gap = job.spacing.from_edge_mm, job.spacing.between_panels_mm
    for facet in job.facets:
        panels = [p for p in plan.layout.panels if p.facet == facet.name]
        outline = Polygon(facet.outline_mm)
        for p in panels:
            x1, y1 = p.x_mm + p.along_x_mm, p.y_mm + p.along_y_mm
            assert outline.covers(rectangle(p.x_mm - edge, p.y_mm - edge, x1 + edge, y1 + edge)), p.panel
            for o in job.obstacles_on(facet.name):
                a, b, c, d = o.bounds_mm()
                m = o.clearance_mm
                kept_out = Point((a + c) / 2, (b + d) / 2).buffer((c - a) / 2 + m)
                if o.outline_mm is not None:
                    grown = rectangle(p.x_mm - m, p.y_mm - m, x1 + m, y1 + m)
                    assert grown.intersection(Polygon(o.outline_mm)).area < 1e-6, (p.panel, o.name)
                else:
                    assert rectangle(p.x_mm, p.y_mm, x1, y1).intersection(kept_out).area < 1e-6, (
                        p.panel,
                        o.name,
                    )
                if (swing := o.swing_mm()) is not None:
                    assert rectangle(p.x_mm, p.y_mm, x1, y1).intersection(rectangle(*swing)).area < 1e-6
        for p, q in combinations(panels, 2):
            apart_x = max(p.x_mm - q.x_mm - q.along_x_mm, q.x_mm - p.x_mm - p.along_x_mm)
            apart_y = max(p.y_mm - q.y_mm - q.along_y_mm, q.y_mm - p.y_mm - p.along_y_mm)
            assert max(apart_x, apart_y) >= gap, (p.panel, q.panel)


@pytest.mark.parametrize("name", SAMPLES)
def test_strings_hold_panels_of_one_model_on_one_facet(name: str) -> None:
    _, plan = SAMPLES[name]()
    by_name = {p.panel: p for p in plan.layout.panels}
    assert len(by_name) == len(plan.layout.panels)
    for string in plan.wiring.strings if plan.wiring else ():
        assert {by_name[p].model for p in string.panels} == {string.model}
        assert {by_name[p].facet for p in string.panels} == {string.facet}
