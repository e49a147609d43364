"""Every set of panels that a small roof can take, by plain search: shares no code with rooflayout.packing.

All lengths of such a job are whole multiples of one raster. A layout can then be pushed left and down
until everything touches, so places on the raster lose nothing, and the answer is exact.
Only axis-parallel outlines of four corners and rectangular obstacles.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from rooflayout.job import Facet, Job, KeptPanel, PanelModel
from rooflayout.plan import PlacedPanel
from rooflayout.wiring.options import Supply

Counts = tuple[int, ...]  # how many panels of each model, or of each model on each facet
Place = tuple[int, bool, int, int]  # number of the model, turned, x, y in cells
Box = tuple[int, int, int, int]  # x0, y0, x1, y1 in cells


@dataclass(frozen=True)
class Rank:
    """How good a set of panels is: the larger first, then the smaller."""

    watts: float
    unlike: int  # trackers with strings of two groups
    models: int
    panels: int
    mass_kg: float
    price: float

    def key(self) -> tuple[float, ...]:
        return (-self.watts, self.unlike, self.models, self.panels, self.mass_kg, self.price)


def models_on(job: Job) -> tuple[PanelModel, ...]:
    """The models for sale, then those that are only kept; each once."""
    every = {m.model: m for m in job.panels.models}
    for kept in job.kept:
        every.setdefault(kept.model.model, kept.model)
    return tuple(every.values())


def ranks(job: Job, raster_mm: int, supply: Supply | None = None) -> dict[Counts, Rank]:
    """Every allowed set of new panels with its rank, wired as well as can be where there is a supply.

    Sets are counts by model, facets together; by group, facet after facet, with a supply.
    """
    models = models_on(job)
    facets = [largest_sets(job, facet, models, raster_mm) for facet in job.facets]
    kept = [
        sum(k.facet == f.name and k.model.model == m.model for k in job.kept)
        for f in job.facets
        for m in models
    ]
    if supply is None:
        whole = _pareto(_sum_of(parts) for parts in product(*facets))
        kept = list(_sum_of([kept[i : i + len(models)] for i in range(0, len(kept), len(models))]))
    else:
        whole = [tuple(n for part in parts for n in part) for parts in product(*facets)]
    power = [m.power_w for m in models] * (1 if supply is None else len(facets))
    most_of_group = [max(column) + k for column, k in zip(zip(*whole, strict=True), kept, strict=True)]
    wired = _wireable(job, models, supply, most_of_group) if supply is not None else None
    found: dict[Counts, Rank] = {}
    for most in whole:
        for counts in product(*(range(n + 1) for n in most)):
            if counts not in found and _within_rules(job, models, counts):
                best_way = _best_way(counts, tuple(kept), power, wired)
                if best_way is not None:
                    found[counts] = _rank(job, models, counts, *best_way)
    return found


def best(found: dict[Counts, Rank]) -> Rank:
    """The first by the order of preference."""
    return min(found.values(), key=Rank.key)


def counts_of(job: Job, panels: Iterable[PlacedPanel], supply: Supply | None = None) -> Counts:
    """The new panels among these, counted as in ranks()."""
    new = [p for p in panels if not p.kept]
    models = models_on(job)
    if supply is None:
        return tuple(sum(p.model == m.model for p in new) for m in models)
    return tuple(
        sum((p.facet, p.model) == (f.name, m.model) for p in new) for f in job.facets for m in models
    )


def _sum_of(vectors: Sequence[Sequence[int]]) -> Counts:
    return tuple(sum(column) for column in zip(*vectors, strict=True))


def _best_way(
    counts: Counts, kept: Counts, power: list[float], wired: dict[Counts, int] | None
) -> tuple[float, int] | None:
    """Watts of new and kept panels, and trackers with unlike strings; where wiring is asked, the most watts
    that can be wired with every new panel, and the fewest such trackers for it."""
    if wired is None:
        return sum(p * (n + k) for p, n, k in zip(power, counts, kept, strict=True)), 0
    found = [
        (sum(p * n for p, n in zip(power, total, strict=True)), -unlike)
        for total, unlike in wired.items()
        if all(n <= t <= n + k for n, t, k in zip(counts, total, kept, strict=True))
    ]
    watts, unlike = max(found, default=(None, 0))
    return None if watts is None else (watts, -unlike)


def _rank(job: Job, models: tuple[PanelModel, ...], counts: Counts, watts: float, unlike: int) -> Rank:
    of_model = _by_model(models, counts)
    used = {m.model for m, n in zip(models, of_model, strict=True) if n} | {k.model.model for k in job.kept}
    mass = sum(n * (m.mass_kg or 0.0) for m, n in zip(models, of_model, strict=True))
    price = sum(n * (m.price or 0.0) for m, n in zip(models, of_model, strict=True))
    return Rank(round(watts, 3), unlike, len(used), sum(counts), round(mass, 3), round(price, 2))


def _by_model(models: tuple[PanelModel, ...], counts: Counts) -> list[int]:
    return [sum(counts[i :: len(models)]) for i in range(len(models))]


def _within_rules(job: Job, models: tuple[PanelModel, ...], counts: Counts) -> bool:
    of_model = _by_model(models, counts)
    rules = job.panels
    kept = {k.model.model for k in job.kept}
    for model, n in zip(models, of_model, strict=True):
        if n and model not in rules.models:
            return False
        if model.stock is not None and n > model.stock:
            return False
    mass = sum(n * (m.mass_kg or 0.0) for m, n in zip(models, of_model, strict=True))
    mass += sum(k.model.mass_kg or 0.0 for k in job.kept)
    if rules.most_mass_kg is not None and any(of_model) and mass > rules.most_mass_kg + 1e-9:
        return False
    price = sum(n * (m.price or 0.0) for m, n in zip(models, of_model, strict=True))
    if rules.budget is not None and price > rules.budget + 1e-9:
        return False
    used = {m.model for m, n in zip(models, of_model, strict=True) if n}
    return rules.most_models is None or not used - kept or len(used | kept) <= rules.most_models


def _wireable(
    job: Job, models: tuple[PanelModel, ...], supply: Supply, most_of_group: list[int]
) -> dict[Counts, int]:
    """Every count of panels by group that the trackers can carry, tracker by tracker, and the fewest of the
    trackers that carry strings of two groups for it."""
    groups = [(f.name, m.model) for f in job.facets for m in models]
    reached = {(0,) * len(groups): 0}
    for number, tracker_class in enumerate(supply.classes):
        loads: set[tuple[tuple[int, int], ...]] = {
            ((g, o.in_series * strings),)
            for g, (_, name) in enumerate(groups)
            for o in supply.options
            if o.model.model == name and o.tracker_class == number
            for strings in range(1, o.most_parallel + 1)
        }
        for pair in supply.pairs:
            if pair.tracker_class == number:
                names = zip(pair.facets, (m.model for m in pair.models), strict=True)
                own = [groups.index(name) for name in names if name in groups]
                if len(own) == 2:
                    loads.add(tuple(zip(own, pair.panels, strict=True)))
        for _ in range(tracker_class.trackers):
            for counts, unlike in list(reached.items()):
                for load in loads:
                    more = list(counts)
                    for g, n in load:
                        more[g] += n
                    if all(n <= most for n, most in zip(more, most_of_group, strict=True)):
                        with_it = unlike + (len(load) > 1)
                        reached[tuple(more)] = min(with_it, reached.get(tuple(more), with_it))
    return reached


def _pareto(vectors: Iterable[Counts]) -> list[Counts]:
    kept: list[Counts] = []
    for v in sorted(set(vectors), key=sum, reverse=True):
        if not any(all(a <= b for a, b in zip(v, other, strict=True)) for other in kept):
            kept.append(v)
    return kept


def _cells(mm: float, raster_mm: int) -> int:
    cells = round(mm / raster_mm)
    assert cells * raster_mm == mm, f"{mm} mm is off the raster"
    return cells


def largest_sets(
    job: Job, facet: Facet, models: tuple[PanelModel, ...], raster_mm: int, only: set[Place] | None = None
) -> list[Counts]:
    """The largest sets of panels on one facet: every cell in turn takes a panel's corner or none.

    only: no other places than these (model, turned, x, y), in cells.
    """

    def c(mm: float) -> int:
        return _cells(mm, raster_mm)

    gap, edge = c(job.spacing.between_panels_mm), c(job.spacing.from_edge_mm)
    xs, ys = [p[0] for p in facet.outline_mm], [p[1] for p in facet.outline_mm]
    x_low, y_low = c(min(xs)) + edge, c(min(ys)) + edge
    x_high, y_high = c(max(xs)) - edge, c(max(ys)) - edge
    blocked = [
        *_keepouts(job, facet, raster_mm),
        *(_kept_box(k, gap, raster_mm) for k in job.kept if k.facet == facet.name),
    ]
    rows = max(0, y_high - y_low + gap)
    shapes = []  # model, allowed corners, footprint relative to the corner, as bits column by column
    for number, model in enumerate(models):
        if model not in job.panels.models:
            continue
        for turned in (False, True) if model.turnable else (False,):
            w, h = (c(side) for side in model.sides_mm(turned))
            corners = {
                (x - x_low) * rows + (y - y_low)
                for x in range(x_low, x_high - w + 1)
                for y in range(y_low, y_high - h + 1)
                if not any(_meet((x, y, x + w, y + h), b) for b in blocked)
                and (only is None or (number, turned, x, y) in only)
            }
            column = (1 << (h + gap)) - 1
            shape = sum(column << (i * rows) for i in range(w + gap))
            shapes.append((number, corners, shape))
    cells = max(0, x_high - x_low) * rows
    return _search(shapes, cells, len(models))


def _search(shapes: list[tuple[int, set[int], int]], cells: int, models: int) -> list[Counts]:
    none: Counts = (0,) * models
    layer: dict[int, set[Counts]] = {0: {none}}  # occupied cells from here on: what was placed before
    for cell in range(cells):
        following: dict[int, set[Counts]] = {}
        here = [(number, shape) for number, corners, shape in shapes if cell in corners]
        for occupied, counts in layer.items():
            following.setdefault(occupied >> 1, set()).update(counts)
            for number, shape in here:
                if not occupied & shape:
                    more = {(*v[:number], v[number] + 1, *v[number + 1 :]) for v in counts}
                    following.setdefault((occupied | shape) >> 1, set()).update(more)
        layer = {occupied: set(_pareto(counts)) for occupied, counts in following.items()}
    return _pareto(v for counts in layer.values() for v in counts) or [none]


def _keepouts(job: Job, facet: Facet, raster_mm: int) -> Iterator[Box]:
    for obstacle in job.obstacles:
        if obstacle.facet == facet.name:
            x0, y0, x1, y1 = (_cells(v, raster_mm) for v in obstacle.bounds_mm())
            m = _cells(obstacle.clearance_mm, raster_mm)
            yield x0 - m, y0 - m, x1 + m, y1 + m
            if obstacle.opens is not None:
                r = _cells(obstacle.reach_mm, raster_mm)
                yield {
                    "+x": (x1, y0, x1 + r, y1),
                    "-x": (x0 - r, y0, x0, y1),
                    "+y": (x0, y1, x1, y1 + r),
                    "-y": (x0, y0 - r, x1, y0),
                }[obstacle.opens]


def _kept_box(kept: KeptPanel, gap: int, raster_mm: int) -> Box:
    w, h = (_cells(side, raster_mm) for side in kept.model.sides_mm(kept.turned))
    x, y = _cells(kept.x_mm, raster_mm), _cells(kept.y_mm, raster_mm)
    return x - gap, y - gap, x + w + gap, y + h + gap


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
