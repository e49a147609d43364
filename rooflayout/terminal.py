"""What the commands print: a short table, the strings with their headroom, cables in a line, files, notes."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from rooflayout.inspection.breach import Breach
from rooflayout.job import Job
from rooflayout.listing import listed
from rooflayout.plan import CableRun, MeterReading, Plan
from rooflayout.terminal_energy import balance_lines, energy_lines, harvest_line, month_table
from rooflayout.vehicle.notes import OVER, tells_limit_passed
from rooflayout.wiring.of_plan import (
    controller_on,
    hot_at_controller_v,
    limit_v,
    needed_v,
    worst_tracker_a,
)

WIDTH = 110  # columns when the output is no terminal
MOST_READINGS = 8  # strings whose readings are printed
MARK = {
    "error": ("Error", "bold white on red"),
    "warning": ("Warning", "bold red"),
    "caution": ("Caution", "yellow"),
    "info": ("Note", "cyan"),
}


def print_plan(job: Job, plan: Plan, files: list[Path]) -> None:
    """The plan on standard output."""
    console = _console()
    console.print(Text(plan.title, style="bold"))
    console.print(proof_line(plan))
    for note in plan.notes:
        if tells_limit_passed(note):
            console.print(Text(f"{OVER}: {note.text}", style=MARK["warning"][1]))
    if plan.layout.panels:
        console.print(Padding(_panel_table(job, plan), (1, 0, 0, 0)))
    if plan.wiring is not None and plan.wiring.strings:
        console.print(Padding(_string_table(job, plan), (1, 0, 0, 0)))
        console.print(Padding(_controller_table(job, plan), (1, 0, 0, 0)))
        t = plan.wiring.temperatures
        console.print(
            f"Cold at {t.coldest_cell_c:g} °C ({t.coldest_source}); hot at {t.hottest_air_c:g} °C air "
            f"({t.hottest_source}), which heats the cells of a flush panel to {t.hottest_cell_c:.1f} °C."
        )
    for line in wiring_lines(job, plan):
        console.print(Text(line))
    if plan.energy is not None:
        console.print()
        console.print(month_table(plan.energy))
    for line in (*energy_lines(job, plan), *balance_lines(plan.balance)):
        console.print(Text(line))
    _print_notes(console, plan)
    console.print()
    for path in files:
        console.print(f"  {path}", soft_wrap=True, highlight=False)


def proof_line(plan: Plan) -> str:
    """One line: the watts, and what is known about better ones."""
    layout = plan.layout
    can_be_wired = " that can be wired" if plan.wiring is not None and plan.wiring.controllers else ""
    if layout.status == "nothing fits":
        return "Nothing fits."
    if layout.harvest_wh_year is not None and layout.watts:
        return harvest_line(layout, layout.harvest_wh_year)
    if layout.status == "best found" and not layout.watts:
        return (
            f"No layout found in {layout.seconds:.1f} s; none{can_be_wired} can have more than "
            f"{layout.ceiling_watts:g} W. Give the search longer: --time-limit."
        )
    if layout.status == "proven" and layout.sampled:
        return (
            f"{layout.watts:g} W, proven over the positions tried (see the notes); no arrangement"
            f"{can_be_wired or ' whatever'} gives more than {layout.ceiling_watts:g} W "
            f"({layout.seconds:.1f} s)."
        )
    if layout.status == "proven":
        return (
            f"{layout.watts:g} W, proven: no arrangement of these panels under these rules gives more "
            f"({layout.seconds:.1f} s)."
        )
    tried = f", none of the positions tried more than {layout.bound_watts:g} W" if layout.sampled else ""
    return (
        f"{layout.watts:g} W, the best found in {layout.seconds:.1f} s; "
        f"no arrangement{can_be_wired} can give more than {layout.ceiling_watts:g} W{tried}."
    )


def wiring_lines(job: Job, plan: Plan) -> list[str]:
    """Cables, meter readings, mismatch and portable panels, a line each; the sheets have them in full."""
    if plan.wiring is None:
        return []
    lines = [_cable_line(plan.wiring.runs)] if plan.wiring.runs else []
    if plan.wiring.readings or plan.wiring.portable_readings:
        lines.append(_reading_line(job, plan.wiring.readings, plan.wiring.portable_readings))
    for m in plan.wiring.mismatch:
        lines.append(
            f"Unlike strings {listed(m.strings)} on {m.controller} tracker {m.tracker} "
            f"lose {m.loss_pct:.1f} % together."
        )
    for p in plan.wiring.portable:
        panels = p.in_series * p.in_parallel
        name = "" if p.name == p.model else f"{p.name}, "
        lines.append(
            f"Portable: {name}{panels} x {p.model} ({p.in_series} in series, "
            f"{p.in_parallel} in parallel) into {p.into}: {p.power_w:g} W, {p.charge_a:.1f} A."
        )
    return lines


def _cable_line(runs: tuple[CableRun, ...]) -> str:
    """How many runs of which size, the largest drop, and what is to be minded."""
    sizes = Counter((r.size_mm2, r.size_awg) for r in runs if r.size_mm2 is not None)
    words = [
        f"{number} x {size:g} mm²" + (f" ({awg} AWG)" if awg else "")
        for (size, awg), number in sorted(sizes.items(), key=lambda item: item[0][0] or 0.0)
    ]
    text = f"Cables: {', '.join(words)}" if words else "Cables: none of a standard size"
    drops = [r.drop_pct for r in runs if r.drop_pct is not None]
    if drops:
        text += f"; largest drop {max(drops):.1f} %"
    if any(r.estimated for r in runs):
        text += "; lengths partly estimated" if not all(r.estimated for r in runs) else "; lengths estimated"
    unserved = [r.run for r in runs if r.size_mm2 is None]
    if unserved:
        text += f"; no size serves {', '.join(unserved)}"
    return f"{text}; see wiring.pdf."


def _reading_line(
    job: Job, readings: tuple[MeterReading, ...], portable: tuple[MeterReading, ...] = ()
) -> str:
    """What a meter should read on each string, and on portable panels at their plug; those that read alike
    together; of many strings only where."""
    first = (*readings, *portable)[0]
    assumed = job.bench.irradiance_w_m2 is None or job.bench.cell_c is None
    at = f"{first.irradiance_w_m2:g} W/m² and cells at {first.cell_c:g} °C{' (assumed)' if assumed else ''}"
    alike: dict[tuple[str, str], list[str]] = {}
    many = len(readings) > MOST_READINGS
    for r in portable if many else (*readings, *portable):
        alike.setdefault((f"{r.voc_v:.1f} V", f"{r.isc_a:.2f} A"), []).append(r.string)
    words = [f"{' '.join(strings)}: {volts}, {amps}" for (volts, amps), strings in alike.items()]
    told = "; ".join([f"{len(readings)} strings", *words] if many else words)
    return f"Meter readings at {at}: {told}; ranges in wiring.pdf and readings.csv."


def print_inspection(job: Job, plan: Plan, breaches: list[Breach]) -> None:
    """What inspect found, on standard output."""
    console = _console()
    count = len(plan.layout.panels)
    if not breaches:
        counts = [(count, "panel")]
        if plan.wiring is not None:
            counts += [(len(plan.wiring.strings), "string"), (len(plan.wiring.portable), "portable set")]
        words = [f"{number} {what}{'' if number == 1 else 's'}" for number, what in counts if number]
        console.print(f"Everything holds: {', '.join(words) or 'no panels'} of {job.title}.")
        return
    for breach in breaches:
        named = breach.text.startswith(f"{breach.where} ") or breach.text.startswith(f"{breach.where},")
        where = "" if named else f"{breach.where}: "
        console.print(Text(f"{where}{breach.text} [{breach.code}]"), soft_wrap=True)
    console.print(f"{len(breaches)} breach{'es' if len(breaches) != 1 else ''} found.")


def _console() -> Console:
    console = Console(highlight=False)
    return console if console.is_terminal else Console(highlight=False, width=WIDTH)


def _table(*columns: tuple[str, str]) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for name, justify in columns:
        table.add_column(name, justify="right" if justify == "r" else "left", overflow="fold")
    return table


def _panel_table(job: Job, plan: Plan) -> Table:
    table = _table(("panels", "r"), ("model", "l"), ("facet", "l"), ("watts each", "r"), ("watts", "r"))
    unwired = set(plan.wiring.unwired) if plan.wiring else set()
    counts = Counter((p.model, p.facet, p.kept, p.watts, p.panel in unwired) for p in plan.layout.panels)
    for (model, facet, kept, watts, off), number in counts.items():
        name = f"{model} (kept{', on no string: not counted' if off else ''})" if kept else model
        table.add_row(str(number), name, facet, f"{watts:g}", f"{number * watts:g}")
    return table


def _string_table(job: Job, plan: Plan) -> Table:
    assert plan.wiring is not None
    table = _table(
        ("string", "l"),
        ("on", "l"),
        ("panels in series", "l"),
        ("cold V", "r"),
        ("limit V", "r"),
        ("room", "r"),
        ("hot V at\ncontroller", "r"),
        ("least V", "r"),
        ("Isc A", "r"),
    )
    for string in plan.wiring.strings:
        controller = controller_on(job, plan.wiring, string.controller)
        limit, least = limit_v(job, plan.wiring, string), needed_v(job, plan.wiring, string)
        tracker = f" tracker {string.tracker}" if controller and controller.trackers > 1 else ""
        table.add_row(
            string.string,
            f"{string.controller}{tracker}",
            " ".join(string.panels),
            f"{string.voc_cold_v:.1f}",
            "-" if limit is None else f"{limit:g}",
            "-" if limit is None else f"{100 * (1 - string.voc_cold_v / limit):.0f} %",
            f"{hot_at_controller_v(string):.1f}",
            "-" if least is None else f"{least:.1f}",
            f"{string.isc_a:.2f}",
        )
    return table


def _controller_table(job: Job, plan: Plan) -> Table:
    assert plan.wiring is not None
    table = _table(
        ("controller", "l"),
        ("model", "l"),
        ("watts", "r"),
        ("Isc x 1.25 A", "r"),
        ("charge A", "r"),
        ("cut off\nin full sun", "r"),
    )
    models = job.controller_models()
    for load in plan.wiring.controllers:
        model = models.get(load.model)
        worst = worst_tracker_a(plan.wiring, load.controller)
        table.add_row(
            load.controller,
            load.model,
            f"{load.power_w:g}",
            f"{worst:.1f}" + (f" of {model.max_pv_isc_a:g}" if model else ""),
            f"{load.charge_a:.1f}" + (f" of {model.max_charge_a:g}" if model else ""),
            f"{load.clipped_w:.0f} W ({load.clipped_pct:.0f} %)" if load.clipped_w > 0 else "nothing",
        )
    return table


def _print_notes(console: Console, plan: Plan) -> None:
    notes = [note for note in plan.notes if not tells_limit_passed(note)]  # those stand at the top
    if not notes:
        return
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    for note in notes:
        word, style = MARK[note.severity]
        table.add_row(Text(word, style=style), Text(note.text))
    console.print(Padding(table, (1, 0, 0, 0)))
