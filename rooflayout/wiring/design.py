"""What can be built and tested from a wiring: cables, fuses, readings, portable panels, and notes on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.job import Job
from rooflayout.plan import Note, PlacedPanel, Temperatures, Wiring
from rooflayout.wiring.bench import meter_readings, portable_readings
from rooflayout.wiring.bonding import bonding_notes
from rooflayout.wiring.cable_kind import boat_notes, kind_notes, thin_notes
from rooflayout.wiring.cables import cable_notes, cable_runs
from rooflayout.wiring.hot_drop import behind_cables, hot_drop_notes
from rooflayout.wiring.hot_fuses import hot_fuses
from rooflayout.wiring.hot_spare import hot_spare_notes
from rooflayout.wiring.mismatch import mismatch_notes, wiring_mismatch
from rooflayout.wiring.portable import portable_notes, portable_strings
from rooflayout.wiring.sensed import sensed_notes


def designed(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> Wiring:
    """The wiring with its cable runs, what is left of hot voltages behind them, meter readings, what unlike
    strings lose, and portable panels.

    Raises ValueError when the job has no battery or no controllers.
    """
    portable = portable_strings(job, wiring.temperatures)
    runs = cable_runs(job, panels, wiring)
    return replace(
        wiring,
        strings=behind_cables(wiring.strings, runs),
        runs=runs,
        readings=meter_readings(job, wiring),
        mismatch=wiring_mismatch(job, wiring),
        portable=portable,
        portable_readings=portable_readings(job, portable),
    )


def portable_alone(job: Job, temperatures: Temperatures) -> Wiring | None:
    """The portable panels of a job without controllers on board; None where it has none or no battery."""
    if job.battery is None or not job.portable:
        return None
    strings = portable_strings(job, temperatures)
    readings = portable_readings(job, strings)
    return Wiring((), (), (), temperatures, portable=strings, portable_readings=readings)


def design_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """Notes on all that designed adds."""
    return (
        *cable_notes(job, wiring),
        *kind_notes(job, wiring),
        *bonding_notes(job, wiring),
        *boat_notes(job, wiring),
        *thin_notes(wiring),
        *hot_drop_notes(job, wiring),
        *sensed_notes(job, wiring),
        *hot_spare_notes(job, wiring),
        *hot_fuses(job, wiring),
        *mismatch_notes(job, wiring),
        *portable_notes(job, wiring.temperatures),
    )
