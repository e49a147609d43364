"""The sun on a job's roof, worked out once: what packing, harvest and shade map begin from."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from rooflayout.energy.cells import power_pct_per_k
from rooflayout.energy.facet_light import FacetLight, direction_wh_per_w, facet_light
from rooflayout.energy.on_facet import direction_wh
from rooflayout.energy.shade import ShadeTable, shade_table
from rooflayout.energy.sky import SkyHours, sky_hours
from rooflayout.energy.sunshine import MonthlyClimate, monthly_climate
from rooflayout.job import Job, PanelModel
from rooflayout.vehicle.placing import facet_places

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from rooflayout.energy.shade import Along

    Values = NDArray[np.float64]


@dataclass(slots=True)
class RoofSun:
    """Climate, hours of the year and shadows of a job; light and yearly sums of each facet as asked for."""

    job: Job
    climate: MonthlyClimate
    sky: SkyHours
    table: ShadeTable
    _light: dict[int, FacetLight] = field(default_factory=dict)
    _wh: dict[int, tuple[Values, float]] = field(default_factory=dict)

    @property
    def shaded(self) -> bool:
        """Whether anything ever throws a shadow where a panel may lie."""
        return any(self.table.any_shade(f.name) for f in self.job.facets)

    def light(self, facet: int) -> FacetLight:
        """The light that panels on the facet of this number use."""
        if facet not in self._light:
            self._light[facet] = facet_light(self.job, self.job.facets[facet], self.sky, self.table)
        return self._light[facet]

    def lights(self) -> dict[str, FacetLight]:
        """The light of every facet by its name."""
        return {f.name: self.light(number) for number, f in enumerate(self.job.facets)}

    def direction_wh(self, facet: int) -> tuple[Values, float]:
        """Wh/m² a year on a facet: beam by direction of the shade table, and all light."""
        if facet not in self._wh:
            self._wh[facet] = direction_wh(self.job, self.job.facets[facet], self.sky, self.table)
        return self._wh[facet]

    def panel_wh(
        self, facet: int, model: PanelModel, rects_mm: Values, turned: bool
    ) -> tuple[Values, Values]:
        """Wh a year that panels of a model at rects_mm [n, 4] give by themselves, and that shade takes from
        them, before cables and controller; their bypass sections lie along their length."""
        pct_per_k = power_pct_per_k(model)
        beam, total = direction_wh_per_w(self.light(facet), pct_per_k, self.sky, self.table)
        name = self.job.facets[facet].name
        along: Along = "y" if turned else "x"
        lost = self.table.year_loss(name, rects_mm, model.bypass_sections, along, beam, total)
        return model.power_w * total * (1.0 - lost), model.power_w * total * lost


def roof_sun(job: Job) -> RoofSun:
    """The sun on a job's roof. Raises NoClimate where nothing is known of it."""
    climate = monthly_climate(job)
    return RoofSun(job, climate, sky_hours(job, climate), shade_table(job, facet_places(job)))
