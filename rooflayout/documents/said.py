"""The plan's notes on paper: on the roof drawing, and those for who wires on the wiring set."""

from __future__ import annotations

from collections.abc import Sequence

from ..plan import SEVERITIES, Note, Plan
from ..vehicle.notes import tells_limit_passed
from .blocks import TextBlock
from .lettering import NORMAL, SMALL, clean

# For who wires, not for who sets out panels: they stand on the wiring set only, where there is one.
ON_THE_WIRING_SET = (
    "battery-charge-unknown",
    "busbar",
    "cable-kind",
    "cable-lengths-estimated",
    "fuse-below-nec",
    "fuses",
    "fuses-hot",
    "isolators",
    "no-busbar",
    "roof-cable-thin",
    "run-thick",
    "sensed-voltage",
    "terminals",
    "tight-hot-voltage",
)
# For the owner, and no caution: they stand on the energy set only.
ON_THE_ENERGY_SET = (
    "battery-figures",
    "battery-full",
    "clipped-over-the-year",
    "harvest-losses",
    "mass-there-already",
    "portable-harvest",
    "sun-figures",
    "watts-per-ah",
)
# On both the roof drawing and the wiring set.
FOR_WHO_WIRES = (
    "above-120-v",
    "above-60-v",
    "battery-charge-limit",
    "bonding",
    "boat-above-50-v",
    "controller-idle",
    "hot-drop",
    "kept-among-new",
    "kept-unwired",
    "lithium-frost",
    "mismatch",
    "portable-live",
    "portable-shared-input",
    "run-no-fuse",
    "run-no-size",
    "sun-and-engine",
    "tight-cold-voltage",
)
_WORDS = {"error": "Error", "warning": "Warning", "caution": "Caution", "info": "Note"}


def notes_block(plan: Plan) -> TextBlock | None:
    """The plan's notes, the gravest first; without those that other sets have, where there are such sets."""
    elsewhere: tuple[str, ...] = ()
    if plan.wiring is not None and plan.wiring.runs:
        elsewhere += ON_THE_WIRING_SET
    owners = ON_THE_ENERGY_SET if plan.energy is not None and plan.balance is not None else ()
    here = [n for n in plan.notes if n.code not in elsewhere]
    return _block([n for n in here if not (n.code in owners and n.severity == "info")], SMALL)


def wiring_notes_block(plan: Plan) -> TextBlock | None:
    """What who wires has to know, the gravest first."""
    return _block([n for n in plan.notes if n.code in (*ON_THE_WIRING_SET, *FOR_WHO_WIRES)], NORMAL)


def _block(notes: Sequence[Note], height_mm: float) -> TextBlock | None:
    ordered = sorted(notes, key=lambda n: SEVERITIES.index(n.severity))
    if not ordered:
        return None
    return TextBlock("Notes", tuple((mark_of(n), _sentence(n.text)) for n in ordered), height_mm)


def mark_of(note: Note) -> str:
    """What stands before a note: how grave it is, or that a limit of vehicle or roof is passed."""
    return "Over limit" if tells_limit_passed(note) else _WORDS[note.severity]


def _sentence(text: str) -> str:
    text = clean(text)
    return text[:1].upper() + text[1:]
