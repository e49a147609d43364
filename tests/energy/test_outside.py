"""Irradiation outside the air against the handbook."""

from __future__ import annotations

import pytest

from rooflayout.energy.outside import MEAN_DAYS, outside_by_month, outside_kwh_m2_day

MJ = 3.6  # in a kWh

# MJ/m² a day. Duffie and Beckman 2013, table 1.10.1, as quoted in the unit tests of SOILWAT2 (READ).
TABLE_1_10_1 = {
    45: (12.2, 17.4, 25.1, 33.2, 39.2, 41.7, 40.4, 35.3, 27.8, 19.6, 13.3, 10.7),
    30: (21.3, 25.7, 31.5, 36.8, 40.0, 41.1, 40.4, 37.8, 33.2, 27.4, 22.2, 19.9),
    15: (29.6, 32.6, 35.9, 38.0, 38.5, 38.4, 38.3, 38.0, 36.4, 33.4, 30.1, 28.5),
    0: (36.2, 37.4, 37.8, 36.7, 34.8, 33.5, 34.0, 35.7, 37.2, 37.3, 36.3, 35.7),
    -10: (39.5, 39.3, 37.7, 34.5, 31.1, 29.2, 29.9, 32.9, 36.3, 38.5, 39.3, 39.4),
    -45: (42.8, 37.1, 28.6, 19.6, 12.9, 10.0, 11.3, 16.6, 24.9, 34.0, 41.2, 44.5),
    -60: (41.0, 32.4, 21.2, 10.9, 4.5, 2.2, 3.1, 8.0, 17.0, 28.4, 38.7, 43.7),
}


@pytest.mark.parametrize("latitude_deg", TABLE_1_10_1)
def test_the_handbooks_table(latitude_deg: int) -> None:
    found_mj = [kwh * MJ for kwh in outside_by_month(latitude_deg)]
    assert found_mj == pytest.approx(TABLE_1_10_1[latitude_deg], abs=0.45)


def test_the_handbooks_example() -> None:
    """Duffie and Beckman 2013, example 1.10.1: 43° north, 15 April, 33.8 MJ/m² (READ, as above)."""
    assert outside_kwh_m2_day(43.0, 105) * MJ == pytest.approx(33.8, abs=0.1)


def test_the_polar_night_is_dark_and_its_day_long() -> None:
    north, south = outside_by_month(80.0), outside_by_month(-80.0)
    assert north[0] == north[11] == 0.0
    assert south[5] == south[6] == 0.0
    assert north[5] > outside_kwh_m2_day(0.0, MEAN_DAYS[5])


@pytest.mark.parametrize("latitude_deg", [90.0, -90.0])
def test_the_poles_have_sun_in_half_the_months(latitude_deg: float) -> None:
    lit = [kwh > 0.0 for kwh in outside_by_month(latitude_deg)]
    assert lit[3:8] == [latitude_deg > 0] * 5  # April to August
    assert lit[9:] + lit[:2] == [latitude_deg < 0] * 5
