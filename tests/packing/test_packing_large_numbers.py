"""Rules with large numbers in them: a panel that is whole for all purposes but the budget."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from small_random_jobs import packed, rectangle

from rooflayout.job import Job, PanelModel, PanelRules, Spacing
from rooflayout.packing import closing


def dear(seed: int) -> Job:
    """Panels of thousands each."""
    r = Random(seed)
    models = tuple(
        PanelModel(
            f"M{i}",
            r.randint(4, 9) * 100,
            r.randint(3, 6) * 100,
            r.randint(8, 30) * 10.0,
            price=r.randint(40, 120) * 100.0,
        )
        for i in range(3)
    )
    return Job("dear", (rectangle("main", 1900, 1200),), PanelRules(models), (), Spacing(0.0, 0.0))


@pytest.mark.parametrize("seed", range(8))
def test_a_cent_too_little_is_too_little(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(closing, "SMALL_WINDOW", -1)  # by the tree
    job = dear(seed)
    free = packed(job, seconds=3.0)
    prices = {m.model: m.price or 0.0 for m in job.panels.models}
    cost = sum(prices[p.model] for p in free.panels)
    less = packed(replace(job, panels=replace(job.panels, budget=cost - 0.01)), seconds=2.0)
    assert sum(prices[p.model] for p in less.panels) <= cost - 0.01
    assert less.watts <= min(free.watts, less.bound_watts)
