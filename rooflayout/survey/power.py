"""The [battery] and [controllers] tables."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from rooflayout.job import Battery, ControllerModel, Controllers
from rooflayout.needs import Chemistry
from rooflayout.survey.controllers import read_controllers
from rooflayout.survey.keys import header
from rooflayout.survey.panel_rules import check_listed, open_catalogue
from rooflayout.survey.sheet import Catalogue
from rooflayout.survey.spans import AMPERES, PER_CENT, VOLTS, Span
from rooflayout.survey.table import NOTHING, Table, table
from rooflayout.survey.words import number_text, show

EXAMPLE = Path("catalogue/controllers.csv")
OF_WIRING = ("wiring", "cable", "bench", "mounting_space", "vehicle_charger")
CAPACITY = Span("ampere-hours above 0", 0.0, 1e6, above=True)
USABLE = Span(
    "a percentage from 5 to 100",
    5.0,
    100.0,
    too_high="a percentage of at most 100",
    per_cent=True,
)
CHEMISTRIES = get_args(Chemistry)
LEAD = ("lead", "lead-acid", "lead acid", "acid", "pb", "vrla", "sealed")
MOST_OF_LEAD_PCT = 80.0  # common practice, no source
CHARGE_PER_NOMINAL = 14.4 / 12  # common practice, no source
HIGHEST_CHARGE_PER_NOMINAL = 1.4  # common practice, no source
NOMINAL_HINT = "It stands on the battery: 12, 24 or 48."
ONE_OF_BOTH = "either fitted, a list of models, or choose = true"
NOT_BOTH = "Take out choose to keep the fitted ones, or fitted to have a set chosen."


@dataclass(frozen=True, slots=True)
class ControllersRead:
    """The table, and its whole catalogue for portable panels; None where it cannot be read."""

    controllers: Controllers | None
    catalogue: Catalogue[ControllerModel] | None


def read_battery(top: Table) -> Battery | None:
    """Reads and checks [battery]; a charge voltage that is left out is estimated, with a note."""
    battery = table(top, "battery")
    if battery is None:
        return None
    battery.check_keys("battery")
    nominal = battery.number("nominal", VOLTS, needed=True, hint=NOMINAL_HINT)
    charge = battery.number("charge", VOLTS)
    capacity = battery.number("capacity", CAPACITY)
    most_charge = battery.number("most_charge", AMPERES)
    if most_charge is not None and most_charge < 1:
        text = f"A largest charge current of {number_text(most_charge)} A is very little; "
        text += "most_charge is in amperes, not a share of the capacity."
        battery.findings.note("warning", "most-charge-implausible", text)
    chemistry = _chemistry(battery)
    usable = _usable(battery, chemistry)
    if nominal is None:
        return None
    if charge is None:
        charge = round(CHARGE_PER_NOMINAL * nominal, 2)
        if not battery.has("charge"):
            text = f"Charge voltage taken as {number_text(charge)} V for a battery of "
            text += f"{number_text(nominal)} V; the battery's own figure belongs in [battery] charge."
            battery.findings.note("caution", "charge-voltage-assumed", text)
    elif charge < nominal or charge / nominal > HIGHEST_CHARGE_PER_NOMINAL + 1e-9:
        text = f"A charge voltage of {number_text(charge)} V is implausible for a battery of "
        text += f"{number_text(nominal)} V."
        battery.findings.note("warning", "charge-voltage-implausible", text)
    return Battery(nominal, charge, capacity, most_charge, chemistry, usable)


def _chemistry(battery: Table) -> Chemistry | None:
    """What it is made of; lead is of three kinds."""
    value = battery.values.get("chemistry")
    if isinstance(value, str) and value.strip().casefold() in LEAD:
        expected = f"one of {', '.join(CHEMISTRIES)}"
        hint = "Lead batteries are gel, agm (the acid in fleece) or flooded (with caps to top up)."
        battery.problem(("chemistry",), "chemistry", show(value), expected, hint)
        return None
    return cast(Chemistry | None, battery.choice("chemistry", CHEMISTRIES))


def _usable(battery: Table, chemistry: Chemistry | None) -> float | None:
    """The share of the capacity that may be drawn; notes one that no lead battery bears for long."""
    usable = battery.number("usable", USABLE)
    if usable is not None and usable > MOST_OF_LEAD_PCT and chemistry in CHEMISTRIES[1:]:
        text = f"Drawing {number_text(usable)} % from a lead battery ({chemistry}) wears it out soon; "
        text += "half is usual."
        battery.findings.note("warning", "usable-implausible", text)
    if usable is not None and not battery.has("capacity"):
        text = "[battery] usable does nothing without capacity."
        battery.findings.note("caution", "usable-without-capacity", text)
    return usable


def read_controllers_table(top: Table, folder: Path) -> ControllersRead:
    """Reads [controllers] and its catalogue."""
    table_read = table(top, "controllers")
    if table_read is None:
        return ControllersRead(None, None)
    table_read.check_keys("controllers")
    fitted = table_read.texts("fitted", 'a list of models, such as ["..."]')
    choice, choose = table_read.values.get("choose"), table_read.flag("choose", False)
    clipped = table_read.number_or("most_clipped_pct", PER_CENT, 10.0)
    hung = table_read.flag("on_board", True)
    if table_read.has("on_board") and not table_read.has("fitted"):
        text = "[controllers] on_board does nothing: it is about the fitted ones, and none are named."
        table_read.findings.note("caution", "on-board-without-fitted", text)
    on_board = controllers_on_board(top)
    if not on_board and table_read.has("most_clipped_pct"):
        text = "[controllers] most_clipped_pct does nothing: no controller is on board."
        table_read.findings.note("caution", "wiring-not-asked", text)
    if choose and table_read.has("fitted"):
        table_read.problem(("choose",), "", "fitted and choose = true", ONE_OF_BOTH, NOT_BOTH)
    elif on_board and not choose and not table_read.has("fitted") and choice in (None, False):
        table_read.missing("fitted", ONE_OF_BOTH)
    opened = open_catalogue(table_read, folder, EXAMPLE)
    catalogue = None if opened is None else read_controllers(*opened, table_read.findings)
    if catalogue is None:
        return ControllersRead(None, None)
    for i, name in enumerate(fitted or []):
        check_listed(table_read, "fitted", i, name, catalogue.listed)
    if choose:
        _check_prices(table_read, catalogue)
    if not on_board:
        return ControllersRead(None, catalogue)
    chosen = tuple(catalogue.models[name] for name in fitted or [] if name in catalogue.models)
    controllers = Controllers(tuple(catalogue.models.values()), chosen, choose, clipped, hung)
    return ControllersRead(controllers, catalogue)


def controllers_on_board(top: Table) -> bool:
    """True with [controllers], but where it is only the catalogue of what portable panels plug into."""
    written = top.values.get("controllers")
    only_catalogue = isinstance(written, dict) and not {"fitted", "choose"} & set(written)
    return top.has("controllers") and not (only_catalogue and top.has("portable_panel"))


def check_wiring_is_whole(top: Table) -> bool:
    """True when the job asks for wiring; notes what asks for it without battery and controllers."""
    battery, controllers = top.has("battery"), controllers_on_board(top)
    if battery and not controllers and top.has("portable_panel"):
        text = "Only the portable panels are wired: the job names no controllers on board, neither fitted "
        text += "nor to choose."
        top.findings.note("caution", "wiring-not-asked", text)
    elif battery != controllers:
        there, lacking = ("battery", "controllers") if battery else ("controllers", "battery")
        text = f"No wiring is planned: the job has [{there}] but no [{lacking}]."
        top.findings.note("caution", "wiring-not-asked", text)
    elif not battery:
        idle = [header(key) for key in OF_WIRING if top.has(key)]
        if idle:
            text = f"No wiring is planned: the job has {' and '.join(idle)} "
            text += "but neither [battery] nor [controllers]."
            top.findings.note("caution", "wiring-not-asked", text)
    return battery and controllers


def check_battery_is_served(top: Table, battery: Battery | None, controllers: Controllers | None) -> None:
    """Reports a battery of a nominal voltage that no controller to use serves: nothing could be wired."""
    if battery is None or controllers is None:
        return
    models = controllers.catalogue if controllers.choose else controllers.fitted
    served = sorted({volts for model in models for volts in model.battery_v})
    if not served or any(math.isclose(volts, battery.nominal_v) for volts in served):
        return
    *others, last = [number_text(volts) for volts in served]
    words = f"{', '.join(others)} or {last}" if others else last
    whose = "the controllers to choose from charge" if controllers.choose else "the fitted controllers charge"
    hint = f"By the column battery_v {whose} batteries of {words} V; use others, or another battery."
    found = f"{number_text(battery.nominal_v)} V, which no controller charges"
    owner = table(top, "battery")
    if owner is not None:
        owner.problem(("nominal",), "nominal", found, f"{words} V", hint)


def _check_prices(owner: Table, catalogue: Catalogue[ControllerModel]) -> None:
    """Choosing the cheapest compares prices: all are needed, or none is there to compare."""
    unpriced = [name for name, model in catalogue.models.items() if model.price is None]
    if not unpriced:
        return
    if len(unpriced) == len(catalogue.models):
        text = "The controller catalogue has no prices, so which set is the cheapest cannot be told."
        owner.findings.note("caution", "controllers-without-price", text)
        return
    for name in unpriced:
        found = f"{NOTHING} as the price of controller {show(name)}"
        owner.problem(("choose",), "choose", found, "a price for every model to choose from")
