"""Small problems for the last gap: random ones with their best watts, and ones set out by hand."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import numpy as np
from exhaustive_roofs import best, ranks
from relaxed_by_hand import Problem, problem_of
from small_random_jobs import random_job, random_supply, rectangle

from rooflayout.job import Job, PanelModel, PanelRules
from rooflayout.packing.choice import Choice
from rooflayout.packing.closure import free_standing
from rooflayout.packing.grid import Point, PointGrid
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import models_of, rules_of

LEAST_PLACES = 12  # with fewer there is hardly a choice


@cache
def case(seed: int) -> tuple[Problem, int]:
    """A problem with stock, mass, budget, most_models, every other one wired; and its best grains above 0."""
    random = Random(seed)
    while True:
        job = random_job(random, 100, random.choice((1, 1, 2)), cells=36 if seed % 2 else 24)
        job = replace(job, panels=replace(job.panels, most_models=random.choice((None, None, 1, 2))))
        supply = random_supply(random, job, random.randint(1, 3)) if seed % 2 else None
        problem = problem_of(job, supply)
        kept_w = 0.0 if supply else sum(k.model.power_w for k in job.kept)
        most = round((best(ranks(job, 100, supply)).watts - kept_w) * 10) // problem[2].grain()
        if len(problem[0]) >= LEAST_PLACES and most:
            return problem, most


def a_point_each(random: Random, problem: Problem) -> list[Point]:
    """Some points, such that every place covers one at least."""
    candidates, grid, _ = problem
    points: list[Point] = []
    for i in range(len(candidates)):
        if not any(i in grid.at(p, np.array([i])) for p in points):
            across, up = range(grid.left[i], grid.right[i]), range(grid.low[i], grid.high[i])
            points.append((random.choice(across), random.choice(up)))
    return points


def choice_of(problem: Problem, points: list[Point]) -> Choice:
    candidates, grid, rules = problem
    return Choice(grid, rules, candidates.kind, np.arange(len(candidates)), points, [])


Panels = list[tuple[str, float, float]]  # name, watts, mass in kg


def by_hand(panels: Panels, cap_kg: float, places: list[tuple[str, int, int]]) -> Problem:
    """Panels of 500 x 400 at given places (name, x, y), with a limit on mass."""
    models = tuple(PanelModel(n, 500, 400, watts, mass_kg=kg, turnable=False) for n, watts, kg in panels)
    job = Job("x", (rectangle("main", 9000, 9000),), PanelRules(models, most_mass_kg=cap_kg))
    kinds = kinds_of(job, models_of(job))
    names = [m.model for m in models]
    kind, x, y = (np.array(v) for v in zip(*((names.index(n), x, y) for n, x, y in places), strict=True))
    some = free_standing(kind, x, y)
    return some, PointGrid(some, kinds), rules_of(job, models_of(job), kinds, None)


def at(problem: Problem, *points_mm: tuple[int, int]) -> list[Point]:
    found = [problem[1].point_at(*p) for p in points_mm]
    return [p for p in found if p is not None]
