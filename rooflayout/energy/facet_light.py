"""What the panels of a facet make of the year: per watt of panel, hour by hour, with and without shade."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.cells import (
    DIFFUSE_GLASS,
    KEPT,
    flush_cells_c,
    glass_share,
    heat_factor,
    power_pct_per_k,
)
from rooflayout.energy.on_facet import directions, on_facet
from rooflayout.energy.shade import Along, ShadeTable
from rooflayout.energy.sky import SkyHours
from rooflayout.job import Facet, Job, PanelModel
from rooflayout.plan import PlacedPanel
from rooflayout.wiring.limits import FULL_SUN_W_M2

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class FacetLight:
    """Arrays [headings, N]; beam and diffuse as they pass the glass, in parts of full sun."""

    beam: Values
    diffuse: Values
    cell_c: Values
    direction: NDArray[np.intp]  # of the shade table


def facet_light(
    job: Job,
    facet: Facet,
    sky: SkyHours,
    table: ShadeTable,
    cells_c: Callable[[Values, Values], Values] = flush_cells_c,
) -> FacetLight:
    """The light that a facet's panels use; cells are as hot as without shade.

    cells_c: cell temperature in °C from that of the air and the light in W/m².
    """
    sun = on_facet(job, facet, sky)
    return FacetLight(
        beam=sun.beam_w_m2 * glass_share(sun.cosine) / FULL_SUN_W_M2,
        diffuse=sun.diffuse_w_m2 * DIFFUSE_GLASS / FULL_SUN_W_M2,
        cell_c=cells_c(sky.air_c, sun.beam_w_m2 + sun.diffuse_w_m2),
        direction=directions(sun, sky, table),
    )


def watts_per_watt(light: FacetLight, pct_per_k: float, beam_loss: Values | None = None) -> Values:
    """[headings, N]: what a panel watt gives after soiling and other losses; beam_loss [directions]."""
    beam = light.beam if beam_loss is None else light.beam * (1.0 - beam_loss[light.direction])
    return np.asarray((beam + light.diffuse) * heat_factor(pct_per_k, light.cell_c) * KEPT)


def wh_per_w_year(light: FacetLight, pct_per_k: float, sky: SkyHours) -> float:
    """What a panel watt gives over the year without shade, before cables and controller; mean of headings."""
    return float((watts_per_watt(light, pct_per_k).mean(axis=0) * sky.weight_days).sum())


def direction_wh_per_w(
    light: FacetLight, pct_per_k: float, sky: SkyHours, table: ShadeTable
) -> tuple[Values, float]:
    """What a panel watt gives over the year, Wh, mean of the headings: by the beam from each direction of the
    shade table, and in all. A panel that loses loss [directions] gives its watts x (all - beam @ loss)."""
    weights = sky.weight_days / len(light.beam) * heat_factor(pct_per_k, light.cell_c) * KEPT
    beam: Values = np.bincount(
        light.direction.ravel(), weights=(light.beam * weights).ravel(), minlength=len(table.directions)
    ).astype(np.float64)
    return beam, float(beam.sum() + (light.diffuse * weights).sum())


def beam_losses(
    panels: Sequence[PlacedPanel], models: dict[str, PanelModel], table: ShadeTable
) -> dict[str, Values]:
    """[directions] by panel: share of the beam's power that shade takes from it; none where there is none.

    A panel's bypass sections run along its length.
    """
    alike: dict[tuple[str, int, Along], list[PlacedPanel]] = {}
    for p in panels:
        along: Along = "y" if p.turned else "x"
        alike.setdefault((p.facet, models[p.model].bypass_sections, along), []).append(p)
    found: dict[str, Values] = {}
    for (facet, sections, along), own in alike.items():
        if not table.any_shade(facet):
            continue
        rects = [(p.x_mm, p.y_mm, p.x_mm + p.along_x_mm, p.y_mm + p.along_y_mm) for p in own]
        losses = table.beam_loss(facet, rects, sections, along)
        found.update({p.panel: np.asarray(loss, dtype=float) for p, loss in zip(own, losses, strict=True)})
    return found


def usual_pct_per_k(facet: Facet, panels: Sequence[PlacedPanel], models: dict[str, PanelModel]) -> float:
    """Power coefficient of the model with the most watts on a facet; without panels of the first model."""
    watts: dict[str, float] = {}
    for p in panels:
        if p.facet == facet.name:
            watts[p.model] = watts.get(p.model, 0.0) + p.watts
    model = max(watts, key=lambda name: watts[name]) if watts else next(iter(models), None)
    if model is None:
        raise ValueError("a job has at least one panel model")
    return power_pct_per_k(models[model])
