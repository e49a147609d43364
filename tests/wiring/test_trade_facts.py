"""Facts of the trade on 12 V batteries: common practice, no source.

An 800 W array wires onto a 60 A controller and a 300 W array onto a 20 A one. The panels and
controllers are rows of the example catalogues, copied here so that the catalogues may grow.
"""

from __future__ import annotations

import pytest

from rooflayout.job import Battery, ControllerModel, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.misses import misses

BATTERY = Battery(nominal_v=12.0, charge_v=14.4)
SUMMER_AND_FROST = Temperatures(
    coldest_cell_c=-10.0,
    coldest_source="test",
    hottest_air_c=40.0,
    hottest_cell_c=limits.flush_cell_c(40.0),
    hottest_source="test",
)

CURLEW_200 = PanelModel(
    model="Curlew 200",
    length_mm=1480,
    width_mm=670,
    power_w=200,
    voc_v=24.3,
    vmp_v=20.4,
    isc_a=10.35,
    imp_a=9.80,
    voc_pct_per_k=-0.26,
    isc_pct_per_k=0.045,
    power_pct_per_k=-0.33,
)
TERN_150 = PanelModel(
    model="Tern 150",
    length_mm=1260,
    width_mm=575,
    power_w=150,
    voc_v=45.5,
    vmp_v=38.1,
    isc_a=4.17,
    imp_a=3.94,
    voc_pct_per_k=-0.26,
    isc_pct_per_k=0.045,
    power_pct_per_k=-0.33,
)
WILLOW_60 = ControllerModel(
    model="Willow 60",
    max_pv_v=150,
    max_pv_isc_a=65,
    max_charge_a=60,
    battery_v=(12, 24, 36, 48),
    start_above_battery_v=3,
    efficiency_pct=97,
)
REED_20 = ControllerModel(
    model="Reed 20",
    max_pv_v=100,
    max_pv_isc_a=25,
    max_charge_a=20,
    battery_v=(12, 24),
    start_above_battery_v=4,
    efficiency_pct=97,
)


def wireable_counts(panel: PanelModel, controller: ControllerModel) -> set[int]:
    """How many panels of the model a single tracker takes as equal strings."""
    assert limits.serves_battery(controller, BATTERY)
    least = limits.least_in_series(panel, controller, BATTERY, SUMMER_AND_FROST.hottest_cell_c)
    most = limits.most_in_series(panel, controller, SUMMER_AND_FROST.coldest_cell_c)
    strings = limits.most_in_parallel(panel, controller)
    return {s * p for s in range(least, most + 1) for p in range(1, strings + 1)}


@pytest.mark.parametrize(
    ("panel", "count", "controller", "array_w", "most_clipped_pct"),
    [
        (CURLEW_200, 4, WILLOW_60, 800, 5.0),
        (TERN_150, 2, REED_20, 300, 15.0),
    ],
    ids=["800 W on 60 A", "300 W on 20 A"],
)
def test_the_array_wires_onto_the_controller_with_little_clipped(
    panel: PanelModel, count: int, controller: ControllerModel, array_w: float, most_clipped_pct: float
) -> None:
    assert count * panel.power_w == array_w
    assert misses(panel, controller, BATTERY, SUMMER_AND_FROST) == []
    assert count in wireable_counts(panel, controller)
    clipped_pct = 100 * limits.clipped_w(array_w, controller, BATTERY) / array_w
    assert 0.0 <= clipped_pct < most_clipped_pct


def test_far_too_small_a_controller_clips_much() -> None:
    """800 W on 20 A: the controller passes not even half, so the bounds above can fail."""
    assert limits.clipped_w(800, REED_20, BATTERY) / 800 > 0.5


def test_a_panel_for_12_v_does_not_charge_alone_on_a_hot_flush_roof() -> None:
    """36 cells: 20 V on the label, 15 V at 89 °C; so such panels go two in series onto a tracker."""
    assert limits.hot_vmp_v(CURLEW_200, SUMMER_AND_FROST.hottest_cell_c) < 16.0
    assert min(wireable_counts(CURLEW_200, WILLOW_60)) == 2
