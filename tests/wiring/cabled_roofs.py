"""A wired roof for the cable tests: strings as asked, panels in a row along x; all names invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from rooflayout.job import Battery, Cable, ControllerModel, Controllers, Facet, Job, PanelModel, PanelRules
from rooflayout.plan import PlacedPanel, Temperatures, Wiring
from rooflayout.wiring.cables import cable_notes, cable_runs
from rooflayout.wiring.figures import controller_load, panel_string

ROOF = Facet("main", ((0, 0), (6000, 0), (6000, 2200), (0, 2200)))
SLOPE = Facet("slope", ((0, 0), (900, 0), (900, 2000), (0, 2000)), slope_deg=20.0)
PITCH_MM = 700.0
FINCH = PanelModel(
    model="Finch 200",
    length_mm=1480,
    width_mm=670,
    power_w=200,
    voc_v=24.0,
    vmp_v=20.0,
    isc_a=10.0,
    imp_a=9.5,
    voc_pct_per_k=-0.26,
    isc_pct_per_k=0.045,
    power_pct_per_k=-0.33,
    max_series_fuse_a=20,
)
ALDER = ControllerModel("Alder 60", 150, 60, 60, (12, 24, 48), trackers=2, efficiency_pct=97)
TEMPERATURES = Temperatures(-5.0, "test", 42.0, 85.0, "test")
GIVEN = Cable(roof_run_mm=5000, gland_to_controller_mm=3000, controller_to_battery_mm=1500)

# for each controller its trackers, for each tracker its strings, each so many panels of a model
Counts = Sequence[Sequence[Sequence[tuple[PanelModel, int]]]]


def wired(
    counts: Counts,
    cable: Cable = GIVEN,
    nominal_v: float = 12.0,
    of: ControllerModel = ALDER,
    **job_changes: Any,
) -> tuple[Job, tuple[PlacedPanel, ...], Wiring]:
    """The job, its panels and its wiring without cables."""
    battery = Battery(nominal_v, 1.2 * nominal_v)
    models = {m.model: m for trackers in counts for strings in trackers for m, _ in strings}
    plain: dict[str, Any] = {
        "facets": (ROOF, SLOPE),
        "panels": PanelRules(tuple(models.values())),
        "battery": battery,
        "controllers": Controllers((of,), tuple(of for _ in counts)),
        "cable": cable,
    }
    panels: list[PlacedPanel] = []
    strings, loads = [], []
    for number, trackers in enumerate(counts, 1):
        own = []
        for tracker, chains in enumerate(trackers, 1):
            for model, count in chains:
                chain = [_placed(model, len(panels) + i) for i in range(count)]
                panels += chain
                name = f"S{len(strings) + len(own) + 1}"
                own.append(panel_string(name, f"C{number}", tracker, chain, model, TEMPERATURES))
        loads.append(controller_load(f"C{number}", of, battery, own))
        strings += own
    wiring = Wiring(tuple(strings), tuple(loads), (), TEMPERATURES)
    return Job("test", **(plain | job_changes)), tuple(panels), wiring


def _placed(model: PanelModel, number: int) -> PlacedPanel:
    """Turned, so that its width lies along x; the first one's corner is at the origin."""
    x_mm = PITCH_MM * number
    return PlacedPanel(
        f"P{number + 1}", "main", model.model, x_mm, 0.0, model.width_mm, model.length_mm, True, model.power_w
    )


PAIR: Counts = [[[(FINCH, 2)]]]
THREE: Counts = [[[(FINCH, 1)] * 3]]


def runs_of(counts: Counts, cable: Cable = GIVEN, **more: object) -> tuple[Job, Wiring]:
    job, panels, wiring = wired(counts, cable, **more)  # type: ignore[arg-type]
    return job, replace(wiring, runs=cable_runs(job, panels, wiring))


def codes(job: Job, wiring: Wiring) -> list[tuple[str, str]]:
    return [(n.severity, n.code) for n in cable_notes(job, wiring)]
