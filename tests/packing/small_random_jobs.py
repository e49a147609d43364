"""Random jobs on a raster, small enough to be solved by hand or by exhaustive_roofs.py."""

from __future__ import annotations

import time
from itertools import combinations
from random import Random

from rooflayout.job import (
    ControllerModel,
    Direction,
    Facet,
    Job,
    KeptPanel,
    Obstacle,
    PanelModel,
    PanelRules,
    Spacing,
)
from rooflayout.packing.pack import Clock, Packed, pack
from rooflayout.wiring.options import UNLIMITED, StringOption, Supply, TrackerClass
from rooflayout.wiring.unlike import UnlikePair

CONTROLLER = ControllerModel("C", 100.0, 20.0, 20.0, (12.0,))


def clock_of(seconds: float = 20.0, workers: int = 1) -> Clock:
    """A clock that nobody stops and nobody hears."""
    return Clock(time.monotonic() + seconds, lambda: False, lambda watts, bound: None, workers)


def packed(job: Job, supply: Supply | None = None, seconds: float = 20.0, workers: int = 1) -> Packed:
    return pack(job, supply, clock_of(seconds, workers))


def rectangle(name: str, along_x_mm: float, along_y_mm: float, at: tuple[float, float] = (0.0, 0.0)) -> Facet:
    x, y = at
    return Facet(name, ((x, y), (x + along_x_mm, y), (x + along_x_mm, y + along_y_mm), (x, y + along_y_mm)))


def square_on(
    obstacle: str, facet: str, x0: float, y0: float, x1: float, y1: float, **more: object
) -> Obstacle:
    outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return Obstacle(obstacle, facet, outline_mm=outline, **more)  # type: ignore[arg-type]


def random_models(
    random: Random, raster: int, count: int, equal_density: bool = False
) -> tuple[PanelModel, ...]:
    """Models of 2 to 5 by 1 to 4 cells (3 cells at least), of about equal or of wild density."""
    models = []
    for number in range(count):
        length, width = random.randint(2, 5), random.randint(2, 4)
        per_cell = 20 if equal_density else random.choice((10, 16, 20, 21, 25))
        models.append(
            PanelModel(
                f"M{number}",
                length * raster,
                width * raster,
                float(length * width * per_cell + (0 if equal_density else random.randint(0, 5))),
                mass_kg=random.choice((None, float(random.randint(3, 12)), random.randint(30, 120) / 10)),
                price=random.choice(
                    (None, float(random.randint(50, 200)), random.randint(5000, 20000) / 100)
                ),
                stock=random.choice((None, None, 0, 1, 2, 4)),
                turnable=random.random() < 0.7,
            )
        )
    return tuple(models)


def random_job(random: Random, raster: int, facets: int = 1, kept: bool = True, cells: int = 48) -> Job:
    """A roof of at most so many cells, with 0 to 2 obstacles a facet and rules of every sort now and then."""
    models = random_models(random, raster, random.randint(1, 4), random.random() < 0.3)
    edge, gap = random.choice((0, 0, 1)), random.choice((0, 0, 1))
    roofs, obstacles, stays = [], [], []
    for number in range(facets):
        h = random.randint(3, min(7, cells // 4))
        w = random.randint(3, max(4, cells // h))
        at = (
            (random.randint(-3, 3) * raster, random.randint(0, 2) * raster)
            if random.random() < 0.3
            else (0, 0)
        )
        name = f"F{number}"
        roofs.append(rectangle(name, (w + 2 * edge) * raster, (h + 2 * edge) * raster, at))
        for i in range(random.randint(0, 2)):
            obstacles.append(
                _random_obstacle(random, raster, name, f"O{number}{i}", w + 2 * edge, h + 2 * edge, at)
            )
        if kept and random.random() < 0.35:
            old = random.choice(
                (random.choice(models), PanelModel("old", 2 * raster, raster, 55.0, mass_kg=4.0))
            )
            x, y = random.randint(0, w) * raster + at[0], random.randint(0, h) * raster + at[1]
            stays.append(KeptPanel(old, name, x, y, random.random() < 0.5))
    rules = PanelRules(
        models,
        most_models=random.choice((None, None, 1, 2)),
        most_mass_kg=random.choice((None, None, float(random.randint(5, 60)))),
        budget=random.choice((None, None, float(random.randint(100, 900)))),
    )
    spacing = Spacing(float(gap * raster), float(edge * raster))
    return Job("random", tuple(roofs), rules, tuple(obstacles), spacing, tuple(stays))


def _random_obstacle(
    random: Random, raster: int, facet: str, name: str, w: int, h: int, at: tuple[float, float]
) -> Obstacle:
    x, y = random.randint(0, w - 1), random.randint(0, h - 1)
    x1, y1 = x + random.randint(1, 2), y + random.randint(1, 2)
    opens: Direction | None = random.choice((None, None, None, "+x", "-x", "+y", "-y"))
    return square_on(
        name,
        facet,
        x * raster + at[0],
        y * raster + at[1],
        x1 * raster + at[0],
        y1 * raster + at[1],
        clearance_mm=float(random.choice((0, 0, 1)) * raster),
        opens=opens,
        reach_mm=float(raster * random.randint(1, 2)) if opens else 0.0,
    )


def random_supply(random: Random, job: Job, trackers: int, choose: bool = False) -> Supply:
    """Up to two classes of trackers, some of the models on each, strings of 1 to 3, 1 to 3 in parallel."""
    models = {m.model: m for m in (*job.panels.models, *(k.model for k in job.kept))}
    first = random.randint(1, trackers)
    sizes = [first] + ([trackers - first] if trackers > first else [])
    options = [
        StringOption(model, number, in_series, random.randint(1, 3))
        for number in range(len(sizes))
        for model in models.values()
        if random.random() < 0.8
        for in_series in sorted(random.sample((1, 2, 3), random.randint(1, 2)))
    ]
    classes = tuple(TrackerClass(CONTROLLER, UNLIMITED if choose else n) for n in sizes)
    return Supply(classes, tuple(options))


def with_pairs(random: Random, job: Job, supply: Supply) -> Supply:
    """Some unlike pairs added: of groups of two models or on two facets, each sort as an option has it."""
    groups = [(f.name, o) for f in job.facets for o in supply.options]
    pairs = [
        UnlikePair(
            a.tracker_class,
            (facet_a, facet_b),
            (a.model, b.model),
            (a.in_series, b.in_series),
            (random.randint(1, a.most_parallel), random.randint(1, b.most_parallel)),
            1.0,
        )
        for (facet_a, a), (facet_b, b) in combinations(groups, 2)
        if a.tracker_class == b.tracker_class and (facet_a, a.model) != (facet_b, b.model)
        for _ in range(random.randint(0, 2))
    ]
    return Supply(supply.classes, supply.options, tuple(pairs))
