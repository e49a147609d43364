"""The linear relaxation of a small packing problem, written out in full and given to scipy."""

from __future__ import annotations

import numpy as np
from scipy.optimize import linprog

from rooflayout.job import Job
from rooflayout.packing.clearance import field_of
from rooflayout.packing.closure import Candidates, free_standing
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.positions import candidates_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.wiring.options import Supply

Problem = tuple[Candidates, PointGrid, Rules]


def problem_of(job: Job, supply: Supply | None = None) -> Problem:
    """Candidates, grid and rules of a job, as the packer makes them."""
    models = models_of(job)
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model] in job.panels.models)
    rules = rules_of(job, models, kinds, supply)
    parts = []
    for number, facet in enumerate(job.facets):
        own = [i for i, k in enumerate(kinds) if k.facet == number]
        if own:
            parts.append(candidates_of(field_of(job, facet), kinds, own))
    columns = [np.concatenate(c) for c in zip(*((p.kind, p.x_mm, p.y_mm) for p in parts), strict=True)]
    candidates = free_standing(*columns)
    return candidates, PointGrid(candidates, kinds), rules


def relaxed_watts(problem: Problem, fixed: int | None = None) -> float:
    """The relaxation's best watts (tenths): every point of the grid, every family at every point.

    fixed: with this candidate wholly on the roof; minus infinity when that is not allowed.
    """
    candidates, grid, rules = problem
    aux = Auxiliary(rules)
    count, columns = len(candidates), len(candidates) + len(aux.watts)
    rows, limits = [], []
    for row in aux.rows:
        line = np.zeros(columns)
        line[:count] = np.array(row.per_kind)[candidates.kind] if count else 0.0
        for j, value in row.auxiliary:
            line[count + j] += value
        rows.append(line)
        limits.append(row.limit)
    everyone = np.arange(count)
    seen = set()
    for p in range(grid.shape[0]):
        for q in range(grid.shape[1]):
            covering = grid.at((p, q), everyone)
            if covering.tobytes() in seen:
                continue
            seen.add(covering.tobytes())
            line = np.zeros(columns)
            line[covering] = 1.0
            rows.append(line)
            limits.append(1.0)
            for family in aux.families:
                line = np.zeros(columns)
                line[[i for i in covering if int(candidates.kind[i]) in family.kinds]] = 1.0
                line[[count + j for j in family.switches]] = -1.0
                rows.append(line)
                limits.append(0.0)
    watts = np.array([k.watts for k in rules.kinds], dtype=float)[candidates.kind] if count else np.zeros(0)
    bounds = [(0.0, None)] * columns
    if fixed is not None:
        bounds[fixed] = (1.0, 1.0)
    if not columns:
        return 0.0
    found = linprog(
        -np.concatenate([watts, aux.watts]),
        A_ub=np.array(rows) if rows else None,
        b_ub=limits if rows else None,
        bounds=bounds,
    )
    if found.status == 2:
        return float("-inf")
    assert found.status == 0, found.message
    return -float(found.fun)
