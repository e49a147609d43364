"""Plans with sun, loads, shade and balance made by hand for the documents' tests: figures invented."""

from __future__ import annotations

import math
from dataclasses import replace

from rooflayout.energy.sentences import month_sentence
from rooflayout.job import Job
from rooflayout.needs import Load, Vehicle
from rooflayout.plan import Plan
from rooflayout.vehicle.balance import balance_of
from rooflayout.yields import ControllerYield, Energy, FacetYield, LoadHours, MonthYield, PanelShade, ShadeMap

from .samples import SAMPLES
from .wiring_samples import LONG, WIRED

SUN = (1.1, 1.9, 3.2, 4.4, 5.5, 6.1, 6.0, 5.2, 3.9, 2.4, 1.3, 0.9)
LOAD_NAMES = (
    *("fridge", "satellite internet", "lamps", "laptops", "water pump", "hob", "air-conditioner", "alarm"),
    *("kettle", "heater fan", "radio", "drill charger"),
)
DRIVE = (0.0, 0.0, 0.0, 400.0, 400.0, 400.0, 400.0, 400.0, 400.0, 0.0, 0.0, 0.0)


def month(
    index: int, harvest: float, portable: float, driving: float, demand: float, battery: bool
) -> MonthYield:
    """A month that runs the emptier the less comes in of what is drawn."""
    short = max(0.0, 1.0 - (harvest + portable + driving) / demand) if demand else 0.0
    middle = 100.0 * (1.0 - short)
    empty = 100.0 * short if battery and demand else None
    less, more = (None, None) if empty is None else (min(100.0, 1.4 * empty), 0.6 * empty)
    comes_wh = harvest + portable + driving
    spilled = None if empty is None else 100.0 * max(0.0, 1.0 - demand / max(comes_wh, 1.0))
    return MonthYield(
        index + 1, SUN[index], 8.0, harvest, portable, driving, demand, empty,
        None if empty is None else max(0.0, middle - 25.0),
        None if empty is None else middle,
        None if empty is None else min(100.0, middle + 9.0),
        month_sentence(
            index + 1, harvest + portable, driving, demand, empty,
            less_sun_pct=less, month_off_pct=27.0,
        ),
        less, more, spilled,
    )  # fmt: skip


def energy_for(
    job: Job, plan: Plan, *, battery: bool = True, portable: bool = False, driving: bool = True,
    demand: float = 2400.0, loads: tuple[str, ...] = LOAD_NAMES[:2], shade: bool = True,
) -> Energy:  # fmt: skip
    """As much as asked for; a controller's yield for each of the plan's controllers."""
    watts = plan.layout.watts
    months = tuple(
        month(
            k, 0.75 * watts * sun, 300.0 if portable else 0.0, DRIVE[k] if driving else 0.0, demand, battery
        )
        for k, sun in enumerate(SUN)
    )
    band = tuple(
        (max(0.0, 60 + 40 * math.sin(d / 58 - 1.4) - 30), 60 + 40 * math.sin(d / 58 - 1.4), 100.0)
        for d in range(365)
    )
    names = [] if plan.wiring is None else [c.controller for c in plan.wiring.controllers]
    known = battery and job.battery is not None
    return Energy(
        months=months,
        controllers=tuple(ControllerYield(c, 800_000.0, 770_000.0) for c in names),
        facets=tuple(FacetYield(f.name, 1100.0) for f in job.facets),
        shade=tuple(PanelShade(p.panel, (7.3 * k) % 31) for k, p in enumerate(plan.layout.panels)),
        wh_year=sum(m.harvest_wh_day for m in months) * 30.4,
        uncertainty_pct=15.0,
        source="mean sun of an invented place",
        harvest_uncertainty_pct=16.2,
        month_uncertainty_pct=27.0,
        place="12.3 N 45.6 E, 78 km from Invented Town",
        usable_wh=4320.0 if known else None,
        days_without_sun=1.8 if known and demand else None,
        refill_hours=3.1 if known else None,
        watts_per_ah=watts / 400 if known else None,
        load_hours=tuple(LoadHours(n, tuple(2.1 * s for s in SUN)) for n in loads),
        soc_band_pct=band if battery and demand else (),
        maps=tuple(map_for(job, f.name) for f in job.facets) if shade else (),
    )


def map_for(job: Job, facet: str, cells: int = 60) -> ShadeMap:
    """Losses from 0 at the left to 80 % at the right, none under the lowest row's first cells."""
    xs = [p[0] for p in job.facet(facet).outline_mm]
    ys = [p[1] for p in job.facet(facet).outline_mm]
    step = (max(xs) - min(xs)) / cells
    rows = max(1, math.ceil((max(ys) - min(ys)) / step))
    values = tuple(
        tuple(
            None if r == 0 and c < 3 else round(80.0 * (c / cells) ** 2 * (r + 1) / rows, 1)
            for c in range(cells)
        )
        for r in range(rows)
    )
    return ShadeMap(facet, min(xs), min(ys), step, values)


def trailer_vehicle(**more: object) -> Vehicle:
    """A trailer close to its limits."""
    given = Vehicle(
        "trailer", axle_x_mm=1950.0, coupling_x_mm=6650.0, middle_y_mm=1090.0, mass_kg=1290.0,
        most_mass_kg=1400.0, coupling_kg=78.0, most_coupling_kg=90.0, axle_kg=1212.0, most_axle_kg=1500.0,
        most_roof_kg=150.0, most_lopsided_kg_m=30.0, controllers_at_mm=(4250.0, 300.0),
    )  # fmt: skip
    return replace(given, **more)  # type: ignore[arg-type]


def balanced(job: Job, plan: Plan, vehicle: Vehicle | None) -> tuple[Job, Plan]:
    """The plan with the balance that the house works out."""
    job = replace(job, vehicle=vehicle)
    return job, replace(plan, balance=balance_of(job, plan.layout.panels, plan.wiring))


def trailer() -> tuple[Job, Plan]:
    """Everything at once: two facets, driving, portable panels, shade, a trailer over a limit."""
    job, plan = WIRED["trailer"]()
    job, plan = balanced(job, plan, trailer_vehicle())
    return job, replace(plan, energy=energy_for(job, plan, portable=True))


def twelve_loads() -> tuple[Job, Plan]:
    """Twelve loads of known watts and six controllers."""
    job, plan = WIRED["twelve_strings"]()
    job = replace(job, loads=tuple(Load(n, 300.0, 40.0) for n in LOAD_NAMES))
    return job, replace(plan, energy=energy_for(job, plan, demand=9000.0, loads=LOAD_NAMES, shade=False))


def three_controllers() -> tuple[Job, Plan]:
    """Three controllers on a house: a balance without a vehicle."""
    job, plan = WIRED["twelve_strings"]()
    assert plan.wiring is not None
    wiring = replace(plan.wiring, strings=plan.wiring.strings[:6], controllers=plan.wiring.controllers[:3])
    job, plan = balanced(job, replace(plan, wiring=wiring), None)
    return job, replace(plan, energy=energy_for(job, plan, demand=20_000.0))


def no_battery() -> tuple[Job, Plan]:
    """Neither battery nor wiring nor loads of known watts."""
    job, plan = SAMPLES["unwired"]()
    return job, replace(plan, energy=energy_for(job, plan, battery=False, loads=(), driving=False))


def no_loads() -> tuple[Job, Plan]:
    """Nothing is drawn."""
    job, plan = WIRED["one_string"]()
    return job, replace(plan, energy=energy_for(job, plan, demand=0.0, loads=(), driving=False, shade=False))


def long_names() -> tuple[Job, Plan]:
    """Names of forty characters and more, on a motor vehicle."""
    job, plan = WIRED["long_names"]()
    motor = Vehicle(
        "motor", axle_x_mm=700.0, front_axle_x_mm=-2600.0, mass_kg=3100.0, most_mass_kg=3500.0,
        axle_kg=1700.0, most_axle_kg=1900.0, controllers_at_mm=(300.0, 300.0),
    )  # fmt: skip
    job, plan = balanced(job, plan, motor)
    names = (f"{LONG} behind the second cupboard", "the ice machine of the neighbour's ice-cream stall")
    return job, replace(plan, energy=energy_for(job, plan, loads=names))


def boat() -> tuple[Job, Plan]:
    """A boat whose added mass heels it."""
    job, plan = SAMPLES["boat"]()
    boat_ = Vehicle("boat", displacement_kg=9000.0, metacentric_height_mm=300.0, most_lopsided_kg_m=5.0)
    job, plan = balanced(job, plan, boat_)
    return job, replace(plan, energy=energy_for(job, plan))


def sixty_panels() -> tuple[Job, Plan]:
    """More panels than the map has room to letter."""
    job, plan = WIRED["sixty_panels"]()
    return job, replace(plan, energy=energy_for(job, plan, demand=30_000.0))


def crowded() -> tuple[Job, Plan]:
    """Many small obstacles."""
    job, plan = SAMPLES["crowded"]()
    return job, replace(plan, energy=energy_for(job, plan, driving=False))


def slanted() -> tuple[Job, Plan]:
    """An outline that is no rectangle, its obstacles neither; front axle and rear axle unknown."""
    job, plan = balanced(*SAMPLES["slanted"](), trailer_vehicle(axle_x_mm=None, coupling_x_mm=None))
    return job, replace(plan, energy=energy_for(job, plan))


def balance_alone() -> tuple[Job, Plan]:
    """No sun is known; the vehicle is."""
    return balanced(*WIRED["trailer"](), trailer_vehicle(mass_kg=None, coupling_kg=None))


WITH_ENERGY = {
    "trailer": trailer,
    "twelve_loads": twelve_loads,
    "three_controllers": three_controllers,
    "no_battery": no_battery,
    "no_loads": no_loads,
    "long_names": long_names,
    "boat": boat,
    "sixty_panels": sixty_panels,
    "crowded": crowded,
    "slanted": slanted,
    "balance_alone": balance_alone,
}
