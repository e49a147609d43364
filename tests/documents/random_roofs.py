"""Random roofs with panels laid at random, to try the drawing on; not good layouts, but valid ones."""

from __future__ import annotations

import random
from dataclasses import replace

from rooflayout.job import Facet, Job, Obstacle, Site
from rooflayout.plan import Note, PlacedPanel, Plan

from .samples import MODELS, box, make_job, make_plan, outline, round_thing, wire

_WORDS = (
    "bed",
    "kitchen",
    "rear fan",
    "vent",
    "Maxi-sized skylight",
    "roof rail (left hand side)",
    "WC",
    "x",
)
_SIDES = ("+x", "-x", "+y", "-y")
_Rect = tuple[float, float, float, float]


def _facet(r: random.Random, index: int) -> Facet:
    length = round(r.choice([700, 1500, 3000, 4600, 7000, 12000, 20000]) * r.uniform(0.7, 1.2))
    width = max(300, round(length * r.uniform(0.15, 1.1)))
    corners = outline(length, width)
    if r.random() < 0.3:
        corners = ((0, 0), (0.8 * length, 0), (length, 0.3 * width), (0.9 * length, width), (0, width))
    name = f"{r.choice(_WORDS)} {index}" * r.choice([1, 1, 3])
    downhill = r.choice([None, "+x", "-y", 123.0])
    return Facet(name, corners, r.choice([0, 5, 33.5]), downhill, r.choice(_SIDES))  # type: ignore[arg-type]


def _obstacle(r: random.Random, facet: Facet, name: str) -> Obstacle:
    length, width = facet.outline_mm[-2][0], facet.outline_mm[-1][1]
    dx, dy = min(r.uniform(40, 900), 0.9 * length), min(r.uniform(40, 900), 0.9 * width)
    x, y = round(r.uniform(0, length - dx)), round(r.uniform(0, width - dy))
    clearance = r.choice([0, 30, 100])
    if r.random() < 0.4:
        d = min(dx, dy)
        thing = round_thing(name, facet.name, x + d / 2, y + d / 2, d, clearance_mm=clearance)
    else:
        thing = box(name, facet.name, x, y, round(dx), round(dy), clearance_mm=clearance)
    if r.random() < 0.3:
        thing = replace(thing, opens=r.choice(_SIDES), reach_mm=r.uniform(50, 500))
    return thing


def _keep_outs(obstacle: Obstacle) -> list[_Rect]:
    x0, y0, x1, y1 = obstacle.bounds_mm()
    c = obstacle.clearance_mm
    swing = obstacle.swing_mm()
    return [(x0 - c, y0 - c, x1 + c, y1 + c), *([swing] if swing else [])]


def random_roof(r: random.Random) -> tuple[Job, Plan]:
    facets = [_facet(r, k) for k in range(r.choice([1, 1, 2, 3]))]
    obstacles: list[Obstacle] = []
    panels: list[PlacedPanel] = []
    for facet in facets:
        mine = [
            _obstacle(r, facet, f"{r.choice(_WORDS)} {len(obstacles) + k}")
            for k in range(r.choice([0, 3, 8]))
        ]
        obstacles += mine
        taken = [rect for o in mine for rect in _keep_outs(o)]
        length, width = facet.outline_mm[-2][0] * 0.8, facet.outline_mm[-1][1]
        models = r.sample(MODELS, 2)
        for _ in range(r.choice([0, 30, 120])):
            model, turned = r.choice(models), r.random() < 0.5
            dx, dy = model.sides_mm(turned)
            if dx > length or dy > width:
                continue
            x, y = round(r.uniform(0, length - dx)), round(r.uniform(0, width - dy))
            if all(x >= t[2] or y >= t[3] or x + dx <= t[0] or y + dy <= t[1] for t in taken):
                taken.append((x, y, x + dx, y + dy))
                number = f"P{len(panels) + 1}"
                panels.append(
                    PlacedPanel(number, facet.name, model.model, x, y, dx, dy, turned, model.power_w)
                )
    job = make_job("Random roofs", facets, obstacles, site=Site(40.0, 1.0, r.choice([None, 77.0])))
    groups: dict[tuple[str, str], list[str]] = {}
    for p in panels:
        groups.setdefault((p.facet, p.model), []).append(p.panel)
    strings = [names[k : k + 3] for names in groups.values() for k in range(0, len(names), 3)]
    notes = tuple(Note("caution", "any", " ".join(r.choices(_WORDS, k=r.randint(3, 60)))) for _ in range(3))
    wiring = wire(panels, strings) if panels and r.random() < 0.8 else None
    return job, make_plan(job, panels, wiring, notes=notes)
