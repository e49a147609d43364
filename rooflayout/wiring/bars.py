"""Notes on the busbars where several controllers join, or on why they do not."""

from __future__ import annotations

import math

from rooflayout.job import Job
from rooflayout.listing import listed
from rooflayout.plan import CableRun, Note, Wiring
from rooflayout.wiring.drafts import BATTERY, most_charge_a
from rooflayout.wiring.protection import CONTINUOUS_FACTOR


def bar_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """What the busbars must stand; a caution where several controllers go to the battery each by itself, too
    much for one busbar."""
    runs = [r for r in wiring.runs if r.kind == "battery"]
    if len(runs) < 2:
        return ()
    main = next((r for r in wiring.runs if r.kind == "main"), None)
    if main is not None:
        return (_busbar(wiring, runs, main),)
    return _apart(job, wiring, runs) if all(r.end == BATTERY for r in runs) else ()


def _busbar(wiring: Wiring, runs: list[CableRun], main: CableRun) -> Note:
    """Busbars that stand the main fuse, for the controllers alone: common practice, no source."""
    least_a = max(math.ceil(main.current_a), main.fuse_a or 0.0)
    text = (
        f"Busbars, one for + and one for −, covered, each for at least {least_a:g} A. They and {main.run} "
        f"are for {listed([r.start for r in runs])} alone: loads, inverter and other chargers go to the "
        "battery by cables and fuses of their own (common practice). Work on them only with the panels' "
        "isolators open, then those of the controllers, and the main fuse out."
    )
    joined = {r.start for r in runs}
    held = [
        f"{c.controller} to {c.set_a:.1f} A" for c in wiring.controllers if c.controller in joined and c.set_a
    ]
    if held:
        text += (
            f" {main.run} and its fuse count on what is set down ({listed(held)}): with the settings lost "
            "the main fuse may blow in full sun, with nothing wrong. Check them after every reset."
        )
    return Note("caution" if held else "info", "busbar", text)


def _apart(job: Job, wiring: Wiring, runs: list[CableRun]) -> tuple[Note, ...]:
    names = {r.start for r in runs}
    together_a = sum(most_charge_a(job, load) for load in wiring.controllers if load.controller in names)
    text = (
        f"{listed([r.start for r in runs])} go to the battery each by itself: for one busbar with "
        f"{CONTINUOUS_FACTOR * together_a:.0f} A there is no standard fuse or size. Join none of them before "
        "the battery's terminals, or take busbars for a part of them, each with its own fuse."
    )
    return (Note("caution", "no-busbar", text),)
