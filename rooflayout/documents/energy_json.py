"""Energy and balance as plain dictionaries and lists, for plan.json. Shade maps are not in it."""

from __future__ import annotations

from typing import Any

from ..yields import Balance, Bearing, Energy, MonthYield
from .figures import rounded


def energy_to_dict(energy: Energy) -> dict[str, Any]:
    """Wh, %, hours; None where a figure is not known."""
    return {
        "wh_year": round(energy.wh_year),
        "uncertainty_pct": round(energy.uncertainty_pct, 1),
        "harvest_uncertainty_pct": rounded(energy.harvest_uncertainty_pct, 1),
        "month_uncertainty_pct": rounded(energy.month_uncertainty_pct, 1),
        "source": energy.source,
        "place": energy.place,
        "months": [_month(m) for m in energy.months],
        "controllers": [
            {
                "controller": c.controller,
                "could_wh_year": round(c.could_wh_year),
                "passes_wh_year": round(c.passes_wh_year),
                "passes_pct": round(c.passes_pct, 1),
                "passes_least_wh_year": rounded(c.passes_least_wh_year, 0),
                "passes_least_pct": rounded(c.passes_least_pct, 1),
            }
            for c in energy.controllers
        ],
        "facets": [{"facet": f.facet, "wh_per_w_year": round(f.wh_per_w_year, 1)} for f in energy.facets],
        "shade": [{"panel": s.panel, "loss_pct": round(s.loss_pct, 1)} for s in energy.shade],
        "usable_wh": rounded(energy.usable_wh, 0),
        "days_without_sun": rounded(energy.days_without_sun, 2),
        "refill_hours": rounded(energy.refill_hours, 2),
        "watts_per_ah": rounded(energy.watts_per_ah, 2),
        "load_hours": [
            {"load": own.load, "hours_day": [round(h, 1) for h in own.hours_day]} for own in energy.load_hours
        ],
        "soc_band_pct": [[round(v, 1) for v in day] for day in energy.soc_band_pct],
    }


def balance_to_dict(balance: Balance) -> dict[str, Any]:
    """kg, mm, kg m, degrees; None where a figure is not known."""
    return {
        "added_kg": round(balance.added_kg, 2),
        "centre_x_mm": rounded(balance.centre_x_mm, 0),
        "centre_y_mm": rounded(balance.centre_y_mm, 0),
        "lopsided_kg_m": rounded(balance.lopsided_kg_m, 2),
        "items": [
            {"item": i.item, "kg": round(i.kg, 3), "x_mm": rounded(i.x_mm, 0), "y_mm": rounded(i.y_mm, 0)}
            for i in balance.items
        ],
        "bearings": [_bearing(b) for b in balance.bearings],
        "payload_left_kg": rounded(balance.payload_left_kg, 1),
        "heel_deg": rounded(balance.heel_deg, 2),
        "roof_kg_m2": [{"panel": panel, "kg_m2": round(kg, 2)} for panel, kg in balance.roof_kg_m2],
        "unknown": list(balance.unknown),
    }


def _month(m: MonthYield) -> dict[str, Any]:
    return {
        "month": m.month,
        "sun_kwh_m2_day": round(m.sun_kwh_m2_day, 2),
        "air_c": round(m.air_c, 1),
        "harvest_wh_day": round(m.harvest_wh_day, 1),
        "portable_wh_day": round(m.portable_wh_day, 1),
        "driving_wh_day": round(m.driving_wh_day, 1),
        "demand_wh_day": round(m.demand_wh_day, 1),
        "empty_pct": rounded(m.empty_pct, 1),
        "empty_less_sun_pct": rounded(m.empty_less_sun_pct, 1),
        "empty_more_sun_pct": rounded(m.empty_more_sun_pct, 1),
        "spilled_pct": rounded(m.spilled_pct, 1),
        "soc_low_pct": rounded(m.soc_low_pct, 1),
        "soc_middle_pct": rounded(m.soc_middle_pct, 1),
        "soc_high_pct": rounded(m.soc_high_pct, 1),
        "sentence": m.sentence,
    }


def _bearing(b: Bearing) -> dict[str, Any]:
    return {
        "what": b.what,
        "change_kg": round(b.change_kg, 2),
        "before_kg": rounded(b.before_kg, 1),
        "most_kg": rounded(b.most_kg, 1),
    }
