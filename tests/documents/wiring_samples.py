"""Plans with all that a wiring may hold, made by hand for the documents' tests: figures invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rooflayout.job import Facet, Job, MountingSpace, PanelRules
from rooflayout.plan import (
    CableRun,
    MeterReading,
    Mismatch,
    MountedBox,
    PanelString,
    Plan,
    PortableString,
    RunKind,
    Wiring,
)

from .samples import BIG, LONG_NAME, MODELS, SAMPLES, TWIN, grid, make_job, make_plan, outline, place, wire

LONG = "Long-billed Curlew Extended Frame 175 MkII"


def run(name: str, kind: RunKind, start: str, end: str, current_a: float, **more: object) -> CableRun:
    """A run of 6 mm² (16 mm² to the battery), 2.4 m, estimated in every third."""
    size, awg = (16.0, "4") if kind == "battery" else (6.0, "10")
    given = CableRun(
        run=name,
        kind=kind,
        start=start,
        end=end,
        current_a=current_a,
        length_mm=1500.0 if kind == "battery" else 4235.0,
        estimated=int(name[1:]) % 3 == 0,
        size_mm2=size,
        size_awg=awg,
        carries_a=46.3,
        drop_v=0.41,
        drop_pct=1.7,
        fuse_a=80.0 if kind == "battery" else None,
        isolator=kind != "string" or ("tracker" in end and "joint" not in end),
        why="current at 50 °C: 13.8 A of 46.3 A" if kind == "string" else "voltage drop",
        carries_awg_a=52.0,
        drop_awg_v=0.45,
        drop_awg_pct=1.9,
        working_a=9.1,
    )
    return replace(given, **more)  # type: ignore[arg-type]


def runs_for(strings: Sequence[PanelString]) -> tuple[CableRun, ...]:
    """A run a string, one from each joint, one a controller; from the busbar where there are several."""
    trackers: dict[tuple[str, int], list[PanelString]] = {}
    for s in strings:
        trackers.setdefault((s.controller, s.tracker), []).append(s)
    runs: list[CableRun] = []
    for (controller, tracker), mine in trackers.items():
        there = f"{controller} tracker {tracker}"
        for s in mine:
            end = f"{there} joint" if len(mine) > 1 else there
            fuse = 15.0 if len(mine) > 2 else None
            runs.append(run(f"R{len(runs) + 1}", "string", s.string, end, 1.25 * s.isc_a, fuse_a=fuse))
        if len(mine) > 1:
            amps = 1.25 * sum(s.isc_a for s in mine)
            runs.append(run(f"R{len(runs) + 1}", "array", f"{there} joint", there, amps))
    controllers = list(dict.fromkeys(s.controller for s in strings))
    end = "busbar" if len(controllers) > 1 else "battery"
    for controller in controllers:
        runs.append(run(f"R{len(runs) + 1}", "battery", controller, end, 60.0))
    if len(controllers) > 1:
        thick = {"size_mm2": 95.0, "size_awg": "3/0", "fuse_a": 300.0, "length_mm": 250.0, "isolator": False}
        runs.append(run(f"R{len(runs) + 1}", "main", "busbar", "battery", 60.0 * len(controllers), **thick))
    return tuple(runs)


def readings_for(strings: Sequence[PanelString]) -> tuple[MeterReading, ...]:
    """5 % of voltage and 10 % of current either way, at 800 W/m² and 45 °C."""
    made = []
    for s in strings:
        voc, isc = s.voc_cold_v * 0.86, s.isc_a * 0.8
        made.append(
            MeterReading(s.string, 800.0, 45.0, voc, isc, voc * 0.95, voc * 1.05, isc * 0.9, isc * 1.1)
        )
    return tuple(made)


def deepened(job: Job, plan: Plan) -> tuple[Job, Plan]:
    """A plan of samples.py with limits, runs, readings, reasons, mounted boxes and portable panels."""
    assert plan.wiring is not None
    w = plan.wiring
    strings = tuple(replace(s, limit_v=150.0, vmp_hot_at_controller_v=s.vmp_hot_v - 0.4) for s in w.strings)
    names = [c.controller for c in w.controllers]
    space = MountingSpace(70.0 + 230 * len(names), 420.0, 180.0, 50.0)
    mounted = tuple(MountedBox(c, 50.0 + 230 * k, 60.0, 180.0, 250.0) for k, c in enumerate(names))
    why = "two in series: at 12 V a single panel would drop out above 68 °C"
    wiring = replace(
        w,
        strings=strings,
        because=tuple((c, why) for c in names),
        runs=runs_for(strings),
        readings=readings_for(strings),
        mismatch=(Mismatch(names[0], 1, ("S1", "S2"), 1.4),) if len(strings) > 1 else (),
        mounted=mounted,
        portable=(
            PortableString("Awning set", "Wren 60", TWIN.model, True, 2, 1, 49.9, 28.9, 3.4, 120, 8.1, 0),
        ),
        portable_readings=(MeterReading("Awning set", 800.0, 45.0, 42.9, 2.72, 40.8, 45.0, 2.55, 2.89),),
    )
    return replace(job, mounting_space=space), replace(plan, wiring=wiring)


def one_string() -> tuple[Job, Plan]:
    """One panel, one string, nothing else known."""
    job = make_job("Shed", [Facet("roof", outline(1800, 900))])
    panels = place("roof", grid(BIG, 1, 1))
    return deepened(job, make_plan(job, panels, wire(panels, [["P1"]])))


def twelve_strings() -> tuple[Job, Plan]:
    """Twelve strings, two to a controller."""
    job = make_job("Club house", [Facet("roof", outline(20000, 8000), 12.0, "-y")])
    panels = place("roof", grid(BIG, 8, 6, 600, 600, 220))
    names = [p.panel for p in panels]
    groups = [names[k : k + 4] for k in range(0, 48, 4)]
    return deepened(job, make_plan(job, panels, wire(panels, groups)))


def one_tracker(count: int = 12) -> tuple[Job, Plan]:
    """So many strings in parallel on one tracker, each with its fuse."""
    job = make_job("Shelter", [Facet("roof", outline(20000, 8000), 12.0, "-y")])
    panels = place("roof", grid(BIG, count, 2, 100, 600, 10))
    names = [p.panel for p in panels]
    wiring = wire(panels, [names[k : k + 2] for k in range(0, 2 * count, 2)])
    wiring = _all_on_first(wiring)
    return deepened(job, make_plan(job, panels, wiring))


def _all_on_first(wiring: Wiring) -> Wiring:
    strings = tuple(replace(s, controller="C1", tracker=1) for s in wiring.strings)
    power, isc = sum(s.power_w for s in strings), sum(s.isc_a for s in strings)
    load = replace(wiring.controllers[0], power_w=power, isc_a=isc)
    return replace(wiring, strings=strings, controllers=(load,))


def long_names() -> tuple[Job, Plan]:
    """Names of forty characters and more, and a run that no size serves."""
    job, plan = SAMPLES["long_names"]()
    long_twin = replace(TWIN, model="Double-crested Cormorant 150/60 twin tracker with display")
    assert job.controllers is not None
    assert plan.wiring is not None
    controllers = replace(job.controllers, catalogue=(long_twin,), fitted=(long_twin,))
    loads = tuple(replace(c, model=long_twin.model) for c in plan.wiring.controllers)
    plan = replace(plan, wiring=replace(plan.wiring, controllers=loads))
    job, plan = deepened(replace(job, controllers=controllers, panels=PanelRules((LONG_NAME, *MODELS))), plan)
    assert plan.wiring is not None
    none_serves = replace(
        plan.wiring.runs[1],
        size_mm2=None,
        size_awg=None,
        carries_a=None,
        drop_v=None,
        drop_pct=None,
        carries_awg_a=None,
        drop_awg_v=None,
        drop_awg_pct=None,
        why="voltage drop: 95 mm² still loses 3.4 %, 3 % allowed; 1.2 m shorter would do",
    )
    runs = (plan.wiring.runs[0], none_serves, *plan.wiring.runs[2:])
    portable = replace(
        plan.wiring.portable[0],
        name="Folding set for the awning and the beach",
        model=LONG,
        into="Solar input of the second-hand mobile library's charger",
        own_controller=False,
        clipped_w=13.0,
    )
    return job, replace(plan, wiring=replace(plan.wiring, runs=runs, portable=(portable,)))


WIRED = {
    "one_string": one_string,
    "twelve_strings": twelve_strings,
    "one_tracker": one_tracker,
    "long_names": long_names,
    "trailer": lambda: deepened(*SAMPLES["trailer"]()),
    "hut": lambda: deepened(*SAMPLES["hut"]()),
    "sixty_panels": lambda: deepened(*SAMPLES["sixty_panels"]()),
}
