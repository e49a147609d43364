"""The figures that a plan states for a string and for a controller."""

from __future__ import annotations

from collections.abc import Sequence

from rooflayout.job import Battery, ControllerModel, PanelModel
from rooflayout.plan import ControllerLoad, PanelString, PlacedPanel, Temperatures
from rooflayout.wiring import limits


def panel_string(
    name: str,
    controller: str,
    tracker: int,
    panels: Sequence[PlacedPanel],
    model: PanelModel,
    temperatures: Temperatures,
) -> PanelString:
    """A string of panels of one model in series: V at the design temperatures, A and W at STC.

    Raises ValueError when the model has no isc_a (or another figure that is needed).
    """
    if model.isc_a is None:
        raise ValueError(f"{model.model} has no isc_a in the catalogue; wiring needs it")
    in_series = len(panels)
    return PanelString(
        string=name,
        controller=controller,
        tracker=tracker,
        facet=panels[0].facet,
        model=model.model,
        panels=tuple(p.panel for p in panels),
        voc_cold_v=in_series * limits.cold_voc_v(model, temperatures.coldest_cell_c),
        vmp_hot_v=in_series * limits.hot_vmp_v(model, temperatures.hottest_cell_c),
        isc_a=model.isc_a,
        power_w=in_series * model.power_w,
    )


def controller_load(
    name: str, controller: ControllerModel, battery: Battery, strings: Sequence[PanelString]
) -> ControllerLoad:
    """What a controller carries with these strings; zeros when there are none."""
    power_w = sum(s.power_w for s in strings)
    clipped_w = limits.clipped_w(power_w, controller, battery)
    return ControllerLoad(
        controller=name,
        model=controller.model,
        power_w=power_w,
        isc_a=sum(s.isc_a for s in strings),
        charge_a=limits.charge_a(power_w, controller, battery),
        clipped_w=clipped_w,
        clipped_pct=100.0 * clipped_w / power_w if power_w > 0.0 else 0.0,
    )
