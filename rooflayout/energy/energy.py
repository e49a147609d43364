"""What the sun gives and what the loads take: the room's one door for the road."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.energy.battery import BatteryYear, simulate
from rooflayout.energy.harvest import Harvest, harvest
from rooflayout.energy.loads import demand_wh_day, drawn_w, driving_wh_day, stored_part, usable_wh
from rooflayout.energy.roof_sun import RoofSun
from rooflayout.energy.sentences import month_sentence
from rooflayout.energy.shade import shade_map
from rooflayout.energy.sunshine import MONTH_DAYS
from rooflayout.job import Job
from rooflayout.plan import PlacedPanel, Wiring
from rooflayout.yields import Energy, LoadHours, MonthYield, ShadeMap

REFILL_FROM = 0.2  # of the capacity


def energy_of(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring | None, sun: RoofSun) -> Energy:
    """The year of these panels under the sun of the roof, against the job's loads and battery.

    Without wiring the panels by themselves; without a battery's capacity no states of charge.
    """
    found = harvest(job, panels, wiring, sun.sky, sun.table)
    demand, driving = demand_wh_day(job), driving_wh_day(job)
    roof, portable = (_month_means(days) for days in (found.roof_days, found.portable_days))
    usable = usable_wh(job.battery)
    year = None if usable is None or job.battery is None else _simulated(job, found, demand, driving, usable)
    most = max(demand)
    return Energy(
        months=tuple(_month(m, sun, roof, portable, driving, demand, year) for m in range(12)),
        controllers=found.controllers,
        facets=found.facets,
        shade=found.shade,
        wh_year=found.wh_year,
        uncertainty_pct=sun.climate.uncertainty_pct,
        source=sun.climate.source,
        usable_wh=usable,
        days_without_sun=usable / most if usable is not None and most > 0.0 else None,
        refill_hours=_refill_hours(job, wiring),
        watts_per_ah=_watts_per_ah(job, panels, wiring),
        load_hours=_load_hours(job, [r + p for r, p in zip(roof, portable, strict=True)]),
        soc_band_pct=() if year is None else year.band_pct,
        maps=_maps(job, sun),
    )


def _simulated(
    job: Job, found: Harvest, demand: Sequence[float], driving: Sequence[float], usable: float
) -> BatteryYear:
    """Portable panels are set up on every kind of day alike."""
    assert job.battery is not None
    days = [
        [(wh + more, n) for (wh, n), (more, _) in zip(own, beside, strict=True)]
        for own, beside in zip(found.roof_days, found.portable_days, strict=True)
    ]
    return simulate(days, demand, driving, usable, stored_part(job.battery))


def _month(
    number: int,
    sun: RoofSun,
    roof: Sequence[float],
    portable: Sequence[float],
    driving: Sequence[float],
    demand: Sequence[float],
    year: BatteryYear | None,
) -> MonthYield:
    climate = sun.climate.months[number]
    empty = None if year is None else year.empty_pct[number]
    low, middle, high = (None, None, None) if year is None else year.soc_pct[number]
    sentence = month_sentence(
        number + 1, roof[number] + portable[number], driving[number], demand[number], empty
    )
    return MonthYield(
        month=number + 1,
        sun_kwh_m2_day=climate.sun_kwh_m2_day,
        air_c=climate.air_c,
        harvest_wh_day=roof[number],
        portable_wh_day=portable[number],
        driving_wh_day=driving[number],
        demand_wh_day=demand[number],
        empty_pct=empty,
        soc_low_pct=low,
        soc_middle_pct=middle,
        soc_high_pct=high,
        sentence=sentence,
    )


def _month_means(days: Sequence[Sequence[tuple[float, float]]]) -> list[float]:
    """Wh a day by month."""
    return [sum(wh * n for wh, n in own) / length for own, length in zip(days, MONTH_DAYS, strict=True)]


def _refill_hours(job: Job, wiring: Wiring | None) -> float | None:
    """Hours of full sun from REFILL_FROM of the capacity to full, nothing else running."""
    battery = job.battery
    if battery is None or battery.capacity_ah is None or wiring is None:
        return None
    charge_w = sum(load.charge_a for load in wiring.controllers) * battery.charge_v
    if charge_w <= 0.0:
        return None
    missing_wh = (1.0 - REFILL_FROM) * battery.capacity_ah * battery.nominal_v
    return missing_wh / (charge_w * stored_part(battery))


def _watts_per_ah(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring | None) -> float | None:
    """Watts on the roof, without unwired ones, to the battery's Ah at 12 V."""
    battery = job.battery
    if battery is None or battery.capacity_ah is None:
        return None
    off = set(wiring.unwired) if wiring is not None else set()
    watts = sum(p.watts for p in panels if p.panel not in off)
    return watts / (battery.capacity_ah * battery.nominal_v / 12.0)


def _load_hours(job: Job, harvest_wh_day: Sequence[float]) -> tuple[LoadHours, ...]:
    """Of the loads whose watts are known, each by itself; at most 24 hours."""
    found = []
    for load in job.loads:
        watts = drawn_w(job, load)
        if watts:
            found.append(LoadHours(load.name, tuple(min(24.0, wh / watts) for wh in harvest_wh_day)))
    return tuple(found)


def _maps(job: Job, sun: RoofSun) -> tuple[ShadeMap, ...]:
    """Of the facets on which there is any shade."""
    return tuple(
        shade_map(job, sun.table, facet, sun.direction_wh(number)[0])
        for number, facet in enumerate(job.facets)
        if sun.table.any_shade(facet.name)
    )
