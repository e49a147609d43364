"""The example catalogues are invented; the figures must still be those of panels that could exist.

Ranges for today's crystalline panels: 190 to 235 W/m2, Voc -0.24 to -0.29 %/K, power -0.29 to -0.36 %/K,
glass panels 10.5 to 12.5 kg/m2, flexible ones 2.5 to 4 (all from memory). Vmp/Voc 0.787 to 0.836 and
Imp/Isc 0.902 to 0.960 are the middle 90 % of the 20 946 crystalline panels of 2018 in the list that
pvlib carries (computed); newer cells reach 0.85.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from rooflayout.wiring import limits

CATALOGUES = Path(__file__).parents[2] / "roofs" / "catalogue"


def rows(name: str) -> list[dict[str, str]]:
    with (CATALOGUES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


PANELS = rows("panels.csv")
CONTROLLERS = rows("controllers.csv")


def model(row: dict[str, str]) -> str:
    return row["model"]


def number(row: dict[str, str], column: str) -> float:
    return float(row[column])


def area_m2(row: dict[str, str]) -> float:
    return number(row, "length_mm") * number(row, "width_mm") / 1e6


def is_flexible(row: dict[str, str]) -> bool:
    return "flexible" in row["model"]


def test_the_catalogues_are_broad_enough() -> None:
    assert len({model(row) for row in PANELS}) == len(PANELS) >= 14
    assert len({model(row) for row in CONTROLLERS}) == len(CONTROLLERS) >= 12
    watts = [number(row, "power_w") for row in PANELS]
    assert (min(watts), max(watts)) == (60, 440)
    shapes = [number(row, "length_mm") / number(row, "width_mm") for row in PANELS]
    assert max(shapes) > 3.5
    assert min(shapes) == 1.0
    assert sum(is_flexible(row) for row in PANELS) >= 2
    assert {row["turnable"] for row in PANELS} == {"", "no"}
    assert any(row["stock"] for row in PANELS)
    assert not all(row["stock"] for row in PANELS)
    assert {row["trackers"] for row in CONTROLLERS} == {"1", "2"}
    assert {number(row, "max_pv_v") for row in CONTROLLERS} == {75, 100, 150, 250}
    charge_a = [number(row, "max_charge_a") for row in CONTROLLERS]
    assert (min(charge_a), max(charge_a)) == (10, 100)


@pytest.mark.parametrize("row", PANELS, ids=model)
def test_watts_are_voltage_times_current(row: dict[str, str]) -> None:
    product_w = number(row, "vmp_v") * number(row, "imp_a")
    assert product_w == pytest.approx(number(row, "power_w"), rel=0.01)
    assert 0.80 <= number(row, "vmp_v") / number(row, "voc_v") <= 0.85
    assert 0.92 <= number(row, "imp_a") / number(row, "isc_a") <= 0.96


@pytest.mark.parametrize("row", PANELS, ids=model)
def test_watts_and_mass_suit_the_size(row: dict[str, str]) -> None:
    w_m2, kg_m2 = number(row, "power_w") / area_m2(row), number(row, "mass_kg") / area_m2(row)
    thickness_mm = number(row, "thickness_mm")
    if is_flexible(row):
        assert 190 <= w_m2 <= 215
        assert 2.5 <= kg_m2 <= 4.0
        assert thickness_mm <= 4
    else:
        assert 190 <= w_m2 <= 235
        assert 10.5 <= kg_m2 <= 12.5
        assert 25 <= thickness_mm <= 40
    assert number(row, "length_mm") >= number(row, "width_mm")


@pytest.mark.parametrize("row", PANELS, ids=model)
def test_coefficients_and_ratings_are_those_of_silicon(row: dict[str, str]) -> None:
    assert -0.29 <= number(row, "voc_pct_per_k") <= -0.24
    assert 0.04 <= number(row, "isc_pct_per_k") <= 0.05
    assert -0.36 <= number(row, "power_pct_per_k") <= -0.29
    assert number(row, "max_series_fuse_a") >= limits.design_isc_a(number(row, "isc_a"))
    assert number(row, "max_system_v") in (600, 1000, 1500)
    assert 0.4 <= number(row, "price") / number(row, "power_w") <= 2.0


@pytest.mark.parametrize("row", PANELS, ids=model)
def test_the_diode_model_agrees_on_the_cold_voltage(row: dict[str, str]) -> None:
    """pvlib's single-diode model fitted to the row: Voc at -20 °C within 1 % of the straight line."""
    pvlib = pytest.importorskip("pvlib")
    voc_v, isc_a = number(row, "voc_v"), number(row, "isc_a")
    fit = pvlib.ivtools.sdm.fit_desoto_batzelis(
        number(row, "vmp_v"),
        number(row, "imp_a"),
        voc_v,
        isc_a,
        number(row, "isc_pct_per_k") / 100 * isc_a,
        number(row, "voc_pct_per_k") / 100 * voc_v,
    )
    five = pvlib.pvsystem.calcparams_desoto(1000.0, -20.0, **fit)
    diode_v = float(pvlib.pvsystem.singlediode(*five)["v_oc"])
    line_v = voc_v * (1 + number(row, "voc_pct_per_k") / 100 * -45)
    assert line_v == pytest.approx(diode_v, rel=0.01)


@pytest.mark.parametrize("row", PANELS, ids=model)
def test_panels_of_36_cells_have_two_bypass_diodes_and_larger_ones_three(row: dict[str, str]) -> None:
    """36 cells in series have an open-circuit voltage below 25 V (common practice, no source)."""
    assert number(row, "bypass_sections") == (2 if number(row, "voc_v") < 25 else 3)


@pytest.mark.parametrize("row", CONTROLLERS, ids=model)
def test_controllers_could_be_built(row: dict[str, str]) -> None:
    assert {float(v) for v in row["battery_v"].split()} <= {12, 24, 36, 48}
    assert 2 <= number(row, "start_above_battery_v") <= 5
    assert 95 <= number(row, "efficiency_pct") <= 98
    # an input that could not carry the charge current would be an odd thing to sell
    inputs_a = number(row, "trackers") * number(row, "max_pv_isc_a")
    assert inputs_a > number(row, "max_charge_a") * 0.9
    assert number(row, "mass_kg") > 0
    assert number(row, "price") > 0


def test_more_charge_current_costs_more() -> None:
    single = [row for row in CONTROLLERS if row["trackers"] == "1"]
    by_current = sorted(single, key=lambda row: number(row, "max_charge_a"))
    prices = [number(row, "price") for row in by_current]
    assert prices == sorted(prices)
