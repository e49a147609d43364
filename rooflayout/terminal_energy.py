"""What sun, loads and vehicle come to, for the terminal: a table of months and a few lines."""

from __future__ import annotations

from rich.table import Table

from rooflayout.plan import Plan
from rooflayout.yields import Balance, Bearing, Energy

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def month_table(energy: Energy) -> Table:
    """Wh a day by month; columns in which there is nothing are left out."""
    months = energy.months
    portable, driving = (
        any(getattr(m, f"{what}_wh_day") for m in months) for what in ("portable", "driving")
    )
    demand, battery = any(m.demand_wh_day for m in months), any(m.empty_pct is not None for m in months)
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("Wh a day")
    for name, shown in (
        ("sun kWh/m²", True),
        ("roof", True),
        ("portable", portable),
        ("driving", driving),
        ("drawn", demand),
        ("days empty", battery),
        ("charge at sunrise", battery),
    ):
        if shown:
            table.add_column(name, justify="right")
    for m in months:
        cells = [MONTHS[(m.month - 1) % 12], f"{m.sun_kwh_m2_day:.1f}", f"{m.harvest_wh_day:.0f}"]
        cells += [f"{m.portable_wh_day:.0f}"] if portable else []
        cells += [f"{m.driving_wh_day:.0f}"] if driving else []
        cells += [f"{m.demand_wh_day:.0f}"] if demand else []
        if battery:
            known = (m.soc_low_pct, m.soc_middle_pct, m.soc_high_pct)
            states = [f"{v:.0f}" for v in known if v is not None]
            cells += ["" if m.empty_pct is None else f"{m.empty_pct:.0f} %"]
            cells += [f"{' - '.join(states)} %" if len(states) == len(known) else ""]
        table.add_row(*cells)
    return table


def energy_lines(plan: Plan) -> list[str]:
    """The year in a line, and the battery in another. Charge at sunrise: low, middle and high."""
    energy = plan.energy
    if energy is None:
        return []
    line = f"The roof gives about {energy.wh_year / 1000:.0f} kWh a year"
    line += f", give or take {energy.uncertainty_pct:.0f} %"
    if energy.controllers:
        passes = ", ".join(f"{c.controller} passes {c.passes_pct:.0f} %" for c in energy.controllers)
        line += f" ({passes} of what its panels could give over the year)"
    lines = [f"{line}."]
    battery = []
    if energy.days_without_sun is not None:
        battery.append(f"lasts {energy.days_without_sun:.1f} days without sun in the month of most demand")
    if energy.refill_hours is not None:
        battery.append(f"takes {energy.refill_hours:.1f} hours of full sun from 20 % to full")
    if battery:
        lines.append(f"The battery {' and '.join(battery)}.")
    harvest, bound = plan.layout.harvest_wh_year, plan.layout.bound_harvest_wh_year
    if harvest is not None and bound is not None:
        proven = "proven over the positions tried" if plan.layout.status == "proven" else "the best found"
        lines.append(
            f"Packed for harvest: {harvest / 1000:.0f} kWh a year before the controllers, {proven}; "
            f"no layout of these positions gives more than {bound / 1000:.0f} kWh."
        )
    return lines


def balance_lines(balance: Balance | None) -> list[str]:
    """Added mass and what bears it, in a line; limits beside the figures."""
    if balance is None:
        return []
    parts = [f"{balance.added_kg:.1f} kg are added"]
    parts += [_bearing(b) for b in balance.bearings if b.what != "roof"]
    if balance.payload_left_kg is not None:
        parts.append(f"payload left {balance.payload_left_kg:.0f} kg")
    if balance.heel_deg is not None:
        parts.append(
            f"heel {abs(balance.heel_deg):.1f}° to the {'left' if balance.heel_deg > 0 else 'right'}"
        )
    return [f"{'; '.join(parts)}."]


def _bearing(b: Bearing) -> str:
    text = f"{b.what} {b.change_kg:+.1f} kg"
    if b.after_kg is not None:
        text += f" to {b.after_kg:.0f} kg"
    return text + (f" of {b.most_kg:.0f}" if b.most_kg is not None else "")
