"""The months as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io

from ..yields import Energy

HEADER = (
    *("month", "sun_kwh_m2_day", "air_c", "harvest_wh_day", "portable_wh_day", "driving_wh_day"),
    *("demand_wh_day", "empty_pct", "soc_low_pct", "soc_middle_pct", "soc_high_pct"),
    *("empty_less_sun_pct", "empty_more_sun_pct", "spilled_pct"),
    "month_uncertainty_pct",
)


def months_csv(energy: Energy) -> str:
    """A row a month; a figure that is not known stays blank."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(HEADER)
    for m in energy.months:
        known = (m.harvest_wh_day, m.portable_wh_day, m.driving_wh_day, m.demand_wh_day)
        states = (
            *(m.empty_pct, m.soc_low_pct, m.soc_middle_pct, m.soc_high_pct),
            *(m.empty_less_sun_pct, m.empty_more_sun_pct, m.spilled_pct),
        )
        writer.writerow(
            [
                m.month,
                round(m.sun_kwh_m2_day, 2),
                round(m.air_c, 1),
                *(round(v) for v in known),
                *("" if v is None else round(v, 1) for v in (*states, energy.month_uncertainty_pct)),
            ]
        )
    return text.getvalue()
