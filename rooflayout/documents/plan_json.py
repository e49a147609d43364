"""A plan as plain dictionaries and lists, for plan.json and for programs that read standard output."""

from __future__ import annotations

from typing import Any

from .. import __version__
from ..job import Job
from ..plan import Plan, Wiring


def whole(value: float) -> int | float:
    """A length [mm]: an int when it is whole, else to a thousandth."""
    nearest = round(value)
    return nearest if abs(value - nearest) < 1e-6 else round(value, 3)


def plan_to_dict(job: Job, plan: Plan) -> dict[str, Any]:
    """The plan with the keys of schema 1: millimetres, V, A, W, °C; wiring is None without a wiring."""
    layout = plan.layout
    return {
        "schema": plan.schema,
        "title": plan.title,
        "job": plan.job_file or job.file_name,
        "rooflayout": __version__,
        "seed": plan.seed,
        "layout": {
            "watts": round(layout.watts, 1),
            "bound_watts": round(layout.bound_watts, 1),
            "true_bound_watts": round(layout.ceiling_watts, 1),
            "status": layout.status,
            "seconds": round(layout.seconds, 2),
            "panels": [
                {
                    "panel": p.panel,
                    "facet": p.facet,
                    "model": p.model,
                    "x_mm": whole(p.x_mm),
                    "y_mm": whole(p.y_mm),
                    "along_x_mm": whole(p.along_x_mm),
                    "along_y_mm": whole(p.along_y_mm),
                    "turned": p.turned,
                    "watts": round(p.watts, 1),
                    "kept": p.kept,
                }
                for p in layout.panels
            ],
        },
        "wiring": None if plan.wiring is None else _wiring(plan.wiring),
        "near_misses": [
            {
                "facet": m.facet,
                "axis": m.axis,
                "short_mm": m.short_mm,
                "watts": round(m.watts, 1),
                "between": list(m.between),
                "panels": dict(m.panels),
            }
            for m in plan.near_misses
        ],
        "notes": [{"severity": n.severity, "code": n.code, "text": n.text} for n in plan.notes],
    }


def _wiring(wiring: Wiring) -> dict[str, Any]:
    t = wiring.temperatures
    return {
        "strings": [
            {
                "string": s.string,
                "controller": s.controller,
                "tracker": s.tracker,
                "facet": s.facet,
                "model": s.model,
                "in_series": s.in_series,
                "panels": list(s.panels),
                "voc_cold_v": round(s.voc_cold_v, 2),
                "vmp_hot_v": round(s.vmp_hot_v, 2),
                "isc_a": round(s.isc_a, 2),
                "power_w": round(s.power_w, 1),
            }
            for s in wiring.strings
        ],
        "controllers": [
            {
                "controller": c.controller,
                "model": c.model,
                "power_w": round(c.power_w, 1),
                "isc_a": round(c.isc_a, 2),
                "charge_a": round(c.charge_a, 2),
                "clipped_w": round(c.clipped_w, 1),
                "clipped_pct": round(c.clipped_pct, 1),
            }
            for c in wiring.controllers
        ],
        "unwired": list(wiring.unwired),
        "temperatures": {
            "coldest_cell_c": round(t.coldest_cell_c, 1),
            "coldest_source": t.coldest_source,
            "hottest_air_c": round(t.hottest_air_c, 1),
            "hottest_cell_c": round(t.hottest_cell_c, 1),
            "hottest_source": t.hottest_source,
        },
    }
