"""Larger curved and slanted roofs: ours beside panels taken off and put back at random on a 10 mm raster.

python tests/benchmarks/decks.py [--seeds 6] [--limit 60] [--raster 10] [--random-limit 30]

Foredecks, hips and chamfered roofs of 3 to 4.5 m with room for a dozen to thirty panels of four models, a
hatch and two round obstacles, by a script with fixed seeds. There a raster of all positions is too large for
a proof, so ours is held to what a patient random search comes to: a few panels are taken off, the gap is
filled again panel by panel from one of its corners, and the layout is kept unless it is worse.
"""

from __future__ import annotations

import math
import random
import sys
import time
from typing import Any

import numpy as np
from found import Found, breaches
from numpy.typing import NDArray
from polygons import clock_of, options_for

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.clearance import field_of
from rooflayout.packing.kinds import Kind, kinds_of
from rooflayout.packing.pack import pack
from rooflayout.packing.positions import allowed
from rooflayout.packing.rules import models_of
from rooflayout.plan import PlacedPanel

HEADS = ("deck", "panels", "ours", "bound", "proven", "true bound", "ours s", "at random", "ratio", "")
OFF = (2, 7)  # panels taken off at once
Placed = tuple[int, int, int]  # kind, x_mm, y_mm


def main() -> int:
    parser = options_for(__doc__, seeds=6)
    parser.add_argument("--random-limit", type=float, default=30.0)
    options = parser.parse_args()
    print("| " + " | ".join(HEADS) + " |\n|" + " --- |" * len(HEADS))
    worse = 0
    for seed in range(options.seeds):
        job = deck(seed)
        begun = time.monotonic()
        found = pack(job, None, clock_of(options.limit))
        seconds = time.monotonic() - begun
        theirs = at_random(job, options.raster, options.random_limit, seed)
        wrong = breaches(job, Found(found.panels, found.bound_watts, found.proven))
        wrong += breaches(job, Found(theirs))
        watts = sum(p.watts for p in theirs)
        remark = "; ".join(wrong) or ("WORSE" if found.watts < watts else "")
        worse += bool(remark)
        row: list[Any] = [seed, len(found.panels), f"{found.watts:g}", f"{found.bound_watts:g}"]
        row += ["yes" if found.proven else "no", f"{found.true_bound_watts:g}", f"{seconds:.1f}"]
        row += [f"{watts:g}", f"{found.watts / watts:.3f}", remark]
        print("| " + " | ".join(map(str, row)) + " |", flush=True)
    print(f"\n{worse} of {options.seeds} are better at random")
    return 1 if worse else 0


def deck(seed: int) -> Job:
    chance = random.Random(100 + seed)
    w, h = chance.randrange(3000, 4500, 10), chance.randrange(1900, 2800, 10)
    half, steps = h / 2, 7
    up = [(w * i / steps, half * (1 - (i / steps) ** 2)) for i in range(steps)]
    a, b = chance.randrange(400, 900), chance.randrange(300, 600)
    shapes = (
        [*((x, half - d) for x, d in up), (w, half), *((x, half + d) for x, d in reversed(up))],  # a foredeck
        [(0, 0), (w, 0), (w - a, h), (a, h)],  # a hip
        [(0, b / 2), (a, 0), (w - a, 0), (w, b), (w, h - b), (w - a, h), (a, h), (0, h - b / 2)],  # a nose
    )
    outline = tuple((float(round(x)), float(round(y))) for x, y in shapes[seed % len(shapes)])
    x, y = round(w * 0.3), half - 250
    lid = ((x, y), (x + 500, y), (x + 500, y + 500), (x, y + 500))
    things = [Obstacle("hatch", "deck", outline_mm=lid, clearance_mm=25)]
    for n, at in enumerate((0.08, 0.75)):
        across = chance.randrange(120, 300, 10)
        things.append(
            Obstacle(f"post {n}", "deck", centre_mm=(w * at + 150, half), diameter_mm=across, clearance_mm=60)
        )
    sizes = ((540, 530, 60), (1010, 420, 85), (1055, 545, 110), (700, 290, 40))
    models = tuple(
        PanelModel(
            f"M{n}",
            x + chance.randrange(-40, 40),
            y + chance.randrange(-30, 30),
            watts + chance.randrange(-5, 6),
        )
        for n, (x, y, watts) in enumerate(sizes)
    )
    return Job(f"deck {seed}", (Facet("deck", outline),), PanelRules(models), tuple(things), Spacing(10, 40))


def at_random(job: Job, raster_mm: int, limit_s: float, seed: int) -> tuple[PlacedPanel, ...]:
    """The best layout on the raster after so many seconds."""
    models, facet = models_of(job), job.facets[0]
    field, kinds = field_of(job, facet), kinds_of(job, models)
    xs = np.arange(math.ceil(field.x_min / raster_mm), field.x_max / raster_mm, dtype=np.int64) * raster_mm
    ys = np.arange(math.ceil(field.y_min / raster_mm), field.y_max / raster_mm, dtype=np.int64) * raster_mm
    closed = [(~allowed(field, kind, xs, ys)).astype(np.int16) for kind in kinds]
    chance, end = random.Random(seed), time.monotonic() + limit_s
    layout: list[Placed] = []
    best: list[Placed] = []
    while time.monotonic() < end:
        before = list(layout)
        if layout:
            _, x, y = chance.choice(layout)
            near = sorted(layout, key=lambda p: math.hypot(p[1] - x, p[2] - y))
            for panel in near[: chance.randint(*OFF)]:
                layout.remove(panel)
                _mark(closed, kinds, xs, ys, panel, -1)
        _fill(closed, kinds, xs, ys, layout, chance)
        if _watts(kinds, layout) < _watts(kinds, before):
            for panel in layout:
                _mark(closed, kinds, xs, ys, panel, -1)
            layout = before
            for panel in layout:
                _mark(closed, kinds, xs, ys, panel, 1)
        if _watts(kinds, layout) > _watts(kinds, best):
            best = list(layout)
    return tuple(
        PlacedPanel(
            "",
            facet.name,
            models[kinds[k].model].model,
            x,
            y,
            kinds[k].w_mm,
            kinds[k].h_mm,
            kinds[k].turned,
            models[kinds[k].model].power_w,
        )
        for k, x, y in best
    )


def _watts(kinds: tuple[Kind, ...], layout: list[Placed]) -> int:
    return sum(kinds[k].watts for k, _, _ in layout)


def _mark(
    closed: list[NDArray[np.int16]],
    kinds: tuple[Kind, ...],
    xs: NDArray[np.int64],
    ys: NDArray[np.int64],
    panel: Placed,
    by: int,
) -> None:
    """Where no other panel may begin while this one lies there."""
    k, x, y = panel
    for other, shut in zip(kinds, closed, strict=True):
        a, b = np.searchsorted(xs, [x - other.pitch_x_mm + 1, x + kinds[k].pitch_x_mm])
        c, d = np.searchsorted(ys, [y - other.pitch_y_mm + 1, y + kinds[k].pitch_y_mm])
        shut[a:b, c:d] += by


def _fill(
    closed: list[NDArray[np.int16]],
    kinds: tuple[Kind, ...],
    xs: NDArray[np.int64],
    ys: NDArray[np.int64],
    layout: list[Placed],
    chance: random.Random,
) -> None:
    """Panel by panel, kinds in a random order that favours watts for their area, each nearest a corner."""
    right, up = chance.choice((1, -1)), chance.choice((1, -1))
    slant = chance.random() * 2
    order = sorted(
        range(len(kinds)),
        key=lambda k: chance.gauss(-kinds[k].watts / (kinds[k].w_mm * kinds[k].h_mm) * 1e5, 20),
    )
    for k in order:
        while True:
            i, j = np.nonzero(closed[k] == 0)
            if not len(i):
                break
            n = int(np.argmin(right * xs[i] + slant * up * ys[j]))
            layout.append((k, int(xs[i[n]]), int(ys[j[n]])))
            _mark(closed, kinds, xs, ys, layout[-1], 1)


if __name__ == "__main__":
    sys.exit(main())
