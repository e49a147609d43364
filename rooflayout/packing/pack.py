"""A job in, placed panels out: the door of the packing room."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import Job
from rooflayout.packing.clearance import field_of
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.kinds import WATT, Kind, kinds_of
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.search import Packing
from rooflayout.packing.teams import search
from rooflayout.plan import PlacedPanel
from rooflayout.wiring.options import Supply


@dataclass(frozen=True, slots=True)
class Packed:
    """Panels without names, new and kept; watts count wired ones only where the job wires."""

    panels: tuple[PlacedPanel, ...]
    watts: float
    bound_watts: float
    proven: bool
    sampled: bool  # a round or slanted line: touching positions were tried on a raster only


def pack(job: Job, supply: Supply | None, clock: Clock) -> Packed:
    """The most watts that fit and can be wired; supply None: a layout alone."""
    models = models_of(job)
    buyable = {m.model for m in job.panels.models if m.stock != 0}
    if supply is not None:
        buyable &= {option.model.model for option in supply.options}
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model].model in buyable)
    rules = rules_of(job, models, kinds, supply)
    fields = tuple(field_of(job, facet) for facet in job.facets)
    packing = search(fields, rules, clock)
    panels = _kept(job) + tuple(_placed(job, kinds[k], x, y) for k, x, y in packing.places)
    return Packed(
        panels, packing.watts / WATT, packing.bound / WATT, packing.proven, any(f.slanted() for f in fields)
    )


def _placed(job: Job, kind: Kind, x_mm: int, y_mm: int) -> PlacedPanel:
    model = models_of(job)[kind.model]
    facet = job.facets[kind.facet].name
    return PlacedPanel("", facet, model.model, x_mm, y_mm, kind.w_mm, kind.h_mm, kind.turned, model.power_w)


def _kept(job: Job) -> tuple[PlacedPanel, ...]:
    return tuple(
        PlacedPanel(
            "",
            k.facet,
            k.model.model,
            k.x_mm,
            k.y_mm,
            *k.model.sides_mm(k.turned),
            k.turned,
            k.model.power_w,
            True,
        )
        for k in job.kept
    )


__all__ = ["Clock", "Packed", "Packing", "pack"]
