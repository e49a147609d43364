"""Where the design temperatures come from."""

from __future__ import annotations

import pytest

from rooflayout.energy.climate import coldest_design_c, hottest_design_c
from rooflayout.job import Site
from rooflayout.wiring.limits import flush_cell_c
from rooflayout.wiring.temperatures import design_temperatures

DELTA = (40.72, 0.72)


def test_given_temperatures_are_used_as_given() -> None:
    found = design_temperatures(Site(*DELTA, coldest_c=-5.0, hottest_c=42.0))
    assert (found.coldest_cell_c, found.hottest_air_c) == (-5.0, 42.0)
    assert found.hottest_cell_c == flush_cell_c(42.0)
    assert found.coldest_source == found.hottest_source == "given in the job"


def test_zero_degrees_given_is_not_blank() -> None:
    assert design_temperatures(Site(coldest_c=0.0)).coldest_cell_c == 0.0


def test_estimate_from_the_place_is_rounded_outwards_and_marked() -> None:
    found = design_temperatures(Site(*DELTA))
    assert 0.0 <= coldest_design_c(*DELTA) - found.coldest_cell_c < 1.0
    assert 0.0 <= found.hottest_air_c - hottest_design_c(*DELTA) < 1.0
    assert found.coldest_cell_c == int(found.coldest_cell_c)
    assert found.hottest_air_c == int(found.hottest_air_c)
    for source in (found.coldest_source, found.hottest_source):
        assert source.startswith("estimated from ")
        assert source.endswith(": check")
        assert "latitude 40.72, longitude 0.72" in source


def test_one_given_the_other_estimated() -> None:
    found = design_temperatures(Site(*DELTA, coldest_c=-8.0))
    assert found.coldest_source == "given in the job"
    assert found.hottest_source.startswith("estimated from ")


@pytest.mark.parametrize("site", [None, Site(), Site(latitude_deg=40.0), Site(heading_deg=90.0)])
def test_without_a_place_they_are_assumed_and_say_so(site: Site | None) -> None:
    found = design_temperatures(site)
    assert (found.coldest_cell_c, found.hottest_air_c) == (-20.0, 45.0)
    assert found.coldest_source == found.hottest_source == "assumed; not given in the job"
    assert found.hottest_cell_c == pytest.approx(94.46, abs=0.01)
