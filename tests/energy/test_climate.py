"""The packaged temperature grid against stations, and the design rules against published design values."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from rooflayout.energy import climate

# Typical-year weather files that pvlib carries: public data of the United States' national laboratories.
TYPICAL_YEARS = ["703165TY.csv", "723170TYA.CSV", "12839.tm2"]  # Sand Point, Greensboro, Miami

# 99.6 % heating and 0.4 % cooling dry-bulb temperatures in °C of ASHRAE Fundamentals 2009, from memory.
ASHRAE_2009 = {
    "Chicago O'Hare": (41.98, -87.92, -20.0, 33.3),
    "Miami": (25.82, -80.30, 8.7, 33.2),
    "Phoenix": (33.44, -111.99, 3.7, 43.4),
}


def typical_year(name: str):
    """(latitude, longitude, hourly air temperatures in °C with their time)."""
    pvlib = pytest.importorskip("pvlib")
    path = Path(pvlib.__file__).parent / "data" / name
    if name.endswith(".tm2"):
        frame, about = pvlib.iotools.read_tmy2(path)
        return about["latitude"], about["longitude"], frame["DryBulb"] / 10.0
    frame, about = pvlib.iotools.read_tmy3(path, map_variables=True)
    return about["latitude"], about["longitude"], frame["temp_air"]


@pytest.mark.parametrize("name", TYPICAL_YEARS)
def test_monthly_means_agree_with_stations(name: str) -> None:
    """A typical year is twelve single months, a grid cell is 100 km wide: 2 K apart is as good as it gets."""
    latitude_deg, longitude_deg, air_c = typical_year(name)
    station_c = air_c.groupby(air_c.index.month).mean().to_numpy()
    apart_k = station_c - np.array(climate.monthly_mean_c(latitude_deg, longitude_deg))
    assert abs(apart_k.mean()) < 1.2
    assert np.sqrt((apart_k**2).mean()) < 2.0


@pytest.mark.parametrize("name", TYPICAL_YEARS)
def test_design_values_agree_with_typical_years(name: str) -> None:
    """Within twice the rules' own rmse; the coldest carries 3 K on top of the 99.6 % value."""
    latitude_deg, longitude_deg, air_c = typical_year(name)
    coldest_c = climate.coldest_design_c(latitude_deg, longitude_deg)
    hottest_c = climate.hottest_design_c(latitude_deg, longitude_deg)
    assert coldest_c + 3.0 == pytest.approx(air_c.quantile(0.004), abs=2 * climate.COLDEST_RMSE_K)
    assert hottest_c == pytest.approx(air_c.quantile(0.996), abs=2 * climate.HOTTEST_RMSE_K)


@pytest.mark.parametrize("station", ASHRAE_2009)
def test_design_values_agree_with_the_handbook(station: str) -> None:
    latitude_deg, longitude_deg, heating_c, cooling_c = ASHRAE_2009[station]
    coldest_c = climate.coldest_design_c(latitude_deg, longitude_deg)
    hottest_c = climate.hottest_design_c(latitude_deg, longitude_deg)
    assert coldest_c + 3.0 == pytest.approx(heating_c, abs=2 * climate.COLDEST_RMSE_K)
    assert hottest_c == pytest.approx(cooling_c, abs=2 * climate.HOTTEST_RMSE_K)


def test_a_grid_point_is_its_own_value() -> None:
    grid_c = climate._grid_c()
    assert climate.monthly_mean_c(41.0, 1.0) == pytest.approx(tuple(grid_c[:, 49, 1]))
    assert climate.monthly_mean_c(-34.0, -58.0) == pytest.approx(tuple(grid_c[:, 124, 302]))


def test_between_grid_points_it_is_bilinear() -> None:
    corners = [climate.monthly_mean_c(*at)[0] for at in ((41, 1), (41, 2), (40, 1), (40, 2))]
    nw, ne, sw, se = corners
    expected_c = (nw * 0.7 + ne * 0.3) * 0.25 + (sw * 0.7 + se * 0.3) * 0.75
    assert climate.monthly_mean_c(40.25, 1.3)[0] == pytest.approx(expected_c)


def test_the_coldest_month_of_grid_points() -> None:
    """Rows by latitude, columns by longitude, any way round; the southern winter is July."""
    found = climate.coldest_month_c(np.array([41.0, -34.0]), np.array([1.0, -58.0]))
    for row, latitude_deg in enumerate((41.0, -34.0)):
        for column, longitude_deg in enumerate((1.0, 302.0)):
            months_c = climate.monthly_mean_c(latitude_deg, longitude_deg)
            assert found[row, column] == pytest.approx(min(months_c))


def test_longitude_wraps() -> None:
    assert climate.monthly_mean_c(52.3, -4.25) == pytest.approx(climate.monthly_mean_c(52.3, 355.75))
    assert climate.monthly_mean_c(52.3, 364.0) == pytest.approx(climate.monthly_mean_c(52.3, 4.0))
    near_c, across_c = climate.monthly_mean_c(52.0, 359.999)[6], climate.monthly_mean_c(52.0, 0.001)[6]
    assert near_c == pytest.approx(across_c, abs=0.02)
    assert climate.monthly_mean_c(52.0, -1e-18) == pytest.approx(climate.monthly_mean_c(52.0, 0.0))


@pytest.mark.parametrize("latitude_deg", [90.0, -90.0])
def test_the_poles_are_cold_from_every_side(latitude_deg: float) -> None:
    sides = {round(climate.coldest_design_c(latitude_deg, lon), 1) for lon in (0.0, 90.5, 359.5)}
    assert len(sides) == 1
    assert sides.pop() < -35.0


def test_southern_winter_is_in_july() -> None:
    months_c = climate.monthly_mean_c(-41.0, 147.0)  # Tasmania
    assert min(months_c) in months_c[5:8]


def test_design_rules_by_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(climate, "monthly_mean_c", lambda *_: (-10.0, *[5.0] * 6, 20.0, *[5.0] * 4))
    assert climate.coldest_design_c(0, 0) == pytest.approx(1.19 * -10 - 13)
    assert climate.hottest_design_c(0, 0) == pytest.approx(0.978 * 20 + 0.062 * 30 + 7.0)


@pytest.mark.parametrize("latitude_deg", [90.01, -91.0, float("nan")])
def test_beyond_the_pole_is_refused(latitude_deg: float) -> None:
    with pytest.raises(ValueError, match="latitude must lie between"):
        climate.monthly_mean_c(latitude_deg, 0.0)
