"""A general-purpose rectangle packer: MaxRects of the PyPI package `rectpack`, asked thousands of times.

MaxRects keeps the list of largest free rectangles and puts each new rectangle into the one that suits
best. Obstacles are put in first: each splits the free rectangles as a placed panel would. The package
packs what it is given and cannot choose among models, so the choice is made round it: shuffled orders
of the models, each model added until a random count is reached or no more fit, with each of its four
placing rules, until the time is up; the best layout is kept. No bound comes with it.
"""

from __future__ import annotations

import random
import time

from found import Found
from space import CannotModelError, Space, placed, spaces_of, ways_round, whole_sides

from rooflayout.job import Job, PanelModel
from rooflayout.plan import PlacedPanel

SEED = 1


def solve_packer(job: Job, limit_s: float) -> Found:
    """The best of as many tries as the limit allows. Raises CannotModelError."""
    try:
        from rectpack import maxrects
    except ImportError as error:
        raise CannotModelError("rectpack is not installed") from error
    rules = [maxrects.MaxRectsBl, maxrects.MaxRectsBssf, maxrects.MaxRectsBaf, maxrects.MaxRectsBlsf]
    spaces = spaces_of(job)
    chance = random.Random(SEED)
    stop = time.monotonic() + limit_s
    best = Found(())
    tries = 0
    while time.monotonic() < stop:
        found: list[PlacedPanel] = []
        for space in spaces:
            left = {m.model: m.stock for m in job.panels.models}
            for p in found:
                if left[p.model] is not None:
                    left[p.model] = (left[p.model] or 0) - 1
            found += _one_try(space, job.panels.models, left, rules[tries % 4], chance)
        if sum(p.watts for p in found) > best.watts:
            best = Found(tuple(found))
        tries += 1
    return best


def _one_try(
    space: Space,
    models: tuple[PanelModel, ...],
    left: dict[str, int | None],
    rule: type,
    chance: random.Random,
) -> list[PlacedPanel]:
    from rectpack.geometry import Rectangle as Piece

    box, obstacles = space.grown()
    packer = rule(box.x1_mm - box.x0_mm, box.y1_mm - box.y0_mm)
    for r in obstacles:
        packer._split(Piece(r.x0_mm - box.x0_mm, r.y0_mm - box.y0_mm, r.x1_mm - r.x0_mm, r.y1_mm - r.y0_mm))
        packer._remove_duplicates()
    # Larger panels tend to come first, or the small ones would take their room; the noise decides how much.
    noise = chance.choice((0.1, 0.3, 1.0))
    order = sorted(models, key=lambda m: -(m.power_w**0.5) * chance.lognormvariate(0.0, noise))
    found = []
    for model in order:
        stock = left[model.model]
        most = chance.choice((1, 2, 4, 99))
        for _ in range(most if stock is None else min(most, stock)):
            panel = _add(packer, space, model, box.x0_mm, box.y0_mm)
            if panel is None:
                break
            found.append(panel)
    for model in order:  # whatever the random counts left free
        while left[model.model] is None:
            panel = _add(packer, space, model, box.x0_mm, box.y0_mm)
            if panel is None:
                break
            found.append(panel)
    return found


def _add(packer, space: Space, model: PanelModel, x0_mm: int, y0_mm: int) -> PlacedPanel | None:  # type: ignore[no-untyped-def]
    packer.rot = len(ways_round(model)) > 1
    w, h = (side + space.gap_mm for side in whole_sides(model, False))
    piece = packer.add_rect(w, h)
    if piece is None:
        return None
    return placed(space.facet, model, (piece.width, piece.height) != (w, h), x0_mm + piece.x, y0_mm + piece.y)
