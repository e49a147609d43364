"""The electrical limits of a string on a tracker, one rule a function.

Voltages in V, currents in A, powers in W, temperatures in °C, coefficients in % per K of the value
at standard test conditions (STC: 1000 W/m², 25 °C cells). An equality passes: each limit has a
relative tolerance of 1e-9, so that arithmetic in binary never costs a panel.

Functions that need a figure which the catalogue leaves blank raise ValueError naming it.
"""

from __future__ import annotations

import math

from rooflayout.job import Battery, ControllerModel, PanelModel

TOLERANCE = 1e-9
STC_CELL_C = 25.0

# NEC 690.7(A), from memory; AS/NZS 5033 prints the same. Lower end of the row in °C, factor on Voc.
COLD_FACTORS = (
    (25, 1.00),
    (20, 1.02),
    (15, 1.04),
    (10, 1.06),
    (5, 1.08),
    (0, 1.10),
    (-5, 1.12),
    (-10, 1.14),
    (-15, 1.16),
    (-20, 1.18),
    (-25, 1.20),
    (-30, 1.21),
    (-35, 1.23),
    (-40, 1.25),
)

# Sandia array performance model (King and others 2004), glass/glass panel mounted close to the roof.
CLOSE_MOUNT_A = -2.98
CLOSE_MOUNT_B_S_PER_M = -0.0471
CLOSE_MOUNT_DELTA_K = 1.0
# The same model, glass/glass panel on an open rack: air behind it.
OPEN_RACK_A = -3.47
OPEN_RACK_B_S_PER_M = -0.0594
OPEN_RACK_DELTA_K = 3.0
FULL_SUN_W_M2 = 1000.0
LIGHT_WIND_M_S = 1.0

# Where a catalogue row leaves them blank. -0.50: median of power minus current coefficient over the
# 20 946 crystalline panels of the California list that pvlib carries is -0.508 (computed); newer
# cells fall more slowly, so it errs to the safe side. 0.05: the median there is 0.051 (computed).
USUAL_VMP_PCT_PER_K = -0.50
USUAL_ISC_PCT_PER_K = 0.05

CURRENT_FACTOR = 1.25  # IEC 62548 and AS/NZS 5033 (from memory); NEC 690.8(A): sun above 1000 W/m²

NEVER_IN_SERIES = 1_000_000  # least_in_series when heat leaves no voltage at all


def cold_factor(coldest_c: float) -> float:
    """Factor on Voc at the coldest temperature in °C, for a panel without a coefficient of its own.

    Source: table 690.7(A) of NEC (from memory). Between two rows the colder one counts; below the
    table's -40 °C 0.4 % per K goes on; at 25 °C and above it is 1.
    """
    for row_low_c, factor in COLD_FACTORS:
        if coldest_c >= row_low_c:
            return factor
    return 1.0 + 0.004 * (STC_CELL_C - coldest_c)


def cold_voc_v(panel: PanelModel, coldest_c: float) -> float:
    """Open-circuit voltage in V of one panel with its cells at coldest_c.

    By the panel's own coefficient (IEC 62548, from memory: linear in temperature), else by cold_factor.
    """
    voc_v = _figure(panel, "voc_v", panel.voc_v)
    if panel.voc_pct_per_k is None:
        return voc_v * cold_factor(coldest_c)
    return voc_v * (1.0 + panel.voc_pct_per_k / 100.0 * (coldest_c - STC_CELL_C))


def flush_cell_c(air_c: float) -> float:
    """Cell temperature in °C of a panel lying flush on a roof at noon: 1000 W/m², wind of 1 m/s.

    Source: Sandia array performance model, constants of a glass/glass panel on a close roof mount;
    40 °C air gives 89.46 °C. A panel with an insulated back gets 8 K hotter still.
    """
    back_c = air_c + FULL_SUN_W_M2 * math.exp(CLOSE_MOUNT_A + CLOSE_MOUNT_B_S_PER_M * LIGHT_WIND_M_S)
    return back_c + CLOSE_MOUNT_DELTA_K


def open_rack_cell_c(air_c: float) -> float:
    """Cell temperature in °C of a panel in free air at noon: 1000 W/m², wind of 1 m/s.

    Source: Sandia array performance model (King and others 2004, SAND2004-3535), constants of a
    glass/glass panel on an open rack; 40 °C air gives 72.32 °C.
    """
    back_c = air_c + FULL_SUN_W_M2 * math.exp(OPEN_RACK_A + OPEN_RACK_B_S_PER_M * LIGHT_WIND_M_S)
    return back_c + OPEN_RACK_DELTA_K


def vmp_pct_per_k(panel: PanelModel) -> float:
    """Temperature coefficient in %/K of the operating voltage Vmp; it falls faster than Voc.

    Power coefficient less current coefficient, as power is voltage times current. A blank current
    coefficient counts as USUAL_ISC_PCT_PER_K, a blank power coefficient gives USUAL_VMP_PCT_PER_K.
    """
    if panel.power_pct_per_k is None:
        return USUAL_VMP_PCT_PER_K
    isc_pct_per_k = USUAL_ISC_PCT_PER_K if panel.isc_pct_per_k is None else panel.isc_pct_per_k
    return panel.power_pct_per_k - isc_pct_per_k


def hot_vmp_v(panel: PanelModel, cell_c: float) -> float:
    """Operating voltage in V of one panel in full sun with its cells at cell_c; never below 0."""
    vmp_v = _figure(panel, "vmp_v", panel.vmp_v)
    return max(0.0, vmp_v * (1.0 + vmp_pct_per_k(panel) / 100.0 * (cell_c - STC_CELL_C)))


def design_isc_a(isc_a: float) -> float:
    """Short-circuit current in A to design for: 1.25 times that at STC (IEC 62548, NEC 690.8(A))."""
    return CURRENT_FACTOR * isc_a


def needed_vmp_v(battery: Battery, controller: ControllerModel) -> float:
    """Operating voltage in V that a string must keep: charge voltage plus what the tracker needs above it."""
    return battery.charge_v + controller.start_above_battery_v


def charge_a(power_w: float, controller: ControllerModel, battery: Battery) -> float:
    """Charge current in A at power_w of panels, at charge voltage and after losses; at most the limit."""
    return min(controller.max_charge_a, power_w * controller.efficiency_pct / 100.0 / battery.charge_v)


def low_charge_a(power_w: float, controller: ControllerModel, battery: Battery) -> float:
    """The most that power_w of panels charge with, in A: into a low battery, at its nominal voltage; at most
    the limit. More than charge_a, since the same watts come at fewer volts."""
    return min(controller.max_charge_a, power_w * controller.efficiency_pct / 100.0 / battery.nominal_v)


def clipped_w(power_w: float, controller: ControllerModel, battery: Battery) -> float:
    """Panel watts of power_w that the controller's charge current limit cuts off. No breach, only a loss."""
    usable_w = controller.max_charge_a * battery.charge_v / (controller.efficiency_pct / 100.0)
    return max(0.0, power_w - usable_w)


def string_limit_v(
    panel: PanelModel, controller: ControllerModel, most_string_v: float | None = None
) -> float:
    """Highest voltage in V that a string may reach: the least of what the tracker takes, the panel's system
    voltage and most_string_v, the installer's own cap."""
    given = (controller.max_pv_v, panel.max_system_v, most_string_v)
    return min(limit_v for limit_v in given if limit_v is not None)


def served_text(controller: ControllerModel) -> str:
    """The nominal battery voltages that a controller serves, in words: "12 or 24", "12, 24 or 48"."""
    *others, last = [f"{v:g}" for v in controller.battery_v] or ["no"]
    return f"{', '.join(others)} or {last}" if others else last


def most_in_series(
    panel: PanelModel, controller: ControllerModel, coldest_c: float, most_string_v: float | None = None
) -> int:
    """How many panels in series stay within string_limit_v at the coldest; 0 when one is too many."""
    limit_v = string_limit_v(panel, controller, most_string_v)
    return math.floor(limit_v / cold_voc_v(panel, coldest_c) * (1.0 + TOLERANCE))


def least_in_series(panel: PanelModel, controller: ControllerModel, battery: Battery, cell_c: float) -> int:
    """How many panels in series it takes to keep needed_vmp_v at cell_c; NEVER_IN_SERIES if none can."""
    vmp_v = hot_vmp_v(panel, cell_c)
    if vmp_v <= 0.0:
        return NEVER_IN_SERIES
    return max(1, math.ceil(needed_vmp_v(battery, controller) / vmp_v * (1.0 - TOLERANCE)))


def most_in_parallel(panel: PanelModel, controller: ControllerModel) -> int:
    """How many strings in parallel one tracker takes: design current within its short-circuit limit."""
    isc_a = _figure(panel, "isc_a", panel.isc_a)
    return math.floor(controller.max_pv_isc_a / design_isc_a(isc_a) * (1.0 + TOLERANCE))


def serves_battery(controller: ControllerModel, battery: Battery) -> bool:
    """True when the battery's nominal voltage is one of those that the controller serves."""
    return any(math.isclose(v, battery.nominal_v, rel_tol=TOLERANCE) for v in controller.battery_v)


def needs_string_fuses(panel: PanelModel, in_parallel: int) -> bool:
    """True when the other strings can feed more into a faulty one than its series fuse rating allows.

    Source: NEC 690.9 (from memory), with 1.25 times Isc from each other string; IEC 62548 leaves the
    1.25 out. Without a rating in the catalogue, three strings and more count as needing fuses.
    """
    if panel.max_series_fuse_a is None:
        return in_parallel >= 3
    feed_a = (in_parallel - 1) * design_isc_a(_figure(panel, "isc_a", panel.isc_a))
    return feed_a > panel.max_series_fuse_a * (1.0 + TOLERANCE)


def _figure(panel: PanelModel, name: str, value: float | None) -> float:
    if value is None:
        raise ValueError(f"{panel.model} has no {name} in the catalogue; wiring needs it")
    return value
