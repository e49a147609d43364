"""Jobs and plans made by hand for these tests: a roof of 5000 x 2200 mm, all names and figures invented."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    Obstacle,
    PanelModel,
    PanelRules,
    Site,
    Spacing,
)
from rooflayout.plan import (
    ControllerLoad,
    Layout,
    PanelString,
    PlacedPanel,
    Plan,
    Temperatures,
    Wiring,
)

NAN = math.nan

FEN = PanelModel(
    "Fen",
    1400,
    700,
    200,
    mass_kg=11.0,
    voc_v=24.5,
    vmp_v=20.4,
    isc_a=10.3,
    imp_a=9.8,
    voc_pct_per_k=-0.28,
    isc_pct_per_k=0.05,
    power_pct_per_k=-0.34,
    max_system_v=600,
    price=150,
)
REED = PanelModel("Reed", 1000, 500, 100, mass_kg=6.0, voc_v=24.0, vmp_v=20.0, isc_a=5.3, imp_a=5.0, price=90)
OTTER = ControllerModel(
    "Otter",
    max_pv_v=100,
    max_pv_isc_a=30,
    max_charge_a=40,
    battery_v=(12, 24),
    trackers=2,
    start_above_battery_v=2,
    efficiency_pct=96,
)
HATCH = Obstacle("hatch", "main", "hatch", ((2000, 1000), (2400, 1000), (2400, 1400), (2000, 1400)))
MAIN = Facet("main", ((0, 0), (5000, 0), (5000, 2200), (0, 2200)))
REAR = Facet("rear", ((0, 0), (2000, 0), (2000, 2000), (0, 2000)))
UNSTATED = Temperatures(NAN, "", NAN, NAN, "")


def a_job(**changes: Any) -> Job:
    """A roof with nothing on it, and no wiring asked."""
    plain = Job("test", (MAIN, REAR), PanelRules((FEN, REED)), spacing=Spacing(20, 40))
    return replace(plain, **changes)


def a_wired_job(controllers: tuple[ControllerModel, ...] = (OTTER,), **changes: Any) -> Job:
    """The roof with a 12 V battery and fitted controllers, between -5 and 40 °C."""
    wired = a_job(
        battery=Battery(12, 14.4),
        controllers=Controllers((OTTER,), controllers),
        site=Site(coldest_c=-5, hottest_c=40),
    )
    return replace(wired, **changes)


def a_panel(
    name: str,
    x: float,
    y: float,
    model: PanelModel = FEN,
    facet: str = "main",
    turned: bool = False,
    kept: bool = False,
) -> PlacedPanel:
    along_x, along_y = (model.width_mm, model.length_mm) if turned else (model.length_mm, model.width_mm)
    return PlacedPanel(name, facet, model.model, x, y, along_x, along_y, turned, model.power_w, kept)


def a_string(name: str, *panels: str, controller: str = "C1", tracker: int = 1) -> PanelString:
    """A string that states nothing but where it goes."""
    return PanelString(name, controller, tracker, "", "", panels, NAN, NAN, NAN, NAN)


def a_plan(*panels: PlacedPanel, strings: tuple[PanelString, ...] | None = None, **layout: Any) -> Plan:
    """A plan of these panels, its watts added up, its stated figures left out."""
    watts = sum(p.watts for p in panels)
    made = Layout(watts, watts, "best found", NAN, panels)
    wiring = None if strings is None else Wiring(strings, (), (), UNSTATED)
    return Plan("test", "job.toml", replace(made, **layout), wiring)


def a_load(controller: str, model: str, **stated: float) -> ControllerLoad:
    load = ControllerLoad(controller, model, NAN, NAN, NAN, NAN, NAN)
    return replace(load, **stated)


def with_panel(plan: Plan, index: int, **changes: Any) -> Plan:
    """The plan with one panel changed."""
    panels = list(plan.layout.panels)
    panels[index] = replace(panels[index], **changes)
    return replace(plan, layout=replace(plan.layout, panels=tuple(panels)))


def with_layout(plan: Plan, **changes: Any) -> Plan:
    return replace(plan, layout=replace(plan.layout, **changes))


def with_wiring(plan: Plan, **changes: Any) -> Plan:
    assert plan.wiring is not None
    return replace(plan, wiring=replace(plan.wiring, **changes))


def with_string(plan: Plan, index: int, **changes: Any) -> Plan:
    """The plan with one string changed."""
    assert plan.wiring is not None
    strings = list(plan.wiring.strings)
    strings[index] = replace(strings[index], **changes)
    return with_wiring(plan, strings=tuple(strings))


def codes(job: Job, plan: Plan) -> set[str]:
    return {breach.code for breach in inspect_plan(job, plan)}


def texts(job: Job, plan: Plan) -> list[str]:
    return [breach.text for breach in inspect_plan(job, plan)]


def the_good_job() -> Job:
    return a_wired_job(
        obstacles=(replace(HATCH, clearance_mm=40),),
        kept=(),
    )


def the_good_plan() -> Plan:
    """Four panels as two strings on one tracker, every figure stated and worked out by hand.

    Cold: 2 x 24.5 V x (1 + 0.0028 x 30) = 53.116 V. Hot cell: 40 + 1000 e^-3.0271 + 1 = 89.456 °C, so
    2 x 20.4 V x (1 - 0.0039 x 64.456) = 30.544 V. Charge: 800 W x 0.96 / 14.4 V = 53.3 A, cut to 40 A,
    which takes 600 W of panels: 200 W or 25 % are clipped.
    """
    panels = (
        a_panel("P1", 40, 40),
        a_panel("P2", 1460, 40),
        a_panel("P3", 2880, 40),
        a_panel("P4", 40, 760),
    )
    stated = {"voc_cold_v": 53.12, "vmp_hot_v": 30.54, "isc_a": 10.3, "power_w": 400.0}
    strings = tuple(
        replace(s, facet="main", model="Fen", **stated)
        for s in (a_string("S1", "P1", "P4"), a_string("S2", "P2", "P3"))
    )
    load = ControllerLoad("C1", "Otter", 800.0, 20.6, 40.0, 200.0, 25.0)
    temperatures = Temperatures(-5, "the job", 40, 89.46, "the job")
    plan = a_plan(*panels, status="proven", seconds=0.4)
    return replace(plan, wiring=Wiring(strings, (load,), (), temperatures))
