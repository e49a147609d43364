"""The road: a checked job in, an inspected plan out."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from functools import cache

from rooflayout.capped import pack_capped
from rooflayout.energy.energy import energy_notes, energy_of, why_none
from rooflayout.energy.roof_sun import RoofSun, roof_sun
from rooflayout.fetching import pvlib_beside
from rooflayout.harvest_gap import harvest_gap
from rooflayout.inspection.breach import Breach
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.needs import OF_THE_PLACE
from rooflayout.packing.pack import Clock, Packed
from rooflayout.plan import Layout, Note, PlacedPanel, Plan, Status, Wiring
from rooflayout.remarks import in_order, remarks
from rooflayout.vehicle.axes import left_of_middle_mm
from rooflayout.vehicle.balance import balance_of
from rooflayout.vehicle.notes import balance_notes, told_once
from rooflayout.wiring.design import designed, portable_alone
from rooflayout.wiring.freeing import UNASKED, Change, changes_of, cost_notes
from rooflayout.wiring.numbering import number_panels
from rooflayout.wiring.options import Supply
from rooflayout.wiring.temperatures import design_temperatures
from rooflayout.wiring.wire import wire
from rooflayout.wishing import shade_of, wishes_of

MOST_ASKED = 60  # panels: on larger roofs it is never asked what the wiring costs


class PlanFaultError(Exception):
    """Our own plan failed its inspection: a fault of the program, never shown as a plan."""

    def __init__(self, breaches: list[Breach]) -> None:
        super().__init__("\n".join(f"{b.where}: {b.text}" for b in breaches))
        self.breaches = breaches


def plan_job(
    job: Job,
    notes: tuple[Note, ...] = (),
    *,
    time_limit_s: float = 60.0,
    seed: int = 0,
    workers: int = 2,
    stopped: Callable[[], bool] = lambda: False,
    tell: Callable[[float, float], None] = lambda watts, bound_watts: None,
) -> Plan:
    """Pack, wire, inspect. tell hears of the best watts and the bound while the search goes on.

    Raises PlanFaultError.
    """
    start = time.monotonic()
    temperatures = design_temperatures(job.site)
    clock = Clock(start + time_limit_s, stopped, lambda watts, bound: tell(watts / 10, bound / 10), workers)
    changes: list[Change] = []

    were_asked = False

    def asked(supply: Supply) -> list[Supply]:
        nonlocal were_asked
        were_asked = True
        changes.extend(changes_of(job, temperatures, supply))
        return [change.supply for change in changes]

    with pvlib_beside(workers > 1 and (job.battery is not None or _asks_for_energy(job))):
        sun = _sun(job)
        wishes = wishes_of(job, sun, left_of_middle_mm(job) if job.panels.balance else None)
        packed, supply = pack_capped(job, temperatures, clock, asked, wishes)
    if job.wants_wiring:
        shade = shade_of(job, sun) if sun is not None and job.obstacles else None
        panels, wired = wire(job, temperatures, packed.panels, shade=shade)
        wiring: Wiring | None = designed(job, panels, wired)
    else:
        panels, wiring = number_panels(job, packed.panels), portable_alone(job, temperatures)
    seconds = round(time.monotonic() - start, 2)
    watts, bound = _watts(panels, wiring), packed.bound_watts
    layout = Layout(
        watts,
        bound,
        _status(packed),
        seconds,
        panels,
        packed.true_bound_watts,
        packed.harvest_wh,
        packed.bound_harvest_wh,
    )
    plan = Plan(job.title, job.file_name, layout, wiring, notes, packed.near_misses, seed)
    said = (*notes, *_unheard(job, sun, packed), *remarks(job, plan, supply=supply))
    if wiring is not None:
        said = (*said, *_cost_notes(packed, tuple(changes)))
    if (
        wiring is not None
        and wiring.strings
        and not were_asked
        and clock.over()
        and len(panels) <= MOST_ASKED
    ):
        said = (*said, Note("info", "wiring-costs-unasked", UNASKED))
    anything = bool(panels) or (wiring is not None and bool(wiring.portable))
    energy = energy_of(job, panels, wiring, sun()) if sun is not None and anything else None
    if energy is not None or (anything and _asks_for_energy(job)):
        said = (*said, *energy_notes(job, energy, wiring), *harvest_gap(layout, energy, wiring))
    balance = balance_of(job, panels, wiring) if anything else None
    if balance is not None:
        said = (*told_once(said, balance), *balance_notes(job, balance))
    plan = replace(plan, notes=in_order(said), energy=energy, balance=balance)
    breaches = inspect_plan(job, plan)
    if breaches:
        raise PlanFaultError(breaches)
    return plan


def _sun(job: Job) -> Callable[[], RoofSun] | None:
    """What gives the sun on the roof, worked out once and when first needed; None where it is not known."""
    return cache(lambda: roof_sun(job)) if why_none(job) is None else None


def _asks_for_energy(job: Job) -> bool:
    """Whether the job says anything that wants an answer from the sun."""
    given = job.site is not None and job.site.latitude_deg is not None
    return given or bool(job.loads) or job.climate != OF_THE_PLACE or job.panels.aim == "harvest"


def _unheard(job: Job, sun: Callable[[], RoofSun] | None, packed: Packed) -> tuple[Note, ...]:
    """Wishes of the job that cannot be met."""
    if job.panels.aim == "harvest" and sun is not None and packed.harvest_wh is None:
        text = (
            "The job aims at harvest, but in the time given no layout was found for it, or the roof is too "
            "large: this one was packed for watts. Give the search longer: --time-limit."
        )
        return (Note("warning", "aim-unheard", text),)
    if job.panels.aim == "harvest" and sun is None:
        text = "The job aims at harvest, but nothing is known of the sun there: the most watts were packed."
        return (Note("warning", "aim-unheard", text),)
    return ()


def _cost_notes(packed: Packed, changes: tuple[Change, ...]) -> tuple[Note, ...]:
    return cost_notes(packed.wiring_costs_watts, changes, packed.freed_watts, packed.freed_in_time)


def _status(packed: Packed) -> Status:
    if not any(not p.kept for p in packed.panels) and packed.proven:
        return "nothing fits"
    return "proven" if packed.proven else "best found"


def _watts(panels: tuple[PlacedPanel, ...], wiring: Wiring | None) -> float:
    unwired = set(wiring.unwired) if wiring else set()
    return round(sum(p.watts for p in panels if p.panel not in unwired), 1)
