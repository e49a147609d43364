"""What sun, loads and vehicle come to, for the terminal: a table of months and a few lines."""

from __future__ import annotations

from collections.abc import Sequence

from rich.table import Table

from rooflayout.energy.lead import slow_end
from rooflayout.energy.sentences import less_sun
from rooflayout.energy.uncertainty import within_words
from rooflayout.job import Job
from rooflayout.months import SHORT_MONTHS
from rooflayout.needs import EVERY_MONTH
from rooflayout.plan import Layout, Plan
from rooflayout.rounding import days_words, hours_words, pct_figure, wh_figure, wh_words
from rooflayout.vehicle.notes import is_over
from rooflayout.yields import Balance, Bearing, Energy, LoadHours

CHARGE = (
    "Charge: at sunrise, of the usable capacity; one day in ten stays below low, every other below middle, "
    "nine in ten below high."
)
MANY_COLUMNS = 9  # from which they stand closer, to keep within 80 characters


def month_table(energy: Energy) -> Table:
    """Wh a day by month; columns in which there is nothing are left out."""
    months = energy.months
    portable, driving = (
        any(getattr(m, f"{what}_wh_day") for m in months) for what in ("portable", "driving")
    )
    demand, battery = any(m.demand_wh_day for m in months), any(m.empty_pct is not None for m in months)
    less, full = (
        any(getattr(m, what) is not None for m in months) for what in ("empty_less_sun_pct", "spilled_pct")
    )
    columns = (
        ("sun\nkWh/m²", True),
        ("\nroof", True),
        ("\nportable", portable),
        ("\ndriving", driving),
        ("\ndrawn", demand),
        ("days\nempty", battery),
        ("less\nsun", less),
        ("charge\nlow", battery),
        ("\nmiddle", battery),
        ("\nhigh", battery),
        ("no\nroom", full),
    )
    names = [name for name, shown in columns if shown]
    apart = 1 if len(names) > MANY_COLUMNS else 2
    table = Table(box=None, pad_edge=False, padding=(0, apart, 0, 0), header_style="bold")
    table.add_column("Wh a\nday")
    for name in names:
        table.add_column(name, justify="right", no_wrap=True)
    for m in months:
        cells = [SHORT_MONTHS[(m.month - 1) % 12], f"{m.sun_kwh_m2_day:.1f}", wh_figure(m.harvest_wh_day)]
        cells += [wh_figure(m.portable_wh_day)] if portable else []
        cells += [wh_figure(m.driving_wh_day)] if driving else []
        cells += [wh_figure(m.demand_wh_day)] if demand else []
        cells += [_pct(m.empty_pct)] if battery else []
        cells += [_pct(m.empty_less_sun_pct)] if less else []
        cells += [_pct(v) for v in (m.soc_low_pct, m.soc_middle_pct, m.soc_high_pct)] if battery else []
        cells += [_pct(m.spilled_pct)] if full else []
        table.add_row(*cells)
    return table


def energy_lines(job: Job, plan: Plan) -> list[str]:
    """Year, battery, facets and loads, a line each; clipping, shade and W per Ah stand in the notes.

    Hours of a load are told of the months in which it runs; of all where the job has no such load.
    """
    energy = plan.energy
    if energy is None:
        return []
    within = within_words(energy)
    line = f"The roof gives about {wh_words(energy.wh_year)} a year{f', {within}' if within else ''}"
    lines = [f"{line} (the sun alone is known to {energy.uncertainty_pct:.0f} %)."]
    if energy.place:
        lines.insert(0, f"Sun of {energy.place}: {energy.sun_kwh_m2_day:.1f} kWh/m² a day on the level.")
    if any(m.soc_middle_pct is not None for m in energy.months):
        lines.insert(0, CHARGE)
    lines[:0] = _of_columns(energy)
    battery = []
    if energy.days_without_sun is not None:
        battery.append(f"lasts {days_words(energy.days_without_sun)} without sun in the month of most demand")
    if energy.refill_hours is not None:
        battery.append(
            f"takes {hours_words(energy.refill_hours)} of full sun from overhead "
            "from 20 % of its usable capacity to full"
        )
    late = "" if energy.refill_hours is None else slow_end(job.battery)
    if battery:
        lines.append(f"The battery {' and '.join(battery)}{f'; {late}' if late else ''}.")
    if len(energy.facets) > 1:
        worth = ", ".join(f"{f.facet} {f.wh_per_w_year:.0f} Wh" for f in energy.facets)
        lines.append(f"A watt of panel would give in a year, without shade and controllers: {worth}.")
    if energy.load_hours:
        run = {load.name: load.months for load in job.loads}
        carried = "; ".join(_carried(own, run.get(own.load, EVERY_MONTH)) for own in energy.load_hours)
        lines.append(f"The sun alone carries, hours a day: {carried}.")
    return lines


def _of_columns(energy: Energy) -> list[str]:
    """What two headings of the table of months stand for, where it has them."""
    said = []
    if any(m.empty_less_sun_pct is not None for m in energy.months):
        less = less_sun(energy.month_uncertainty_pct)
        said.append(f"Less sun: days empty if the month has {less} than estimated")
    if any(m.spilled_pct is not None for m in energy.months):
        said.append("no room: of what could come in, what finds the battery full")
    return [f"{'; '.join(said)}."] if said else []


def harvest_line(layout: Layout, harvest_wh_year: float) -> str:
    """Watts and the year's harvest where that is what was packed for, and what is known of better ones."""
    given = f"{layout.watts:g} W, {harvest_wh_year / 1000:.1f} kWh a year before the controllers"
    if layout.status == "proven":
        return (
            f"{given}, proven over the positions tried: no other arrangement gives more in a year "
            f"({layout.seconds:.1f} s)."
        )
    line = f"{given}, the best found in {layout.seconds:.1f} s"
    bound = layout.bound_harvest_wh_year
    if bound is not None:
        line += f"; no layout of the positions tried can give more than {bound / 1000:.1f} kWh"
    return f"{line}."


def balance_lines(balance: Balance | None) -> list[str]:
    """Added mass and what bears it, in a line; limits beside the figures, the roof only where it has one."""
    if balance is None:
        return []
    parts = [f"{balance.added_kg:.1f} kg are added"]
    parts += [_bearing(b) for b in balance.bearings if b.what != "roof" or b.most_kg is not None]
    if balance.payload_left_kg is not None:
        parts.append(_payload(balance.payload_left_kg))
    if balance.lopsided_kg_m is not None:
        parts.append(_lopsided(balance.lopsided_kg_m))
    if balance.heel_deg is not None:
        parts.append(_heel(balance.heel_deg))
    return [f"{'; '.join(parts)}."]


def _bearing(b: Bearing) -> str:
    text = f"{b.what} {b.change_kg:+.1f} kg"
    if b.after_kg is not None:
        text += f" to {b.after_kg:.1f} kg"
    text += f" of {b.most_kg:g}" if b.most_kg is not None else ""
    return text + (" (OVER its limit)" if is_over(b) else "")


def _payload(kg: float) -> str:
    """What may still be loaded, or by how much it is too heavy."""
    return f"payload left {kg:.1f} kg" if kg >= 0.0 else f"payload left none, {-kg:.1f} kg too heavy"


def _heel(deg: float) -> str:
    """A boat's heel; less than a twentieth of a degree is none."""
    size = f"{abs(deg):.1f}"
    return "level" if size == "0.0" else f"heel {size}° to the {'left' if deg > 0 else 'right'}"


def _lopsided(kg_m: float) -> str:
    """Left against right; a tenth of a kg m is none."""
    if f"{abs(kg_m):.1f}" == "0.0":
        return "as heavy on the left as on the right"
    return f"{abs(kg_m):.1f} kg m more on the {'left' if kg_m > 0.0 else 'right'}"


def _carried(own: LoadHours, months: Sequence[int]) -> str:
    """A load with its least and most hours in months 1 to 12: "fan 3.1 (Dec) to 9.5 (Jun)"."""
    told = [(own.hours_day[month - 1], SHORT_MONTHS[month - 1]) for month in sorted(months)]
    least, most = (pick(told, key=lambda hours: hours[0]) for pick in (min, max))
    if f"{most[0]:.1f}" == "0.0":
        return f"{own.load} never"
    if f"{least[0]:.1f}" == f"{most[0]:.1f}":
        return f"{own.load} {most[0]:.1f}"
    return f"{own.load} {least[0]:.1f} ({least[1]}) to {most[0]:.1f} ({most[1]})"


def _pct(value: float | None) -> str:
    return "" if value is None else f"{pct_figure(value)} %"
