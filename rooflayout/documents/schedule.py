"""The schedules as CSV: a row a panel for setting out, a row a string, a cable run and a meter reading."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from ..plan import Plan
from .figures import rounded, whole

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
    "limit_v",
    "headroom_v",
    "vmp_hot_at_controller_v",
)
CABLE_COLUMNS = (
    "run",
    "kind",
    "from",
    "to",
    "current_a",
    "working_a",
    "length_mm",
    "estimated",
    "size_mm2",
    "size_awg",
    "carries_a",
    "drop_v",
    "drop_pct",
    "carries_awg_a",
    "drop_awg_v",
    "drop_awg_pct",
    "fuse_a",
    "isolator",
    "why",
)
READING_COLUMNS = (
    "string",
    "irradiance_w_m2",
    "cell_c",
    "voc_v",
    "voc_low_v",
    "voc_high_v",
    "isc_a",
    "isc_low_a",
    "isc_high_a",
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
    """String schedule: volts and amps to a hundredth, watts to a tenth; panels separated by blanks.

    A limit that is not known is an empty cell.
    """
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
            rounded(s.limit_v, 2),
            rounded(s.headroom_v, 2),
            rounded(s.vmp_hot_at_controller_v, 2),
        )
        for s in (plan.wiring.strings if plan.wiring else ())
    ]
    return _csv(STRING_COLUMNS, rows)


def cables_csv(plan: Plan) -> str:
    """Cable schedule: a row a run; what is not known or does not serve is an empty cell."""
    rows = [
        (
            r.run,
            r.kind,
            r.start,
            r.end,
            round(r.current_a, 2),
            rounded(r.working_a, 2),
            whole(r.length_mm),
            "yes" if r.estimated else "no",
            rounded(r.size_mm2, 2),
            r.size_awg,
            rounded(r.carries_a, 1),
            rounded(r.drop_v, 3),
            rounded(r.drop_pct, 2),
            rounded(r.carries_awg_a, 1),
            rounded(r.drop_awg_v, 3),
            rounded(r.drop_awg_pct, 2),
            rounded(r.fuse_a, 1),
            "yes" if r.isolator else "no",
            r.why,
        )
        for r in (plan.wiring.runs if plan.wiring else ())
    ]
    return _csv(CABLE_COLUMNS, rows)


def readings_csv(plan: Plan) -> str:
    """What a meter should read: a row a string, then one a set of portable panels; to a hundredth."""
    rows = [
        (
            r.string,
            round(r.irradiance_w_m2, 1),
            round(r.cell_c, 1),
            round(r.voc_v, 2),
            round(r.voc_low_v, 2),
            round(r.voc_high_v, 2),
            round(r.isc_a, 2),
            round(r.isc_low_a, 2),
            round(r.isc_high_a, 2),
        )
        for r in ((*plan.wiring.readings, *plan.wiring.portable_readings) if plan.wiring else ())
    ]
    return _csv(READING_COLUMNS, rows)
