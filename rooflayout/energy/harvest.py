"""What the panels give over the year: hour by hour, string by string, through their controllers.

A string follows its weakest panel: in every hour it loses, of its beam, what shade takes from the panel
that loses most. Strings of a tracker add up, less what unlike ones lose; a controller passes what its charge
current lets through while the battery charges (charging.py). Hours are those of the sky, for every heading;
sums are means of the headings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.cells import open_rack_cells_c, power_pct_per_k
from rooflayout.energy.charging import Feed, limit_w
from rooflayout.energy.facet_light import (
    FacetLight,
    beam_losses,
    direction_wh_per_w,
    facet_light,
    usual_pct_per_k,
    watts_per_watt,
    wh_per_w_year,
)
from rooflayout.energy.feeds import feed_of
from rooflayout.energy.shade import ShadeTable, yearly_loss
from rooflayout.energy.sky import SkyHours, sunny_part
from rooflayout.job import Facet, Job, PanelModel
from rooflayout.plan import ControllerLoad, PlacedPanel, Wiring
from rooflayout.yields import ControllerYield, FacetYield, PanelShade

Values = NDArray[np.float64]
MonthDays = tuple[tuple[tuple[float, float], ...], ...]  # by month: (Wh, days a year) of each kind of day


@dataclass(frozen=True, slots=True, eq=False)
class Harvest:
    """Wh that reach the battery's end of the cables; a layout alone: what the panels give."""

    roof_days: MonthDays
    portable_days: MonthDays
    controllers: tuple[ControllerYield, ...]
    facets: tuple[FacetYield, ...]
    shade: tuple[PanelShade, ...]
    roof_w: Values  # [headings, N], after the controllers
    portable_w: Values  # [N]
    feeds: tuple[Feed, ...] = ()  # of roof [headings, N] and portable panels [N]

    def days(self, sky: SkyHours, sun: float = 1.0) -> MonthDays:
        """Wh of each kind of day from roof and portable panels together, with so much of the estimated sun.

        The panels' power goes with the sun; the controllers' limits stay.
        """
        none = np.zeros((1, len(sky.month)))
        return by_day(sum((feed.passed_w(sun) for feed in self.feeds), start=none), sky)

    @property
    def wh_year(self) -> float:
        """Of the roof panels."""
        return sum(wh * days for month in self.roof_days for wh, days in month)


def harvest(
    job: Job,
    panels: Sequence[PlacedPanel],
    wiring: Wiring | None,
    sky: SkyHours,
    table: ShadeTable,
    lights: dict[str, FacetLight] | None = None,
) -> Harvest:
    """Everything that panels give under this sky; panels that no controller takes give nothing.

    wiring None or without strings where the job asks for none: the panels alone, each by itself.
    lights: of every facet by its name, where they have been worked out already.
    """
    models = job.panel_models()
    if lights is None:
        lights = {f.name: facet_light(job, f, sky, table) for f in job.facets}
    losses = beam_losses(panels, models, table)
    if wiring is None or not job.wants_wiring:
        controllers: tuple[ControllerYield, ...] = ()
        feeds = [Feed(_alone_w(panels, models, lights, losses, sky))]
    else:
        feeds = [controller_feed(job, wiring, load, models, lights, losses) for load in wiring.controllers]
        controllers = _yields(job, wiring, feeds, models, lights, losses, sky)
    roof_w = sum((feed.passed_w() for feed in feeds), start=np.zeros(next(iter(lights.values())).beam.shape))
    portable = _portable_feeds(job, wiring, sky, table)
    portable_w = sum((feed.passed_w() for feed in portable), start=np.zeros(len(sky.month)))
    return Harvest(
        roof_days=by_day(roof_w, sky),
        portable_days=by_day(portable_w[None, :], sky),
        controllers=controllers,
        facets=tuple(
            FacetYield(f.name, wh_per_w_year(lights[f.name], usual_pct_per_k(f, panels, models), sky))
            for f in job.facets
        ),
        shade=_panel_shades(panels, models, lights, losses, sky, table),
        roof_w=roof_w,
        portable_w=portable_w,
        feeds=(*feeds, *portable),
    )


def by_day(power_w: Values, sky: SkyHours) -> MonthDays:
    """Wh of each kind of day by month, mean of the headings, and how many days a year it stands for."""
    mean_w = power_w.mean(axis=0)
    days, first, which = np.unique(sky.month * 1000 + sky.day, return_index=True, return_inverse=True)
    wh = np.bincount(which, weights=mean_w, minlength=len(days))
    months = sky.month[first]
    return tuple(
        tuple((float(wh[i]), float(sky.weight_days[first[i]])) for i in np.flatnonzero(months == month))
        for month in range(1, 13)
    )


def year_wh(power_w: Values, sky: SkyHours) -> float:
    """Wh a year of power [headings, N], mean of the headings."""
    return float((power_w.mean(axis=0) * sky.weight_days).sum())


def _yields(
    job: Job,
    wiring: Wiring,
    feeds: Sequence[Feed],
    models: dict[str, PanelModel],
    lights: dict[str, FacetLight],
    losses: dict[str, Values],
    sky: SkyHours,
) -> tuple[ControllerYield, ...]:
    """Each controller's year, with even hours and with clouds that come and go."""
    dark = {name: replace(light, beam=np.zeros_like(light.beam)) for name, light in lights.items()}
    sunny, found = sunny_part(sky), []
    for load, feed in zip(wiring.controllers, feeds, strict=True):
        dark_w = controller_feed(job, wiring, load, models, dark, losses).panels_w
        watts = (feed.could_w(), feed.passed_w(), feed.least_passed_w(dark_w, sunny))
        found.append(ControllerYield(load.controller, *(year_wh(w, sky) for w in watts)))
    return tuple(found)


def controller_feed(
    job: Job,
    wiring: Wiring,
    load: ControllerLoad,
    models: dict[str, PanelModel],
    lights: dict[str, FacetLight],
    losses: dict[str, Values],
) -> Feed:
    """[headings, N]: what a controller's strings feed to the battery; the weakest panel of each decides on
    the beam."""
    shares = {}
    for s in (s for s in wiring.strings if s.controller == load.controller):
        own = [losses[name] for name in s.panels if name in losses]
        worst = np.max(own, axis=0) if own else None
        shares[s.string] = watts_per_watt(lights[s.facet], power_pct_per_k(models[s.model]), worst)
    return feed_of(job, wiring, load, shares, np.zeros(next(iter(lights.values())).beam.shape))


def _alone_w(
    panels: Sequence[PlacedPanel],
    models: dict[str, PanelModel],
    lights: dict[str, FacetLight],
    losses: dict[str, Values],
    sky: SkyHours,
) -> Values:
    """What panels give that are not wired: each by itself, no cables, no controllers."""
    power_w = np.zeros(next(iter(lights.values())).beam.shape)
    alike: dict[tuple[str, str], list[PlacedPanel]] = {}
    for p in panels:
        alike.setdefault((p.facet, p.model), []).append(p)
    for (facet, model), own in alike.items():
        shaded = [losses[p.panel] * p.watts for p in own if p.panel in losses]
        watts = sum(p.watts for p in own)
        mean = np.sum(shaded, axis=0) / watts if shaded else None
        power_w += watts * watts_per_watt(lights[facet], power_pct_per_k(models[model]), mean)
    return power_w


def _portable_feeds(job: Job, wiring: Wiring | None, sky: SkyHours, table: ShadeTable) -> list[Feed]:
    """[N]: what portable panels give, level, in free air and without shade, through their controllers.

    Of those that share the vehicle charger's input only the strongest counts: one is plugged in at a time.
    """
    if wiring is None or not wiring.portable or job.battery is None:
        return []
    level = facet_light(job, Facet("ground", ()), sky, table, open_rack_cells_c)
    planned = {own.name: own for own in job.portable}
    feeds = []
    strongest: dict[str, float] = {}
    for p in wiring.portable:
        if not p.own_controller:
            strongest[p.into] = max(strongest.get(p.into, 0.0), p.power_w)
    for p in wiring.portable:
        if not p.own_controller:
            if strongest.get(p.into) != p.power_w:
                continue
            del strongest[p.into]
        own = planned[p.name]
        share = watts_per_watt(level, power_pct_per_k(own.model))[0]
        most_w = limit_w(job.battery, own.controller.max_charge_a)
        feeds.append(Feed(p.power_w * share, own.controller.efficiency_pct / 100.0, most_w))
    return feeds


def _panel_shades(
    panels: Sequence[PlacedPanel],
    models: dict[str, PanelModel],
    lights: dict[str, FacetLight],
    losses: dict[str, Values],
    sky: SkyHours,
    table: ShadeTable,
) -> tuple[PanelShade, ...]:
    """What shade takes of each panel's year, by itself."""
    found = []
    for p in panels:
        loss = 0.0
        if p.panel in losses:
            gives = direction_wh_per_w(lights[p.facet], power_pct_per_k(models[p.model]), sky, table)
            loss = float(yearly_loss(losses[p.panel][None, :], *gives)[0])
        found.append(PanelShade(p.panel, 100.0 * loss))
    return tuple(found)
