"""How long the sun carries a load: no longer than it is up, and none larger than panels and harvest."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from planned_examples import EXAMPLES, energy_of, planned, with_energy
from pvlib.solarposition import sun_rise_set_transit_spa

from rooflayout.inspection.inspect import RULES
from rooflayout.inspection.load_hours import sun_carries_loads_by_day, sun_carries_no_larger_loads
from rooflayout.inspection.sunlight import longest_day_hours
from rooflayout.job import Job
from rooflayout.yields import LoadHours

NAME = "ringing-trailer"
OURS = (sun_carries_loads_by_day, sun_carries_no_larger_loads)


def found(load: str, month: int, hours: float, job: Job | None = None) -> list[str]:
    """With one load's hours in one month, and none else."""
    day = tuple(hours if m == month else 0.0 for m in range(1, 13))
    plan = with_energy(NAME, load_hours=(LoadHours(load, day),))
    return [b.code for rule in OURS for b in rule(job or planned(NAME)[0], plan)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_hold(name: str) -> None:
    assert set(OURS) <= set(RULES)
    assert [b for rule in OURS for b in rule(*planned(name))] == []


@pytest.mark.parametrize("latitude", [-55.0, -20.0, 0.0, 40.72, 60.0])
def test_the_longest_day_is_that_of_pvlib(latitude: float) -> None:
    """Sunrise and sunset by NREL's SPA in pvlib; the longest day of each month is longer than ours by a
    minute at most, nor shorter by more than 0.25 hours."""
    days = pd.date_range("2021-01-01", "2021-12-31", tz="UTC")
    sun = sun_rise_set_transit_spa(days, latitude, 0.0)
    hours = ((sun["sunset"] - sun["sunrise"]).dt.total_seconds() / 3600.0) % 24.0
    longest = hours.groupby(np.asarray(days.month)).max()
    for month in range(1, 13):
        assert -0.01 < longest_day_hours(latitude, month) - longest[month] < 0.25


def test_no_night_and_no_day_near_the_pole() -> None:
    assert longest_day_hours(80.0, 6) == 24.0
    assert longest_day_hours(80.0, 12) == 0.0


def test_no_longer_than_the_sun_is_up() -> None:
    for month in (6, 12):
        most = longest_day_hours(40.72, month) + 0.1
        assert found("alarm", month, most - 0.01) == []
        assert found("alarm", month, most + 0.01) == ["energy-load"]


def test_no_load_that_runs_at_night() -> None:
    job = planned(NAME)[0]
    loads = tuple(replace(load, when="night") if load.name == "alarm" else load for load in job.loads)
    assert found("alarm", 6, 0.1, replace(job, loads=loads)) == ["energy-load"]
    assert found("alarm", 6, 0.0, replace(job, loads=loads)) == []


@pytest.mark.parametrize(("watts", "holds"), [(1400.0, True), (1410.0, False)])
def test_no_load_larger_than_the_panels(watts: float, holds: bool) -> None:
    """1340 W of panels, 1407 W at their best."""
    assert planned(NAME)[1].layout.watts == 1340.0
    job = planned(NAME)[0]
    loads = tuple(replace(load, power_w=watts) if load.name == "alarm" else load for load in job.loads)
    assert found("alarm", 6, 0.1, replace(job, loads=loads)) == ([] if holds else ["energy-load"])


def test_no_longer_than_the_harvest_lasts() -> None:
    job, plan = planned(NAME)
    june = energy_of(plan).months[5]
    most = 1.1 * (june.harvest_wh_day + june.portable_wh_day) / 1000.0 + 0.1
    loads = tuple(replace(load, power_w=1000.0) if load.name == "alarm" else load for load in job.loads)
    assert found("alarm", 6, most - 0.01, replace(job, loads=loads)) == []
    assert found("alarm", 6, most + 0.01, replace(job, loads=loads)) == ["energy-load"]
