"""A plan as plain dictionaries and lists, for plan.json and for programs that read standard output."""

from __future__ import annotations

from typing import Any

from .. import __version__
from ..job import Job
from ..plan import Plan
from .energy_json import balance_to_dict, energy_to_dict
from .figures import rounded, whole
from .wiring_json import wiring_to_dict


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
            "harvest_wh_year": rounded(layout.harvest_wh_year, 0),
            "bound_harvest_wh_year": rounded(layout.bound_harvest_wh_year, 0),
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
        "wiring": None if plan.wiring is None else wiring_to_dict(plan.wiring),
        "energy": None if plan.energy is None else energy_to_dict(plan.energy),
        "balance": None if plan.balance is None else balance_to_dict(plan.balance),
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
