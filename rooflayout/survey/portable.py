"""The [[portable_panel]] tables: panels set up beside the vehicle and plugged in."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import ControllerModel, PanelModel, PortablePanels
from rooflayout.survey.charger import VEHICLE_CHARGER, Charger
from rooflayout.survey.sheet import Catalogue
from rooflayout.survey.spans import COUNT
from rooflayout.survey.table import Table, tables
from rooflayout.survey.words import did_you_mean, show

INTO = f'"{VEHICLE_CHARGER}" or a model of the controller catalogue'


@dataclass(frozen=True, slots=True)
class PortableEntry:
    """An entry as written, its model and controller still names; None is absent or faulty."""

    table: Table
    model: str | None
    count: int
    name: str | None
    into: str | None


def read_portable_entries(top: Table) -> list[PortableEntry]:
    """Reads the tables before the catalogues are known."""
    entries = []
    lines: dict[str, int | None] = {}
    for table in tables(top, "portable_panel", "portable panel"):
        table.check_keys("portable_panel")
        model = table.text("model", "a model of the panel catalogue", needed=True)
        name = table.text("name", 'a name such as "folding pair"') or model
        if name is not None and name in lines:
            first = f"Line {lines[name]} has it already."
            table.problem(("name",), "name", show(name), "a name of its own", first)
        elif name is not None:
            lines[name] = table.source.lines.line((*table.place, "name"))
        count = int(table.number_or("count", COUNT, 1.0))
        entries.append(PortableEntry(table, model, count, name, table.text("into", INTO, needed=True)))
    if entries and not top.has("battery"):
        hint = "Write [battery] with at least its nominal voltage: 12, 24 or 48."
        entries[0].table.problem((), "", "no [battery] in the job", "a [battery] that it charges", hint)
    return entries


def plug_in(
    top: Table,
    entries: list[PortableEntry],
    panels: Catalogue[PanelModel] | None,
    charger: Charger | None,
    controllers: Catalogue[ControllerModel] | None,
) -> tuple[PortablePanels, ...]:
    """The entries with their models and controllers; None is a catalogue that cannot be read."""
    if charger is not None and controllers is not None and charger.name in controllers.listed:
        hint = "A controller of the catalogue has it."
        charger.table.problem(("name",), "name", show(charger.name), "a name of its own", hint)
    found = []
    for entry in entries:
        model = _model(entry, panels)
        own = not _is_charger(entry.into, charger)
        controller = _own_controller(top, entry, charger, controllers) if own else None
        if not own:
            controller = _charger_input(top, entry, charger)
        if model is not None and controller is not None and entry.name is not None:
            found.append(PortablePanels(entry.name, model, entry.count, controller, own))
    return tuple(found)


def _model(entry: PortableEntry, panels: Catalogue[PanelModel] | None) -> PanelModel | None:
    if entry.model is None or panels is None:
        return None
    if entry.model not in panels.listed:
        hint = did_you_mean(entry.model, panels.listed)
        entry.table.problem(("model",), "model", show(entry.model), "a model of the panel catalogue", hint)
    return panels.models.get(entry.model)


def _is_charger(into: str | None, charger: Charger | None) -> bool:
    return into == VEHICLE_CHARGER or (charger is not None and into == charger.name)


def _charger_may_be_called_so(top: Table, charger: Charger | None) -> bool:
    """True where the charger's name could not be read, which is reported by then."""
    return top.has("vehicle_charger") if charger is None else not charger.name_known


def _charger_input(top: Table, entry: PortableEntry, charger: Charger | None) -> ControllerModel | None:
    """The vehicle charger's solar input; reports a job without one."""
    if charger is None and not top.has("vehicle_charger"):
        found = f"{show(entry.into)}, which the job does not describe"
        hint = "It needs max_pv_v, max_pv_isc_a and max_charge_a; or name a controller of the catalogue."
        entry.table.problem(("into",), "into", found, "a [vehicle_charger] table", hint)
    return None if charger is None else charger.input


def _own_controller(
    top: Table,
    entry: PortableEntry,
    charger: Charger | None,
    controllers: Catalogue[ControllerModel] | None,
) -> ControllerModel | None:
    """The controller of that name in the catalogue; reports one that is not listed."""
    if entry.into is None or (controllers is None and top.has("controllers")):
        return None
    listed = () if controllers is None else controllers.listed
    if entry.into not in listed and _charger_may_be_called_so(top, charger):
        return None
    if entry.into not in listed:
        known = (VEHICLE_CHARGER, *(() if charger is None else (charger.name,)), *listed)
        hint = did_you_mean(entry.into, tuple(dict.fromkeys(known)))
        if controllers is None:
            where = "Models stand in the catalogue of [controllers], which the job does not have; with its "
            hint = f"{where}catalogue alone nothing is on board. {hint}"
        entry.table.problem(("into",), "into", show(entry.into), INTO, hint)
    return None if controllers is None else controllers.models.get(entry.into)
