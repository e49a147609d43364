"""How long the cables are, one way, in mm: as the job gives them, else estimated from the drawing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rooflayout.job import Facet, Job, Point
from rooflayout.plan import PlacedPanel

GLAND_TO_CONTROLLER_MM = 3000.0  # common practice, no source
CONTROLLER_TO_BATTERY_MM = 1500.0  # common practice, no source
BAR_TO_BATTERY_MM = 300.0  # common practice, no source: the bar beside the battery, the fuse in between
ESTIMATE_MM = 100.0  # nobody lays an estimated way closer than that


@dataclass(frozen=True, slots=True)
class Length:
    mm: float
    estimated: bool


def roof_run(job: Job, chain: Sequence[PlacedPanel]) -> Length:
    """From a string to the gland: as given, else estimated.

    Cables run along x and y. One way counts as the way from the panel centre farthest from the gland,
    plus half the chain through the string: twice that is at least the loop of both ends' cables and the
    leads between panels. Where the gland is not known, or on another facet, it counts as the corner of
    the facet that is farthest: enough wherever on the facet the cable leaves it. From there to a gland
    on another facet comes the way over that facet, from its farthest corner. Rounded up to ESTIMATE_MM.
    """
    if job.cable.roof_run_mm is not None:
        return Length(job.cable.roof_run_mm, False)
    centres_mm = [centre_mm(p) for p in chain]
    through_mm = sum(_along_mm(a, b) for a, b in pairwise(centres_mm))
    facet, gland_mm = job.facet(chain[0].facet), job.cable.gland_mm
    if gland_mm is not None and gland_facet(job) == facet.name:
        out_mm = max(_along_mm(c, gland_mm) for c in centres_mm)
    else:
        out_mm = max(_farthest_mm(facet, c) for c in centres_mm)
        if gland_mm is not None:
            out_mm += _farthest_mm(job.facet(gland_facet(job)), gland_mm)
    whole_mm = out_mm + through_mm / 2
    return Length(math.ceil(round(whole_mm / ESTIMATE_MM, 6)) * ESTIMATE_MM, True)


def gland_facet(job: Job) -> str:
    """Name of the facet that the gland is on: as given, else the first."""
    return job.cable.gland_facet or job.facets[0].name


def gland_to_controller(job: Job) -> Length:
    return _given(job.cable.gland_to_controller_mm, GLAND_TO_CONTROLLER_MM)


def controller_to_battery(job: Job) -> Length:
    return _given(job.cable.controller_to_battery_mm, CONTROLLER_TO_BATTERY_MM)


def bar_to_battery(job: Job) -> Length:
    return _given(job.cable.bar_to_battery_mm, BAR_TO_BATTERY_MM)


def centre_mm(panel: PlacedPanel) -> Point:
    return panel.x_mm + panel.along_x_mm / 2, panel.y_mm + panel.along_y_mm / 2


def _given(length_mm: float | None, usual_mm: float) -> Length:
    return Length(usual_mm, True) if length_mm is None else Length(length_mm, False)


def _along_mm(a: Point, b: Point) -> float:
    """From a to b along x and y."""
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def _farthest_mm(facet: Facet, point_mm: Point) -> float:
    """From a point to the farthest corner of the facet."""
    return max(_along_mm(point_mm, corner) for corner in facet.outline_mm)
