"""A trailer of round numbers, panels laid by hand, a wiring of one string."""

from __future__ import annotations

from dataclasses import replace

from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
)
from rooflayout.needs import Mounts, Vehicle
from rooflayout.plan import (
    CableRun,
    ControllerLoad,
    PanelString,
    PlacedPanel,
    RunKind,
    Temperatures,
    Wiring,
)

TEAL = PanelModel("Teal 120", 1000.0, 500.0, 120.0, mass_kg=6.0)
BLANK = PanelModel("Blank 90", 1000.0, 500.0, 90.0)
REED = ControllerModel("Reed 20", 100.0, 20.0, 20.0, (12.0,), mass_kg=2.0)
MAIN = Facet("main", ((0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 2000.0)))
# Coupling 5000 from the rear edge, axle 1000: 4000 apart. Controllers 500 ahead of the axle, on the left.
TRAILER = Vehicle("trailer", axle_x_mm=1000.0, coupling_x_mm=5000.0, controllers_at_mm=(1500.0, 1500.0))
NO_MOUNTS = Mounts(0.0)


def trailer(vehicle: Vehicle | None = TRAILER, *facets: Facet, mounts: Mounts = NO_MOUNTS) -> Job:
    """Its controller is still to be hung, and so is added."""
    return Job(
        "x",
        facets or (MAIN,),
        PanelRules((TEAL, BLANK)),
        battery=Battery(12.0, 14.4),
        controllers=Controllers((REED,), (REED,), on_board=False),
        mounts=mounts,
        vehicle=vehicle,
    )


def with_kept(job: Job, *panels: PlacedPanel) -> Job:
    models = {m.model: m for m in job.panels.models}
    kept = tuple(KeptPanel(models[p.model], p.facet, p.x_mm, p.y_mm, p.turned) for p in panels)
    return replace(job, kept=kept)


def panel(
    name: str, x_mm: float, y_mm: float, model: PanelModel = TEAL, facet: str = "main", *, kept: bool = False
) -> PlacedPanel:
    sides = model.sides_mm(False)
    return PlacedPanel(name, facet, model.model, x_mm, y_mm, *sides, False, model.power_w, kept)


def run(name: str, kind: RunKind, start: str, end: str, length_mm: float, mm2: float | None) -> CableRun:
    return CableRun(name, kind, start, end, 10.0, length_mm, False, mm2, None, 30.0, 0.1, 1.0, None, True, "")


def wiring(panels: tuple[str, ...], *runs: CableRun) -> Wiring:
    string = PanelString("S1", "C1", 1, "main", TEAL.model, panels, 50.0, 35.0, 6.0, 240.0)
    load = ControllerLoad("C1", REED.model, 240.0, 6.0, 16.0, 0.0, 0.0)
    return Wiring((string,), (load,), (), Temperatures(-5.0, "given", 40.0, 90.0, "given"), runs=runs)
