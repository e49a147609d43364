"""What reaches the battery when the sun shines on panels while the engine charges it too."""

from __future__ import annotations

import math

from rooflayout.job import Job
from rooflayout.plan import Note, Wiring
from rooflayout.wiring.drafts import most_charge_a
from rooflayout.wiring.limits import TOLERANCE, low_charge_a


def most_sun_a(job: Job, wiring: Wiring) -> float:
    """A that panels charge a low battery with in full sun, each controller at most with what it can or is set
    to; portable panels as they are plugged in. 0 without a battery."""
    if job.battery is None:
        return 0.0
    models, inputs = job.controller_models(), {own.name: own.controller for own in job.portable}
    roof_a = sum(
        min(most_charge_a(job, load), low_charge_a(load.power_w, models[load.model], job.battery))
        for load in wiring.controllers
    )
    return roof_a + sum(
        low_charge_a(p.power_w, inputs[p.name], job.battery) for p in wiring.portable if p.name in inputs
    )


def sun_and_engine(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A caution where both together may charge with more than the battery takes.

    The sun counts with most_sun_a. Where the engine alone is too much, the reader of [driving] says so.
    """
    if job.driving is None or job.battery is None or job.battery.most_charge_a is None:
        return ()
    sun_a = most_sun_a(job, wiring)
    engine_a, takes_a = job.driving.charge_a, job.battery.most_charge_a
    if sun_a <= 0.0 or engine_a > takes_a or sun_a + engine_a <= takes_a * (1.0 + TOLERANCE):
        return ()
    left_a = math.floor(takes_a - engine_a + TOLERANCE)
    cures = ["let one stop while the other charges (a battery monitor with a relay does)"]
    if left_a >= 1:
        cures.append(f"set the controllers to {left_a} A together")
    text = (
        f"While the engine charges in full sun, up to {sun_a:.0f} A from the controllers and {engine_a:g} A "
        f"([driving] current) reach the battery together, which takes {takes_a:g} A at most: "
        f"{' or '.join(cures)}."
    )
    return (Note("caution", "sun-and-engine", text),)


def engine_beside(job: Job, sun_a: float) -> str:
    """Half a sentence on what comes from the engine beside so much sun; nothing where none does."""
    if job.driving is None or job.driving.charge_a <= 0.0:
        return ""
    engine_a = job.driving.charge_a
    return f", and with {engine_a:g} A while driving {sun_a + engine_a:.0f} A together"
