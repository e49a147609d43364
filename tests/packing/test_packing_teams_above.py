"""Few trackers on roofs with round vents: a bound for all positions whatever, by teams on the eased roof."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from small_random_jobs import clock_of, random_job, rectangle
from test_packing_unminded import supply_for

from rooflayout.job import Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.eased import eased
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.pack import pack
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.team_rules import teams_of
from rooflayout.packing.teams import bound_by_teams, search

PLATE, SLAT = PanelModel("Plate", 1000, 500, 100.0), PanelModel("Slat", 900, 300, 50.0)


def case(seed: int) -> tuple[Job, tuple[Field, ...], Rules]:
    """A small random roof with a round vent, one tracker or two."""
    random = Random(seed)
    job = random_job(random, 100, facets=1 + seed % 2, cells=30)
    xs, ys = zip(*job.facets[0].outline_mm, strict=True)
    vent = Obstacle(
        "round vent",
        job.facets[0].name,
        centre_mm=(random.uniform(min(xs), max(xs)), random.uniform(min(ys), max(ys))),
        diameter_mm=random.randint(80, 300),
    )
    job = replace(job, obstacles=(*job.obstacles, vent))
    models = models_of(job)
    supply = supply_for(job, 1 + seed % 2, ((1, 3), (2, 2)))
    rules = rules_of(job, models, kinds_of(job, models), supply)
    return job, tuple(field_of(job, facet) for facet in job.facets), rules


@pytest.mark.parametrize("seed", [seed for seed in range(14) if teams_of(case(seed)[2]) is not None])
def test_no_real_layout_has_more_and_what_is_reached_changes_nothing_else(seed: int) -> None:
    """Alike but for rectangles inside the vent, so that the eased optimum is never the lower one."""
    _, fields, rules = case(seed)
    rects = tuple(eased(field) for field in fields)
    best, above = (search(of, rules, clock_of()).packing for of in (fields, rects))
    assert best.proven
    assert above.proven
    bounds = [bound_by_teams(rects, rules, clock_of(), lambda w=w: w) for w in (0, best.watts)]
    assert bounds == [above.watts, above.watts]
    assert above.watts >= best.watts
    assert bound_by_teams(rects, rules, clock_of(), lambda: above.watts + 50) == above.watts + 50


@pytest.mark.parametrize("workers", [1, 2])
def test_a_vent_in_the_corner_leaves_no_doubt(workers: int) -> None:
    """Three plates beside the vent: the fourth would need its place, by area and by hand."""
    vent = Obstacle("vent", "roof", centre_mm=(1900, 900), diameter_mm=180)
    job = Job("vent", (rectangle("roof", 2000, 1000),), PanelRules((PLATE, SLAT)), (vent,), Spacing(0, 0))
    found = pack(job, supply_for(job, 1, ((1, 8),)), clock_of(workers=workers))
    assert found.watts == found.true_bound_watts == 300
    assert found.proven
