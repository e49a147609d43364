"""The three examples say what they need, each in its own way, and are read without a note."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.job import Job
from rooflayout.survey.read import read_job

ROOFS = Path(__file__).parents[2] / "roofs"


def _job(name: str) -> Job:
    job, notes = read_job(ROOFS / f"{name}.toml")
    assert notes == ()
    return job


@pytest.mark.parametrize("name", ["ringing-trailer", "canal-boat", "mountain-hut"])
def test_example_has_loads_of_every_kind_and_obstacles_with_heights(name: str) -> None:
    job = _job(name)
    assert job.battery is not None
    assert job.battery.chemistry is not None
    assert job.battery.capacity_ah is not None
    assert {load.inverter for load in job.loads} == {True, False}
    assert {load.power_w is None for load in job.loads} == {True, False}
    assert len({load.months for load in job.loads}) > 1
    assert job.inverter.idle_w > 0
    assert all(obstacle.height_mm is not None for obstacle in job.obstacles)


def test_the_trailer_parks_every_way_and_its_masses_go_together() -> None:
    job = _job("ringing-trailer")
    assert job.site is not None
    assert job.site.heading_deg is None
    vehicle = job.vehicle
    assert vehicle is not None
    assert vehicle.kind == "trailer"
    assert vehicle.coupling_kg is not None
    assert vehicle.axle_kg is not None
    assert vehicle.coupling_kg + vehicle.axle_kg == vehicle.mass_kg
    assert not any("air-conditioner" in load.name for load in job.loads)


def test_the_boat_can_heel_and_the_hut_stands() -> None:
    boat, hut = _job("canal-boat"), _job("mountain-hut")
    assert boat.vehicle is not None
    assert boat.vehicle.displacement_kg is not None
    assert boat.vehicle.metacentric_height_mm is not None
    assert (hut.vehicle, hut.driving) == (None, None)
    assert hut.site is not None
    assert hut.site.heading_deg == 25
