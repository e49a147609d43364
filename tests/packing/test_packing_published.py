"""Published packing instances whose optimum is known; instances.json names the source of each."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from small_random_jobs import packed, rectangle, square_on

from rooflayout.job import Job, PanelModel, PanelRules

INSTANCES = json.loads((Path(__file__).parent / "instances.json").read_text(encoding="utf-8"))


def job_of(instance: dict[str, Any]) -> Job:
    """The bin as a facet, each item [w, h, copies, value] as a panel model of its value in watts."""
    s = instance["scale_to_mm"]
    models = tuple(
        PanelModel(f"M{i}", w * s, h * s, float(value), stock=copies, turnable=instance["rotation"])
        for i, (w, h, copies, value) in enumerate(instance["items"])
    )
    defects = tuple(
        square_on(f"D{i}", "bin", x * s, y * s, (x + w) * s, (y + h) * s)
        for i, (x, y, w, h) in enumerate(instance["obstacles"])
    )
    facet = rectangle("bin", instance["width"] * s, instance["height"] * s)
    return Job(instance["name"], (facet,), PanelRules(models), defects)


@pytest.mark.parametrize("instance", INSTANCES, ids=lambda i: i["name"])
def test_the_published_optimum_is_reached_and_proven(instance: dict[str, Any]) -> None:
    found = packed(job_of(instance), seconds=60)
    optimum = float(instance["optimum"])
    assert (found.watts, found.bound_watts, found.proven) == (optimum, optimum, True)
