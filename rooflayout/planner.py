"""The road: a checked job in, an inspected plan out."""

from __future__ import annotations

import time
from collections.abc import Callable

from rooflayout.inspection.breach import Breach
from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import Job
from rooflayout.packing.pack import Clock, Packed, pack
from rooflayout.plan import Layout, Note, PlacedPanel, Plan, Status, Temperatures, Wiring
from rooflayout.remarks import remarks
from rooflayout.wiring.design import designed, portable_alone
from rooflayout.wiring.freeing import Change, changes_of, cost_notes
from rooflayout.wiring.numbering import number_panels
from rooflayout.wiring.options import Supply, supply_of
from rooflayout.wiring.temperatures import design_temperatures
from rooflayout.wiring.wire import wire


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
    supply = _supply(job, temperatures)
    clock = Clock(start + time_limit_s, stopped, lambda watts, bound: tell(watts / 10, bound / 10), workers)
    changes: list[Change] = []

    def asked() -> list[Supply]:
        if supply is not None:
            changes.extend(changes_of(job, temperatures, supply))
        return [change.supply for change in changes]

    packed = pack(job, supply, clock, asked)
    if job.wants_wiring:
        panels, wired = wire(job, temperatures, packed.panels)
        wiring: Wiring | None = designed(job, panels, wired)
    else:
        panels, wiring = number_panels(job, packed.panels), portable_alone(job, temperatures)
    seconds = round(time.monotonic() - start, 2)
    watts, bound = _watts(panels, wiring), packed.bound_watts
    layout = Layout(watts, bound, _status(packed), seconds, panels, packed.true_bound_watts)
    plan = Plan(job.title, job.file_name, layout, wiring, notes, packed.near_misses, seed)
    said = (*notes, *remarks(job, plan, supply=supply))
    if wiring is not None:
        said = (*said, *_cost_notes(packed, tuple(changes)))
    plan = Plan(job.title, job.file_name, layout, wiring, said, packed.near_misses, seed)
    breaches = inspect_plan(job, plan)
    if breaches:
        raise PlanFaultError(breaches)
    return plan


def _cost_notes(packed: Packed, changes: tuple[Change, ...]) -> tuple[Note, ...]:
    return cost_notes(packed.wiring_costs_watts, changes, packed.freed_watts, packed.freed_in_time)


def _supply(job: Job, temperatures: Temperatures) -> Supply | None:
    """What may be wired; the cap on what a chosen controller cuts off gives way when nothing meets it."""
    if not job.wants_wiring:
        return None
    supply = supply_of(job, temperatures)
    return supply if supply.options else supply_of(job, temperatures, capped=False)


def _status(packed: Packed) -> Status:
    if not any(not p.kept for p in packed.panels) and packed.proven:
        return "nothing fits"
    return "proven" if packed.proven else "best found"


def _watts(panels: tuple[PlacedPanel, ...], wiring: Wiring | None) -> float:
    unwired = set(wiring.unwired) if wiring else set()
    return round(sum(p.watts for p in panels if p.panel not in unwired), 1)
