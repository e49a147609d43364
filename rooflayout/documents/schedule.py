"""The schedules as CSV: a row a panel for setting out, a row a string for wiring."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from ..plan import Plan
from .plan_json import whole

PANEL_COLUMNS = (
    "panel",
    "facet",
    "model",
    "x_mm",
    "y_mm",
    "along_x_mm",
    "along_y_mm",
    "turned",
    "string",
)
STRING_COLUMNS = (
    "string",
    "controller",
    "tracker",
    "facet",
    "model",
    "in_series",
    "panels",
    "voc_cold_v",
    "vmp_hot_v",
    "isc_a",
    "power_w",
)


def _csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue()


def panels_csv(plan: Plan) -> str:
    """Setting-out: lengths in mm from the facet's datum; turned is yes or no; string may be empty."""
    strings = {p: s.string for s in plan.wiring.strings for p in s.panels} if plan.wiring else {}
    rows = [
        (
            p.panel,
            p.facet,
            p.model,
            whole(p.x_mm),
            whole(p.y_mm),
            whole(p.along_x_mm),
            whole(p.along_y_mm),
            "yes" if p.turned else "no",
            strings.get(p.panel, ""),
        )
        for p in plan.layout.panels
    ]
    return _csv(PANEL_COLUMNS, rows)


def strings_csv(plan: Plan) -> str:
    """String schedule: volts and amps to a hundredth, watts to a tenth; panels separated by blanks."""
    rows = [
        (
            s.string,
            s.controller,
            s.tracker,
            s.facet,
            s.model,
            s.in_series,
            " ".join(s.panels),
            round(s.voc_cold_v, 2),
            round(s.vmp_hot_v, 2),
            round(s.isc_a, 2),
            round(s.power_w, 1),
        )
        for s in (plan.wiring.strings if plan.wiring else ())
    ]
    return _csv(STRING_COLUMNS, rows)
