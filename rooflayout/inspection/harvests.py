"""Whether a plan's sun can be, and whether its harvest is no more than panels can make of that sun.

The bound is worked out anew from the plan's own monthly sun: the light on each facet by handbook means
(sunlight.py), times the watts that may charge, less what dirt and the rest always take. It is a bound, not
an estimate: shade, heat, glass and clipping take more. A figure that is not stated is passed over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from rooflayout.inspection.batteries import AFTER_DIRT_AND_REST
from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.lookup import facet_of, model_of
from rooflayout.inspection.sunlight import ANY_BEARING, DAYS, on_plane_kwh_m2_day, outside_kwh_m2_day
from rooflayout.job import Facet, Job
from rooflayout.plan import PlacedPanel, Plan
from rooflayout.yields import MonthYield

AXES = {"+x": 0, "+y": 90, "-x": 180, "-y": 270}  # counter-clockwise, seen from above
TWILIGHT_KWH_M2_DAY = 0.3  # in a month whose mean day is dark
ROUNDED_KWH_M2_DAY = 0.006
# Cells colder than 25 °C give more, and ways to split light differ: of 48 planes from the equator to 65° the
# year's harvest before controllers came to 0.78 to 0.91 of the light on them.
YEAR_SLACK = 1.15
LEVEL_MONTH_SLACK = 1.15
SLOPE_MONTH_SLACK = (
    1.75  # a plane turned from a low sun lives on the light of the sky, which means tell badly
)
MONTH_WH = 1.0
# Within how many % a year's sun is known at the best by what it rests on: README's classes.
LEAST_FILE_PCT = 8.0
LEAST_OWN_PCT = 10.0
LEAST_PACKAGED_PCT = 12.0
ROUNDED_PCT = 0.11


def sun_can_be(job: Job, plan: Plan) -> Iterator[Breach]:
    """By month no more sun than arrives outside the air, and where the job gives the sun, just that."""
    latitude = _latitude(job)
    own = None if job.climate.weather else job.climate.sun_kwh_m2_day
    for m in _months(plan):
        sun = m.sun_kwh_m2_day
        if own is not None and abs(sun - own[m.month - 1]) > ROUNDED_KWH_M2_DAY:
            a, b = figures(sun, own[m.month - 1])
            text = f"month {m.month} states {a} kWh/m² a day of sun; the job gives {b}"
            yield Breach("energy-sun", f"month {m.month}", text)
        if latitude is None:
            continue
        most = max(outside_kwh_m2_day(latitude, m.month), 0.0) * 1.02 + TWILIGHT_KWH_M2_DAY
        if sun > most:
            text = f"month {m.month} states {plain(sun)} kWh/m² a day of sun; not even outside the air are "
            text += f"there more than {plain(most)}"
            yield Breach("energy-sun", f"month {m.month}", text)


def harvest_is_no_more_than_the_sun(job: Job, plan: Plan) -> Iterator[Breach]:
    """By month and over the year the roof gives no more than its panels can make of the light on them."""
    latitude, energy = _latitude(job), plan.energy
    if latitude is None or energy is None:
        return
    off = () if plan.wiring is None else plan.wiring.unwired
    panels = [p for p in plan.layout.panels if p.panel not in off]
    level = all(f is None or not f.slope_deg for f in (facet_of(job, p) for p in panels))
    slack = LEVEL_MONTH_SLACK if level else SLOPE_MONTH_SLACK
    portable_w = 0.0 if plan.wiring is None else sum(p.power_w for p in plan.wiring.portable)
    year = 0.0
    for m in _months(plan):
        most = AFTER_DIRT_AND_REST * _light_on(job, panels, latitude, m.month, m.sun_kwh_m2_day)
        year += most * DAYS[m.month - 1] * YEAR_SLACK
        if m.harvest_wh_day > slack * most + MONTH_WH:
            yield _too_much(
                f"month {m.month}", m.harvest_wh_day, slack * most, "Wh a day", "the roof's panels"
            )
        most = AFTER_DIRT_AND_REST * LEVEL_MONTH_SLACK * portable_w * m.sun_kwh_m2_day
        if m.portable_wh_day > most + MONTH_WH:
            yield _too_much(f"month {m.month}", m.portable_wh_day, most, "Wh a day", "the portable panels")
    if len(_months(plan)) == len(DAYS) and energy.wh_year > year + MONTH_WH:
        yield _too_much("the energy", energy.wh_year, year, "Wh a year", "the roof's panels")


def controllers_get_no_more_than_the_sun(job: Job, plan: Plan) -> Iterator[Breach]:
    """What a controller's panels could give is no more than they can make of the light on them."""
    latitude, energy, wiring = _latitude(job), plan.energy, plan.wiring
    if latitude is None or energy is None or wiring is None or len(_months(plan)) != len(DAYS):
        return
    by_name = {p.panel: p for p in plan.layout.panels}
    for own in energy.controllers:
        names = [n for s in wiring.strings if s.controller == own.controller for n in s.panels]
        panels = [by_name[n] for n in names if n in by_name]
        year = sum(
            _light_on(job, panels, latitude, m.month, m.sun_kwh_m2_day) * DAYS[m.month - 1]
            for m in _months(plan)
        )
        most = AFTER_DIRT_AND_REST * YEAR_SLACK * year
        if own.could_wh_year > most + MONTH_WH:
            yield _too_much(
                own.controller, own.could_wh_year, most, "Wh a year", f"{own.controller}'s panels"
            )


def facets_give_no_more_than_the_sun(job: Job, plan: Plan) -> Iterator[Breach]:
    """A watt of panel gives no more in a year than the light on its facet."""
    latitude, energy = _latitude(job), plan.energy
    if latitude is None or energy is None or len(_months(plan)) != len(DAYS):
        return
    facets = {f.name: f for f in job.facets}
    for own in energy.facets:
        if own.facet not in facets:
            yield Breach("energy-harvest", own.facet, f"{own.facet} is no facet of the job")
            continue
        year = sum(
            _on_facet(job, facets[own.facet], latitude, m.month, m.sun_kwh_m2_day) * DAYS[m.month - 1]
            for m in _months(plan)
        )
        most = AFTER_DIRT_AND_REST * YEAR_SLACK * year
        if own.wh_per_w_year > most:
            yield _too_much(own.facet, own.wh_per_w_year, most, "Wh a year", "a watt of panel there")


def uncertainty_is_no_smaller_than_can_be(job: Job, plan: Plan) -> Iterator[Breach]:
    """The sun is not known better than the best class of what it rests on (weather file, the user's own
    figures, the packaged ones), a harvest not better than its sun, and a month not better than the year."""
    energy = plan.energy
    if energy is None:
        return
    year_pct = energy.harvest_uncertainty_pct
    for what, stated, least, why in (
        (
            "uncertainty_pct",
            energy.uncertainty_pct,
            _least_sun_pct(job),
            "by what it rests on the sun is known to",
        ),
        ("harvest_uncertainty_pct", year_pct, energy.uncertainty_pct, "the sun alone is known to"),
        ("month_uncertainty_pct", energy.month_uncertainty_pct, year_pct, "the whole year is known to"),
    ):
        if stated is not None and least is not None and stated < least - ROUNDED_PCT:
            text = f"{plain(stated)} % is stated as {what}; {why} {plain(least)} %"
            yield Breach("energy-uncertainty", what, text)


def _least_sun_pct(job: Job) -> float:
    """A weather file comes before the user's monthly values, those before the packaged figures."""
    if job.climate.weather:
        return LEAST_FILE_PCT
    return LEAST_PACKAGED_PCT if job.climate.sun_kwh_m2_day is None else LEAST_OWN_PCT


def _too_much(where: str, stated: float, most: float, unit: str, who: str) -> Breach:
    a, b = plain(stated, 0), plain(most, 0)
    text = f"{a} {unit} are stated; of the sun that the plan states {who} can make {b} at most"
    return Breach("energy-harvest", where, text)


def _light_on(
    job: Job, panels: Sequence[PlacedPanel], latitude_deg: float, month: int, sun_kwh_m2_day: float
) -> float:
    """Watts of the panels times the light on their facets: Wh a day."""
    watts: dict[str, float] = {}
    for panel in panels:
        model = model_of(job, panel)
        if model is not None:
            watts[panel.facet] = watts.get(panel.facet, 0.0) + model.power_w
    return sum(
        watts[f.name] * _on_facet(job, f, latitude_deg, month, sun_kwh_m2_day)
        for f in job.facets
        if f.name in watts
    )


def _on_facet(job: Job, facet: Facet, latitude_deg: float, month: int, sun_kwh_m2_day: float) -> float:
    """kWh/m² a day on a facet, mean of the ways that the roof may stand; the best where none is known."""
    albedo = job.climate.albedo

    def on(bearing_deg: int) -> float:
        return on_plane_kwh_m2_day(sun_kwh_m2_day, latitude_deg, month, facet.slope_deg, bearing_deg, albedo)

    if not facet.slope_deg:
        return sun_kwh_m2_day
    heading = None if job.site is None else job.site.heading_deg
    if facet.downhill is None:
        return max(sun_kwh_m2_day, *(on(bearing) for bearing in ANY_BEARING))
    if not isinstance(facet.downhill, str):
        return on(round(facet.downhill) % 360)
    moored = any(f.slope_deg and isinstance(f.downhill, (int, float)) for f in job.facets)
    if heading is None and not moored:
        return sum(on(bearing) for bearing in ANY_BEARING) / len(ANY_BEARING)
    return on(round((heading or 0.0) + AXES[facet.front] - AXES[facet.downhill]) % 360)


def _months(plan: Plan) -> list[MonthYield]:
    """The months whose sun is stated, of those there are."""
    months = () if plan.energy is None else plan.energy.months
    return [m for m in months if math.isfinite(m.sun_kwh_m2_day) and 1 <= m.month <= len(DAYS)]


def _latitude(job: Job) -> float | None:
    return None if job.site is None else job.site.latitude_deg
