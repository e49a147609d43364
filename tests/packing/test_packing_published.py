"""Published packing instances whose optimum is known; the files they stand in name the source of each."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from small_random_jobs import packed, rectangle, square_on

from rooflayout.job import Job, PanelModel, PanelRules

QUICK = (  # those that end within seconds; tests/benchmarks/published.py runs them all
    "cgcut1",
    "ngcut1",
    "ngcut5",
    "hadchr3",
    "plp_20_12_7_4",
    "plp_1200_1000_330_220",
    "plp_14_10_3_2",
    "plp_30_22_7_4",
    "afsharian_75_C12M5R6N1_D4",
    "afsharian_75_C12M5R10N1_D1",
    "afsharian_75_C12M10R8N1_D4",
    "ngcut5_rot",
    "ngcut11",
    "ngcut9_rot",
    "ngcut12_rot",
    "hopper_C1_1",
    "hopper_C1_3",
    "hopper_C3_1",
)
SETS = Path(__file__).parents[1] / "benchmarks" / "instances"
EVERY = {
    i["name"]: i for file in sorted(SETS.glob("*.json")) for i in json.loads(file.read_text(encoding="utf-8"))
}
INSTANCES = [EVERY[name] for name in QUICK]


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
