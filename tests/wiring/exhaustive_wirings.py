"""Every wiring of a few panels, by plain search, and the limits worked out anew: shares no code with
rooflayout.wiring nor with rooflayout.inspection.

Sources: NEC 690.7(A), from memory, by its row in tests/published/checks.json (a panel without a
coefficient in the cold); IEC 62548, from memory (a coefficient is linear in temperature; 1.25 times the
short-circuit current, as NEC 690.8(A)); King and others 2004, SAND2004-3535 (cells of a panel close on a
roof, 1000 W/m2, wind of 1 m/s). Power is voltage times current, so the operating voltage falls by the
power's coefficient less the current's. Blank coefficients: -0.50 %/K of the operating voltage and 0.05 %/K
of the current (computed, see rooflayout/wiring/limits.py). Strings in parallel are alike, of one model on
one facet, or of two sorts that get on (unlike_by_hand.py) where there are more sorts than trackers.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, combinations_with_replacement, product
from pathlib import Path

from unlike_by_hand import may_share

from rooflayout.job import ControllerModel, Job, PanelModel
from rooflayout.plan import PlacedPanel

HAIR = 1e-9  # relative: an equality passes
MILD_C = 25
CHECKS = json.loads((Path(__file__).parent.parent / "published" / "checks.json").read_text())
COLD_ROWS = {row["t_to"]: row["factor"] for row in CHECKS["cold_factors"]["rows"]}

Vector = tuple[int, ...]  # panels of each group, new and kept together
Kind = tuple[str, str]  # facet and model


@dataclass(frozen=True)
class Group:
    """Panels of one model on one facet."""

    facet: str
    model: PanelModel
    new: int
    kept: int


def cold_v(model: PanelModel, coldest_c: float) -> float:
    """Open-circuit voltage of one panel."""
    assert model.voc_v is not None
    if model.voc_pct_per_k is not None:
        return model.voc_v + model.voc_v * model.voc_pct_per_k * (coldest_c - MILD_C) / 100
    if coldest_c >= MILD_C:
        return model.voc_v
    below = [row_c for row_c in COLD_ROWS if row_c <= coldest_c]
    return model.voc_v * (COLD_ROWS[max(below)] if below else 1 + 0.004 * (MILD_C - coldest_c))


def hot_v(model: PanelModel, air_c: float) -> float:
    """Operating voltage of one panel at noon."""
    assert model.vmp_v is not None
    cell_c = air_c + 1000 * math.exp(-2.98 - 0.0471) + 1
    current_pct = 0.05 if model.isc_pct_per_k is None else model.isc_pct_per_k
    voltage_pct = -0.5 if model.power_pct_per_k is None else model.power_pct_per_k - current_pct
    return model.vmp_v + model.vmp_v * voltage_pct * (cell_c - MILD_C) / 100


def takes(job: Job, box: ControllerModel, model: PanelModel, in_series: int, in_parallel: int) -> bool:
    """Whether one tracker of a controller may carry so many equal strings of so many panels."""
    assert job.battery is not None
    assert job.site is not None
    assert job.site.coldest_c is not None
    assert job.site.hottest_c is not None
    assert model.isc_a is not None
    limits_v = [box.max_pv_v, model.max_system_v, job.wiring_rules.most_string_v]
    most_v = min(v for v in limits_v if v is not None)
    least_v = job.battery.charge_v + box.start_above_battery_v
    return (
        job.battery.nominal_v in box.battery_v
        and in_series * cold_v(model, job.site.coldest_c) <= most_v * (1 + HAIR)
        and in_series * hot_v(model, job.site.hottest_c) >= least_v * (1 - HAIR)
        and in_parallel * 1.25 * model.isc_a <= box.max_pv_isc_a * (1 + HAIR)
    )


def cut_off_w(job: Job, box: ControllerModel, power_w: float) -> float:
    """Watts above what the controller's charge current passes on at the charge voltage, losses included."""
    assert job.battery is not None
    return max(0.0, power_w - box.max_charge_a * job.battery.charge_v / (box.efficiency_pct / 100))


def battery_cuts_off(job: Job, power_w: float) -> float:
    """The share of all watts wired that the battery's limit cuts off, at the worst efficiency for sale."""
    assert job.battery is not None
    assert job.controllers is not None
    serving = [c for c in job.controllers.catalogue if job.battery.nominal_v in c.battery_v]
    if job.battery.most_charge_a is None or not serving or power_w <= 0:
        return 0.0
    worst = min(c.efficiency_pct for c in serving) / 100
    return max(0.0, 1 - job.battery.most_charge_a * job.battery.charge_v / worst / power_w)


def within_cap(job: Job, box: ControllerModel, power_w: float, share: float = 0.0) -> bool:
    """Whether a chosen controller cuts off no more than the job allows, or a share that is lost anyway."""
    assert job.controllers is not None
    most_w = power_w * max(share, job.controllers.most_clipped_pct / 100)
    return cut_off_w(job, box, power_w) <= most_w + HAIR * power_w


# every single wiring, panel by panel


def every_wiring(
    job: Job, panels: Sequence[PlacedPanel], boxes: Sequence[ControllerModel]
) -> Iterator[tuple[float, int, tuple[float, ...]]]:
    """Watts of kept panels left off, trackers with two sorts, watts on each controller, of every way.

    Each panel in turn founds a string with any of the others, on any tracker that is empty or has strings
    alike or of one other sort, and room, or is left off if it is kept. For six panels at most.
    """
    models = {m.model: m for m in (*job.panels.models, *(k.model for k in job.kept))}
    trackers = [i for i, box in enumerate(boxes) for _ in range(box.trackers)]
    carried: list[dict[tuple[Kind, int], int]] = [{} for _ in trackers]  # strings of each sort
    most_sorts = 2 if may_be_shared(job) else 1
    allowed = cache(lambda i, name, n, strings: takes(job, boxes[i], models[name], n, strings))
    get_on = cache(lambda a, b: may_share(job, (models[a[0]], *a[1:]), (models[b[0]], *b[1:])))

    def wire_rest(
        left: tuple[PlacedPanel, ...], off_w: float
    ) -> Iterator[tuple[float, int, tuple[float, ...]]]:
        if not left:
            shared = [(i, load) for i, load in zip(trackers, carried, strict=True) if len(load) > 1]
            if all(may_be(i, load) for i, load in shared):
                yield off_w, len(shared), tuple(power_w(i) for i in range(len(boxes)))
            return
        first, others = left[0], left[1:]
        if first.kept:
            yield from wire_rest(others, off_w + first.watts)
        alike = [n for n, p in enumerate(others) if kind(p) == kind(first)]
        for size in range(len(alike) + 1):
            for picked in combinations(alike, size):
                rest = tuple(p for n, p in enumerate(others) if n not in picked)
                for tracker in open_to(kind(first), size + 1):
                    before = dict(carried[tracker])
                    sort = kind(first), size + 1
                    carried[tracker][sort] = carried[tracker].get(sort, 0) + 1
                    yield from wire_rest(rest, off_w)
                    carried[tracker] = before

    def open_to(of: Kind, in_series: int) -> list[int]:
        found, empty = [], set()
        for tracker, i in enumerate(trackers):
            load = carried[tracker]
            if not load and i in empty:
                continue  # one empty tracker of a controller is as good as another
            if not load:
                empty.add(i)
            elif (of, in_series) not in load and (len(load) == most_sorts or any(k == of for k, _ in load)):
                continue
            if allowed(i, of[1], in_series, load.get((of, in_series), 0) + 1):
                found.append(tracker)
        return found

    def may_be(i: int, load: dict[tuple[Kind, int], int]) -> bool:
        isc_a = sum(k * (models[name].isc_a or 0.0) for ((_, name), _), k in load.items())
        sorts = sorted((name, n, k) for ((_, name), n), k in load.items())
        return 1.25 * isc_a <= boxes[i].max_pv_isc_a * (1 + HAIR) and get_on(*sorts)

    def power_w(i: int) -> float:
        loads = [load for load, owner in zip(carried, trackers, strict=True) if owner == i]
        return sum(n * k * models[name].power_w for load in loads for ((_, name), n), k in load.items())

    def kind(panel: PlacedPanel) -> Kind:
        return panel.facet, panel.model

    return wire_rest(tuple(panels), 0.0)


def best_on(
    job: Job, panels: Sequence[PlacedPanel], boxes: Sequence[ControllerModel], capped: bool = False
) -> tuple[float, int, float] | None:
    """The least watts of kept panels left off, among those ways the fewest trackers with two sorts of
    strings, among those the least cut off; None: no way.

    capped: only ways in which no controller cuts off more than the job allows, or than the battery would.
    """

    def allowed(power_w: tuple[float, ...]) -> bool:
        share = battery_cuts_off(job, sum(power_w))
        return all(within_cap(job, box, w, share) for box, w in zip(boxes, power_w, strict=True))

    found = [
        (round(off_w, 6), shared, round(sum(map(cut_off_w, [job] * len(boxes), boxes, power_w)), 6))
        for off_w, shared, power_w in every_wiring(job, panels, boxes)
        if not capped or allowed(power_w)
    ]
    return min(found, default=None)


def best_chosen(job: Job, panels: Sequence[PlacedPanel]) -> tuple[float, float, float] | None:
    """Of all sets of controllers within the cap: the least kept watts left off, then the least cost.

    Cost is two figures: the price and 0, or where a price is blank the number and the charge current.
    """
    assert job.controllers is not None
    catalogue = job.controllers.catalogue
    priced = all(c.price is not None for c in catalogue)
    found = []
    for size in range(len(panels) + 1):
        for boxes in combinations_with_replacement(catalogue, size):
            best = best_on(job, panels, boxes, capped=True)
            if best is not None:
                price = sum(c.price or 0.0 for c in boxes)
                cost = (price, 0.0) if priced else (float(size), sum(c.max_charge_a for c in boxes))
                found.append((best[0], *cost))
    return min(found, default=None)


# what can be wired at all, by counts


def groups_of(job: Job, panels: Sequence[PlacedPanel]) -> tuple[Group, ...]:
    """The panels by facet and model."""
    models = {m.model: m for m in (*job.panels.models, *(k.model for k in job.kept))}
    kinds = sorted({(p.facet, p.model) for p in panels})
    own = [[p for p in panels if (p.facet, p.model) == kind] for kind in kinds]
    return tuple(
        Group(kind[0], models[kind[1]], sum(not p.kept for p in of), sum(p.kept for p in of))
        for kind, of in zip(kinds, own, strict=True)
    )


def most_wired_w(
    job: Job, groups: Sequence[Group], capped: bool = False, bought: bool = False
) -> float | None:
    """The most watts that can be wired with every new panel among them; None when these cannot all be.

    capped: each chosen controller within the cap on what it cuts off. bought: no two models share a tracker
    but with kept panels.
    """
    found = [
        sum(n * g.model.power_w for n, g in zip(vector, groups, strict=True))
        for vector in all_wired(job, groups, capped, bought)
        if all(g.new <= n for n, g in zip(vector, groups, strict=True))
    ]
    return max(found, default=None)


def all_wired(job: Job, groups: Sequence[Group], capped: bool = False, bought: bool = False) -> set[Vector]:
    """Every count of panels of the groups that the fitted controllers, or any bought ones, can carry."""
    assert job.controllers is not None
    if not job.controllers.choose:
        reached = {(0,) * len(groups)}
        for box in job.controllers.fitted:
            reached = _sums(reached, _on_one(job, box, groups, bought), groups)
        return reached
    each: set[Vector] = set()
    for box in dict.fromkeys(job.controllers.catalogue):
        own = _on_one(job, box, groups)
        each |= {v for v in own if not capped or within_cap(job, box, _power_w(v, groups))}
    reached, newest = {(0,) * len(groups)}, {(0,) * len(groups)}
    while newest:
        newest = _sums(newest, each, groups) - reached
        reached |= newest
    return reached


def _on_one(job: Job, box: ControllerModel, groups: Sequence[Group], bought: bool = False) -> set[Vector]:
    """Every count of panels of the groups on one controller, tracker by tracker."""
    none = (0,) * len(groups)
    loads = {none}
    for g, group in enumerate(groups):
        for in_series, in_parallel in _ways_of(job, box, group):
            loads.add((*none[:g], in_series * in_parallel, *none[g + 1 :]))
    loads |= _shared(job, box, groups, bought)
    reached = {none}
    for _ in range(box.trackers):
        reached = _sums(reached, loads, groups)
    return reached


def _shared(job: Job, box: ControllerModel, groups: Sequence[Group], bought: bool) -> set[Vector]:
    """Every count of panels of two groups on one tracker that they may share."""
    if not may_be_shared(job):
        return set()
    found: set[Vector] = set()
    for (g, one), (h, other) in combinations(enumerate(groups), 2):
        if bought and one.model != other.model and not one.kept + other.kept:
            continue
        for a, b in product(_ways_of(job, box, one), _ways_of(job, box, other)):
            vector = [0] * len(groups)
            vector[g], vector[h] = a[0] * a[1], b[0] * b[1]
            isc_a = a[1] * (one.model.isc_a or 0.0) + b[1] * (other.model.isc_a or 0.0)
            if 1.25 * isc_a <= box.max_pv_isc_a * (1 + HAIR) and may_share(
                job, (one.model, *a), (other.model, *b)
            ):
                found.add(tuple(vector))
    return found


def may_be_shared(job: Job) -> bool:
    """Whether the job has more sorts of panels, by facet and model, than trackers that serve its battery."""
    assert job.controllers is not None
    assert job.battery is not None
    if job.controllers.choose:
        return False
    boxes = [b for b in job.controllers.fitted if job.battery.nominal_v in b.battery_v]
    new = {(f.name, m) for f in job.facets for m in job.panels.models}
    sorts = new | {(k.facet, k.model) for k in job.kept}
    wireable = [(f, m) for f, m in sorts if any(_ways_of(job, b, Group(f, m, 20, 0)) for b in boxes)]
    return len(wireable) > sum(b.trackers for b in boxes)


def _ways_of(job: Job, box: ControllerModel, group: Group) -> list[tuple[int, int]]:
    """Panels in series and strings in parallel of a group on one tracker."""
    most = group.new + group.kept
    return [
        (n, k)
        for n in range(1, most + 1)
        if takes(job, box, group.model, n, 1)
        for k in range(1, most // n + 1)
        if takes(job, box, group.model, n, k)
    ]


def _sums(some: set[Vector], others: set[Vector], groups: Sequence[Group]) -> set[Vector]:
    most = [g.new + g.kept for g in groups]
    sums = {tuple(a + b for a, b in zip(x, y, strict=True)) for x in some for y in others}
    return {v for v in sums if all(n <= top for n, top in zip(v, most, strict=True))}


def _power_w(vector: Vector, groups: Sequence[Group]) -> float:
    return sum(n * g.model.power_w for n, g in zip(vector, groups, strict=True))
