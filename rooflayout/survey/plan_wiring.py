"""The strings and controllers of a plan.json; a figure that is not written is NaN."""

from __future__ import annotations

import math

from rooflayout.plan import ControllerLoad, PanelString, PlacedPanel
from rooflayout.survey.spans import COUNT, NUMBER, ZERO_UP
from rooflayout.survey.table import Table

PANEL_NAMES = 'a list of panels, such as ["P1", "P2"]'


def read_strings(entries: list[Table], panels: tuple[PlacedPanel, ...]) -> tuple[PanelString, ...]:
    """The strings; a facet or model that is not written is that of the string's first panel."""
    by_name = {panel.panel: panel for panel in panels}
    read = [_string(entry, by_name) for entry in entries]
    return tuple(string for string in read if string is not None)


def read_loads(entries: list[Table]) -> tuple[ControllerLoad, ...]:
    """The controllers; clipped watts and the like may be absent."""
    read = [_load(entry) for entry in entries]
    return tuple(load for load in read if load is not None)


def _string(entry: Table, by_name: dict[str, PlacedPanel]) -> PanelString | None:
    name = entry.text("string", 'a name such as "S1"', needed=True)
    controller = entry.text("controller", 'a name such as "C1"', needed=True)
    tracker = entry.number("tracker", COUNT, needed=True)
    panels = entry.texts("panels", PANEL_NAMES)
    if entry.values.get("panels") is None:
        entry.missing("panels", PANEL_NAMES)
    voc_cold = entry.number_or("voc_cold_v", NUMBER, math.nan)
    vmp_hot = entry.number_or("vmp_hot_v", NUMBER, math.nan)
    isc = entry.number_or("isc_a", NUMBER, math.nan)
    power = entry.number_or("power_w", ZERO_UP, math.nan)
    facet = entry.text("facet", "the name of a facet")
    model = entry.text("model", "the name of a model")
    if name is None or controller is None or tracker is None or panels is None:
        return None
    first = by_name.get(panels[0])
    return PanelString(
        string=name,
        controller=controller,
        tracker=int(tracker),
        facet=facet or (first.facet if first is not None else ""),
        model=model or (first.model if first is not None else ""),
        panels=tuple(panels),
        voc_cold_v=voc_cold,
        vmp_hot_v=vmp_hot,
        isc_a=isc,
        power_w=power,
        limit_v=entry.number("limit_v", NUMBER),
        vmp_hot_at_controller_v=entry.number("vmp_hot_at_controller_v", NUMBER),
    )


def _load(entry: Table) -> ControllerLoad | None:
    name = entry.text("controller", 'a name such as "C1"', needed=True)
    model = entry.text("model", "the name of its model", needed=True)
    power = entry.number_or("power_w", ZERO_UP, math.nan)
    isc = entry.number_or("isc_a", NUMBER, math.nan)
    charge = entry.number_or("charge_a", NUMBER, math.nan)
    clipped_w = entry.number_or("clipped_w", NUMBER, math.nan)
    clipped_pct = entry.number_or("clipped_pct", NUMBER, math.nan)
    set_a = entry.number("set_a", NUMBER)
    if name is None or model is None:
        return None
    return ControllerLoad(name, model, power, isc, charge, clipped_w, clipped_pct, set_a)
