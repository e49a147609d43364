"""Random polygon roofs: ours beside all positions on a 10 mm raster, and the bound for all positions.

python tests/benchmarks/polygons.py [--seeds 20] [--limit 60] [--raster 10]

Roofs with chamfers, slanted sides, notches, slanted and round obstacles, by a script with fixed seeds.
Beside ours every free position on the raster is offered to the same search, none left out by any argument
on support; no roof should do better there.
"""

from __future__ import annotations

import argparse
import math
import random
import sys
import time
from typing import Any

import numpy as np
from found import Found, breaches

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.asked import Asked
from rooflayout.packing.clearance import field_of
from rooflayout.packing.closing import Closing
from rooflayout.packing.closure import free_standing, joined
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.incumbent import Clock, Incumbent
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.pack import pack
from rooflayout.packing.positions import allowed
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rules import models_of, rules_of
from rooflayout.packing.stock import nearest

HEADS = ("roof", "ours", "proven", "raster", "its bound", "true bound", "seconds", "raster s", "")


def main() -> int:
    options = options_for(__doc__, seeds=20).parse_args()
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    worse = 0
    for seed in range(options.seeds):
        job = roof(seed)
        begun = time.monotonic()
        found = pack(job, None, clock_of(options.limit))
        between = time.monotonic()
        watts, bound = on_raster(job, options.raster, options.limit)
        wrong = breaches(job, Found(found.panels, found.bound_watts, found.proven))
        remark = "; ".join(wrong) or ("WORSE" if found.watts < watts else "")
        worse += bool(remark)
        row: list[Any] = [
            seed,
            f"{found.watts:g}",
            "yes" if found.proven else "no",
            f"{watts:g}",
            f"{bound:g}",
        ]
        row += [f"{found.true_bound_watts:g}", f"{between - begun:.1f}", f"{time.monotonic() - between:.1f}"]
        print("| " + " | ".join(map(str, [*row, remark])) + " |", flush=True)
    print(f"\n{worse} of {options.seeds} do better on the raster")
    return 1 if worse else 0


def options_for(doc: str | None, seeds: int) -> argparse.ArgumentParser:
    """What a script takes that holds roofs of so many seeds to a raster."""
    parser = argparse.ArgumentParser(description=doc.splitlines()[0] if doc else None)
    parser.add_argument("--seeds", type=int, default=seeds)
    parser.add_argument("--limit", type=float, default=60.0)
    parser.add_argument("--raster", type=int, default=10)
    return parser


def clock_of(limit_s: float) -> Clock:
    return Clock(time.monotonic() + limit_s, lambda: False, lambda watts, bound: None, 2)


def roof(seed: int) -> Job:
    """A roof of 1.6 to 2.6 m by 1.1 to 1.6 m, three models, two obstacles; all sorts of lines."""
    chance = random.Random(seed)
    w, h = chance.randrange(1600, 2600, 10), chance.randrange(1100, 1600, 10)
    a, b = chance.randrange(100, 500), chance.randrange(100, 500)
    shapes = (
        [(0, 0), (w, 0), (w, h - b), (w - a, h), (a, h), (0, h - b)],
        [(a, 0), (w, 0), (w - a, h), (0, h)],
        [(0, 0), (w, b), (w, h), (a, h)],
        [(0, 0), (w - a, 0), (w, b), (w, h), (w // 2, h), (w // 2, h - 150), (0, h - 150)],
        [(0, b)]
        + [(w * i / 6, b * (1 - math.sin(math.pi * i / 6))) for i in range(1, 6)]
        + [(w, b), (w, h), (0, h)],
    )
    outline = tuple((float(x), float(y)) for x, y in shapes[seed % len(shapes)])
    x, y = chance.randrange(300, w - 500), chance.randrange(b, h - 250)
    vent = Obstacle("vent", "roof", centre_mm=(x, y), diameter_mm=chance.randrange(80, 300), clearance_mm=30)
    x, y, s = chance.randrange(200, w - 500), chance.randrange(100, h - 300), chance.randrange(100, 300)
    kite = ((x, y + s / 2), (x + s / 2, y), (x + s, y + s / 2), (x + s / 2, y + s))
    obstacles = (vent, Obstacle("kite", "roof", outline_mm=kite, clearance_mm=20))
    models = tuple(
        PanelModel(
            f"M{i}",
            chance.randrange(450, 1000, 5),
            chance.randrange(300, 600, 5),
            float(chance.randrange(45, 130, 5)),
        )
        for i in range(3)
    )
    return Job(f"polygon {seed}", (Facet("roof", outline),), PanelRules(models), obstacles, Spacing(10, 20))


def on_raster(job: Job, raster_mm: int, limit_s: float) -> tuple[float, float]:
    """Watts and bound over every free position whose coordinates are multiples of the raster."""
    models = models_of(job)
    kinds = kinds_of(job, models)
    rules = rules_of(job, models, kinds, None)
    field = field_of(job, job.facets[0])
    parts = []
    for number, kind in enumerate(kinds):
        xs = (
            np.arange(math.ceil(field.x_min / raster_mm), field.x_max / raster_mm, dtype=np.int64) * raster_mm
        )
        ys = (
            np.arange(math.ceil(field.y_min / raster_mm), field.y_max / raster_mm, dtype=np.int64) * raster_mm
        )
        i, j = np.nonzero(allowed(field, kind, xs, ys))
        parts.append(free_standing(np.full(len(i), number, dtype=np.int64), xs[i], ys[j]))
    places = joined(parts)
    grid, clock = PointGrid(places, kinds), clock_of(limit_s)
    inc = Incumbent(clock, rules.grain(), 0, 0, 1 << 40)
    search = PriceSearch(places, grid, rules)
    prices = search.run(nearest([], places), clock.deadline, clock.stopped)
    inc.lower(prices.bound)
    closing = Closing(Asked(places, kinds, grid, rules, prices, inc))
    while not inc.settled() and not clock.over():
        closing.round()
    return inc.watts / 10, inc.bound / 10


if __name__ == "__main__":
    sys.exit(main())
