"""Energy and balance of a plan.json. Both may be absent or null; a figure that is not written is NaN."""

from __future__ import annotations

import math

from rooflayout.survey.spans import NUMBER, ZERO_UP, Span, as_number
from rooflayout.survey.table import Table, named_once, table, tables
from rooflayout.survey.words import show
from rooflayout.yields import (
    AddedMass,
    Balance,
    Bearing,
    ControllerYield,
    Energy,
    FacetYield,
    LoadHours,
    MonthYield,
    PanelShade,
)

MONTH = Span("a month from 1 to 12", 1.0, 12.0, whole=True)
TWELVE = "twelve numbers, January first"
DAYS = 365  # of the daily band
A_DAY = "[low, middle, high] in %"


def read_energy(top: Table) -> Energy | None:
    """What the plan states about sun, loads and battery; shade maps are not in the file."""
    own = table(top, "energy")
    if own is None:
        return None
    return Energy(
        months=_months(own),
        controllers=_controllers(own),
        facets=tuple(
            FacetYield(name, entry.number_or("wh_per_w_year", ZERO_UP, math.nan))
            for entry, name in _named(own, "facets", "facet")
        ),
        shade=tuple(
            PanelShade(name, entry.number_or("loss_pct", NUMBER, math.nan))
            for entry, name in _named(own, "shade", "panel")
        ),
        wh_year=own.number_or("wh_year", ZERO_UP, math.nan),
        uncertainty_pct=own.number_or("uncertainty_pct", ZERO_UP, math.nan),
        harvest_uncertainty_pct=own.number("harvest_uncertainty_pct", ZERO_UP),
        month_uncertainty_pct=own.number("month_uncertainty_pct", ZERO_UP),
        source=own.text("source", "a text in quotes") or "",
        place=(own.text("place", "a text in quotes") or "") if own.values.get("place") else "",
        usable_wh=own.number("usable_wh", ZERO_UP),
        days_without_sun=own.number("days_without_sun", ZERO_UP),
        refill_hours=own.number("refill_hours", ZERO_UP),
        watts_per_ah=own.number("watts_per_ah", ZERO_UP),
        load_hours=_load_hours(own),
        soc_band_pct=_band(own),
    )


def read_balance(top: Table) -> Balance | None:
    """What the plan states about masses."""
    own = table(top, "balance")
    if own is None:
        return None
    items = tuple(
        AddedMass(
            name,
            entry.number_or("kg", NUMBER, math.nan),
            entry.number("x_mm", NUMBER),
            entry.number("y_mm", NUMBER),
        )
        for entry, name in _named(own, "items", "item", once=False)
    )
    bearings = tuple(
        Bearing(
            name,
            entry.number_or("change_kg", NUMBER, math.nan),
            entry.number("before_kg", NUMBER),
            entry.number("most_kg", NUMBER),
        )
        for entry, name in _named(own, "bearings", "what")
    )
    return Balance(
        items=items,
        added_kg=own.number_or("added_kg", NUMBER, math.nan),
        centre_x_mm=own.number("centre_x_mm", NUMBER),
        centre_y_mm=own.number("centre_y_mm", NUMBER),
        lopsided_kg_m=own.number("lopsided_kg_m", NUMBER),
        bearings=bearings,
        payload_left_kg=own.number("payload_left_kg", NUMBER),
        heel_deg=own.number("heel_deg", NUMBER),
        roof_kg_m2=tuple(
            (name, entry.number_or("kg_m2", NUMBER, math.nan))
            for entry, name in _named(own, "roof_kg_m2", "panel")
        ),
        unknown=tuple(own.texts("unknown", "a list of names") or ()) if own.values.get("unknown") else (),
    )


def _months(own: Table) -> tuple[MonthYield, ...]:
    found = []
    for entry in tables(own, "months", "month"):
        number = entry.number("month", MONTH, needed=True)
        sentence = entry.text("sentence", "a text in quotes") if entry.values.get("sentence") else ""
        month = MonthYield(
            month=0 if number is None else int(number),
            sun_kwh_m2_day=entry.number_or("sun_kwh_m2_day", NUMBER, math.nan),
            air_c=entry.number_or("air_c", NUMBER, math.nan),
            harvest_wh_day=entry.number_or("harvest_wh_day", NUMBER, math.nan),
            portable_wh_day=entry.number_or("portable_wh_day", NUMBER, math.nan),
            driving_wh_day=entry.number_or("driving_wh_day", NUMBER, math.nan),
            demand_wh_day=entry.number_or("demand_wh_day", NUMBER, math.nan),
            empty_pct=entry.number("empty_pct", NUMBER),
            soc_low_pct=entry.number("soc_low_pct", NUMBER),
            soc_middle_pct=entry.number("soc_middle_pct", NUMBER),
            soc_high_pct=entry.number("soc_high_pct", NUMBER),
            sentence=sentence or "",
            empty_less_sun_pct=entry.number("empty_less_sun_pct", NUMBER),
            empty_more_sun_pct=entry.number("empty_more_sun_pct", NUMBER),
            spilled_pct=entry.number("spilled_pct", NUMBER),
        )
        found.append(month)
    return tuple(found)


def _controllers(own: Table) -> tuple[ControllerYield, ...]:
    return tuple(
        ControllerYield(
            name,
            entry.number_or("could_wh_year", NUMBER, math.nan),
            entry.number_or("passes_wh_year", NUMBER, math.nan),
            entry.number("passes_least_wh_year", NUMBER),
        )
        for entry, name in _named(own, "controllers", "controller")
    )


def _load_hours(own: Table) -> tuple[LoadHours, ...]:
    found = []
    for entry, name in _named(own, "load_hours", "load", once=False):
        written = entry.values.get("hours_day")
        hours = _numbers(written, 12)
        if written is None:
            entry.missing("hours_day", TWELVE)
        elif hours is None:
            entry.problem(("hours_day",), "hours_day", show(written), TWELVE)
        else:
            found.append(LoadHours(name, hours))
    return tuple(found)


def _band(own: Table) -> tuple[tuple[float, float, float], ...]:
    """Low, middle and high of each day; empty where it is not written. The first wrong day is told."""
    written = own.values.get("soc_band_pct")
    if not isinstance(written, list) or len(written) not in (0, DAYS):
        if written is not None:
            own.problem(("soc_band_pct",), "soc_band_pct", show(written), f"a list of {DAYS} times {A_DAY}")
        return ()
    found = []
    for i, item in enumerate(written):
        day = _numbers(item, 3)
        if day is None:
            own.problem(("soc_band_pct", i), f"soc_band_pct, day {i + 1}", show(item), A_DAY)
            return ()
        found.append((day[0], day[1], day[2]))
    return tuple(found)


def _numbers(value: object, count: int) -> tuple[float, ...] | None:
    """So many finite numbers, or None."""
    if not isinstance(value, list) or len(value) != count:
        return None
    numbers = [as_number(item) for item in value]
    return (
        tuple(n for n in numbers if n is not None)
        if all(n is not None and math.isfinite(n) for n in numbers)
        else None
    )


def _named(own: Table, key: str, name: str, once: bool = True) -> list[tuple[Table, str]]:
    """The entries of a list with their names; those without one are told and left out."""
    entries = tables(own, key, name)
    if once:
        named_once(entries, name)
    read = [(entry, entry.text(name, "a name in quotes", needed=True)) for entry in entries]
    return [(entry, text) for entry, text in read if text is not None]
