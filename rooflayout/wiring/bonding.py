"""The conductor that bonds panel frames: whether one is asked for, and its least size.

All from memory: IEC 62548 bonds frames where strings pass extra-low voltage dry to the touch (60 V DC), with
6 mm² of copper at least; NEC 690.43 bonds them at any voltage, by 690.45 with a conductor of table 250.122
for the fuse of the circuit, or where it has none for 1.56 times Isc.
"""

from __future__ import annotations

import math

from rooflayout.job import Job
from rooflayout.plan import Note, Wiring
from rooflayout.wiring.limits import TOLERANCE
from rooflayout.wiring.protection import NEC_OF_ISC
from rooflayout.wiring.strain import TOUCH_V, is_above

LEAST_MM2 = 6.0  # IEC 62548
# Fuse in A up to which a copper AWG size does: NEC table 250.122
AWG_UP_TO_A = ((15.0, "14"), (20.0, "12"), (60.0, "10"), (100.0, "8"), (200.0, "6"), (300.0, "4"))
LARGEST_AWG = "2"


def bonding_awg(fuse_a: float) -> str:
    """The AWG size of NEC table 250.122 for a fuse, A."""
    return next((awg for most_a, awg in AWG_UP_TO_A if fuse_a <= most_a * (1.0 + TOLERANCE)), LARGEST_AWG)


def bonding_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """One note on bonding frames: a caution with the least size where strings pass TOUCH_V, with what else a
    boat or a building asks for."""
    if not wiring.strings:
        return ()
    names = [s.string for s in wiring.strings if is_above(s.voc_cold_v, TOUCH_V)]
    local = "from memory: the local code decides"
    if not names:
        text = (
            f"Frames: no string passes {TOUCH_V:g} V DC, so IEC 62548 does not ask for metal frames to be "
            f"bonded against shock; NEC 690.43 does at any voltage ({local}).{_lightning(job)}"
        )
        return (Note("info", "bonding", text),)
    most_a = NEC_OF_ISC * max(_tracker_isc_a(wiring).values())
    text = (
        f"Bond metal frames and rails to each other and to {_earth(job)}: {', '.join(names)} may "
        f"pass {TOUCH_V:g} V DC. At least {LEAST_MM2:g} mm² of copper (IEC 62548) or {bonding_awg(most_a)} "
        f"AWG (NEC 690.43 and table 250.122 for {math.ceil(most_a)} A); {local}. Join the battery's − to "
        f"it in one place only (common practice).{_lightning(job)}"
    )
    return (Note("caution", "bonding", text),)


def _earth(job: Job) -> str:
    """What the frames are bonded to: common practice, no source."""
    if job.vehicle is not None and job.vehicle.kind == "boat":
        return "the hull, where it is of metal, else to the boat's bonding conductor"
    return "the earth bar" if _stands(job) else "the chassis or earth bar"


def _lightning(job: Job) -> str:
    """A sentence more where the roof stands: IEC 62305-2 and IEC 60364-7-712, from memory."""
    if not _stands(job):
        return ""
    return (
        " On a building find out whether lightning and surge protection are asked for (IEC 62305, "
        "IEC 60364-7-712: from memory)."
    )


def _stands(job: Job) -> bool:
    """Whether the roof always faces the same way, as that of a building."""
    return job.vehicle is None and job.site is not None and job.site.heading_deg is not None


def _tracker_isc_a(wiring: Wiring) -> dict[tuple[str, int], float]:
    """Isc at STC of the strings in parallel, by tracker."""
    found: dict[tuple[str, int], float] = {}
    for s in wiring.strings:
        found[s.controller, s.tracker] = found.get((s.controller, s.tracker), 0.0) + s.isc_a
    return found
