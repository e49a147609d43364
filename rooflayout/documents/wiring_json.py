"""A wiring as plain dictionaries and lists, for plan.json."""

from __future__ import annotations

from typing import Any

from ..plan import CableRun, ControllerLoad, MeterReading, PanelString, PortableString, Wiring
from .figures import rounded, whole


def wiring_to_dict(wiring: Wiring) -> dict[str, Any]:
    """The wiring with the keys of schema 1: V, A, W, °C, mm; None where a figure is not known."""
    t = wiring.temperatures
    return {
        "strings": [_string(s) for s in wiring.strings],
        "controllers": [_controller(c) for c in wiring.controllers],
        "unwired": list(wiring.unwired),
        "temperatures": {
            "coldest_cell_c": round(t.coldest_cell_c, 1),
            "coldest_source": t.coldest_source,
            "hottest_air_c": round(t.hottest_air_c, 1),
            "hottest_cell_c": round(t.hottest_cell_c, 1),
            "hottest_source": t.hottest_source,
        },
        "because": [{"controller": controller, "text": text} for controller, text in wiring.because],
        "runs": [_run(r) for r in wiring.runs],
        "readings": [_reading(r) for r in wiring.readings],
        "mismatch": [
            {
                "controller": m.controller,
                "tracker": m.tracker,
                "strings": list(m.strings),
                "loss_pct": round(m.loss_pct, 2),
            }
            for m in wiring.mismatch
        ],
        "mounted": None
        if wiring.mounted is None
        else [
            {
                "controller": m.controller,
                "x_mm": whole(m.x_mm),
                "y_mm": whole(m.y_mm),
                "along_x_mm": whole(m.along_x_mm),
                "along_y_mm": whole(m.along_y_mm),
            }
            for m in wiring.mounted
        ],
        "portable": [_portable(p) for p in wiring.portable],
        "portable_readings": [_reading(r) for r in wiring.portable_readings],
    }


def _string(s: PanelString) -> dict[str, Any]:
    return {
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
        "limit_v": rounded(s.limit_v, 2),
        "headroom_v": rounded(s.headroom_v, 2),
        "vmp_hot_at_controller_v": rounded(s.vmp_hot_at_controller_v, 2),
    }


def _controller(c: ControllerLoad) -> dict[str, Any]:
    return {
        "controller": c.controller,
        "model": c.model,
        "power_w": round(c.power_w, 1),
        "isc_a": round(c.isc_a, 2),
        "charge_a": round(c.charge_a, 2),
        "clipped_w": round(c.clipped_w, 1),
        "clipped_pct": round(c.clipped_pct, 1),
        "set_a": rounded(c.set_a, 1),
    }


def _run(r: CableRun) -> dict[str, Any]:
    return {
        "run": r.run,
        "kind": r.kind,
        "from": r.start,
        "to": r.end,
        "current_a": round(r.current_a, 2),
        "working_a": rounded(r.working_a, 2),
        "length_mm": whole(r.length_mm),
        "estimated": r.estimated,
        "size_mm2": rounded(r.size_mm2, 2),
        "size_awg": r.size_awg,
        "carries_a": rounded(r.carries_a, 1),
        "drop_v": rounded(r.drop_v, 3),
        "drop_pct": rounded(r.drop_pct, 2),
        "carries_awg_a": rounded(r.carries_awg_a, 1),
        "drop_awg_v": rounded(r.drop_awg_v, 3),
        "drop_awg_pct": rounded(r.drop_awg_pct, 2),
        "fuse_a": rounded(r.fuse_a, 1),
        "isolator": r.isolator,
        "why": r.why,
    }


def _reading(r: MeterReading) -> dict[str, Any]:
    return {
        "string": r.string,
        "irradiance_w_m2": round(r.irradiance_w_m2, 1),
        "cell_c": round(r.cell_c, 1),
        "voc_v": round(r.voc_v, 2),
        "voc_low_v": round(r.voc_low_v, 2),
        "voc_high_v": round(r.voc_high_v, 2),
        "isc_a": round(r.isc_a, 2),
        "isc_low_a": round(r.isc_low_a, 2),
        "isc_high_a": round(r.isc_high_a, 2),
    }


def _portable(p: PortableString) -> dict[str, Any]:
    return {
        "name": p.name,
        "model": p.model,
        "into": p.into,
        "own_controller": p.own_controller,
        "in_series": p.in_series,
        "in_parallel": p.in_parallel,
        "voc_cold_v": round(p.voc_cold_v, 2),
        "vmp_hot_v": round(p.vmp_hot_v, 2),
        "isc_a": round(p.isc_a, 2),
        "power_w": round(p.power_w, 1),
        "charge_a": round(p.charge_a, 2),
        "clipped_w": round(p.clipped_w, 1),
    }
