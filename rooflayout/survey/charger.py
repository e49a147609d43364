"""The [vehicle_charger] table: the solar input of the vehicle's own charger."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import Battery, ControllerModel
from rooflayout.survey.controllers import EFFICIENCY, START_ABOVE
from rooflayout.survey.spans import AMPERES, VOLTS
from rooflayout.survey.table import Table, table

VEHICLE_CHARGER = "vehicle charger"  # its name unless it has another, and what `into` may always say


@dataclass(frozen=True, slots=True)
class Charger:
    """The charger's table and name; its input is None where a figure is missing or wrong.

    name_known is False where a name is written that cannot be read.
    """

    table: Table
    name: str
    name_known: bool
    input: ControllerModel | None


def read_vehicle_charger(top: Table, battery: Battery | None) -> Charger | None:
    """Reads and checks [vehicle_charger]; it charges the job's battery. None when there is none."""
    charger = table(top, "vehicle_charger")
    if charger is None:
        return None
    charger.check_keys("vehicle_charger")
    written = charger.text("name", 'a name such as "vehicle charger"')
    name, name_known = written or VEHICLE_CHARGER, written is not None or not charger.has("name")
    max_pv_v = charger.number("max_pv_v", VOLTS, needed=True)
    max_pv_isc_a = charger.number("max_pv_isc_a", AMPERES, needed=True)
    max_charge_a = charger.number("max_charge_a", AMPERES, needed=True)
    start_above = charger.number_or("start_above_battery_v", START_ABOVE, 0.0)
    efficiency = charger.number_or("efficiency_pct", EFFICIENCY, 100.0)
    if battery is None or max_pv_v is None or max_pv_isc_a is None or max_charge_a is None:
        return Charger(charger, name, name_known, None)
    solar_input = ControllerModel(
        model=name,
        max_pv_v=max_pv_v,
        max_pv_isc_a=max_pv_isc_a,
        max_charge_a=max_charge_a,
        battery_v=(battery.nominal_v,),
        start_above_battery_v=start_above,
        efficiency_pct=efficiency,
    )
    return Charger(charger, name, name_known, solar_input)
