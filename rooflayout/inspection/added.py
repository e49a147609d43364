"""What a plan adds, worked out anew from its panels, cables and controllers: nothing is shared with vehicle/.

New panels and their mounts, both conductors of every cable, controllers that are still to be hung. Masses kg,
lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rooflayout.inspection.from_above import XY, middle_mm
from rooflayout.inspection.lookup import model_of
from rooflayout.job import Job
from rooflayout.plan import CableRun, PlacedPanel, Plan

COPPER_KG_M3 = 8890.0  # IEC 60028, from memory
WITH_INSULATION = 1.5  # times its copper: common practice, no source
FROM_PANELS, TO_BATTERY = "cables from the panels", "cables to the battery"


@dataclass(frozen=True, slots=True)
class Weight:
    """One thing that is added. kg None: not known. known: whether inspection can tell where it is, or knows
    that nobody can; at_mm None: nobody can, or inspection cannot."""

    item: str
    kg: float | None
    at_mm: XY | None
    known: bool = True


def weights(job: Job, plan: Plan) -> list[Weight]:
    """All that is added, under the names that a plan's items have (without how many there are)."""
    return [*_panels(job, plan), *_cables(job, plan), *_controllers(job, plan)]


def all_weighed(job: Job, plan: Plan, own: Sequence[Weight]) -> bool:
    """Whether every mass is known, and so the sum is the whole and not only the least."""
    return all(w.kg is not None for w in own) and not _cables_left_out(plan)


def added_kg(own: Sequence[Weight]) -> float:
    return sum(w.kg or 0.0 for w in own)


def roof_kg(job: Job, plan: Plan) -> tuple[float, float]:
    """What lies on the roof already, kept panels with their mounts, and what is added there with cables."""
    panels = plan.layout.panels
    before = sum(_kg(job, p) + job.mounts.kg_per_panel for p in panels if p.kept)
    new = sum(_kg(job, p) + job.mounts.kg_per_panel for p in panels if not p.kept)
    return before, new + sum(w.kg or 0.0 for w in _cables(job, plan) if w.item == FROM_PANELS)


def cable_kg(run: CableRun) -> float | None:
    """There and back; by the metric size where there is one."""
    area_mm2 = run.size_mm2
    if area_mm2 is None and run.size_awg is not None:
        area_mm2 = _awg_mm2(run.size_awg)
    if area_mm2 is None or not math.isfinite(area_mm2 * run.length_mm):
        return None
    return 2.0 * (run.length_mm / 1e3) * (area_mm2 / 1e6) * COPPER_KG_M3 * WITH_INSULATION


def _awg_mm2(size: str) -> float | None:
    """ASTM B258, from memory: gauge 36 is 0.127 mm across, 0000 is 11.684 mm, 39 even steps between."""
    zeros, slash, nought = size.partition("/")
    try:
        gauge = 1 - int(zeros) if slash and nought == "0" else int(size)
    except ValueError:
        return None
    across_mm: float = 0.127 * (11.684 / 0.127) ** ((36 - gauge) / 39)
    return math.pi * across_mm**2 / 4.0


def _panels(job: Job, plan: Plan) -> Iterator[Weight]:
    for panel in plan.layout.panels:
        if panel.kept:
            continue
        model, at = model_of(job, panel), middle_mm(job, panel)
        on = f" on {panel.facet}" if len(job.facets) > 1 else ""
        yield Weight(f"{panel.model}{on}", None if model is None else model.mass_kg, at, at is not None)
        yield Weight(f"mounts{on}", job.mounts.kg_per_panel, at, at is not None)


def _cables(job: Job, plan: Plan) -> Iterator[Weight]:
    """From panels: halfway between their middle and the controllers; to the battery: at the controllers."""
    home = None if job.vehicle is None else job.vehicle.controllers_at_mm
    for run in plan.wiring.runs if plan.wiring is not None else ():
        if run.kind in ("battery", "main"):
            yield Weight(TO_BATTERY, cable_kg(run), home)
            continue
        middles = [middle_mm(job, p) for p in _fed_by(run, plan)]
        spots = [m for m in middles if m is not None]
        if home is None or not spots or len(spots) < len(middles):
            yield Weight(FROM_PANELS, cable_kg(run), None, home is None)
            continue
        x, y = (sum(s[n] for s in spots) / len(spots) for n in (0, 1))
        yield Weight(FROM_PANELS, cable_kg(run), ((x + home[0]) / 2.0, (y + home[1]) / 2.0))


def _controllers(job: Job, plan: Plan) -> Iterator[Weight]:
    if job.controllers is None or plan.wiring is None:
        return
    if job.controllers.on_board and not job.controllers.choose:
        return
    rows = {m.model: m for m in (*job.controllers.catalogue, *job.controllers.fitted)}
    home = None if job.vehicle is None else job.vehicle.controllers_at_mm
    for load in plan.wiring.controllers:
        row = rows.get(load.model)
        yield Weight(f"{load.controller} {load.model}", None if row is None else row.mass_kg, home)


def _fed_by(run: CableRun, plan: Plan) -> list[PlacedPanel]:
    strings = () if plan.wiring is None else plan.wiring.strings
    own = [s for s in strings if s.string == run.start]
    own = own or [s for s in strings if f"{s.controller} tracker {s.tracker}" == run.end]
    names = [name for s in own for name in s.panels]
    by_name = {p.panel: p for p in plan.layout.panels}
    return [by_name[name] for name in names if name in by_name]


def _cables_left_out(plan: Plan) -> bool:
    return plan.wiring is not None and bool(plan.wiring.strings) and not plan.wiring.runs


def _kg(job: Job, panel: PlacedPanel) -> float:
    model = model_of(job, panel)
    return 0.0 if model is None or model.mass_kg is None else model.mass_kg
