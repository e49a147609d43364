"""Portable panels on the cable schedule, the diagram, the bench sheet and the labels."""

from __future__ import annotations

import math

from ..job import Job, PortablePanels
from ..plan import MeterReading, Plan, PortableString
from ..wiring.lengths import controller_to_battery
from ..wiring.limits import design_isc_a
from ..wiring.portable_cable import to_the_battery
from ..wiring.protection import battery_fuse
from .lettering import NORMAL, clean, fixed, number
from .table import Column, Row, TableBlock

ESTIMATED = "*"
BY_MANUAL = "size by the charger's manual"


def has_cables(plan: Plan) -> bool:
    """Whether there are runs to show, or nothing but portable panels, which have leads."""
    wiring = plan.wiring
    return wiring is not None and bool(wiring.runs or (wiring.portable and not wiring.strings))


def own_entry(job: Job, string: PortableString) -> PortablePanels | None:
    """The job's entry of that name; None for a plan that the job does not know."""
    return next((own for own in job.portable if own.name == string.name), None)


def fuse_words(job: Job, string: PortableString) -> str:
    """The fuse between what they plug into and the battery; for a controller of their own as on board."""
    own = own_entry(job, string)
    if own is None or not own.own_controller:
        return BY_MANUAL
    size_a = battery_fuse(own.controller.max_charge_a).size_a
    return BY_MANUAL if size_a is None else f"{number(size_a, 1)} A"


def cable_words(job: Job, plan: Plan, string: PortableString) -> str:
    """The cable between what they plug into and the battery; for a controller of their own as on board."""
    own = own_entry(job, string)
    if own is None or not own.own_controller or plan.wiring is None or job.battery is None:
        return BY_MANUAL
    sizes = to_the_battery(job, plan.wiring, string, own.controller)
    words = " / ".join(size.label for size in sizes if size is not None)
    length = controller_to_battery(job)
    estimated = ESTIMATED if length.estimated else ""
    return f"{words}  {fixed(length.mm / 1000, 2)}{estimated} m" if words else BY_MANUAL


def leads_block(job: Job, plan: Plan) -> TableBlock | None:
    """A row a set of portable panels: plug, polarity, currents and the fuse at the battery."""
    if not has_cables(plan) or plan.wiring is None or not plan.wiring.portable:
        return None
    rows = [
        Row(
            (
                clean(p.name),
                clean(p.into),
                fixed(design_isc_a(p.isc_a), 1),
                fixed(p.voc_cold_v, 1),
                "by its own maker's lead",
                "+ to +, − to −",
                fuse_words(job, p),
                cable_words(job, plan, p),
            )
        )
        for p in plan.wiring.portable
    ]
    columns = (
        Column(("portable",), "left", flexible=True),
        Column(("plugs into",), "left", flexible=True),
        Column(("current", "A")),
        Column(("Voc", "cold V")),
        Column(("lead and plug",), "left"),
        Column(("polarity",), "left"),
        Column(("fuse at the battery",), "left"),
        Column(("cable to the battery",), "left"),
    )
    notes = (
        "Current: 1.25 times Isc; lead, plug and socket must carry it. Makers pole their plugs differently:"
        " read + and − at the plug with a meter before plugging in for the first time.",
        "Cable to the battery: sized as that of a controller on board, for its fuse and the same way.",
    )
    return TableBlock("Leads of portable panels", columns, tuple(rows), notes, NORMAL)


def readings_of(job: Job, plan: Plan) -> list[tuple[MeterReading, float | None]]:
    """What a meter should read on each set at its plug, and how Voc changes [V per K], or None."""
    if plan.wiring is None:
        return []
    slopes = {p.name: _voc_per_k(job, p) for p in plan.wiring.portable}
    return [(reading, slopes.get(reading.string)) for reading in plan.wiring.portable_readings]


def _voc_per_k(job: Job, string: PortableString) -> float | None:
    """How much Voc of a set changes with each K [V]; None where the job does not know that."""
    own = own_entry(job, string)
    if own is None or own.model.voc_v is None or own.model.voc_pct_per_k is None:
        return None
    return string.in_series * own.model.voc_v * own.model.voc_pct_per_k / 100.0


def label_texts(string: PortableString) -> list[tuple[str, tuple[str, ...]]]:
    """Head and lines of four labels: the + and the − of a lead, each at both its ends."""
    ends = f"{clean(string.name)} → {clean(string.into)}"
    return [
        (f"{clean(string.name)}  {pole}", (ends, f"this end: {at}"))
        for pole in ("+", "−")
        for at in ("panels", "plug")
    ]


def warning_lines(string: PortableString) -> tuple[str, ...]:
    """What the warning at the socket says."""
    return (f"{clean(string.name)}: up to {math.ceil(string.voc_cold_v)} V DC", "cover panels, then unplug")
