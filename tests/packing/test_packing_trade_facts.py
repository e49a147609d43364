"""Whether what comes out looks like the trade; common practice, no source."""

from __future__ import annotations

import pytest
from plans_of_packed import breaches_of
from small_random_jobs import packed, rectangle, square_on

from rooflayout.job import Job, Obstacle, PanelModel, PanelRules, Spacing

# 160 to 180 W a square metre (common practice, no source)
CATALOGUE = (
    PanelModel("rigid 170", 1490, 670, 170.0),
    PanelModel("rigid 110", 1200, 540, 110.0),
    PanelModel("rigid 100", 1020, 580, 100.0),
)
MAIN = rectangle("main", 5500, 2200)
FRONT = rectangle("front slope", 900, 2000)
ON_MAIN = (
    square_on("air-conditioner", "main", 2500, 750, 3550, 1450, clearance_mm=150),
    square_on("front hatch", "main", 4300, 750, 5000, 1350, clearance_mm=80, opens="-x", reach_mm=350),
    square_on("rear hatch", "main", 600, 900, 1000, 1300, clearance_mm=80, opens="+x", reach_mm=400),
    Obstacle("vent", "main", "vent", centre_mm=(1900, 400), diameter_mm=250, clearance_mm=80),
)


@pytest.mark.parametrize("model", CATALOGUE)
def test_the_catalogue_has_the_density_of_the_trade(model: PanelModel) -> None:
    assert 160 <= model.power_w / (model.length_mm * model.width_mm / 1e6) <= 180


def test_a_caravan_roof_carries_about_a_kilowatt() -> None:
    """Common practice, no source: with an air-conditioner, two hatches and a vent about 1000 W fit."""
    spacing = Spacing(between_panels_mm=20, from_edge_mm=40)
    job = Job("caravan", (MAIN,), PanelRules(CATALOGUE), ON_MAIN, spacing)
    found = packed(job, seconds=8)
    assert breaches_of(job, found) == []
    assert 850 <= found.watts <= 1250
    with_slope = Job("caravan", (MAIN, FRONT), PanelRules(CATALOGUE), ON_MAIN, spacing)
    more = packed(with_slope, seconds=8)
    assert breaches_of(with_slope, more) == []
    assert more.watts >= found.watts + 170  # one panel at least on 0.9 x 2.0 m
