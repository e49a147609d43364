"""The [panels] table: which models may be fitted, and within which limits."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import cast, get_args

from rooflayout.job import PanelModel, PanelRules
from rooflayout.needs import Aim
from rooflayout.survey.panels import ELECTRICAL, read_panels
from rooflayout.survey.sheet import Catalogue
from rooflayout.survey.site import names_a_place
from rooflayout.survey.spans import COUNT, MASS, MONEY
from rooflayout.survey.table import Table, table
from rooflayout.survey.text import UnreadableError, read_text
from rooflayout.survey.words import did_you_mean, show

EXAMPLE = Path("catalogue/panels.csv")
AIMS = get_args(Aim)


@dataclass(frozen=True, slots=True)
class PanelsRead:
    """The rules, and the whole catalogue for kept and portable panels; None where it cannot be read."""

    rules: PanelRules
    catalogue: Catalogue[PanelModel] | None


def read_panel_rules(
    top: Table, folder: Path, kept_models: set[str], portable_models: set[str], wires: bool
) -> PanelsRead:
    """Reads [panels] and its catalogue. `wires`: the electrical columns are needed as well.

    Kept and portable panels may be of models that are not in use; those may still not be fitted.
    """
    panels = table(top, "panels")
    if panels is None:
        if not top.values.get("panels"):
            top.missing("panels", "a [panels] table with a catalogue")
        return PanelsRead(PanelRules(()), None)
    panels.check_keys("panels")
    use = panels.texts("use", 'a list of models, such as ["..."]; leave use out to allow them all')
    most_models = panels.number("most_models", COUNT)
    most_mass = panels.number("most_mass", MASS)
    budget = panels.number("budget", MONEY)
    aim, balance = _aim(panels, top), panels.flag("balance", False)

    needed: dict[str, str] = {}
    if wires:
        needed |= dict.fromkeys(ELECTRICAL, "needed for wiring")
    if most_mass is not None:
        needed["mass_kg"] = "needed for most_mass"
    if balance:
        needed.setdefault("mass_kg", "needed for balance")
    if budget is not None:
        needed["price"] = "needed for budget"
    opened = open_catalogue(panels, folder, EXAMPLE)
    if opened is None:
        return PanelsRead(PanelRules(()), None)
    catalogue = read_panels(*opened, use, kept_models, portable_models, needed, panels.findings)
    if catalogue is None:
        return PanelsRead(PanelRules(()), None)
    for i, name in enumerate(use or []):
        check_listed(panels, "use", i, name, catalogue.listed)
    names = catalogue.listed if use is None else dict.fromkeys(use)
    models = tuple(catalogue.models[name] for name in names if name in catalogue.models)
    count = None if most_models is None else int(most_models)
    return PanelsRead(PanelRules(models, count, most_mass, budget, aim, balance), catalogue)


def _aim(panels: Table, top: Table) -> Aim:
    """What the layout is to have most of; the harvest needs to know where the sun stands."""
    aim = panels.choice("aim", AIMS)
    if aim == "harvest" and not names_a_place(top):
        found = f"{show(aim)} without a place"
        expected = "latitude and longitude in [site], to know the sun's ways"
        panels.problem(("aim",), "aim", found, expected, f"Or aim = {show(AIMS[0])}.")
    return cast(Aim, aim or AIMS[0])


def open_catalogue(owner: Table, folder: Path, example: Path) -> tuple[str, str] | None:
    """The text and the name of the file under the key catalogue, taken from the job's folder."""
    written = owner.text("catalogue", f'a path from the job file, such as "{example}"', needed=True)
    if written is None:
        return None
    path = folder / written
    try:
        return read_text(path, example), str(path)
    except UnreadableError as fault:
        at_line = "" if fault.line is None else f" on line {fault.line}"
        found = f"{fault.found}{at_line} at {path}"
        owner.problem(("catalogue",), "catalogue", found, fault.expected, fault.hint)
        return None


def check_listed(owner: Table, key: str, i: int, name: str, listed: tuple[str, ...]) -> None:
    """Reports a model that the catalogue does not list."""
    if name not in listed:
        expected = "a model of the catalogue"
        owner.problem((key, i), key, show(name), expected, did_you_mean(name, listed))
