"""What can be built and tested from a wiring: cables, fuses, portable panels, and the notes on them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.job import Job
from rooflayout.plan import Note, PlacedPanel, Wiring
from rooflayout.wiring.cables import cable_notes, cable_runs
from rooflayout.wiring.portable import portable_notes, portable_strings


def designed(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> Wiring:
    """The wiring with its cable runs and the portable panels beside it.

    Raises ValueError when the job has no battery or no controllers.
    """
    return replace(
        wiring,
        runs=cable_runs(job, panels, wiring),
        portable=portable_strings(job, wiring.temperatures),
    )


def design_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """Notes on all that designed adds."""
    return (*cable_notes(job, wiring), *portable_notes(job, wiring.temperatures))
