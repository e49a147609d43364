"""Random wirings before the independent inspection, and small ones against every way there is.

No wiring goes beyond a limit, none leaves off watts that could be wired, and a refusal is right.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random

import pytest
from exhaustive_wirings import best_chosen, best_on, groups_of, most_wired_w, takes
from random_wirings import Case, breaches, random_case
from unlike_by_hand import TooNearToTell

from rooflayout.job import Controllers, Facet, Job, KeptPanel, PanelModel, Spacing
from rooflayout.plan import PlacedPanel, Wiring
from rooflayout.planner import plan_job
from rooflayout.wiring.groups import NotWirable
from rooflayout.wiring.temperatures import design_temperatures
from rooflayout.wiring.wire import wire

sys.path.insert(0, str(Path(__file__).parent.parent / "packing"))
from exhaustive_roofs import largest_sets, models_on

BLOCKS, WIRINGS_A_BLOCK = 8, 150  # ten thousand of them: tests/benchmarks/wirings.py
MOST_PANELS, MOST_CONTROLLERS = 8, 2
SMALL_BLOCKS, SMALL_A_BLOCK = 6, 50
RASTER_MM = 100
SHORT = (1, 2, 3)  # panels in series


def wired(case: Case) -> tuple[tuple[PlacedPanel, ...], Wiring] | None:
    """The named panels and their wiring; None when it is refused."""
    try:
        return wire(case.job, design_temperatures(case.job.site), case.panels)
    except NotWirable:
        return None


def shared(wiring: Wiring) -> set[tuple[str, int]]:
    """The trackers with two sorts of strings."""
    sorts = {(s.controller, s.tracker, s.facet, s.model, s.in_series) for s in wiring.strings}
    trackers = [sort[:2] for sort in sorts]
    return {t for t in trackers if trackers.count(t) > 1}


def left_off_w(panels: tuple[PlacedPanel, ...], wiring: Wiring) -> float:
    return sum(p.watts for p in panels if p.panel in wiring.unwired)


def should_carry_w(case: Case) -> float | None:
    """The most watts by exhaustive search; a set within the cap on clipping comes before any other."""
    groups = groups_of(case.job, case.panels)
    within = most_wired_w(case.job, groups, capped=True)
    return most_wired_w(case.job, groups) if within is None else within


@pytest.mark.parametrize("block", range(BLOCKS))
def test_random_wirings_break_no_limit_and_waste_no_watts(block: int) -> None:
    """Every case, refused or not, against a search over all counts; those that are wired count.

    Larger ones, of 12 panels on 3 controllers: tests/benchmarks/wirings.py.
    """
    random, made = Random(block), 0
    while made < WIRINGS_A_BLOCK:
        case = random_case(random, MOST_PANELS, MOST_CONTROLLERS)
        try:
            most_w = should_carry_w(case)
        except TooNearToTell:
            continue
        if most_w == 0.0:
            continue  # nothing but kept panels that nothing takes: the small ones below have these too
        found = wired(case)
        assert (found is None) == (most_w is None), case
        if found is None:
            continue
        panels, wiring = found
        assert breaches(case.job, panels, wiring) == [], case
        all_w = sum(p.watts for p in panels)
        assert all_w - left_off_w(panels, wiring) == pytest.approx(most_w), case
        made += 1


@pytest.mark.parametrize("block", range(SMALL_BLOCKS))
def test_no_way_to_wire_six_panels_on_two_controllers_is_better(block: int) -> None:
    """Kept watts left off, and watts cut off, of every partition into strings on every tracker."""
    random, compared = Random(1000 + block), 0
    while compared < SMALL_A_BLOCK:
        case = random_case(random, most_panels=6, most_controllers=2)
        controllers = case.job.controllers
        assert controllers is not None
        if controllers.choose:
            continue
        try:
            best = best_on(case.job, case.panels, controllers.fitted)
        except TooNearToTell:
            continue
        found = wired(case)
        assert (best is None) == (found is None), case
        if best is None or found is None:
            continue
        panels, wiring = found
        assert left_off_w(panels, wiring) == pytest.approx(best[0]), case
        assert len(shared(wiring)) == best[1], case
        if best[1]:
            continue  # of trackers with two sorts those that lose least come before any clipping
        least_w, slack_w = best[2], 0.001
        if any(load.set_a is not None for load in wiring.controllers):
            least_w, slack_w = limited_by_battery(case.job, wiring, least_w)
        assert sum(load.clipped_w for load in wiring.controllers) == pytest.approx(least_w, abs=slack_w), case
        compared += bool(wiring.strings)


def limited_by_battery(job: Job, wiring: Wiring, least_w: float) -> tuple[float, float]:
    """Where the battery's limit counts too: the least that must be cut off, and what is open about it.

    That is all watts beyond what the battery takes, or what the controllers cut off in any case. Open are
    the tenth of an ampere to which each controller is set, and who gives way where losses differ.
    """
    assert job.battery is not None
    assert job.battery.most_charge_a is not None
    assert job.controllers is not None
    shares = [box.efficiency_pct / 100 for box in job.controllers.fitted]
    power_w = sum(load.power_w for load in wiring.controllers)
    passed_w = [job.battery.most_charge_a * job.battery.charge_v / s for s in (min(shares), max(shares))]
    low_w, high_w = (max(least_w, power_w - w) for w in passed_w)
    rounded_w = 0.1 * len(shares) * job.battery.charge_v / min(shares)
    return (low_w + high_w) / 2, (high_w - low_w) / 2 + rounded_w


@pytest.mark.parametrize("block", range(4))
def test_no_set_of_controllers_is_cheaper(block: int) -> None:
    """Every set from the catalogue for up to four panels: kept watts left off, then the price."""
    random, compared = Random(2000 + block), 0
    while compared < 15:
        case = random_case(random, most_panels=4)
        controllers = case.job.controllers
        assert controllers is not None
        if not controllers.choose or len(controllers.catalogue) > 3:
            continue
        best, found = best_chosen(case.job, case.panels), wired(case)
        if best is None:  # no set keeps within the cap on what is cut off
            continue
        assert found is not None, case
        panels, wiring = found
        assert left_off_w(panels, wiring) == pytest.approx(best[0]), case
        assert cost(controllers, wiring) == pytest.approx(best[1:]), case
        compared += bool(wiring.strings)


def cost(controllers: Controllers, wiring: Wiring) -> tuple[float, float]:
    """Price and 0, or where a price is blank the number of controllers and their charge current."""
    of_name = {c.model: c for c in controllers.catalogue}
    bought = [of_name[load.model] for load in wiring.controllers]
    if all(c.price is not None for c in controllers.catalogue):
        return sum(c.price or 0.0 for c in bought), 0.0
    return float(len(bought)), sum(c.max_charge_a for c in bought)


@pytest.mark.parametrize("seed", range(3000, 3036))
def test_no_tiny_roof_carries_more_wired_watts(seed: int) -> None:
    """The plan's watts are the most of all sets of panels that fit and all ways to wire each of them."""
    job = tiny_roof(seed)
    plan = plan_job(job, time_limit_s=20.0, workers=1)
    assert plan.layout.status != "best found"
    assert plan.layout.watts == pytest.approx(most_watts(job))


def tiny_roof(seed: int) -> Job:
    """One or two facets that hold at most six panels together, on a raster, a kept panel now and then.

    Two or three models, of each of which up to three in series make a string on some controller.
    """
    random = Random(seed)
    while True:
        case = random_case(random, most_controllers=1 + seed % 2)
        controllers = case.job.controllers
        assert controllers is not None
        boxes = controllers.catalogue if controllers.choose else controllers.fitted
        models = case.job.panels.models
        if len(models) > 1 and all(
            any(takes(case.job, b, m, n, 1) for b in boxes for n in SHORT) for m in models
        ):
            break
    models = tuple(sized(random, m) for m in models)
    names = ["main", "slope"][: random.randint(1, 2)]
    facets = tuple(
        rectangle(name, random.randint(5, 9 // len(names) + 2), random.randint(2, 3)) for name in names
    )
    kept = tuple(KeptPanel(random.choice(models), "main", 0.0, 0.0) for _ in range(random.random() < 0.4))
    return replace(
        case.job,
        facets=facets,
        panels=replace(case.job.panels, models=models),
        kept=kept,
        spacing=Spacing(),
        controllers=replace(controllers, most_clipped_pct=100.0),
    )


def sized(random: Random, model: PanelModel) -> PanelModel:
    """Three to five by two cells."""
    return replace(model, length_mm=random.randint(3, 5) * RASTER_MM + 0.0, width_mm=2.0 * RASTER_MM)


def rectangle(name: str, columns: int, rows: int) -> Facet:
    x, y = columns * RASTER_MM + 0.0, rows * RASTER_MM + 0.0
    return Facet(name, ((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)))


def most_watts(job: Job) -> float:
    """Of every set of panels that lies on the roof: the most watts that can be wired, every new one."""
    kinds = [(facet, model) for facet in job.facets for model in models_on(job)]
    stay = [placed(job.facet(k.facet), k.model, kept=True) for k in job.kept]
    best_w = 0.0
    for most in product(*(largest_sets(job, f, models_on(job), RASTER_MM) for f in job.facets)):
        for counts in product(*(range(n + 1) for of_facet in most for n in of_facet)):
            new = [placed(*kind) for kind, n in zip(kinds, counts, strict=True) for _ in range(n)]
            best_w = max(best_w, most_wired_w(job, groups_of(job, [*new, *stay]), bought=True) or 0.0)
    return best_w


def placed(facet: Facet, model: PanelModel, kept: bool = False) -> PlacedPanel:
    """A panel somewhere on a facet; only how many there are counts here."""
    return PlacedPanel("", facet.name, model.model, 0, 0, *model.sides_mm(False), False, model.power_w, kept)
