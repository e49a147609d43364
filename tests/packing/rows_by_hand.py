"""What one lays out on squared paper: the best single model in full rows, round what stands in the way.

Also the one question that geometry is about, asked of shapely: may this rectangle lie here?
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from shapely import Polygon, box

from rooflayout.job import Facet, Job, Obstacle, PanelModel

STEP_MM = 10
TOUCH_MM = 1e-6

Rect = tuple[float, float, float, float]


@dataclass(frozen=True)
class Paper:
    """One facet of a job."""

    job: Job
    facet: Facet

    def may_lie(self, rect: Rect) -> bool:
        """Inside the outline, clear of obstacles, lids and kept panels."""
        outline = Polygon(self.facet.outline_mm)
        if not outline.covers(box(*_grown(rect, self.job.spacing.from_edge_mm - TOUCH_MM))):
            return False
        for obstacle in self.job.obstacles_on(self.facet.name):
            strip = obstacle.swing_mm()
            if enters(rect, obstacle) or (strip is not None and _meet(rect, strip)):
                return False
        gap = self.job.spacing.between_panels_mm
        for kept in self.job.kept:
            if kept.facet == self.facet.name:
                w, h = kept.model.sides_mm(kept.turned)
                if _meet(_grown(rect, gap), (kept.x_mm, kept.y_mm, kept.x_mm + w, kept.y_mm + h)):
                    return False
        return True

    def most_in_rows(self, model: PanelModel) -> int:
        """The most panels of a model in rows along x or along y, from either end of the roof."""
        counts = [
            sum(1 for _ in self._rows(*model.sides_mm(turned), along_x, from_low))
            for turned in ((False, True) if model.turnable else (False,))
            for along_x in (True, False)
            for from_low in (True, False)
        ]
        return max(counts)

    def _rows(self, w: float, h: float, along_x: bool, from_low: bool) -> Iterator[Rect]:
        x0, y0, x1, y1 = Polygon(self.facet.outline_mm).bounds
        edge, gap = math.ceil(self.job.spacing.from_edge_mm), self.job.spacing.between_panels_mm
        across, least, most = (h, y0, y1) if along_x else (w, x0, x1)
        along, start, end = (w, x0, x1) if along_x else (h, y0, y1)
        row = least + edge if from_low else most - edge - across
        while least <= row <= most - across:
            at = start + edge
            while at <= end - along:
                x, y = (at, row) if along_x else (row, at)
                if self.may_lie((x, y, x + w, y + h)):
                    yield x, y, x + w, y + h
                    at += along + gap
                else:
                    at += STEP_MM
            row += (across + gap) * (1 if from_low else -1)


def watts_in_rows(job: Job, spare_mm: float = 0.0) -> float:
    """Watts of the best single model in rows, kept panels added; spare_mm more to edges and obstacles."""
    spacing = replace(job.spacing, from_edge_mm=job.spacing.from_edge_mm + spare_mm)
    further = tuple(replace(o, clearance_mm=o.clearance_mm + spare_mm) for o in job.obstacles)
    eased = replace(job, spacing=spacing, obstacles=further)
    best = 0.0
    for model in job.panels.models:
        count = sum(Paper(eased, facet).most_in_rows(model) for facet in job.facets)
        best = max(best, model.power_w * (count if model.stock is None else min(count, model.stock)))
    return best + sum(k.model.power_w for k in job.kept)


def enters(rect: Rect, obstacle: Obstacle) -> bool:
    """True when the rectangle lies in the obstacle's keep-out: square corners, or a grown circle."""
    if obstacle.outline_mm is not None:
        grown = box(*_grown(rect, obstacle.clearance_mm - TOUCH_MM))
        return bool(Polygon(obstacle.outline_mm).intersects(grown))
    assert obstacle.centre_mm is not None
    assert obstacle.diameter_mm is not None
    cx, cy = obstacle.centre_mm
    dx, dy = max(rect[0] - cx, cx - rect[2], 0.0), max(rect[1] - cy, cy - rect[3], 0.0)
    return math.hypot(dx, dy) < obstacle.diameter_mm / 2 + obstacle.clearance_mm - TOUCH_MM


def _grown(rect: Rect, by: float) -> Rect:
    return rect[0] - by, rect[1] - by, rect[2] + by, rect[3] + by


def _meet(a: Rect, b: Rect) -> bool:
    return min(a[2], b[2]) - max(a[0], b[0]) > TOUCH_MM and min(a[3], b[3]) - max(a[1], b[1]) > TOUCH_MM
