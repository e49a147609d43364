"""What a battery's chemistry asks of who charges it: usual charge currents, and none in frost."""

from __future__ import annotations

from rooflayout.job import Battery, Job
from rooflayout.plan import Note, Wiring

FREEZING_C = 0.0  # lithium cells must not be charged below it; common practice, no source
# A for each 100 Ah: common practice, no source; makers differ
USUAL_CHARGE = {
    "lithium": "up to 50 A (lithium)",
    "gel": "10 to 20 A (gel)",
    "agm": "20 to 30 A (AGM)",
    "flooded": "10 to 20 A (flooded lead)",
}


def usual_charge(battery: Battery) -> str:
    """Half a sentence on the charge current usual for the chemistry; nothing where that is not given."""
    if battery.chemistry is None:
        return ""
    return f"; usual for each 100 Ah are {USUAL_CHARGE[battery.chemistry]}, common practice"


def lithium_in_frost(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A caution where a lithium battery stands in a place that freezes on the coldest morning."""
    coldest_c = wiring.temperatures.coldest_cell_c
    if job.battery is None or job.battery.chemistry != "lithium" or coldest_c >= FREEZING_C:
        return ()
    text = (
        f"It gets as cold as {coldest_c:g} °C: a lithium battery must not be charged while its cells are "
        f"below {FREEZING_C:g} °C. Keep it warm, or let the controllers know its temperature and stop "
        "(common practice)."
    )
    return (Note("caution", "lithium-frost", text),)
