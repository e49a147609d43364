"""Light on facets: geometry by hand, symmetry, and the sums by direction."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rooflayout.energy.on_facet import direction_wh, headings_deg, incidence_cosine, on_facet
from rooflayout.energy.shade import shade_table
from rooflayout.energy.sky import SkyHours, of_months
from rooflayout.energy.sun import mean_days
from rooflayout.job import Facet, Job, PanelModel, PanelRules, Site

SQUARE = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0), (0.0, 1000.0))
LEVEL = Facet("level", SQUARE)


def job_of(*facets: Facet, heading: float | None = None) -> Job:
    return Job("", facets, PanelRules((PanelModel("m", 500, 500, 100),)), site=Site(45.0, 9.0, heading))


def one_sun(altitude: float, azimuth: float, dni: float = 800.0, dhi: float = 100.0) -> SkyHours:
    def one(value: float) -> np.ndarray:
        return np.array([value])

    return SkyHours(
        np.array([6]), np.array([0]), one(30.0), one(altitude), one(azimuth), one(dni), one(dhi), one(20.0)
    )


def year() -> SkyHours:
    return of_months(
        [4.0] * 12, [[1.6, 3.0, 4.2, 5.2, 6.0]] * 12, [15.0] * 12, mean_days(45.0, 9.0), albedo=0.2
    )


def test_a_level_facet_has_the_light_of_the_level_whichever_way_it_stands() -> None:
    sky = year()
    sun = on_facet(job_of(LEVEL), LEVEL, sky)
    assert sun.beam_w_m2.shape == (12, len(sky.month))
    for row in sun.beam_w_m2 + sun.diffuse_w_m2:
        assert row == pytest.approx(sky.ghi_w_m2)


def test_a_slope_that_faces_the_sun_squarely_takes_all_of_the_beam() -> None:
    facet = Facet("slope", SQUARE, 30.0, 180.0)
    sun = on_facet(job_of(facet), facet, one_sun(60.0, 180.0))
    half_seen = (1.0 + math.cos(math.radians(30.0))) / 2.0
    ground = 0.2 * (800.0 * math.sin(math.radians(60.0)) + 100.0) * (1.0 - half_seen)
    assert sun.beam_w_m2[0, 0] == pytest.approx(800.0)
    assert sun.diffuse_w_m2[0, 0] == pytest.approx(100.0 * half_seen + ground)


def test_a_slope_that_turns_its_back_has_no_beam() -> None:
    facet = Facet("slope", SQUARE, 40.0, 0.0)
    sun = on_facet(job_of(facet), facet, one_sun(30.0, 180.0))
    assert sun.beam_w_m2[0, 0] == 0.0
    assert sun.diffuse_w_m2[0, 0] > 0.0


def test_a_front_slope_follows_the_heading() -> None:
    facet = Facet("front", SQUARE, 30.0, "+x")
    for heading in (0.0, 90.0, 200.0):
        sun = on_facet(job_of(facet, heading=heading), facet, one_sun(60.0, heading))
        assert sun.beam_w_m2[0, 0] == pytest.approx(800.0)
        assert sun.bearing_from_front_deg[0, 0] == pytest.approx(0.0)


def test_left_is_counter_clockwise_from_the_front() -> None:
    facet = Facet("left", SQUARE, 30.0, "+y")  # y to the left of the front at +x
    sun = on_facet(job_of(facet, heading=90.0), facet, one_sun(60.0, 0.0))  # front east, left north
    assert sun.beam_w_m2[0, 0] == pytest.approx(800.0)
    assert sun.bearing_from_front_deg[0, 0] == pytest.approx(270.0)


def test_a_vehicle_that_parks_every_way_has_twelve_headings_and_a_house_one() -> None:
    assert headings_deg(job_of(LEVEL)) == tuple(30.0 * i for i in range(12))
    assert headings_deg(job_of(LEVEL, heading=25.0)) == (25.0,)
    assert headings_deg(job_of(LEVEL, Facet("south", SQUARE, 30.0, 180.0))) == (0.0,)


def test_a_slope_of_unknown_direction_counts_as_level() -> None:
    facet = Facet("slope", SQUARE, 30.0)
    sky = year()
    sun = on_facet(job_of(facet), facet, sky)
    assert (sun.beam_w_m2 + sun.diffuse_w_m2)[3] == pytest.approx(sky.ghi_w_m2)


def test_slopes_to_all_sides_of_a_vehicle_that_parks_every_way_yield_alike() -> None:
    sky, sums = year(), []
    for side in ("+x", "-x", "+y", "-y"):
        facet = Facet("slope", SQUARE, 25.0, side)  # type: ignore[arg-type]
        job = job_of(facet)
        sums.append(direction_wh(job, facet, sky, shade_table(job))[1])
    assert sums == pytest.approx([sums[0]] * 4, rel=1e-9)


def test_the_sums_by_direction_are_the_year() -> None:
    sky = year()
    facet = Facet("slope", SQUARE, 25.0, "+x")
    job = job_of(facet)
    table = shade_table(job)
    beam, total = direction_wh(job, facet, sky, table)
    sun = on_facet(job, facet, sky)
    assert beam.shape == (len(table.directions),)
    assert beam.sum() == pytest.approx((sun.beam_w_m2.mean(axis=0) * sky.weight_days).sum())
    everything = (sun.beam_w_m2 + sun.diffuse_w_m2).mean(axis=0)
    assert total == pytest.approx((everything * sky.weight_days).sum())


def test_the_beam_stands_where_the_sun_does() -> None:
    """One sun in the south, one heading: all beam in one direction of the table, by the front's bearing."""
    job = job_of(LEVEL, heading=90.0)
    table = shade_table(job)
    beam, _ = direction_wh(job, LEVEL, one_sun(40.0, 180.0), table)
    where = int(table.direction_of(40.0, 90.0))
    assert beam[where] == pytest.approx(800.0 * math.sin(math.radians(40.0)) * 30.0)
    assert np.delete(beam, where) == pytest.approx(0.0)


@given(st.floats(0.5, 90.0), st.floats(0.0, 360.0), st.floats(0.0, 90.0), st.floats(0.0, 360.0))
def test_the_angle_of_incidence_is_pvlibs(
    altitude: float, azimuth: float, slope: float, bearing: float
) -> None:
    found = incidence_cosine(np.array(altitude), np.array(azimuth - bearing), slope)
    expected = pvlib.irradiance.aoi_projection(slope, bearing, 90.0 - altitude, azimuth)
    assert float(found) == pytest.approx(max(float(expected), 0.0), abs=1e-9)


def test_snow_on_the_ground_helps_a_slope_and_not_the_level() -> None:
    facet = Facet("slope", SQUARE, 60.0, 180.0)
    job = job_of(facet, LEVEL)
    bare, snow = year(), replace(year(), albedo=0.7)
    for own, helps in ((facet, True), (LEVEL, False)):
        more = on_facet(job, own, snow).diffuse_w_m2.sum() - on_facet(job, own, bare).diffuse_w_m2.sum()
        assert bool(more > 1.0) is helps
