"""Packing under the cap on what chosen controllers may cut off, which rises with the layout's own watts.

A controller may cut off most_clipped_pct, or what the battery's charge limit cuts off of the whole roof
anyway (wiring/enough.py). How much that is, is known when the watts are: so the roof is packed with what
more watts than it can hold would allow, then with what the watts found allow, until the two agree.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from rooflayout.job import Job
from rooflayout.packing.incumbent import Clock
from rooflayout.packing.pack import Packed, pack
from rooflayout.packing.wishes import Wishes
from rooflayout.plan import Temperatures
from rooflayout.wiring.enough import as_the_battery_takes
from rooflayout.wiring.options import Supply, supply_of

MOST_TRIES = 3  # then without the battery's excuse


def pack_capped(
    job: Job,
    temperatures: Temperatures,
    clock: Clock,
    changes: Callable[[Supply], Sequence[Supply]],
    wishes: Wishes,
) -> tuple[Packed, Supply | None]:
    """The packing, and the trackers that it counted with; None where the job asks for no wiring.

    changes: as for packing.pack, of the trackers in use. Each try has half of the time that is left. Where
    they come to no agreement, the layout is one that needs no excuse, and the bound is that of the last try.
    """
    if not job.wants_wiring:
        return pack(job, None, clock, tuple, wishes), None
    plain = _supply(job, temperatures)
    eased, bound = _supply(as_the_battery_takes(job, most_roof_w(job)), temperatures), None
    for _ in range(MOST_TRIES):
        if eased == plain or clock.over():
            break
        packed = _packed(job, eased, clock.part(0.5), changes, wishes)
        found_w = sum(p.watts for p in packed.panels)
        allowed = _supply(as_the_battery_takes(job, found_w), temperatures)
        if set(eased.options) <= set(allowed.options):
            return packed, eased
        bound = packed.bound_watts, packed.true_bound_watts
        eased = _supply(as_the_battery_takes(job, bound[0]), temperatures)
    packed = _packed(job, plain, clock, changes, wishes)
    if eased != plain and bound is not None and packed.watts < bound[0]:
        packed = replace(packed, bound_watts=bound[0], true_bound_watts=bound[1], proven=False)
    return packed, plain


def _packed(
    job: Job, supply: Supply, clock: Clock, changes: Callable[[Supply], Sequence[Supply]], wishes: Wishes
) -> Packed:
    return pack(job, supply, clock, lambda: changes(supply), wishes)


def _supply(job: Job, temperatures: Temperatures) -> Supply:
    """What may be wired; the cap on what a chosen controller cuts off gives way when nothing meets it."""
    supply = supply_of(job, temperatures)
    return supply if supply.options else supply_of(job, temperatures, capped=False)


def most_roof_w(job: Job) -> float:
    """More watts than all facets can hold: their whole area at the densest model's watts, and kept panels."""
    densest = max((m.power_w / (m.length_mm * m.width_mm) for m in job.panels.models), default=0.0)
    return densest * sum(f.area_mm2() for f in job.facets) + sum(k.model.power_w for k in job.kept)
