"""Jobs and plans made by hand for the documents' tests: valid to the millimetre, figures invented."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    Obstacle,
    PanelModel,
    PanelRules,
    Site,
    Spacing,
)
from rooflayout.plan import (
    ControllerLoad,
    Layout,
    Note,
    PanelString,
    PlacedPanel,
    Plan,
    Temperatures,
    Wiring,
)

BIG = PanelModel("Lapwing 260 M", 1650, 770, 260, 35, 14.5, voc_v=30.1, vmp_v=25.0, isc_a=11.0, imp_a=10.4)
MID = PanelModel("Lapwing 175 M", 1190, 705, 175, 30, 9.8, voc_v=24.3, vmp_v=20.2, isc_a=9.3, imp_a=8.66)
SLIM = PanelModel("Sandpiper 110 S", 1250, 430, 110, 30, 6.4, voc_v=24.0, vmp_v=20.0, isc_a=5.9, imp_a=5.5)
SMALL = PanelModel("Wren 60", 600, 500, 60, 3, 1.4, voc_v=22.9, vmp_v=19.0, isc_a=3.4, imp_a=3.16)
LONG_NAME = PanelModel("Long-billed Curlew Extended Frame 175 MkII", 1190, 705, 175, mass_kg=9.8)
MODELS = (BIG, MID, SLIM, SMALL)

CONTROLLER = ControllerModel("Dunlin 100/50", 100, 45, 50, (12.0, 24.0), 1, 5.0, 97.0, price=210)
TWIN = ControllerModel("Dunlin 150/60 twin", 150, 30, 60, (12.0, 24.0, 48.0), 2, 5.0, 97.0, price=380)
BATTERY = Battery(12.0, 14.4, 400.0)
TEMPERATURES = Temperatures(-5.0, "from the job file", 42.0, 89.5, "42 °C air, panel flush on the roof")

Spot = tuple[PanelModel, float, float, bool]  # model, x, y, turned


def outline(length: float, width: float) -> tuple[tuple[float, float], ...]:
    return (0.0, 0.0), (length, 0.0), (length, width), (0.0, width)


def box(name: str, facet: str, x: float, y: float, dx: float, dy: float, **more: object) -> Obstacle:
    corners = ((x, y), (x + dx, y), (x + dx, y + dy), (x, y + dy))
    return Obstacle(name, facet, outline_mm=corners, **more)  # type: ignore[arg-type]


def round_thing(name: str, facet: str, x: float, y: float, diameter: float, **more: object) -> Obstacle:
    return Obstacle(name, facet, centre_mm=(x, y), diameter_mm=diameter, **more)  # type: ignore[arg-type]


def place(facet: str, spots: Iterable[Spot], start: int = 1, prefix: str = "P") -> tuple[PlacedPanel, ...]:
    placed = []
    for index, (model, x, y, turned) in enumerate(spots, start):
        dx, dy = model.sides_mm(turned)
        panel = PlacedPanel(f"{prefix}{index}", facet, model.model, x, y, dx, dy, turned, model.power_w)
        placed.append(replace(panel, kept=prefix == "K"))
    return tuple(placed)


def grid(
    model: PanelModel,
    columns: int,
    rows: int,
    x: float = 40,
    y: float = 40,
    gap: float = 20,
    turned: bool = False,
) -> list[Spot]:
    dx, dy = model.sides_mm(turned)
    return [
        (model, x + i * (dx + gap), y + j * (dy + gap), turned) for j in range(rows) for i in range(columns)
    ]


def wire(
    panels: Sequence[PlacedPanel], groups: Sequence[Sequence[str]], models: Sequence[PanelModel] = MODELS
) -> Wiring:
    """Strings from groups of panels, two to a controller."""
    by_name = {m.model: m for m in models}
    by_panel = {p.panel: p for p in panels}
    strings = []
    for index, group in enumerate(groups):
        first = by_panel[group[0]]
        model = by_name[first.model]
        n = len(group)
        strings.append(
            PanelString(
                f"S{index + 1}",
                f"C{index // 2 + 1}",
                index % 2 + 1,
                first.facet,
                model.model,
                tuple(group),
                round((model.voc_v or 24.0) * n * 1.09, 2),
                round((model.vmp_v or 20.0) * n * 0.76, 2),
                model.isc_a or 9.0,
                model.power_w * n,
            )
        )
    loads = []
    for name in dict.fromkeys(s.controller for s in strings):
        mine = [s for s in strings if s.controller == name]
        power = sum(s.power_w for s in mine)
        charge = min(power * 0.97 / 14.4, 60.0)
        cut = max(0.0, power - 60.0 * 14.4 / 0.97)
        loads.append(
            ControllerLoad(
                name, TWIN.model, power, sum(s.isc_a for s in mine), charge, cut, 100 * cut / power
            )
        )
    wired = {p for g in groups for p in g}
    return Wiring(
        tuple(strings),
        tuple(loads),
        tuple(p.panel for p in panels if p.kept and p.panel not in wired),
        TEMPERATURES,
    )


def make_plan(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring | None, **more: object) -> Plan:
    watts = sum(p.watts for p in panels)
    layout = Layout(watts, watts, "proven" if panels else "nothing fits", 0.84, tuple(panels))
    return replace(Plan(job.title, job.file_name, layout, wiring), **more)  # type: ignore[arg-type]


def make_job(title: str, facets: Sequence[Facet], obstacles: Sequence[Obstacle] = (), **more: object) -> Job:
    job = Job(
        title=title,
        facets=tuple(facets),
        panels=PanelRules(MODELS),
        obstacles=tuple(obstacles),
        spacing=Spacing(20, 40),
        battery=BATTERY,
        controllers=Controllers((CONTROLLER, TWIN), (TWIN, TWIN)),
        file_name="job.toml",
    )
    return replace(job, **more)  # type: ignore[arg-type]


def one_facet() -> tuple[Job, Plan]:
    """A camper of 3.6 x 1.7 m with one roof fan."""
    job = make_job(
        "Small camper",
        [Facet("roof", outline(3600, 1700))],
        [round_thing("roof fan", "roof", 2050, 850, 400, kind="vent", clearance_mm=60, height_mm=110)],
    )
    panels = place("roof", [*grid(BIG, 1, 2), (SLIM, 2310, 40, False), (SLIM, 2310, 490, False)])
    return job, make_plan(job, panels, wire(panels, [["P1", "P2"], ["P3", "P4"]]))


def trailer() -> tuple[Job, Plan]:
    """A trailer with a sloped front, hatches, a lid that swings, a kept panel and notes."""
    main = Facet("main", outline(4600, 2180))
    slope = Facet("front slope", outline(960, 2040), 28.0, "+x")
    obstacles = [
        box("bed hatch", "main", 1900, 890, 400, 400, kind="hatch", clearance_mm=40, height_mm=90,
            opens="-x", reach_mm=180),
        round_thing("ringing lamp", "main", 3150, 1090, 150, kind="other", clearance_mm=50, height_mm=240),
        box("kitchen vent", "main", 3480, 900, 250, 320, kind="vent", clearance_mm=60, height_mm=70),
        box("aerial", "main", 60, 1060, 60, 60, kind="aerial", clearance_mm=40, height_mm=700),
    ]  # fmt: skip
    job = make_job(
        "Delta ringing trailer",
        [main, slope],
        obstacles,
        site=Site(40.72, 0.72, None, -5.0, 42.0),
        spacing=Spacing(10, 40),
        kept=(KeptPanel(SMALL, "main", 3960, 840),),
    )
    panels = place(
        "main",
        [
            (BIG, 40, 40, False),
            (BIG, 1710, 40, False),
            (MID, 3370, 40, False),
            (BIG, 40, 1370, False),
            (BIG, 1710, 1370, False),
            (MID, 3370, 1435, False),
        ],
    )
    panels += place("front slope", [(SLIM, 40, 40, True), (SLIM, 490, 40, True)], 7)
    panels += place("main", [(SMALL, 3960, 840, False)], 1, "K")
    notes = (
        Note("info", "energy", "About 1.9 kWh a day in December and 7.4 kWh in July, lying flat."),
        Note("caution", "near-miss", "With 6 mm more along y a further panel of 60 W would fit on main."),
        Note("warning", "kept-unwired", "Panel K1 stays on the roof, but no controller can take it."),
    )
    wiring = wire(panels, [["P1", "P2"], ["P4", "P5"], ["P3", "P6"], ["P7", "P8"]])
    return job, make_plan(job, panels, wiring, notes=notes)


def hut() -> tuple[Job, Plan]:
    """A mountain hut with a gable, a chimney and a fixed heading."""
    south = Facet("south roof", outline(6200, 3100), 38.0, 190.0, "+x")
    north = Facet("north roof", outline(6200, 3100), 38.0, 10.0, "+x")
    obstacles = [
        box("chimney", "south roof", 4300, 2200, 500, 500, kind="chimney", clearance_mm=400, height_mm=900),
        box("snow guard", "south roof", 150, 60, 5900, 60, kind="rail", clearance_mm=100),
        round_thing("soil vent", "north roof", 1200, 1500, 110, kind="vent", clearance_mm=80),
    ]
    job = make_job("Upper pass hut", [south, north], obstacles, site=Site(46.5, 8.0, 100.0, -22.0, 31.0))
    panels = place("south roof", grid(BIG, 3, 1, 240, 240) + grid(BIG, 2, 2, 240, 1030))
    groups = [["P1", "P2", "P3"], ["P4", "P5"], ["P6", "P7"]]
    plan = make_plan(job, panels, wire(panels, groups))
    layout = replace(plan.layout, status="best found", bound_watts=2080.0)
    return job, replace(plan, layout=layout)


def boat() -> tuple[Job, Plan]:
    """A canal boat of 12 x 2 m with eight small hatches, two of them with lids that swing."""
    obstacles = []
    for k in range(8):
        lid: dict[str, object] = {"opens": "+x", "reach_mm": 320} if k in (2, 5) else {}
        obstacles.append(
            box(
                f"hatch {k + 1}",
                "cabin top",
                700 + 1480 * k,
                850,
                300,
                300,
                kind="hatch",
                clearance_mm=50,
                **lid,
            )
        )
    job = make_job("Canal boat", [Facet("cabin top", outline(12000, 2000))], obstacles)
    spots = [(BIG, 60 + 1680 * k, 20, False) for k in range(7)] + [
        (BIG, 60 + 1680 * k, 1205, False) for k in range(7)
    ]
    panels = place("cabin top", spots)
    # The rows are 770 deep: 20 to 790 and, above the hatches' clearance at 1200, 1205 to 1975.
    job = replace(job, spacing=Spacing(20, 20))
    names = [p.panel for p in panels]
    groups = [names[0:3], names[3:6], names[7:10], names[10:13]]
    plan = make_plan(job, panels, wire(panels, groups))
    return job, plan


def twenty_panels() -> tuple[Job, Plan]:
    """Twenty panels on a work trailer of 7.4 x 2.5 m with a hatch and a vent between the rows."""
    facet = Facet("roof", outline(7400, 2500))
    obstacles = [
        box("hatch", "roof", 3300, 1080, 600, 330, kind="hatch", clearance_mm=20),
        round_thing("vent", "roof", 4400, 1245, 200, clearance_mm=40),
    ]
    spots = grid(SMALL, 11, 1, 40, 40, 60) + grid(SMALL, 9, 1, 70, 1950, 183)
    job = make_job("Work trailer", [facet], obstacles)
    panels = place("roof", spots)
    names = [p.panel for p in panels]
    groups = [names[k : k + 4] for k in range(0, 20, 4)]
    return job, make_plan(job, panels, wire(panels, groups))


def slanted() -> tuple[Job, Plan]:
    """A nose that narrows to the front, its datum on the outline's lower left corner."""
    facet = Facet("bow", ((0, 0), (2600, 0), (3400, 700), (3400, 1500), (2600, 2200), (0, 2200)), 3.0, "+x")
    obstacles = [
        Obstacle(
            "forward light",
            "bow",
            "skylight",
            outline_mm=((2500, 900), (2900, 800), (3000, 1200), (2700, 1400)),
            clearance_mm=60,
        )
    ]
    job = make_job("Bow deck", [facet], obstacles)
    panels = place("bow", [(BIG, 40, 40, False), (BIG, 40, 830, False), (SLIM, 40, 1640, False)])
    panels += place("bow", [(SLIM, 1790, 60.5, True)], 4)
    return job, make_plan(job, panels, wire(panels, [["P1", "P2"], ["P3"], ["P4"]]))


def nothing_fits() -> tuple[Job, Plan]:
    job = make_job(
        "Toolbox lid",
        [Facet("lid", outline(900, 400))],
        [box("handle", "lid", 350, 150, 200, 60, clearance_mm=100)],
    )
    notes = (Note("warning", "nothing-fits", "The narrowest panel is 430 mm wide; the roof leaves 320 mm."),)
    return job, make_plan(job, (), None, notes=notes)


def unwired() -> tuple[Job, Plan]:
    job, plan = one_facet()
    return replace(job, battery=None, controllers=None), replace(plan, wiring=None)


def long_names() -> tuple[Job, Plan]:
    """Names of forty characters and more for everything that has a name, and signs that could trip a text."""
    name = "Rear roof above the sleeping compartment"
    facet = Facet(name, outline(3000, 1700), 4.0, "-x", "-x")
    obstacles = [
        box("Emergency skylight of the upper bunk $5_x$", name, 1400, 860, 300, 300, kind="skylight",
            clearance_mm=40, opens="+x", reach_mm=250),
        round_thing("Mushroom ventilator of the gas locker {2}", name, 2600, 1200, 120, clearance_mm=60),
    ]  # fmt: skip
    job = make_job(
        "Überlanger Titel: conversion of the second-hand mobile library into a field station, stage 3 of 4",
        [facet],
        obstacles,
        panels=PanelRules((LONG_NAME,)),
        file_name="a/very/long/path/conversion-of-the-second-hand-mobile-library-into-a-field-station-final.toml",
    )
    panels = place(
        name, [(LONG_NAME, 40, 40, False), (LONG_NAME, 1270, 40, False), (LONG_NAME, 40, 780, False)]
    )
    return job, make_plan(job, panels, wire(panels, [["P1", "P2"], ["P3"]], (LONG_NAME,)))


def sixty_panels() -> tuple[Job, Plan]:
    """Sixty panels on a club house of 20 x 8 m."""
    job = make_job("Club house", [Facet("roof", outline(20000, 8000), 12.0, "-y")])
    panels = place("roof", grid(BIG, 10, 6, 600, 600, 220))
    names = [p.panel for p in panels]
    return job, make_plan(job, panels, wire(panels, [names[k : k + 4] for k in range(0, 60, 4)]))


def crowded() -> tuple[Job, Plan]:
    """Every panel at an edge of its own, so that the running dimensions crowd."""
    job = make_job("Patchwork roof", [Facet("roof", outline(6000, 2400))])
    spots: list[Spot] = []
    x = 40.0
    for k in range(9):
        spots.append((SMALL, x, 40.0 + 7 * k, False))
        spots.append((SMALL, x + 11 + k, 640.0 + 13 * k, False))
        spots.append((SMALL, x + 23 + k, 1290.0 + 17 * k, False))
        x += 660
    panels = place("roof", spots)
    return job, make_plan(
        job, panels, wire(panels, [[p.panel for p in panels[k : k + 3]] for k in range(0, 27, 3)])
    )


def many_facets() -> tuple[Job, Plan]:
    """Nine facets, more than one sheet can show at a useful scale."""
    facets = [Facet(f"bay {k + 1}", outline(3400, 2600), 15.0, "-y") for k in range(9)]
    job = make_job("Row of field stations", facets)
    panels: tuple[PlacedPanel, ...] = ()
    for facet in facets:
        panels += place(facet.name, grid(MID, 2, 3), len(panels) + 1)
    names = [p.panel for p in panels]
    return job, make_plan(job, panels, wire(panels, [names[k : k + 6] for k in range(0, 54, 6)]))


SAMPLES = {
    f.__name__: f
    for f in (
        one_facet,
        trailer,
        hut,
        boat,
        twenty_panels,
        slanted,
        nothing_fits,
        unwired,
        long_names,
        sixty_panels,
        crowded,
        many_facets,
    )
}
