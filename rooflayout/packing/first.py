"""A first layout at once: panels set down one after the other wherever they still go."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rooflayout.packing.clearance import Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.grid import PointGrid
from rooflayout.packing.kinds import Kind

MODELS_ALONE = 6  # the densest models are each tried alone, both ways round; then all mixed


def first_layouts(candidates: Candidates, grid: PointGrid, kinds: Sequence[Kind]) -> list[Ints]:
    """Several layouts without overlap (candidate numbers), not yet held to stock or wiring."""
    if not len(candidates):
        return []
    density = np.array([k.watts / (k.pitch_x_mm * k.pitch_y_mm) for k in kinds])
    models = np.array([k.model for k in kinds])
    best = sorted(set(models.tolist()), key=lambda m: (-float(density[models == m].max()), m))
    orders = []
    for model in best[:MODELS_ALONE]:
        own = np.nonzero(models[candidates.kind] == model)[0]
        for turned_first in (False, True):
            turned = np.array([k.turned for k in kinds])[candidates.kind[own]] != turned_first
            orders.append(own[np.lexsort((candidates.x_mm[own], candidates.y_mm[own], turned))])
    rank = -density[candidates.kind]
    orders.append(np.lexsort((candidates.x_mm, candidates.y_mm, rank)))
    return [_set_down(order, grid) for order in orders]


def _set_down(order: Ints, grid: PointGrid) -> Ints:
    taken = np.zeros(grid.shape, dtype=bool)
    chosen = []
    boxes = (grid.left[order], grid.right[order], grid.low[order], grid.high[order])
    for i, a, b, c, d in zip(order.tolist(), *(box.tolist() for box in boxes), strict=True):
        if taken[a, c] or taken[b - 1, d - 1] or taken[a:b, c:d].any():
            continue
        taken[a:b, c:d] = True
        chosen.append(i)
    return np.array(chosen, dtype=np.int64)
