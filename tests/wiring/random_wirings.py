"""Random catalogues, roofs and batteries for wiring, and what inspection says; all names invented.

Panels lie in one row a facet, so that only the wiring is in question. Some limits are set just at what
a few panels give, so that an equality is met, or missed by a hair, now and then.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from rooflayout.inspection.inspect import inspect_plan
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    KeptPanel,
    PanelModel,
    PanelRules,
    Site,
    WiringRules,
)
from rooflayout.plan import Layout, PlacedPanel, Plan, Wiring

LONG_MM, DEEP_MM, PITCH_MM = 100_000.0, 3000.0, 2500.0
OUTLINE = ((0.0, 0.0), (LONG_MM, 0.0), (LONG_MM, DEEP_MM), (0.0, DEEP_MM))
FACETS = (Facet("main", OUTLINE), Facet("slope", OUTLINE, slope_deg=20.0))
CHARGE_V = {12.0: (13.8, 14.4), 24.0: (27.6, 28.8), 48.0: (54.0, 57.6)}
VOLTS = (50.0, 75.0, 100.0, 150.0, 250.0)
CHOSEN = 0.1  # share of jobs whose controllers are chosen
MOST_CHOSEN_FOR = 8  # panels; the set that cuts off least takes seconds to prove for 12 now and then
AT_A_LIMIT = 0.3  # share of controllers whose limits are set by the panels at hand


@dataclass(frozen=True)
class Case:
    """A job and the panels that lie on its roof, unnamed; the kept ones are in the job too."""

    job: Job
    panels: tuple[PlacedPanel, ...]


def random_case(random: Random, most_panels: int = 12, most_controllers: int = 2) -> Case:
    """A job that asks for wiring, with 1 to most_panels panels of 1 to 3 groups, some of them kept."""
    nominal_v = random.choice((12.0, 12.0, 24.0, 48.0))
    battery = Battery(
        nominal_v,
        random.choice(CHARGE_V[nominal_v]),
        most_charge_a=random.choice((None, None, float(random.randint(10, 120)))),
    )
    models = tuple(_panel(random, f"Panel {n}") for n in range(random.randint(1, 3)))
    catalogue = tuple(_controller(random, f"Box {n}", battery, models) for n in range(random.randint(1, 4)))
    facets = FACETS[: random.randint(1, 2)]
    controllers = _controllers(random, catalogue, most_controllers)
    most = min(most_panels, MOST_CHOSEN_FOR) if controllers.choose else most_panels
    panels, kept = _roof(random, facets, models, most)
    job = Job(
        title="random",
        facets=facets,
        panels=PanelRules(models),
        kept=kept,
        site=Site(
            coldest_c=random.choice((random.randint(-90, 60), random.randint(-20, 20))) / 2,
            hottest_c=random.randint(30, 100) / 2,
        ),
        battery=battery,
        controllers=controllers,
        wiring_rules=WiringRules(random.choice((None, None, None, 5 * nominal_v, 8 * nominal_v))),
    )
    return Case(job, panels)


def breaches(job: Job, panels: tuple[PlacedPanel, ...], wiring: Wiring) -> list[str]:
    """What the independent inspection, every rule of it, finds in named panels and their wiring."""
    wired = {name for s in wiring.strings for name in s.panels}
    watts = sum(p.watts for p in panels if p.panel in wired)
    layout = Layout(watts, watts, "best found", 0.0, panels)
    return [b.text for b in inspect_plan(job, Plan(job.title, job.file_name, layout, wiring))]


def _panel(random: Random, name: str) -> PanelModel:
    """Of 6 to 60 V; operating point and coefficients as silicon has them, each blank now and then."""
    voc_v = random.choice((random.randint(60, 300) / 10, random.randint(18, 60) + 0.0))
    isc_a = random.randint(30, 280) / 20
    vmp_v, imp_a = round(voc_v * random.uniform(0.78, 0.87), 1), round(isc_a * random.uniform(0.9, 0.96), 2)
    return PanelModel(
        name,
        length_mm=1500.0,
        width_mm=700.0,
        power_w=random.choice((round(vmp_v * imp_a), round(vmp_v * imp_a, 1))) + 0.0,
        voc_v=voc_v,
        vmp_v=vmp_v,
        isc_a=isc_a,
        imp_a=random.choice((imp_a, imp_a, None)),
        voc_pct_per_k=random.choice((None, -random.randint(20, 36) / 100)),
        isc_pct_per_k=random.choice((None, random.randint(0, 10) / 100)),
        power_pct_per_k=random.choice((None, -random.randint(25, 50) / 100)),
        max_series_fuse_a=random.choice((None, 10.0, 15.0, 20.0, 25.0)),
        max_system_v=random.choice((None, 75.0, 150.0, 600.0, 1000.0)),
    )


def _controller(
    random: Random, name: str, battery: Battery, models: tuple[PanelModel, ...]
) -> ControllerModel:
    served = random.choice(((12.0,), (12.0, 24.0), (12.0, 24.0, 48.0), (24.0, 48.0)))
    if battery.nominal_v not in served and random.random() < 0.8:
        served = (battery.nominal_v,)
    volts = [v for v in VOLTS if v > 3.5 * battery.nominal_v or random.random() < 0.1]
    max_pv_v, max_pv_isc_a = random.choice(volts), random.randint(10, 70) + 0.0
    charge_a = random.choice((10.0, 20.0, 30.0, 60.0, 100.0))
    if random.random() < AT_A_LIMIT:
        model, count = random.choice(models), random.randint(1, 4)
        assert model.isc_a is not None
        assert model.voc_v is not None
        max_pv_isc_a = random.choice((1.25 * count * model.isc_a, round(1.25 * count * model.isc_a, 1)))
        max_pv_v = random.choice((1.12 * count * model.voc_v, round(1.2 * count * model.voc_v, 1)))
    return ControllerModel(
        name,
        max_pv_v=max_pv_v,
        max_pv_isc_a=max_pv_isc_a,
        max_charge_a=charge_a,
        battery_v=served,
        trackers=random.choice((1, 1, 2, 3, 4)),
        start_above_battery_v=random.choice((0.0, 1.0, 4.0, 5.0)),
        efficiency_pct=random.choice((94.0, 97.0, 98.0, 100.0)),
        mass_kg=random.choice((None, random.randint(5, 60) / 10)),
        price=random.choice((None, random.randint(50, 700) + 0.0, random.randint(50, 700) + 0.0)),
    )


def _controllers(random: Random, catalogue: tuple[ControllerModel, ...], most: int) -> Controllers:
    """Chosen by the program now and then, else some that are fitted."""
    if random.random() < CHOSEN:
        cap_pct = random.choice((0.0, 5.0, 10.0, 100.0))
        return Controllers(catalogue, choose=True, most_clipped_pct=cap_pct)
    return Controllers(catalogue, tuple(random.choice(catalogue) for _ in range(random.randint(1, most))))


def _roof(
    random: Random, facets: tuple[Facet, ...], models: tuple[PanelModel, ...], most: int
) -> tuple[tuple[PlacedPanel, ...], tuple[KeptPanel, ...]]:
    placed: list[PlacedPanel] = []
    kept: list[KeptPanel] = []
    stays = random.choice((0.0, 0.0, 0.0, 0.3, 0.3, 1.0))
    for _ in range(random.choice((1, 1, 2, 3))):
        facet, model = random.choice(facets), random.choice(models)
        for _ in range(min(random.choice((1, 2, 2, 3, 4, 4, 6, 8, 12)), most - len(placed))):
            x_mm, y_mm, stay = 100.0 + PITCH_MM * len(placed), 100.0, random.random() < stays
            sides = model.sides_mm(False)
            watts = model.power_w
            placed.append(PlacedPanel("", facet.name, model.model, x_mm, y_mm, *sides, False, watts, stay))
            if stay:
                kept.append(KeptPanel(model, facet.name, x_mm, y_mm))
    return tuple(placed), tuple(kept)
