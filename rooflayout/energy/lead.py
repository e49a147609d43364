"""What is different with a lead battery: its slow end of charging, and what being empty does to it.

Both are common practice, no source. A battery of unknown chemistry is taken for lead (battery.py).
"""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.energy.sentences import HARDLY_EVER_PCT, spans
from rooflayout.job import Battery
from rooflayout.plan import Note
from rooflayout.yields import Energy

SLOW_END = "a lead battery takes several hours more for its last fifth, whatever the sun (absorption)"
LOW_PCT = 50.0  # of the usable capacity at sunrise; common practice, no source


def is_lead(battery: Battery | None) -> bool:
    """Whether there is a battery of lead, or one of which the job does not say what it is."""
    return battery is not None and battery.chemistry != "lithium"


def slow_end(battery: Battery | None) -> str:
    """What hours to full leave out of a lead battery, to follow a semicolon; empty for others."""
    return SLOW_END if is_lead(battery) else ""


def damaged_by_want(battery: Battery | None, energy: Energy) -> Iterator[Note]:
    """A caution where a lead battery runs empty, or stays low through a month.

    Low: below LOW_PCT of the usable capacity on nine mornings in ten.
    """
    if not is_lead(battery):
        return
    empty = [m.month - 1 for m in energy.months if (m.empty_pct or 0.0) > HARDLY_EVER_PCT]
    low = [m.month - 1 for m in energy.months if m.soc_high_pct is not None and m.soc_high_pct < LOW_PCT]
    said = [f"it runs empty in {spans(empty)}"] if empty else []
    said += [f"nine mornings in ten find it below half of what is usable in {spans(low)}"] if low else []
    if said:
        text = (
            "A lead battery that is emptied or stays low for weeks sulphates and loses capacity for good "
            f"(common practice). Here {', and '.join(said)}: draw less then, or fill it by other means."
        )
        yield Note("caution", "lead-sulphation", text)
