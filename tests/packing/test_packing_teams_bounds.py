"""Bounds of teams: the prices of one round, not the best of many."""

from __future__ import annotations

import time
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from small_random_jobs import packed, rectangle, square_on

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing.clearance import field_of
from rooflayout.packing.closure import joined
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.positions import candidates_of
from rooflayout.packing.prices import PriceSearch
from rooflayout.packing.rules import models_of, rules_of

CASES = ((362, 3, 217.5), (186, 2, 53.0), (293, 1, 83.0), (139, 1, 47.5))  # seed, model alone, decoy's watts


def roof(seed: int, alone: int, decoy_w: float) -> tuple[Job, Job]:
    """One model may be used; one of them without limit, the others once, and a decoy on a roof of its own.

    With it the job in which there is only the model without limit.
    """
    r = Random(seed)
    step, base = r.choice((1, 10, 50, 100)), r.choice((2000, 1000, 500))
    models = []
    for i in range(r.randint(2, 5)):
        length, width = r.randint(400, 1200) // step * step, r.randint(300, 700) // step * step
        watts = float(round(length * width / 1e6 * base * r.uniform(0.9, 1.0) / 10))
        models.append(PanelModel(f"M{i}", length, width, watts, turnable=r.random() < 0.6))
    wide, deep = r.randint(1200, 3000) // step * step, r.randint(700, 1600) // step * step
    obstacles = []
    for i in range(r.randint(0, 3)):
        x, y = r.randint(0, wide - 400) // step * step, r.randint(0, deep - 400) // step * step
        obstacles.append(square_on(f"o{i}", "F", x, y, x + 200, y + 200))
    models = [m if i == alone else replace(m, stock=1) for i, m in enumerate(models)]
    decoy = PanelModel("D", 4000, 150, decoy_w, mass_kg=10.0, turnable=False)
    rules = PanelRules((*models, decoy), most_models=1, most_mass_kg=19.0)
    facets = (rectangle("F", wide, deep), rectangle("G", 4000, 300))
    job = Job("t", facets, rules, tuple(obstacles), Spacing(0.0, 0.0))
    return job, replace(job, panels=PanelRules((models[alone],)))


@pytest.mark.parametrize("case", CASES)
def test_a_team_that_holds_the_best_layout_is_not_passed_over(case: tuple[int, int, float]) -> None:
    whole, alone = (packed(job) for job in roof(*case))
    assert whole.proven
    assert whole.watts == whole.bound_watts >= alone.watts


@pytest.mark.parametrize("case", CASES)
def test_no_layout_costs_more_than_the_bound(case: tuple[int, int, float]) -> None:
    job, _ = roof(*case)
    kinds = kinds_of(job, models_of(job))
    rules = replace(rules_of(job, models_of(job), kinds, None), caps=(), most_models=None)
    parts = [
        candidates_of(field_of(job, f), kinds, [i for i, k in enumerate(kinds) if k.facet == n])
        for n, f in enumerate(job.facets)
    ]
    candidates = joined(parts)
    grid = PointGrid(candidates, kinds)
    prices = PriceSearch(candidates, grid, rules).run(
        np.arange(0, len(candidates), 9), time.monotonic() + 20, lambda: False
    )
    random = Random(case[0])
    for _ in range(300):
        chosen: list[int] = []
        for i in random.sample(range(len(candidates)), len(candidates)):
            if not grid.overlaps(np.array([*chosen, i])):
                chosen.append(i)
        assert prices.cost[chosen].sum() <= prices.bound + 1e-6
