"""Why panels cannot be wired: which limit of which controller is missed, and by how much."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from rooflayout.job import Battery, ControllerModel, Job, PanelModel
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.misses import misses
from rooflayout.wiring.options import LONGEST_SERIES, distinct, supply_of, ways


@dataclass(frozen=True, slots=True)
class _Nearest:
    """How far a model is from a controller; the least rank is the nearest."""

    rank: tuple[bool, int, float]  # does not serve the battery, limits missed, worst excess as a share
    sentence: str


def why_not(
    job: Job,
    temperatures: Temperatures,
    besides: Collection[str] = (),
    planned: Collection[str] = (),
) -> list[str]:
    """What why_not_model says of every panel model, in use or kept, besides those; each sentence once.

    Raises ValueError when the job has no battery or no controllers.
    """
    models = job.panel_models()
    asked = [model for name, model in models.items() if name not in besides]
    found = [s for model in asked for s in why_not_model(job, temperatures, model, planned=planned)]
    return list(dict.fromkeys(found))


def why_not_model(
    job: Job,
    temperatures: Temperatures,
    model: PanelModel,
    there: float | None = None,
    planned: Collection[str] = (),
) -> list[str]:
    """Why no controller takes a panel model; empty when one does.

    Names the controller that comes nearest, the limit and by how much it is missed. Fewer panels than
    the model's shortest string needs are a reason too: there says how many there are on a facet,
    None as many as the stock and the kept panels could ever bring together.
    planned: models of the plan's controllers; where one of them can be named, no other one is.
    Raises ValueError when the job has no battery or no controllers.
    """
    if job.battery is None or job.controllers is None:
        raise ValueError("the job has no battery or no controllers, so nothing can be wired")
    controllers = job.controllers
    blank = [name for name in ("voc_v", "vmp_v", "isc_a") if getattr(model, name) is None]
    if blank:
        return [f"{model.model} has no {', '.join(blank)} in the catalogue; wiring needs it."]
    shortest = _shortest_string(job, temperatures, model, planned)
    if shortest is not None:
        in_series, controller = shortest
        most = _most_on_a_facet(job, model) if there is None else there
        if most == 0 or most >= in_series:
            return []
        needs = f"{model.model} on {controller.model} needs at least {in_series} in series on one facet"
        return [f"{needs}; there {'is' if most == 1 else 'are'} {most:g}."]
    candidates = distinct(controllers.catalogue if controllers.choose else controllers.fitted)
    if not candidates:
        return ["There is no controller to wire to."]
    candidates = tuple(c for c in candidates if c.model in planned) or candidates
    nearest = [_nearest(model, c, job, temperatures) for c in candidates]
    return [min(nearest, key=lambda n: n.rank).sentence]


def why_controller(job: Job, temperatures: Temperatures, controller: ControllerModel) -> str | None:
    """Why a controller takes no panel model, in use or kept, as a string of any length, for the model that
    comes nearest; None where it takes one, or where none has the figures that wiring needs."""
    assert job.battery is not None
    cap_v = job.wiring_rules.most_string_v
    known = [m for m in job.panel_models().values() if None not in (m.voc_v, m.vmp_v, m.isc_a)]
    if any(ways(m, controller, job.battery, temperatures, most_string_v=cap_v) for m in known):
        return None
    nearest = [_nearest(m, controller, job, temperatures) for m in known]
    return min(nearest, key=lambda n: n.rank).sentence if nearest else None


def _shortest_string(
    job: Job, temperatures: Temperatures, model: PanelModel, planned: Collection[str]
) -> tuple[int, ControllerModel] | None:
    """The least panels in series that some controller takes, and that controller; None when none does.

    Of controllers that take as few one that is planned.
    """
    supply = supply_of(job, temperatures, there=frozenset())  # without pairs, which make no string longer
    own = [o for o in supply.options if o.model.model == model.model]
    if not own:
        return None
    controllers = {o: supply.classes[o.tracker_class].controller for o in own}
    shortest = min(own, key=lambda o: (o.in_series, controllers[o].model not in planned))
    return shortest.in_series, controllers[shortest]


def _most_on_a_facet(job: Job, model: PanelModel) -> float:
    """How many panels of a model one facet could ever hold, by stock and kept panels."""
    own = [k.facet for k in job.kept if k.model.model == model.model]
    there = max((own.count(facet) for facet in own), default=0)
    if all(m.model != model.model for m in job.panels.models):
        return there
    return math.inf if model.stock is None else there + model.stock


def _nearest(
    model: PanelModel, controller: ControllerModel, job: Job, temperatures: Temperatures
) -> _Nearest:
    """What keeps the model off one controller; to be called only when something does."""
    battery, controllers, most_string_v = job.battery, job.controllers, job.wiring_rules.most_string_v
    assert battery is not None
    assert controllers is not None
    missed = misses(model, controller, battery, temperatures, most_string_v)
    if not missed:
        possible = ways(model, controller, battery, temperatures, most_string_v=most_string_v)
        if not possible:
            return _too_long(model, controller, battery, temperatures)
        return _clipped_too_much(model, controller, battery, possible[0][0], controllers.most_clipped_pct)
    wrong_battery = [m for m in missed if m.limit == "battery_v"]
    worst = max(abs(m.value - m.allowed) / m.allowed if m.allowed else 1.0 for m in missed)
    told = wrong_battery or missed
    return _Nearest((bool(wrong_battery), len(missed), worst), " ".join(m.sentence for m in told))


def _too_long(
    model: PanelModel, controller: ControllerModel, battery: Battery, temperatures: Temperatures
) -> _Nearest:
    """Its limits would take the model, but only in strings longer than any that is planned."""
    least = limits.least_in_series(model, controller, battery, temperatures.hottest_cell_c)
    sentence = (
        f"{model.model} on {controller.model} needs {least} in series, "
        f"{least - LONGEST_SERIES} more than the {LONGEST_SERIES} of the longest string that is planned."
    )
    return _Nearest((False, 1, least / LONGEST_SERIES - 1.0), sentence)


def _clipped_too_much(
    model: PanelModel, controller: ControllerModel, battery: Battery, in_series: int, cap_pct: float
) -> _Nearest:
    """Its limits would take the model, but it would cut off more than most_clipped_pct allows."""
    power_w = in_series * model.power_w
    clipped_w = limits.clipped_w(power_w, controller, battery)
    clipped_pct = 100.0 * clipped_w / power_w
    string = f"one {model.model}" if in_series == 1 else f"{in_series} {model.model} in series"
    charges = f"{controller.model} charges with {controller.max_charge_a:g} A at {battery.charge_v:g} V"
    sentence = (
        f"{charges}, so it would cut off {clipped_w:.0f} W of {string} ({power_w:g} W): {clipped_pct:.1f} %, "
        f"where most_clipped_pct allows {cap_pct:g} %."
    )
    return _Nearest((False, 1, (clipped_pct - cap_pct) / 100.0), sentence)
