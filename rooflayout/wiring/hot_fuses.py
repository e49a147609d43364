"""What string fuses in the heat of a roof still carry: a note, which changes no size."""

from __future__ import annotations

from rooflayout.job import Job
from rooflayout.plan import CableRun, Note, Wiring
from rooflayout.wiring.drafts import roof_laid
from rooflayout.wiring.limits import TOLERANCE

RATED_AT_C = 25.0  # a fuse's rated current is for 20 to 30 °C round it; common practice, no source
LESS_PCT_PER_K = 0.5  # so much less for good with each K more; common practice, no source: makers differ


def hot_fuses(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on the string fuses, which stand where strings join: taken as a box on the roof, at the gland.

    The air there is that of the cables on the roof. A caution where a fuse would carry less in it than its
    string's design current (1.25 times Isc), which it then may not bear for good.
    """
    air_c = roof_laid(job, wiring).ambient_c
    fused = [r for r in wiring.runs if r.kind == "string" and r.fuse_a is not None]
    if not fused or air_c <= RATED_AT_C:
        return ()
    kinds: dict[tuple[float, float], list[CableRun]] = {}
    for run in fused:
        kinds.setdefault((run.fuse_a or 0.0, round(run.current_a, 1)), []).append(run)
    told = [
        f"{', '.join(r.run for r in runs)}: {fuse_a:g} A, some {carried_a(fuse_a, air_c):.1f} A in that heat "
        f"({needed_a:.1f} A wanted)"
        for (fuse_a, needed_a), runs in kinds.items()
    ]
    short = any(carried_a(r.fuse_a or 0.0, air_c) < r.current_a * (1.0 - TOLERANCE) for r in fused)
    text = (
        f"String fuses in a box on the roof, in air of up to {air_c:.0f} °C: their rated current is for "
        f"some {RATED_AT_C:g} °C, {LESS_PCT_PER_K:g} % less with each K more (common practice; the maker's "
        f"table decides). {'; '.join(told)}."
    )
    if short:
        text += " Join the strings inside or in shade, or they may blow with nothing wrong."
    return (Note("caution" if short else "info", "fuses-hot", text),)


def carried_a(fuse_a: float, air_c: float) -> float:
    """What a fuse carries for good in such air, A; never more than its rated current."""
    return fuse_a * max(0.0, 1.0 - max(0.0, air_c - RATED_AT_C) * LESS_PCT_PER_K / 100.0)
