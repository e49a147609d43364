"""Packing for Wh against every choice among the places tried; shade and balance among equal watts."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest
from small_random_jobs import CONTROLLER, clock_of, rectangle

from rooflayout.job import Job, KeptPanel, PanelModel, PanelRules
from rooflayout.packing.clearance import Ints, field_of
from rooflayout.packing.closure import Candidates
from rooflayout.packing.harvest import most_harvest
from rooflayout.packing.kinds import Kind, kinds_of
from rooflayout.packing.pack import pack
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.search import Search
from rooflayout.packing.wishes import Wishes
from rooflayout.wiring.options import StringOption, Supply, TrackerClass

A, B = PanelModel("A", 600, 400, 100.0, mass_kg=10.0), PanelModel("B", 500, 300, 70.0, mass_kg=5.0)


def worth_of(seed: int) -> Wishes:
    """A worth of each place drawn from kind and corner, so that it does not depend on the order."""

    def each(kinds: Sequence[Kind], candidates: Candidates) -> Ints:
        at = zip(candidates.kind.tolist(), candidates.x_mm.tolist(), candidates.y_mm.tolist(), strict=True)
        found = [
            round(kinds[k].watts * Random(f"{seed} {kinds[k]} {x} {y}").uniform(0.5, 1.0)) for k, x, y in at
        ]
        return np.array(found, dtype=np.int64)

    return Wishes(harvest_wh=each, kept_wh={(0, 0): 900, (0, 1): 600})


def rules(job: Job, wishes: Wishes, supply: Supply | None = None) -> Rules:
    models = models_of(job)
    found = rules_of(job, models, kinds_of(job, models), supply)
    return Rules(**{**{name: getattr(found, name) for name in found.__dataclass_fields__}, "wishes": wishes})


def every_choice(
    kinds: Sequence[Kind], candidates: Candidates, worth: Ints, allowed: Sequence[int] | None
) -> int:
    """The most worth of places that do not overlap; allowed: how many panels there may be, None any."""
    boxes = [
        (x, y, x + kinds[k].pitch_x_mm, y + kinds[k].pitch_y_mm)
        for k, x, y in zip(candidates.kind, candidates.x_mm, candidates.y_mm, strict=True)
    ]
    best = 0

    def go(i: int, chosen: list[int], total: int) -> None:
        nonlocal best
        if (allowed is None or len(chosen) in allowed) and total > best:
            best = total
        for j in range(i, len(boxes)):
            a = boxes[j]
            if all(
                a[2] <= boxes[c][0] or boxes[c][2] <= a[0] or a[3] <= boxes[c][1] or boxes[c][3] <= a[1]
                for c in chosen
            ):
                go(j + 1, [*chosen, j], total + int(worth[j]))

    go(0, [], 0)
    return best


@pytest.mark.parametrize("seed", range(12))
def test_no_choice_among_the_places_gives_more(seed: int) -> None:
    """With an even seed a layout alone; else one tracker for two panels of A or of B."""
    random = Random(seed)
    facet = rectangle("F", random.randint(9, 13) * 100, random.randint(5, 8) * 100)
    job = Job("x", (facet,), PanelRules((A,) if seed % 3 else (A, B)))
    supply = None
    if seed % 2:
        supply = Supply(
            (TrackerClass(CONTROLLER, 1),), tuple(StringOption(m, 0, 2, 1) for m in job.panels.models)
        )
        job = Job("x", (facet,), PanelRules((A,)))
    wishes = worth_of(seed)
    own = rules(job, wishes, supply)
    fields = (field_of(job, facet),)
    found = most_harvest(fields, own, (), clock_of())
    assert found is not None
    search = Search(fields, rules(job, wishes), clock_of())
    search.prepare()
    assert search.fine is not None
    assert wishes.harvest_wh is not None
    fine = search.fine
    worth = wishes.harvest_wh(fine.kinds, fine.candidates)
    best = every_choice(fine.kinds, fine.candidates, worth, (0, 2) if seed % 2 else None)
    assert (found.wh, found.proven) == (best, True)


def test_kept_panels_count_in_wh_as_well() -> None:
    job = Job("x", (rectangle("F", 1200, 400),), PanelRules((A,)), kept=(KeptPanel(A, "F", 0, 0),))
    wishes = worth_of(1)
    found = most_harvest((field_of(job, job.facets[0]),), rules(job, wishes), (), clock_of())
    assert found is not None
    assert found.wh > 900


def darker_to_the_left(kinds: Sequence[Kind], candidates: Candidates) -> Ints:
    return np.asarray(3000 - candidates.x_mm, dtype=np.int64)


def test_of_equal_watts_the_brighter_place() -> None:
    """One panel on a roof that holds three: without shade it lies at the datum."""
    job = Job("x", (rectangle("F", 2000, 400),), PanelRules((PanelModel("A", 600, 400, 100.0, stock=1),)))
    (panel,) = pack(job, None, clock_of()).panels
    assert panel.x_mm == 0
    (panel,) = pack(job, None, clock_of(), wishes=Wishes(lost_wh=darker_to_the_left)).panels
    assert panel.x_mm == 1400


def test_of_equal_watts_the_one_that_weighs_alike_on_both_sides() -> None:
    """Two panels in four places, of which two are to the left of the middle and two to the right."""
    job = Job(
        "x",
        (rectangle("F", 1200, 800),),
        PanelRules((PanelModel("A", 600, 400, 100.0, stock=2, mass_kg=10.0),)),
    )

    def moment(kinds: Sequence[Kind], candidates: Candidates) -> Ints:
        middle = candidates.y_mm + np.array([k.h_mm for k in kinds], dtype=np.int64)[candidates.kind] // 2
        return np.asarray(10 * (middle - 400), dtype=np.int64)

    panels = pack(job, None, clock_of(), wishes=Wishes(moment_g_m=moment)).panels
    assert sorted(p.y_mm for p in panels) == [0, 400]
    heavy = Wishes(moment_g_m=moment, kept_moment_g_m=4000)  # what is there already weighs on the far side
    panels = pack(job, None, clock_of(), wishes=heavy).panels
    assert [p.y_mm for p in panels] == [0, 0]
