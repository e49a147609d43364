"""The panel catalogue: every cell checked, and the figures of the models in use compared."""

from __future__ import annotations

import math
from collections.abc import Collection

from rooflayout.job import PanelModel
from rooflayout.survey.problems import Findings
from rooflayout.survey.sheet import Catalogue, Row, check_models, read_sheet
from rooflayout.survey.spans import (
    AMPERES,
    LARGEST_MM,
    MASS,
    MONEY,
    PANEL_WATTS,
    SIZE,
    SMALLEST_SIDE_MM,
    STOCK,
    VOLTS,
    Span,
)
from rooflayout.survey.words import number_text, show

ALWAYS = ("model", "length_mm", "width_mm", "power_w")
ELECTRICAL = ("voc_v", "vmp_v", "isc_a", "imp_a")
PORTABLE = "needed for portable panels"
COLUMNS = (
    *("model", "length_mm", "width_mm", "thickness_mm", "mass_kg", "power_w", *ELECTRICAL),
    *("voc_pct_per_k", "isc_pct_per_k", "power_pct_per_k", "max_series_fuse_a", "max_system_v"),
    *("price", "stock", "turnable", "bypass_sections"),
)

SIDE = Span(
    f"a side of {SMALLEST_SIDE_MM:g} mm or more",
    SMALLEST_SIDE_MM,
    LARGEST_MM,
    too_high="a side of at most 200 m",
    hint="Metres typed for millimetres?",
)
FALLING = Span(
    "a negative percentage per kelvin, above -1",
    -1.0,
    -1e-9,
    hint="It falls as the panel warms: check the sign, and that it is in % and not in mV.",
)
SECTIONS = Span("a whole number from 1 to 24", 1.0, 24.0, whole=True, hint="One for each bypass diode.")
USUAL_SECTIONS = 3  # common practice, no source
RISING = Span("a percentage per kelvin from -0.2 to 0.5", -0.2, 0.5)

_TURNABLE = {"": True, "yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}


def read_panels(
    text: str,
    file: str,
    use: Collection[str] | None,
    kept: Collection[str],
    portable: Collection[str],
    needed_if_used: dict[str, str],
    findings: Findings,
) -> Catalogue[PanelModel] | None:
    """The catalogue; None when it cannot be read or has no model names.

    `use` are the models that may be fitted (None: all of them) and `kept` those that lie on the roof;
    for both the columns of `needed_if_used` (each with its reason) may not be blank, but for the
    price of what is there already. `portable` are those set up beside the vehicle: they need the
    electrical columns and no others.
    """
    needed = dict.fromkeys(ALWAYS, "needed for a layout") | needed_if_used
    if portable:
        needed |= {column: PORTABLE for column in ELECTRICAL if column not in needed}
    sheet = read_sheet(text, file, "panel", COLUMNS, needed, findings)
    if sheet is None or "model" not in sheet.columns:
        return None
    models = {}
    for row in check_models(sheet):
        fitted = use is None or row.model in use
        used = fitted or row.model in kept
        for column, why in needed.items():
            wanted = column in ALWAYS or (row.model in portable and column in ELECTRICAL)
            if column in needed_if_used:
                wanted |= fitted if column == "price" else used
            if wanted and column in sheet.columns and not row.has(column):
                row.problem(column, "a blank cell", f"a value ({why})")
        model = _model(row)
        if model is not None:
            models[row.model] = model
            if used or row.model in portable:
                _compare(model, row, findings)
    return Catalogue(models, sheet.listed)


def _model(row: Row) -> PanelModel | None:
    length, width = row.number("length_mm", SIDE), row.number("width_mm", SIDE)
    power = row.number("power_w", PANEL_WATTS)
    stock = row.number("stock", STOCK)
    voc, vmp = row.number("voc_v", VOLTS), row.number("vmp_v", VOLTS)
    isc, imp = row.number("isc_a", AMPERES), row.number("imp_a", AMPERES)
    _not_above(row, "vmp_v", vmp, "voc_v", voc, "V")
    _not_above(row, "imp_a", imp, "isc_a", isc, "A")
    optional = {
        "thickness_mm": row.number("thickness_mm", SIZE),
        "mass_kg": row.number("mass_kg", MASS),
        "voc_pct_per_k": row.number("voc_pct_per_k", FALLING),
        "isc_pct_per_k": row.number("isc_pct_per_k", RISING),
        "power_pct_per_k": row.number("power_pct_per_k", FALLING),
        "max_series_fuse_a": row.number("max_series_fuse_a", AMPERES),
        "max_system_v": row.number("max_system_v", VOLTS),
        "price": row.number("price", MONEY),
    }
    turnable = _turnable(row)
    sections = row.number("bypass_sections", SECTIONS)
    if length is None or width is None or power is None:
        return None
    return PanelModel(
        model=row.model,
        length_mm=length,
        width_mm=width,
        power_w=_tenths(power),
        voc_v=voc,
        vmp_v=vmp,
        isc_a=isc,
        imp_a=imp,
        stock=None if stock is None else int(stock),
        turnable=turnable,
        bypass_sections=USUAL_SECTIONS if sections is None else int(sections),
        **optional,
    )


def _tenths(power_w: float) -> float:
    """Down to a tenth of a watt, the step in which watts are counted everywhere."""
    return math.floor(power_w * 10 + 1e-6) / 10


def _not_above(
    row: Row, column: str, value: float | None, limit_column: str, limit: float | None, unit: str
) -> None:
    """The operating value cannot be above the open-circuit or short-circuit one."""
    if value is not None and limit is not None and value > limit:
        expected = f"at most {limit_column}, {number_text(limit)} {unit}"
        row.problem(column, f"{number_text(value)} {unit}", expected, "Are the two columns swapped?")


def _turnable(row: Row) -> bool:
    cell = row.cells.get("turnable", "").casefold()
    if cell not in _TURNABLE:
        row.problem("turnable", show(row.cells["turnable"]), "yes or no")
    return _TURNABLE.get(cell, True)


def _compare(model: PanelModel, row: Row, findings: Findings) -> None:
    """Notes figures of one model that do not go together or are out of the ordinary."""

    def warn(code: str, text: str) -> None:
        findings.note("warning", code, f"{row.name} ({row.file}:{row.line}): {text}")

    stated = row.number("power_w", PANEL_WATTS)
    if stated is not None and abs(stated - model.power_w) > 1e-6:
        text = f"{number_text(stated)} W is counted as {number_text(model.power_w)} W, in tenths of a watt."
        findings.note("info", "watts-in-tenths", f"{row.name}: {text}")
    area_m2 = model.length_mm * model.width_mm / 1e6
    for side_mm, what in ((model.length_mm, "length"), (model.width_mm, "width")):
        if not 200 <= side_mm <= 2600:
            warn("panel-size-unusual", f"a {what} of {number_text(side_mm)} mm is unusual (200 to 2600).")
    if not 100 <= model.power_w / area_m2 <= 250:
        density = f"{model.power_w / area_m2:.0f} W/m²"
        warn("watts-per-area-implausible", f"{density} is implausible (100 to 250); check size and watts.")
    if model.mass_kg is not None and not 2 <= model.mass_kg / area_m2 <= 20:
        density = f"{model.mass_kg / area_m2:.3g} kg/m²"
        warn("mass-implausible", f"{density} is implausible (2 to 20); check size and mass.")
    if model.vmp_v is not None and model.imp_a is not None:
        product = model.vmp_v * model.imp_a
        if abs(product - model.power_w) > 0.03 * model.power_w:
            figures = f"vmp_v times imp_a is {product:.1f} W, power_w says {number_text(model.power_w)} W."
            warn("watts-disagree", figures)
