"""The oriented panels that packing chooses from, in whole millimetres and whole tenths of a watt."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rooflayout.job import Job, PanelModel

WATT = 10  # one watt in the solver's whole units: tenths of a watt


@dataclass(frozen=True, slots=True)
class Kind:
    """One model, one way round, on one facet. The pitch is the side plus the gap to the next panel."""

    facet: int
    model: int
    turned: bool
    w_mm: int
    h_mm: int
    pitch_x_mm: int
    pitch_y_mm: int
    watts: int  # tenths of a watt


def _up(length_mm: float) -> int:
    return math.ceil(length_mm - 1e-9)


def kinds_of(
    job: Job, models: tuple[PanelModel, ...], whole: Callable[[float], int] = _up
) -> tuple[Kind, ...]:
    """Every model each way round on each facet; sides and gap are rounded up to whole millimetres.

    whole: another way to round, for bounds.
    """
    gap = whole(job.spacing.between_panels_mm)
    kinds = []
    for facet in range(len(job.facets)):
        for number, model in enumerate(models):
            for turned in ways_round(model):
                w, h = (whole(side) for side in model.sides_mm(turned))
                kinds.append(Kind(facet, number, turned, w, h, w + gap, h + gap, tenths(model.power_w)))
    return tuple(kinds)


def lengths_of(job: Job) -> list[float]:
    """Every length that a corner's place depends on, mm."""
    lengths = [job.spacing.from_edge_mm, *pitches_of(job)]
    lengths += [v for facet in job.facets for point in facet.outline_mm for v in point]
    for o in job.obstacles:
        lengths += [o.clearance_mm, *o.bounds_mm()]
    for k in job.kept:
        lengths += [k.x_mm, k.y_mm, *k.model.sides_mm(k.turned)]
    return lengths


def pitches_of(job: Job) -> list[float]:
    """Every length that is a part of a pitch, mm."""
    sides = [side for m in job.panels.models for side in (m.length_mm, m.width_mm)]
    return [job.spacing.between_panels_mm, *sides]


def pitches_in_whole_millimetres(job: Job) -> bool:
    """Whether all sums of pitches are whole millimetres; lines on the roof may be anywhere."""
    return all(length == round(length) for length in pitches_of(job))


def in_whole_millimetres(job: Job) -> bool:
    """Whether panels that stand on whole millimetres, their sides rounded up, lose nothing by it."""
    return all(length == round(length) for length in lengths_of(job))


def ways_round(model: PanelModel) -> tuple[bool, ...]:
    """(False,) or (False, True): a square panel, or one that may not be turned, has one way."""
    return (False, True) if model.turnable and model.length_mm != model.width_mm else (False,)


def tenths(power_w: float) -> int:
    """Watts as whole tenths, rounded down so that no layout is overstated."""
    return math.floor(power_w * WATT + 1e-6)


def coarser(kinds: tuple[Kind, ...], raster_mm: int) -> tuple[Kind, ...]:
    """The same kinds with pitches rounded up to a raster: fewer sums of pitches, every layout still real."""
    return tuple(
        replace(
            k,
            w_mm=k.w_mm + _rest(k.pitch_x_mm, raster_mm),
            h_mm=k.h_mm + _rest(k.pitch_y_mm, raster_mm),
            pitch_x_mm=k.pitch_x_mm + _rest(k.pitch_x_mm, raster_mm),
            pitch_y_mm=k.pitch_y_mm + _rest(k.pitch_y_mm, raster_mm),
        )
        for k in kinds
    )


def smaller(kinds: Sequence[Kind], raster_mm: int, least: int = 0) -> tuple[Kind, ...]:
    """The same kinds with pitches rounded down to a raster: whatever lies on the roof, these would, too.

    least: millimetres by which each is made smaller at least.
    """
    found = []
    for k in kinds:
        x = _less(k.pitch_x_mm, raster_mm, least)
        y = _less(k.pitch_y_mm, raster_mm, least)
        w, h, pitch_x, pitch_y = k.w_mm - x, k.h_mm - y, k.pitch_x_mm - x, k.pitch_y_mm - y
        found.append(replace(k, w_mm=w, h_mm=h, pitch_x_mm=pitch_x, pitch_y_mm=pitch_y))
    return tuple(found)


def _less(value: int, raster: int, least: int) -> int:
    return least + (value - least) % raster


def _rest(value: int, raster: int) -> int:
    return -value % raster


def densest_models(kinds: Sequence[Kind]) -> list[int]:
    """The models of kinds, those with the most watts for their area (gaps with it) first."""
    best: dict[int, float] = {}
    for k in kinds:
        best[k.model] = max(best.get(k.model, 0.0), k.watts / (k.pitch_x_mm * k.pitch_y_mm))
    return sorted(best, key=lambda model: (-best[model], model))
