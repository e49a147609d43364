"""The figures that a plan states for a string and for a controller."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from rooflayout.job import Battery, ControllerModel, Job, PanelModel
from rooflayout.plan import ControllerLoad, PanelString, PlacedPanel, Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.portable import planned
from rooflayout.wiring.temperatures import design_temperatures


def panel_string(
    name: str,
    controller: str,
    tracker: int,
    panels: Sequence[PlacedPanel],
    model: PanelModel,
    temperatures: Temperatures,
    limit_v: float | None = None,
) -> PanelString:
    """A string of panels of one model in series: V at the design temperatures, A and W at STC.

    limit_v is the most it may reach on the coldest morning (limits.string_limit_v).
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
        limit_v=limit_v,
    )


def controller_load(
    name: str,
    controller: ControllerModel,
    battery: Battery,
    strings: Sequence[PanelString],
    set_a: float | None = None,
) -> ControllerLoad:
    """What a controller carries with these strings, its charge limit set down to set_a; zeros when none."""
    power_w = sum(s.power_w for s in strings)
    as_set = controller if set_a is None else replace(controller, max_charge_a=set_a)
    clipped_w = limits.clipped_w(power_w, as_set, battery)
    return ControllerLoad(
        controller=name,
        model=controller.model,
        power_w=power_w,
        isc_a=sum(s.isc_a for s in strings),
        charge_a=limits.charge_a(power_w, as_set, battery),
        clipped_w=clipped_w,
        clipped_pct=100.0 * clipped_w / power_w if power_w > 0.0 else 0.0,
        set_a=set_a,
    )


def roof_battery(job: Job) -> Battery:
    """The battery with what the portable panels that it takes leave of its charge limit to those on board.

    Raises ValueError when the job has no battery.
    """
    if job.battery is None:
        raise ValueError("the job has no battery, so nothing is charged")
    battery = job.battery
    if battery.most_charge_a is None:
        return battery
    taken_a = sum(p.most_a for p in planned(job, design_temperatures(job.site))) if job.portable else 0.0
    return replace(battery, most_charge_a=max(0.0, battery.most_charge_a - taken_a))


def settings_a(
    battery: Battery, controllers: Sequence[tuple[ControllerModel, float]]
) -> tuple[float | None, ...]:
    """What each controller's charge limit in A is to be set down to; None where it may stay as it is.

    controllers come with their watts of panels; one without panels charges nothing. Where all together
    could charge with more than the battery takes, each gets what it needs in full sun (STC) and its share
    of what is left; where the needs alone are too much, all give way by the same part. Rounded down to
    0.1 A, but never below the need where all needs can be met. So the settings never exceed the battery's
    limit together.
    """
    most_a = battery.most_charge_a
    own_a = [c.max_charge_a if power_w > 0.0 else 0.0 for c, power_w in controllers]
    if most_a is None or sum(own_a) <= most_a * (1.0 + limits.TOLERANCE):
        return (None,) * len(controllers)
    need_a = [limits.charge_a(power_w, c, battery) for c, power_w in controllers]
    if sum(need_a) >= most_a:
        share = [most_a * need / sum(need_a) for need in need_a]
        least = [0.0] * len(controllers)
    else:
        part = (most_a - sum(need_a)) / (sum(own_a) - sum(need_a))
        share = [need + part * (own - need) for need, own in zip(need_a, own_a, strict=True)]
        least = need_a
    rounded = [max(math.floor(10.0 * a + 1e-9) / 10.0, low) for a, low in zip(share, least, strict=True)]
    return tuple(
        None if power_w <= 0.0 or a >= c.max_charge_a else a
        for (c, power_w), a in zip(controllers, rounded, strict=True)
    )
