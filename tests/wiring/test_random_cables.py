"""Cables and readings of random wirings, however they are laid, before the independent inspection."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from random_wirings import breaches, random_case

from rooflayout.job import Bench, Cable
from rooflayout.wiring.design import designed
from rooflayout.wiring.groups import NotWirable
from rooflayout.wiring.temperatures import design_temperatures
from rooflayout.wiring.wire import wire

BLOCKS, WIRINGS_A_BLOCK = 4, 75


def random_cable(random: Random) -> Cable:
    """Lengths given or left open, cool to too hot, any insulation, drops from strict to slack."""
    return Cable(
        roof_run_mm=random.choice((None, 2000.0, 9000.0)),
        gland_to_controller_mm=random.choice((None, 500.0, 6000.0)),
        bar_to_battery_mm=random.choice((None, 150.0, 1500.0)),
        controller_to_battery_mm=random.choice((None, 300.0, 5000.0)),
        ambient_c=random.choice((None, None, 20.0, 60.0)),
        insulation_c=random.choice((60.0, 70.0, 75.0, 80.0, 85.0, 90.0, 105.0, 125.0)),
        bundled=random.choice((1, 2, 2, 4, 6)),
        most_drop_pct=random.choice((0.5, 1.0, 3.0, 3.0, 8.0)),
        least_roof_mm2=random.choice((None, None, 2.5, 4.0)),
    )


@pytest.mark.parametrize("block", range(BLOCKS))
def test_no_designed_wiring_has_a_breach(block: int) -> None:
    """Of those with sizes at least half the runs, and joints and string fuses among them."""
    random, made = Random(5000 + block), 0
    runs = sized = joints = fused = 0
    while made < WIRINGS_A_BLOCK:
        case = random_case(random, most_panels=8)
        bench = Bench(random.choice((None, 200.0, 1100.0)), random.choice((None, -10.0, 70.0)))
        job = replace(case.job, cable=random_cable(random), bench=bench)
        try:
            panels, wiring = wire(job, design_temperatures(job.site), case.panels)
        except NotWirable:
            continue
        wiring = designed(job, panels, wiring)
        assert breaches(job, panels, wiring) == [], case
        made += 1
        runs += len(wiring.runs)
        sized += sum(run.size_mm2 is not None for run in wiring.runs)
        joints += sum(run.kind == "array" for run in wiring.runs)
        fused += sum(run.kind == "string" and run.fuse_a is not None for run in wiring.runs)
    assert sized > runs / 2
    assert joints > 10
    assert fused > 3
