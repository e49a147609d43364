"""What a controller reads at its terminals beside what the battery has: the drop of the cables between."""

from __future__ import annotations

from rooflayout.job import Job
from rooflayout.listing import listed
from rooflayout.plan import CableRun, Note, Wiring

MUCH_PCT = 1.0  # of the nominal voltage, in full sun: common practice, no source


def sensed_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on the controllers that in full sun read MUCH_PCT and more too much, the volts of each."""
    if job.battery is None:
        return ()
    main = [r for r in wiring.runs if r.kind == "main"]
    told = []
    for run in (r for r in wiring.runs if r.kind == "battery"):
        path = [run, *main]
        read_v = _lost_v(path)
        if read_v is not None and 100.0 * read_v >= MUCH_PCT * job.battery.nominal_v:
            told.append(f"{run.start} {read_v:.2f} V ({listed([r.run for r in path])})")
    if not told:
        return ()
    text = (
        "In full sun a controller reads more than the battery has, by the drop of its cables: "
        f"{listed(told)}. It may end its main charge early: connect its sense lead at the battery where it "
        "has one, or make the way shorter or thicker (common practice)."
    )
    return (Note("info", "sensed-voltage", text),)


def _lost_v(path: list[CableRun]) -> float | None:
    """What is lost along the way, V: the larger of the metric and AWG sizes; None where neither serves."""
    rows = ([run.drop_v for run in path], [run.drop_awg_v for run in path])
    lost = [sum(v for v in drops if v is not None) for drops in rows if None not in drops]
    return max(lost, default=None)
