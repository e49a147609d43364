"""The limits that keep a panel model off a controller at any string length, each miss in a sentence."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import Battery, ControllerModel, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring.limits import (
    CURRENT_FACTOR,
    NEVER_IN_SERIES,
    cold_voc_v,
    design_isc_a,
    hot_vmp_v,
    least_in_series,
    most_in_parallel,
    most_in_series,
    needed_vmp_v,
    served_text,
    serves_battery,
    string_limit_v,
)


@dataclass(frozen=True, slots=True)
class LimitMiss:
    """A limit that keeps a panel model off a controller at any string length.

    limit is the catalogue column, or the key of the job, that is missed, value what it would be and
    allowed what it may be, both in unit; sentence says it in full.
    """

    controller: str
    panel: str
    limit: str
    value: float
    allowed: float
    unit: str
    sentence: str


def misses(
    panel: PanelModel,
    controller: ControllerModel,
    battery: Battery,
    temperatures: Temperatures,
    most_string_v: float | None = None,
) -> list[LimitMiss]:
    """The limits that keep the panel off the controller as one string of any length; empty when it fits.

    most_string_v is the installer's own cap on a string. Raises ValueError for a blank figure.
    """
    found = (
        _battery_miss(panel, controller, battery),
        _voltage_miss(panel, controller, battery, temperatures, most_string_v),
        _current_miss(panel, controller),
    )
    return [miss for miss in found if miss is not None]


def _battery_miss(panel: PanelModel, controller: ControllerModel, battery: Battery) -> LimitMiss | None:
    if serves_battery(controller, battery):
        return None
    nearest_v = min(controller.battery_v, key=lambda v: abs(v - battery.nominal_v), default=0.0)
    return LimitMiss(
        controller=controller.model,
        panel=panel.model,
        limit="battery_v",
        value=battery.nominal_v,
        allowed=nearest_v,
        unit="V",
        sentence=(
            f"{controller.model} charges {served_text(controller)} V batteries; "
            f"this battery is nominally {battery.nominal_v:g} V."
        ),
    )


def _voltage_miss(
    panel: PanelModel,
    controller: ControllerModel,
    battery: Battery,
    temperatures: Temperatures,
    most_string_v: float | None,
) -> LimitMiss | None:
    """The series window: enough panels for the hottest noon, few enough for the coldest morning."""
    coldest_c, cell_c = temperatures.coldest_cell_c, temperatures.hottest_cell_c
    least = least_in_series(panel, controller, battery, cell_c)
    most = most_in_series(panel, controller, coldest_c, most_string_v)
    if least <= most:
        return None
    needed_v = needed_vmp_v(battery, controller)
    if least == NEVER_IN_SERIES:
        return LimitMiss(
            controller=controller.model,
            panel=panel.model,
            limit="start_above_battery_v",
            value=0.0,
            allowed=needed_v,
            unit="V",
            sentence=(
                f"{panel.model} has no operating voltage left with its cells at {cell_c:.0f} °C; "
                f"{controller.model} needs {needed_v:.1f} V. Check the panel's coefficients."
            ),
        )
    count = 1 if most == 0 else least
    cold_v = count * cold_voc_v(panel, coldest_c)
    limit_v = string_limit_v(panel, controller, most_string_v)
    limit, owner = limit_owner(panel, controller, limit_v)
    reach = f"{cold_v:.1f} V open-circuit at {coldest_c:g} °C"
    over = f"{_by(cold_v - limit_v)} V above the {limit_v:g} V that {owner}"
    if count == 1:
        sentence = f"One {panel.model} on {controller.model} reaches {reach}, {over}."
    else:
        hot_v = hot_vmp_v(panel, cell_c)
        sentence = (
            f"{panel.model} on {controller.model} needs {count} in series to keep "
            f"{needed_v:.1f} V in the heat ({hot_v:.1f} V each with cells at {cell_c:.0f} °C), "
            f"but {count} reach {reach}, {over}."
        )
    return LimitMiss(
        controller=controller.model,
        panel=panel.model,
        limit=limit,
        value=cold_v,
        allowed=limit_v,
        unit="V",
        sentence=sentence,
    )


def limit_owner(panel: PanelModel, controller: ControllerModel, limit_v: float) -> tuple[str, str]:
    """Whose limit limit_v is: its column or key, and in words that follow "above the 75 V that"."""
    if limit_v >= controller.max_pv_v:
        return "max_pv_v", "the input takes"
    if panel.max_system_v is not None and limit_v >= panel.max_system_v:
        return "max_system_v", "the panel may carry"
    return "most_string_v", "the job allows a string (most_string_v)"


def _current_miss(panel: PanelModel, controller: ControllerModel) -> LimitMiss | None:
    if most_in_parallel(panel, controller) >= 1:
        return None
    isc_a = panel.isc_a or 0.0  # most_in_parallel has raised where it is blank
    design_a, allowed_a = design_isc_a(isc_a), controller.max_pv_isc_a
    return LimitMiss(
        controller=controller.model,
        panel=panel.model,
        limit="max_pv_isc_a",
        value=design_a,
        allowed=allowed_a,
        unit="A",
        sentence=(
            f"{panel.model} counts as {design_a:.1f} A short-circuit "
            f"({CURRENT_FACTOR:g} times {isc_a:g} A), {_by(design_a - allowed_a)} A above "
            f"the {allowed_a:g} A that {controller.model} takes."
        ),
    )


def _by(excess: float) -> str:
    """An excess to one decimal, or finer where that would print as 0.0."""
    return f"{excess:.1f}" if excess >= 0.05 else f"{excess:.1g}"
