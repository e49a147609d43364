"""The packaged grid of the sun: read aright, between cells, at its edges and in the dark."""

from __future__ import annotations

import math
from importlib import resources

import numpy as np
import pytest

from rooflayout.energy import sun_grid
from rooflayout.energy.climate import coldest_month_c, monthly_mean_c
from rooflayout.energy.outside import outside_by_month
from rooflayout.energy.sun_grid import GridSun, grid_sun, usual_spread


def at(latitude_deg: float, longitude_deg: float) -> GridSun:
    found = grid_sun(latitude_deg, longitude_deg)
    assert found is not None
    return found


def factor(latitude_deg: float, longitude_deg: float) -> float:
    """What the grid's sun is multiplied with at a place, by its coldest month."""
    return math.exp(-0.164 + 0.0067 * max(min(monthly_mean_c(latitude_deg, longitude_deg)), 0.0))


def clearness(latitude_deg: float, longitude_deg: float) -> np.ndarray:
    """Of the twelve months, before the correction; 0 where it stays dark."""
    outside = np.array(outside_by_month(latitude_deg)) * factor(latitude_deg, longitude_deg)
    return np.array(at(latitude_deg, longitude_deg).mean_kwh_m2_day) / np.where(outside > 0.0, outside, 1.0)


def cells() -> dict[str, np.ndarray]:
    source = resources.files("rooflayout.energy").joinpath("data", sun_grid.GRID_FILE)
    with source.open("rb") as file, np.load(file) as data:
        return {key: data[key] for key in data}


@pytest.mark.parametrize(
    ("place", "factor"), [((48, 9), 0.8487), ((45, 9), 0.8695), ((0, 24), 1.0002)], ids=str
)
def test_on_a_cell_it_is_the_files_value_corrected(place: tuple[int, int], factor: float) -> None:
    """July. By hand: exp(-0.164) in frost, exp(-0.164 + 0.0067 x 3.6) and x 24.5 at 3.6 and 24.5 °C."""
    data = cells()
    row, column = list(data["lat"]).index(place[0]), list(data["lon"]).index(place[1])
    found = at(*place)
    assert found.away_km is None
    kwh = {key: data[key][row, column, 6] / 100 * factor for key in data if key not in ("lat", "lon")}
    assert found.mean_kwh_m2_day[6] == pytest.approx(kwh["mean"], rel=2e-4)
    low, middle, high = kwh["p25"], kwh["p50"], kwh["p75"]
    thirty, seventy = low + (middle - low) / 5, high - (high - middle) / 5
    quantiles = kwh["p10"], thirty, middle, seventy, kwh["p90"]
    assert found.quantiles_kwh_m2_day[6] == pytest.approx(quantiles, rel=2e-4)


def test_between_cells_the_clearness_is_bilinear() -> None:
    nw, ne, sw, se = (clearness(*p) for p in ((51, 9), (51, 12), (48, 9), (48, 12)))
    expected = 0.25 * (0.4 * nw + 0.6 * ne) + 0.75 * (0.4 * sw + 0.6 * se)
    assert clearness(48.75, 10.8) == pytest.approx(expected)


def test_cells_without_data_do_not_count() -> None:
    """Where three cells of four are sea the place has the clearness of the one, with its own latitude."""
    data = cells()
    empty = data["mean"][:, :, 0] == sun_grid.NO_DATA
    lone = [
        (row, column)
        for row in range(10, 38)
        for column in range(119)
        if (~empty[row : row + 2, column : column + 2]).sum() == 1 and not empty[row, column]
    ]
    row, column = lone[0]
    south, west = float(data["lat"][row]), float(data["lon"][column])
    assert at(south + 1.0, west + 1.0).away_km is None
    assert clearness(south + 1.0, west + 1.0) == pytest.approx(clearness(south, west))


def test_longitude_wraps() -> None:
    assert at(51.2, -3.1).mean_kwh_m2_day == pytest.approx(at(51.2, 356.9).mean_kwh_m2_day)
    west, east = at(66.0, 179.99).mean_kwh_m2_day, at(66.0, -179.99).mean_kwh_m2_day  # Chukotka
    assert west == pytest.approx(east, rel=0.01)


@pytest.mark.parametrize(
    ("latitude_deg", "away_km"),
    [(74.0, None), (76.0, 445.0)],  # Novaya Zemlya: within a step of the last row; 4 degrees past it
)
def test_off_the_grid_the_nearest_cell_stands_in(latitude_deg: float, away_km: float | None) -> None:
    found = at(latitude_deg, 57.0)
    assert found.away_km == (None if away_km is None else pytest.approx(away_km, abs=1.0))
    assert clearness(latitude_deg, 57.0)[3:8] == pytest.approx(clearness(72.0, 57.0)[3:8])


def test_the_distance_is_along_the_earth() -> None:
    """Praia, Cape Verde, from the cell at 15 N, 18 W: 5.51 degrees of longitude there are 592 km."""
    assert at(14.92, -23.51).away_km == pytest.approx(592.0, abs=2.0)


@pytest.mark.parametrize(
    "place",
    [
        (0.0, -150.0),
        (-50.0, -120.0),
        (21.3, -157.9),
        (38.7, -27.2),
        (-17.6, -149.5),
        (90.0, 0.0),
        (-90.0, 0.0),
    ],
    ids=["Pacific", "southern Pacific", "Honolulu", "Azores", "Tahiti", "North Pole", "South Pole"],
)
def test_far_from_all_cells_there_is_nothing(place: tuple[float, float]) -> None:
    assert grid_sun(*place) is None


@pytest.mark.parametrize(
    "place",
    [
        (-41.3, 174.8),
        (-42.9, 147.3),
        (64.1, -21.9),
        (28.1, -15.4),
        (35.9, 14.5),
        (-18.1, 178.4),
    ],
    ids=["New Zealand", "Tasmania", "Iceland", "Canaries", "Malta", "Fiji"],
)
def test_islands_that_have_data(place: tuple[float, float]) -> None:
    """Named in the reference tables, climatology.json."""
    assert at(*place).away_km is None


def test_the_polar_night_is_dark() -> None:
    found = at(69.6, 25.0)  # Finnmark
    assert found.mean_kwh_m2_day[0] == found.mean_kwh_m2_day[11] == 0.0
    assert found.quantiles_kwh_m2_day[11] == (0.0,) * 5
    assert found.mean_kwh_m2_day[5] > 3.0


@pytest.mark.parametrize("place", [(48.0, 11.0), (-33.9, 151.2), (23.0, 72.6), (5.0, -74.0), (60.2, 25.0)])
def test_quantiles_rise_and_their_mean_is_near_the_months(place: tuple[float, float]) -> None:
    found = at(*place)
    for mean, quantiles in zip(found.mean_kwh_m2_day, found.quantiles_kwh_m2_day, strict=True):
        assert list(quantiles) == sorted(quantiles)
        assert sum(quantiles) / 5 == pytest.approx(mean, rel=0.05)


def test_nothing_beats_the_sky() -> None:
    """The clearest months on earth, in the Atacama, have a mean clearness of about 0.75."""
    grid = sun_grid._grid()
    taken = sun_grid._correction(coldest_month_c(grid.latitude_deg, grid.longitude_deg))
    means = grid.clearness[..., 0] * taken[..., None]
    corrected = means[~np.isnan(means)]
    assert 0.70 < corrected.max() < 0.78
    assert corrected.min() >= 0.0


def test_the_usual_spread_is_wider_under_cloud() -> None:
    cloudy, fair, clear = (usual_spread(kt) for kt in (0.35, 0.5, 0.65))
    for spread in (cloudy, fair, clear, usual_spread(None), usual_spread(0.02), usual_spread(0.95)):
        assert sum(spread) / 5 == pytest.approx(1.0)
        assert list(spread) == sorted(spread)
    assert cloudy[4] - cloudy[0] > fair[4] - fair[0] > clear[4] - clear[0] > 0.05


@pytest.mark.parametrize("latitude_deg", [90.5, -91.0, float("nan")])
def test_beyond_the_pole_is_refused(latitude_deg: float) -> None:
    with pytest.raises(ValueError, match="latitude must lie between"):
        grid_sun(latitude_deg, 0.0)
