"""What the panels give over the year: hour by hour, string by string, through their controllers.

A string follows its weakest panel: in every hour it loses, of its beam, what shade takes from the panel
that loses most. Strings of a tracker add up, less what unlike ones lose; a controller passes what its charge
current lets through at the charge voltage. Hours are those of the sky, for every heading; sums are means of
the headings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.cells import open_rack_cells_c, power_pct_per_k
from rooflayout.energy.facet_light import (
    FacetLight,
    beam_losses,
    direction_wh_per_w,
    facet_light,
    usual_pct_per_k,
    watts_per_watt,
    wh_per_w_year,
)
from rooflayout.energy.shade import ShadeTable, yearly_loss
from rooflayout.energy.sky import SkyHours
from rooflayout.job import Facet, Job, PanelModel
from rooflayout.plan import PanelString, PlacedPanel, Wiring
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
        roof_w = _alone_w(panels, models, lights, losses, sky)
    else:
        controllers, roof_w = _through_controllers(job, panels, wiring, models, lights, losses, sky)
    portable_w = _portable_w(job, wiring, sky, table)
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


def string_w(
    string: PanelString,
    model: PanelModel,
    light: FacetLight,
    losses: dict[str, Values],
    drop_pct: float = 0.0,
) -> Values:
    """[headings, N]: what a string gives at its controller; its weakest panel decides on the beam.

    drop_pct: the cables' at the string's full power; it grows with the current.
    """
    own = [losses[name] for name in string.panels if name in losses]
    worst = np.max(own, axis=0) if own else None
    share = watts_per_watt(light, power_pct_per_k(model), worst)
    return np.asarray(string.power_w * share * (1.0 - drop_pct / 100.0 * share))


def _through_controllers(
    job: Job,
    panels: Sequence[PlacedPanel],
    wiring: Wiring,
    models: dict[str, PanelModel],
    lights: dict[str, FacetLight],
    losses: dict[str, Values],
    sky: SkyHours,
) -> tuple[tuple[ControllerYield, ...], Values]:
    """Each controller's year, and what all of them pass in every hour."""
    assert job.battery is not None
    shape = next(iter(lights.values())).beam.shape
    passed_w = np.zeros(shape)
    yields = []
    controller_models = job.controller_models()
    unlike = {(m.controller, m.tracker): m.loss_pct for m in wiring.mismatch}
    for load in wiring.controllers:
        panels_w = np.zeros(shape)
        for s in (s for s in wiring.strings if s.controller == load.controller):
            kept = 1.0 - unlike.get((s.controller, s.tracker), 0.0) / 100.0
            drop_pct = _drop_pct(wiring, s)
            panels_w += kept * string_w(s, models[s.model], lights[s.facet], losses, drop_pct)
        controller = controller_models[load.model]
        most_a = controller.max_charge_a if load.set_a is None else load.set_a
        most_w = max(most_a * job.battery.charge_v, 1e-9)
        could_w = panels_w * controller.efficiency_pct / 100.0
        could_w *= 1.0 - _run_drop_pct(wiring, load.controller) / 100.0 * np.minimum(could_w / most_w, 1.0)
        own_w = np.minimum(could_w, most_w)
        yields.append(ControllerYield(load.controller, year_wh(could_w, sky), year_wh(own_w, sky)))
        passed_w += own_w
    return tuple(yields), passed_w


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


def _portable_w(job: Job, wiring: Wiring | None, sky: SkyHours, table: ShadeTable) -> Values:
    """[N]: what portable panels give, level, in free air and without shade, through their controllers.

    Of those that share the vehicle charger's input only the strongest counts: one is plugged in at a time.
    """
    total_w = np.zeros(len(sky.month))
    if wiring is None or not wiring.portable or job.battery is None:
        return total_w
    level = facet_light(job, Facet("ground", ()), sky, table, open_rack_cells_c)
    planned = {own.name: own for own in job.portable}
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
        could_w = p.power_w * share * own.controller.efficiency_pct / 100.0
        total_w += np.minimum(could_w, own.controller.max_charge_a * job.battery.charge_v)
    return total_w


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


def _drop_pct(wiring: Wiring, string: PanelString) -> float:
    """What the cables from a string to its controller drop at full power: its own and the joined ones."""
    joint = f"{string.controller} tracker {string.tracker} joint"
    return _run_drop_pct(wiring, string.string) + _run_drop_pct(wiring, joint)


def _run_drop_pct(wiring: Wiring, start: str) -> float:
    """The drop of the run that starts there; 0 where there is none or no cable serves."""
    return sum(r.drop_pct or 0.0 for r in wiring.runs if r.start == start)
