"""The controller catalogue: every cell checked."""

from __future__ import annotations

from rooflayout.job import ControllerModel
from rooflayout.survey.problems import Findings
from rooflayout.survey.sheet import Catalogue, Row, check_models, plain_number, read_sheet
from rooflayout.survey.spans import AMPERES, COUNT, MASS, MONEY, SIZE, VOLTS, Span
from rooflayout.survey.words import show

NEEDED = ("model", "max_pv_v", "max_pv_isc_a", "max_charge_a", "battery_v")
COLUMNS = (
    *("model", "trackers", "max_pv_v", "max_pv_isc_a", "max_charge_a", "battery_v"),
    *("start_above_battery_v", "efficiency_pct", "length_mm", "width_mm", "height_mm", "mass_kg", "price"),
)
EFFICIENCY = Span("a percentage from 50 to 100", 50.0, 100.0, per_cent=True)
START_ABOVE = Span("volts of 0 or more", 0.0, 1000.0)


def read_controllers(text: str, file: str, findings: Findings) -> Catalogue[ControllerModel] | None:
    """The catalogue; None when it cannot be read or has no model names."""
    needed = dict.fromkeys(NEEDED, "needed for wiring")
    sheet = read_sheet(text, file, "controller", COLUMNS, needed, findings)
    if sheet is None or "model" not in sheet.columns:
        return None
    models = {}
    for row in check_models(sheet):
        for column in NEEDED:
            if column in sheet.columns and not row.has(column):
                row.problem(column, "a blank cell", "a value (needed for wiring)")
        model = _model(row)
        if model is not None:
            models[row.model] = model
    return Catalogue(models, sheet.listed)


def _model(row: Row) -> ControllerModel | None:
    max_pv_v = row.number("max_pv_v", VOLTS)
    max_pv_isc_a = row.number("max_pv_isc_a", AMPERES)
    max_charge_a = row.number("max_charge_a", AMPERES)
    battery_v = _battery_v(row)
    trackers = row.number("trackers", COUNT)
    start_above = row.number("start_above_battery_v", START_ABOVE)
    efficiency = row.number("efficiency_pct", EFFICIENCY)
    optional = {
        "length_mm": row.number("length_mm", SIZE),
        "width_mm": row.number("width_mm", SIZE),
        "height_mm": row.number("height_mm", SIZE),
        "mass_kg": row.number("mass_kg", MASS),
        "price": row.number("price", MONEY),
    }
    if max_pv_v is None or max_pv_isc_a is None or max_charge_a is None or battery_v is None:
        return None
    return ControllerModel(
        model=row.model,
        max_pv_v=max_pv_v,
        max_pv_isc_a=max_pv_isc_a,
        max_charge_a=max_charge_a,
        battery_v=battery_v,
        trackers=1 if trackers is None else int(trackers),
        start_above_battery_v=0.0 if start_above is None else start_above,
        efficiency_pct=100.0 if efficiency is None else efficiency,
        **optional,
    )


def _battery_v(row: Row) -> tuple[float, ...] | None:
    """Nominal voltages between spaces."""
    cell = row.cells.get("battery_v", "")
    if not cell:
        return None
    volts = [plain_number(part) for part in cell.split()]
    good = tuple(volt for volt in volts if volt is not None and VOLTS.holds(volt))
    if len(good) < len(volts):
        row.problem("battery_v", show(cell), "nominal voltages with spaces between, such as 12 24")
        return None
    return good
