"""What stands beside the strings of a plan.json: cables, readings, mismatch, mounting, portable panels.

All of it may be absent; a figure that is not written is NaN, a size or fuse that is null is None.
"""

from __future__ import annotations

import math
from typing import cast

from rooflayout.job import Job
from rooflayout.plan import CableRun, MeterReading, Mismatch, MountedBox, PortableString, RunKind
from rooflayout.survey.spans import COUNT, NUMBER, SIZE, ZERO_UP, Span
from rooflayout.survey.table import Table, named_once, tables

SIZE_MM2 = Span("mm² above 0", 0.0, above=True)
RUN_KINDS = ("string", "array", "battery", "main")
STRING_NAMES = 'a list of strings, such as ["S1", "S2"]'
STRING, CONTROLLER = 'a name such as "S1"', 'a name such as "C1"'


def read_because(wiring: Table) -> tuple[tuple[str, str], ...]:
    """Controllers and why each is wired so."""
    found = []
    for entry in tables(wiring, "because", "reason"):
        controller = entry.text("controller", CONTROLLER, needed=True)
        text = entry.text("text", "a text in quotes", needed=True)
        if controller is not None and text is not None:
            found.append((controller, text))
    return tuple(found)


def read_runs(wiring: Table) -> tuple[CableRun, ...]:
    """The cable runs."""
    entries = tables(wiring, "runs", "run")
    named_once(entries, "run")
    read = [_run(entry) for entry in entries]
    return tuple(run for run in read if run is not None)


def read_readings(wiring: Table) -> tuple[MeterReading, ...]:
    """What a meter should read, a string each."""
    return _readings(tables(wiring, "readings", "reading"))


def read_portable_readings(wiring: Table) -> tuple[MeterReading, ...]:
    """What a meter should read on portable panels at their plug, by their name under "string"."""
    return _readings(tables(wiring, "portable_readings", "reading of portable panels"))


def read_mismatch(wiring: Table) -> tuple[Mismatch, ...]:
    """What unlike strings on a tracker lose."""
    found = []
    for entry in tables(wiring, "mismatch", "mismatch"):
        controller = entry.text("controller", CONTROLLER, needed=True)
        tracker = entry.number("tracker", COUNT, needed=True)
        strings = entry.texts("strings", STRING_NAMES)
        if entry.values.get("strings") is None:
            entry.missing("strings", STRING_NAMES)
        loss_pct = entry.number_or("loss_pct", NUMBER, math.nan)
        if controller is not None and tracker is not None and strings is not None:
            found.append(Mismatch(controller, int(tracker), tuple(strings), loss_pct))
    return tuple(found)


def read_mounted(wiring: Table) -> tuple[MountedBox, ...] | None:
    """Where the controllers hang; None where that is not written or null."""
    if wiring.values.get("mounted") is None:
        return None
    found = []
    for entry in tables(wiring, "mounted", "mounted box"):
        controller = entry.text("controller", CONTROLLER, needed=True)
        x, y = entry.number("x_mm", NUMBER, needed=True), entry.number("y_mm", NUMBER, needed=True)
        along_x = entry.number("along_x_mm", SIZE, needed=True)
        along_y = entry.number("along_y_mm", SIZE, needed=True)
        if controller is None or x is None or y is None or along_x is None or along_y is None:
            continue
        found.append(MountedBox(controller, x, y, along_x, along_y))
    return tuple(found)


def read_portable(wiring: Table, job: Job) -> tuple[PortableString, ...]:
    """The portable panels; what they plug into is the job's where it is not written."""
    entries = tables(wiring, "portable", "portable panel")
    named_once(entries, "name")
    read = [_portable(entry, job) for entry in entries]
    return tuple(string for string in read if string is not None)


def _run(entry: Table) -> CableRun | None:
    name = entry.text("run", 'a name such as "R1"', needed=True)
    kind = entry.choice("kind", RUN_KINDS, needed=True)
    start = entry.text("from", "what it begins at", needed=True)
    end = entry.text("to", "what it ends at", needed=True)
    current, length = (
        entry.number_or("current_a", ZERO_UP, math.nan),
        entry.number_or("length_mm", SIZE, math.nan),
    )
    estimated, isolator = entry.flag("estimated", False), entry.flag("isolator", False)
    mm2, carries = entry.number("size_mm2", SIZE_MM2), entry.number("carries_a", ZERO_UP)
    awg, why = entry.text("size_awg", 'an AWG size in quotes, such as "10"'), _text(entry, "why")
    drop_v, drop_pct = entry.number("drop_v", NUMBER), entry.number("drop_pct", NUMBER)
    carries_awg, fuse = entry.number("carries_awg_a", ZERO_UP), entry.number("fuse_a", ZERO_UP)
    working = entry.number("working_a", ZERO_UP)
    drop_awg_v, drop_awg_pct = entry.number("drop_awg_v", NUMBER), entry.number("drop_awg_pct", NUMBER)
    if name is None or kind is None or start is None or end is None:
        return None
    return CableRun(
        run=name,
        kind=cast(RunKind, kind),
        start=start,
        end=end,
        current_a=current,
        length_mm=length,
        estimated=estimated,
        size_mm2=mm2,
        size_awg=awg,
        carries_a=carries,
        drop_v=drop_v,
        drop_pct=drop_pct,
        fuse_a=fuse,
        isolator=isolator,
        why=why,
        carries_awg_a=carries_awg,
        drop_awg_v=drop_awg_v,
        drop_awg_pct=drop_awg_pct,
        working_a=working,
    )


def _readings(entries: list[Table]) -> tuple[MeterReading, ...]:
    named_once(entries, "string")
    read = [_reading(entry) for entry in entries]
    return tuple(reading for reading in read if reading is not None)


def _reading(entry: Table) -> MeterReading | None:
    string = entry.text("string", STRING, needed=True)
    figures = {
        key: entry.number_or(key, NUMBER, math.nan)
        for key in (
            *("irradiance_w_m2", "cell_c", "voc_v", "isc_a"),
            *("voc_low_v", "voc_high_v", "isc_low_a", "isc_high_a"),
        )
    }
    return None if string is None else MeterReading(string=string, **figures)


def _portable(entry: Table, job: Job) -> PortableString | None:
    name = entry.text("name", "the name of a portable panel of the job", needed=True)
    model = entry.text("model", "the name of its model", needed=True)
    asked = next((own for own in job.portable if own.name == name), None)
    into = entry.text("into", "what it plugs into") or ("" if asked is None else asked.controller.model)
    own_controller = entry.flag("own_controller", asked is None or asked.own_controller)
    in_series = entry.number("in_series", COUNT, needed=True)
    in_parallel = entry.number("in_parallel", COUNT, needed=True)
    figures = {
        key: entry.number_or(key, NUMBER, math.nan)
        for key in ("voc_cold_v", "vmp_hot_v", "isc_a", "power_w", "charge_a", "clipped_w")
    }
    if name is None or model is None or in_series is None or in_parallel is None:
        return None
    return PortableString(
        name=name,
        model=model,
        into=into,
        own_controller=own_controller,
        in_series=int(in_series),
        in_parallel=int(in_parallel),
        **figures,
    )


def _text(entry: Table, key: str) -> str:
    """A text that may be absent or empty."""
    return entry.text(key, "a text in quotes") or "" if entry.values.get(key) else ""
