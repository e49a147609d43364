"""Which kind of fuse breaks what a battery can feed into a fault, and whether it is made in that size."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.job import Job
from rooflayout.listing import listed
from rooflayout.wiring.limits import TOLERANCE

LEAD = ("gel", "agm", "flooded")  # chemistries
# A, from memory: UL 248-15 (class T) and IEC 60269-2 (NH), from 5 to 500 A
CLASS_T_A = (
    *(6, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250),
    *(300, 350, 400, 450, 500),
)
NH_A = (6, 10, 16, 20, 25, 32, 35, 40, 50, 63, 80, 100, 125, 160, 200, 224, 250, 300, 315, 355, 400, 425, 500)


def kind_of_fuse(job: Job, sizes_a: Sequence[float]) -> str:
    """The kind of fuse for the battery's side, in words, with the sizes in which one is not made.

    Blade fuses break too little for lithium: common practice, no source.
    """
    if job.battery is not None and job.battery.chemistry in LEAD:
        return "see the fuse's data sheet"
    words = "for lithium class T or NH, no blades"
    wanted = sorted(set(sizes_a))
    only_t = [a for a in wanted if _made(a, CLASS_T_A) and not _made(a, NH_A)]
    neither = [a for a in wanted if not _made(a, CLASS_T_A)]
    if only_t:
        words += f"; {listed([f'{a:g} A' for a in only_t])} as class T, NH is not made so (from memory)"
    if neither:
        words += f"; {listed([f'{a:g} A' for a in neither])} in neither: the next size that the cable carries"
    return words


def _made(size_a: float, row_a: Sequence[float]) -> bool:
    return any(abs(size_a - a) <= TOLERANCE * a for a in row_a)
