"""Worked examples and tables from outside, each through our own functions.

The values, where each stands and how it is known are in checks.json beside this file; `adapted`
there says what had to be converted. Left out of the references' electrical examples: the Faiman cell
temperature (another model, other wind and sun than ours).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from rooflayout.job import Battery, ControllerModel, PanelModel
from rooflayout.wiring import limits

FILE = json.loads((Path(__file__).parent / "checks.json").read_text(encoding="utf-8"))
CHECKS = {check["id"]: check for check in FILE["checks"]}


def check(name: str) -> tuple[dict[str, Any], Any, Any]:
    """(inputs, expected, absolute tolerance) of a check."""
    return CHECKS[name]["inputs"], CHECKS[name]["expected"], CHECKS[name]["tolerance_abs"]


def panel(
    voc_v: float = 40.0,
    vmp_v: float = 33.0,
    isc_a: float = 10.0,
    voc_pct_per_k: float | None = None,
    vmp_pct_per_k: float | None = None,
    max_series_fuse_a: float | None = None,
) -> PanelModel:
    """A panel whose Vmp coefficient is as given: the power coefficient, with no current coefficient."""
    return PanelModel(
        model="published",
        length_mm=1700,
        width_mm=1000,
        power_w=330,
        voc_v=voc_v,
        vmp_v=vmp_v,
        isc_a=isc_a,
        imp_a=9.5,
        voc_pct_per_k=voc_pct_per_k,
        isc_pct_per_k=0.0,
        power_pct_per_k=vmp_pct_per_k,
        max_series_fuse_a=max_series_fuse_a,
    )


def controller(
    max_pv_v: float = 1000.0,
    max_pv_isc_a: float = 60.0,
    max_charge_a: float = 100.0,
    efficiency_pct: float = 100.0,
) -> ControllerModel:
    return ControllerModel(
        model="published",
        max_pv_v=max_pv_v,
        max_pv_isc_a=max_pv_isc_a,
        max_charge_a=max_charge_a,
        battery_v=(12.0, 24.0, 48.0),
        efficiency_pct=efficiency_pct,
    )


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


@pytest.mark.parametrize("row", FILE["cold_factors"]["rows"], ids=lambda row: str(row["t_to"]))
def test_cold_factor_table(row: dict[str, float]) -> None:
    for coldest_c in range(int(row["t_to"]), int(row["t_from"]) + 1):
        assert limits.cold_factor(coldest_c) == row["factor"]


@pytest.mark.parametrize("row", FILE["cold_factors"]["rows"][:10], ids=lambda row: str(row["t_to"]))
def test_cold_factor_table_is_four_per_mille_per_kelvin(row: dict[str, float]) -> None:
    """The regularity of the printed table down to -25 °C, a guard against a slip of memory."""
    assert limits.cold_factor(row["t_to"]) == pytest.approx(1 + 0.004 * (25 - row["t_to"]))


@pytest.mark.parametrize("name", ["vmp-55C", "vmp-70C"])
def test_hot_vmp_from_volts_per_kelvin(name: str) -> None:
    given, expected, tolerance = check(name)
    module = panel(vmp_v=given["vmp"], vmp_pct_per_k=100 * given["beta_V_per_K"] / given["vmp"])
    assert limits.hot_vmp_v(module, given["t_cell"]) == pytest.approx(expected, abs=tolerance)


def test_hot_string_from_per_cent() -> None:
    given, (one_v, string_v), (one_tolerance, string_tolerance) = check("vmp-45C")
    module = panel(vmp_v=given["vmp"], vmp_pct_per_k=given["beta_pct"])
    vmp_v = limits.hot_vmp_v(module, given["t_cell"])
    assert vmp_v == pytest.approx(one_v, abs=one_tolerance)
    assert given["ns"] * vmp_v == pytest.approx(string_v, abs=string_tolerance)


def test_cold_voc_from_volts_per_kelvin() -> None:
    given, expected, tolerance = check("voc-0C")
    module = panel(voc_v=given["voc"], voc_pct_per_k=100 * given["beta_V_per_K"] / given["voc"])
    assert limits.cold_voc_v(module, given["t_cell"]) == pytest.approx(expected, abs=tolerance)


def test_cold_voc_from_per_cent() -> None:
    given, expected, tolerance = check("voc-m5C")
    module = panel(voc_v=given["voc"], voc_pct_per_k=given["beta_pct"])
    assert limits.cold_voc_v(module, given["t_cell"]) == pytest.approx(expected, abs=tolerance)


def test_series_count() -> None:
    given, expected, _ = check("ns-max-1000V")
    module = panel(voc_v=given["voc"], voc_pct_per_k=given["beta_pct"])
    assert limits.most_in_series(module, controller(max_pv_v=given["v_limit"]), given["t_min"]) == expected


def test_cold_string_by_the_table() -> None:
    given, expected, tolerance = check("nec-15x35")
    module = panel(voc_v=given["voc"])
    for fahrenheit in given["t_min_F"]:
        string_v = given["ns"] * limits.cold_voc_v(module, celsius(fahrenheit))
        assert string_v == pytest.approx(expected, abs=tolerance)
    # the example's point: 525 V nominal, yet above a 600 V limit
    assert limits.most_in_series(module, controller(max_pv_v=600.0), celsius(-4)) < given["ns"]


def test_current_factor() -> None:
    given, (design_a, cable_a), _ = check("isc-1.25")
    assert limits.design_isc_a(given["isc"]) == design_a
    assert limits.CURRENT_FACTOR * limits.design_isc_a(given["isc"]) == cable_a


def test_parallel_count() -> None:
    given, expected, _ = check("par-max")
    module, tracker = panel(isc_a=given["isc"]), controller(max_pv_isc_a=given["max_pv_isc_a"])
    assert limits.most_in_parallel(module, tracker) == expected


@pytest.mark.parametrize("name", ["fuse-2", "fuse-3", "fuse-3-exempt"])
def test_string_fuses(name: str) -> None:
    given, expected, _ = check(name)
    module = panel(isc_a=given["isc"], max_series_fuse_a=given["max_series_fuse"])
    assert limits.needs_string_fuses(module, given["n_parallel"]) is expected


def test_voc_of_hot_cells() -> None:
    given, expected, tolerance = check("masters-64C")
    module = panel(voc_v=given["voc"], voc_pct_per_k=given["kvoc_pct"])
    assert limits.cold_voc_v(module, expected["tcell"]) == pytest.approx(expected["voc"], abs=tolerance[1])


def test_flush_cell_temperature() -> None:
    given, expected, tolerance = check("close-roof")
    assert (given["g"], given["ws"]) == (limits.FULL_SUN_W_M2, limits.LIGHT_WIND_M_S)
    assert limits.flush_cell_c(given["t_amb"]) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize("name", ["masters-64C", "exam-noct", "ross"])
def test_flush_cells_are_hotter_than_rack_mounted_ones(name: str) -> None:
    """Handbook examples on open racks, same air and 1000 W/m2: a flush panel runs 10 to 25 K hotter."""
    given, expected, _ = check(name)
    rack_c = expected["tcell"] if isinstance(expected, dict) else expected
    assert given["g"] == limits.FULL_SUN_W_M2
    assert 10.0 < limits.flush_cell_c(given["t_amb"]) - rack_c < 25.0


def test_clipping() -> None:
    given, expected, tolerance = check("clip")
    tracker = controller(max_charge_a=given["i_limit"], efficiency_pct=100 * given["eff"])
    battery = Battery(12.0, given["v_batt"])
    assert 1000.0 - limits.clipped_w(1000.0, tracker, battery) == pytest.approx(
        expected["p_in_max"], abs=tolerance
    )
    output_w = limits.charge_a(1000.0, tracker, battery) * battery.charge_v
    assert output_w == pytest.approx(expected["p_out_max"], abs=tolerance)


def test_charge_current() -> None:
    given, expected, tolerance = check("overpanel-1000W-24V")
    battery = Battery(24.0, given["v"])
    assert limits.charge_a(given["p"], controller(), battery) == pytest.approx(expected, abs=tolerance)


def test_every_check_of_the_file_is_used() -> None:
    text = Path(__file__).read_text(encoding="utf-8")
    assert [name for name in CHECKS if f'"{name}"' not in text] == []
