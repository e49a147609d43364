"""For near misses: what stands on a facet, by name, and whether panels would be allowed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rooflayout.job import Facet, Job
from rooflayout.packing.clearance import box_block, keep_out, outside
from rooflayout.packing.closure import free_standing
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.ground import EDGE, Thing
from rooflayout.packing.model import PackingModel
from rooflayout.packing.rules import Rules

SECOND = 1.0  # deterministic, to find strings for panels that are there
STEP_MM = 100_000  # far enough for panels not to meet


def things_on(job: Job, facet: Facet) -> tuple[Thing, ...]:
    """Obstacles with their clearance, swinging lids, kept panels, and what is cut off at the edges."""
    found = []
    for o in job.obstacles_on(facet.name):
        found += [Thing(o.name, block) for block in keep_out(o)]
        swing = o.swing_mm()
        if swing is not None:
            found.append(Thing(f"the lid of {o.name}", box_block(*swing)))
    gap = job.spacing.between_panels_mm
    for k in (k for k in job.kept if k.facet == facet.name):
        w, h = k.model.sides_mm(k.turned)
        block = box_block(k.x_mm, k.y_mm, k.x_mm + w, k.y_mm + h, gap)
        found.append(Thing(f"the kept {k.model.model} at {k.x_mm:g}, {k.y_mm:g}", block))
    return (*found, *(Thing(EDGE, block) for block in outside(facet, job.spacing.from_edge_mm)))


def allowed_by(rules: Rules, kinds: Sequence[int], watts: int) -> bool:
    """Whether panels of these kinds keep every rule but geometry, with so many watts (tenths) at least."""
    at = np.arange(len(kinds), dtype=np.int64) * STEP_MM
    places = free_standing(np.array(kinds, dtype=np.int64), at, np.zeros(len(at), dtype=np.int64))
    every = np.arange(len(places), dtype=np.int64)
    model = PackingModel(places, PointGrid(places, rules.kinds), _for_these(rules, kinds), every, None)
    model.fix(every)
    model.model.add(model.watts >= watts)
    answer = model.solve(model.watts, np.inf, lambda: False, most=True, effort=SECOND)
    return answer.status in ("OPTIMAL", "FEASIBLE")


def _for_these(rules: Rules, kinds: Sequence[int]) -> Rules:
    """The rules without pairs of more unlike panels than are there; there may be thousands of them."""
    most = [group.kept for group in rules.groups]
    for kind in kinds:
        most[int(rules.group_of_kind[kind])] += 1
    able = (p for p in rules.pairs if all(n <= most[g] for g, n in zip(p.groups, p.panels, strict=True)))
    return replace(rules, pairs=tuple(able))
