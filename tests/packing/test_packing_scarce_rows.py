"""Rows of scarce panels: within stock, mass and money, apart, and no fewer watts than rows laid by hand."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from rooflayout.job import Facet, Job, Obstacle, PanelModel, PanelRules, Spacing
from rooflayout.packing import scarce_rows
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.contacts import free_at
from rooflayout.packing.incumbent import Place, watts_of
from rooflayout.packing.kinds import kinds_of
from rooflayout.packing.rules import Rules, models_of, rules_of
from rooflayout.packing.scarce_rows import scarce_row_layouts

GAP_MM, EDGE_MM = 20, 50


def random_job(seed: int) -> Job:
    random = Random(seed)
    models = tuple(
        PanelModel(
            f"m{n}",
            5 * random.randrange(100, 380),
            5 * random.randrange(60, 230),
            5.0 * random.randrange(10, 90),
            mass_kg=random.randrange(4, 25),
            stock=random.randrange(1, 12),
        )
        for n in range(5)
    )
    wide, deep = random.randrange(4000, 16_000), random.randrange(2000, 8000)
    roof = Facet("roof", ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)))
    most_mass = random.choice((None, 120.0))
    return Job(
        "scarce", (roof,), PanelRules(models, most_mass_kg=most_mass), spacing=Spacing(GAP_MM, EDGE_MM)
    )


def rules_for(job: Job) -> tuple[tuple[Field, ...], Rules]:
    models = models_of(job)
    kinds = kinds_of(job, models)
    return tuple(field_of(job, f) for f in job.facets), rules_of(job, models, kinds, None)


def density(model: PanelModel) -> float:
    return model.power_w / ((model.length_mm + GAP_MM) * (model.width_mm + GAP_MM))


def by_hand_w(job: Job) -> float:
    """The densest model row by row until its stock is out, all one way round, then the next."""
    wide, deep = job.facets[0].outline_mm[2]
    across, at, watts = wide - 2 * EDGE_MM, 0.0, 0.0
    for model in sorted(
        job.panels.models, key=lambda m: -m.power_w / ((m.length_mm + GAP_MM) * (m.width_mm + GAP_MM))
    ):
        left = model.stock or 0
        while left and at + model.width_mm <= deep - 2 * EDGE_MM:
            count = min(left, int((across + GAP_MM) // (model.length_mm + GAP_MM)))
            if not count:
                break
            left, watts, at = left - count, watts + count * model.power_w, at + model.width_mm + GAP_MM
    return watts


def apart(rules: Rules, layout: list[Place]) -> bool:
    boxes = [(x, y, rules.kinds[k].pitch_x_mm, rules.kinds[k].pitch_y_mm) for k, x, y in layout]
    return not any(
        a[0] < b[0] + b[2] and b[0] < a[0] + a[2] and a[1] < b[1] + b[3] and b[1] < a[1] + a[3]
        for i, a in enumerate(boxes)
        for b in boxes[:i]
    )


@pytest.mark.parametrize("seed", range(10))
def test_within_all_caps_and_no_worse_than_by_hand(seed: int) -> None:
    job = random_job(seed)
    fields, rules = rules_for(job)
    layouts = scarce_row_layouts(fields, rules)
    for layout in layouts:
        assert rules.plainly_kept([k for k, _, _ in layout])
        assert apart(rules, layout)
        assert all(free_at(fields[0], rules.kinds[k], np.array([x]), np.array([y]))[0] for k, x, y in layout)
    if job.panels.most_mass_kg is None:
        best = max(watts_of(rules.kinds, layout) for layout in layouts)
        assert best / 10 >= by_hand_w(job)
    assert any(layouts)


def test_what_one_facet_takes_the_other_has_no_more() -> None:
    job = random_job(3)
    roof = job.facets[0]
    fields, rules = rules_for(replace(job, facets=(roof, replace(roof, name="other"))))
    for layout in scarce_row_layouts(fields, rules):
        assert rules.plainly_kept([k for k, _, _ in layout])


@pytest.mark.parametrize("seed", range(4))
def test_leaps_up_the_roof_miss_no_row(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same rows as millimetre by millimetre, round a square hatch and a round vent."""
    job = random_job(seed)
    x = 900.0 + 7 * seed
    hatch = Obstacle("hatch", "roof", outline_mm=((x, 611), (x + 500, 611), (x + 500, 1111), (x, 1111)))
    vent = Obstacle("vent", "roof", centre_mm=(2900, 1103), diameter_mm=283)
    fields, rules = rules_for(replace(job, obstacles=(hatch, vent)))
    leaping = scarce_row_layouts(fields, rules)
    tried: list[int] = []

    def one_up(rows: object, y: int) -> int:
        tried.append(y)
        return y + 1

    monkeypatch.setattr(scarce_rows, "_next_start", one_up)
    assert scarce_row_layouts(fields, rules) == leaping
    assert tried
