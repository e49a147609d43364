"""From a layout to what sun and battery make of it: climate, sky, shade, harvest, loads, battery."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.energy import sizing
from rooflayout.energy.battery import usable_wh
from rooflayout.energy.day_kinds import mean_wh_day
from rooflayout.energy.fates import Fates, fates_of
from rooflayout.energy.frost import unreckoned_by_month
from rooflayout.energy.harvest import Harvest, harvest
from rooflayout.energy.loads import demand_wh_day, driving_wh_day, load_hours
from rooflayout.energy.margin import is_ample
from rooflayout.energy.notes import notes_on
from rooflayout.energy.on_facet import direction_wh
from rooflayout.energy.place import place_doubt, place_of
from rooflayout.energy.roof_sun import RoofSun, roof_sun
from rooflayout.energy.sentences import month_sentence
from rooflayout.energy.shade import ShadeTable, shade_map
from rooflayout.energy.sky import SkyHours
from rooflayout.energy.sun import mean_days
from rooflayout.energy.sunshine import MonthlyClimate, NoClimate, monthly_climate
from rooflayout.energy.uncertainty import HarvestOff, clipping_off_pct, harvest_off_pct
from rooflayout.job import Job
from rooflayout.plan import Note, PlacedPanel, Wiring
from rooflayout.yields import Energy, MonthYield, ShadeMap

ADVICE = "without it there is no estimate of the harvest"


def energy_of(
    job: Job, panels: Sequence[PlacedPanel], wiring: Wiring | None, sun: RoofSun | None = None
) -> Energy | None:
    """The year of a layout; None where the sun over the job is not known (energy_notes says why).

    sun: of this job's roof, where it has been worked out already.
    """
    if why_none(job) is not None:
        return None
    sun = roof_sun(job) if sun is None else sun
    climate, sky, table = sun.climate, sun.sky, sun.table
    found = harvest(job, panels, wiring, sky, table, sun.lights())
    demand = demand_wh_day(job)
    nights = night_shares(job)
    off = _off(job, climate, panels, found)
    fates = fates_of(job, found, sky, nights, off.month_pct) if max(demand) > 0.0 else None
    fate = None if fates is None else fates.estimated
    battery, usable = job.battery, None if job.battery is None else usable_wh(job.battery)
    wired = wiring if wiring is not None and wiring.strings else None
    return Energy(
        months=_months(job, climate, found, demand, fates, off.month_pct, usable),
        controllers=found.controllers,
        facets=found.facets,
        shade=found.shade,
        wh_year=found.wh_year,
        uncertainty_pct=climate.uncertainty_pct,
        source=climate.source,
        harvest_uncertainty_pct=off.year_pct,
        month_uncertainty_pct=off.month_pct,
        place=place_of(job),
        usable_wh=usable,
        days_without_sun=None if battery is None else sizing.days_without_sun(battery, demand),
        refill_hours=None
        if battery is None or wired is None
        else sizing.refill_hours(battery, sizing.warm_sun_w(job, wired)),
        watts_per_ah=None if battery is None else sizing.watts_per_ah(battery, _watts(panels, wiring)),
        load_hours=load_hours(job, sky, found.roof_w + found.portable_w),
        soc_band_pct=() if fate is None else fate.soc_band_pct,
        maps=_maps(job, sky, table),
    )


def energy_notes(job: Job, energy: Energy | None, wiring: Wiring | None = None) -> tuple[Note, ...]:
    """All notes on an estimate, or why there is none; wiring gives clipping its watts and amperes."""
    if energy is not None:
        doubt = place_doubt(job)
        return (*([Note("caution", "place", doubt)] if doubt else []), *notes_on(job, energy, wiring))
    why = why_none(job)
    return () if why is None else (Note("caution", "no-harvest", why),)


def why_none(job: Job) -> str | None:
    """Why a job has no harvest, in words with what to give; None where it has one."""
    site = job.site
    try:
        monthly_climate(job)
    except NoClimate as fault:
        return f"{fault} ({ADVICE})"
    if site is None or site.latitude_deg is None:
        return f"The sun's positions need [site] latitude: {ADVICE}."
    if job.climate.weather and site.longitude_deg is None:
        return f"The hours of a weather file need [site] longitude: {ADVICE}."
    return None


def night_shares(job: Job) -> tuple[float, ...]:
    """Part of the 24 hours without sun, by month."""
    assert job.site is not None
    assert job.site.latitude_deg is not None
    sunset_deg = mean_days(job.site.latitude_deg, job.site.longitude_deg or 0.0).sunset_deg
    return tuple(float(1.0 - s / 180.0) for s in sunset_deg)


def _months(
    job: Job,
    climate: MonthlyClimate,
    found: Harvest,
    demand: Sequence[float],
    fates: Fates | None,
    month_off_pct: float,
    usable_wh: float | None,
) -> tuple[MonthYield, ...]:
    """Sun, harvest, demand and battery of every month."""
    driving = driving_wh_day(job)
    unreckoned = unreckoned_by_month(job, climate.months)
    months = []
    for i, month in enumerate(climate.months):
        roof, portable = mean_wh_day(found.roof_days[i]), mean_wh_day(found.portable_days[i])
        own = MonthYield(
            month=i + 1,
            sun_kwh_m2_day=month.sun_kwh_m2_day,
            air_c=month.air_c,
            harvest_wh_day=roof,
            portable_wh_day=portable,
            driving_wh_day=driving[i],
            demand_wh_day=demand[i],
            empty_pct=None if fates is None else fates.estimated.empty_pct[i],
            soc_low_pct=None if fates is None else fates.estimated.soc_low_pct[i],
            soc_middle_pct=None if fates is None else fates.estimated.soc_middle_pct[i],
            soc_high_pct=None if fates is None else fates.estimated.soc_high_pct[i],
            sentence="",
            empty_less_sun_pct=None if fates is None else fates.less_sun.empty_pct[i],
            empty_more_sun_pct=None if fates is None else fates.more_sun.empty_pct[i],
            spilled_pct=None if fates is None else fates.estimated.spilled_pct[i],
        )
        sentence = month_sentence(
            own.month,
            roof + portable,
            own.driving_wh_day,
            own.demand_wh_day,
            own.empty_pct,
            less_sun_pct=own.empty_less_sun_pct,
            month_off_pct=month_off_pct,
            unreckoned=unreckoned[i],
            ample=is_ample(own, usable_wh),
        )
        months.append(replace(own, sentence=sentence))
    return tuple(months)


def _off(job: Job, climate: MonthlyClimate, panels: Sequence[PlacedPanel], found: Harvest) -> HarvestOff:
    """How far the harvest may be off, by the sun, what shade takes of all panels together, and clipping."""
    taken = {own.panel: own.loss_pct for own in found.shade}
    watts = sum(p.watts for p in panels)
    shade_pct = sum(p.watts * taken.get(p.panel, 0.0) for p in panels) / watts if watts > 0.0 else 0.0
    sloped = any(job.facet(p.facet).slope_deg > 0.0 for p in panels)
    clipping_pct = clipping_off_pct(found.controllers)
    return harvest_off_pct(climate.uncertainty_pct, shade_pct, clipping_pct, sloped=sloped)


def _watts(panels: Sequence[PlacedPanel], wiring: Wiring | None) -> float:
    """Of the panels on the roof that may charge."""
    off = () if wiring is None else wiring.unwired
    return sum(p.watts for p in panels if p.panel not in off)


def _maps(job: Job, sky: SkyHours, table: ShadeTable) -> tuple[ShadeMap, ...]:
    """The shade map of every facet that is ever shaded."""
    return tuple(
        shade_map(job, table, f, direction_wh(job, f, sky, table)[0])
        for f in job.facets
        if table.any_shade(f.name)
    )
