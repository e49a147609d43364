"""What the wiring costs in words, and the changes of controllers that are asked for what they would carry.

One thing is changed at a time, by the smallest step: the installer's own cap on voltage, an input for a
higher voltage, an input for more current, one more controller of a kind that is there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rooflayout.job import ControllerModel, Job
from rooflayout.plan import Note, Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.options import Supply, distinct, models_to_wire, supply_of

INPUT_RATINGS_V = (75.0, 100.0, 150.0, 250.0)  # common practice, no source
MOST_CHANGES = 6  # each costs a search
TOLD = 3
VOWELS = ("A", "E", "I", "O", "U")
UNASKED = (
    "The time was up before it could be asked what the wiring costs, and which change of the controllers "
    "would carry more: give the search longer (--time-limit)."
)


@dataclass(frozen=True, slots=True)
class Change:
    """What the trackers would be with one thing changed, and the change in words."""

    words: str
    supply: Supply


def changes_of(job: Job, temperatures: Temperatures, supply: Supply) -> tuple[Change, ...]:
    """Changes that would let other strings be wired than the supply, one more controller of each kind last.

    Where controllers are chosen, one of the catalogue in another form; of each there are always more.
    """
    controllers = job.controllers
    if controllers is None:
        return ()
    boxes = distinct(controllers.catalogue if controllers.choose else controllers.fitted)
    able = [c for c in boxes if any(k.controller == c for k in supply.classes)]
    jobs = list(_lifted_cap(job, temperatures))
    for controller in able:
        jobs += [*_higher_voltage(job, controller), *_more_current(job, controller)]
    if not controllers.choose:
        jobs += [_one_more(job, controller) for controller in able]
    found: list[Change] = []
    for words, changed in jobs:
        other = supply_of(changed, temperatures)
        if _differs(other, supply) and len(found) < MOST_CHANGES:
            found.append(Change(words, other))
    return tuple(found)


def cost_notes(
    costs_watts: float, changes: Sequence[Change], freed_watts: Sequence[float], in_time: bool = True
) -> tuple[Note, ...]:
    """A note when a layout that does not mind its wiring has more watts, with the best of the changes.

    in_time: every change was asked to the end.
    """
    if costs_watts <= 0.0:
        return ()
    text = f"Panels that need not be wired would have at least {costs_watts:g} W more on this roof"
    gains = sorted(zip(freed_watts, (c.words for c in changes), strict=True), key=lambda g: -g[0])
    told = [f"with {words} at least {watts:g} W more" for watts, words in gains if watts > 0.0][:TOLD]
    none = "no single change of a controller was found to free any of them"
    none += "" if in_time else " in the little time that was given to it"
    end = f"; {'; '.join(told)}." if told else f"; {none}."
    return (Note("info", "wiring-costs", text + end),)


def _lifted_cap(job: Job, temperatures: Temperatures) -> Iterator[tuple[str, Job]]:
    """The installer's own cap raised to the next panel more that any model's string would need."""
    cap_v = job.wiring_rules.most_string_v
    if cap_v is None:
        return
    each = [limits.cold_voc_v(m, temperatures.coldest_cell_c) for m in models_to_wire(job)]
    needed_v = _next_above(cap_v, each)
    if needed_v is not None:
        rules = replace(job.wiring_rules, most_string_v=needed_v)
        yield (
            f"most_string_v of {needed_v:g} V instead of {cap_v:g} V",
            replace(job, wiring_rules=rules),
        )


def _higher_voltage(job: Job, controller: ControllerModel) -> Iterator[tuple[str, Job]]:
    assert job.controllers is not None
    ratings = {*INPUT_RATINGS_V, *(c.max_pv_v for c in job.controllers.catalogue)}
    higher = [v for v in sorted(ratings) if v > controller.max_pv_v]
    if higher:
        words = f"{_a(controller.model)} with inputs for {higher[0]:g} V instead of {controller.max_pv_v:g} V"
        yield words, _with(job, controller, replace(controller, max_pv_v=higher[0]))


def _more_current(job: Job, controller: ControllerModel) -> Iterator[tuple[str, Job]]:
    """Inputs for one string more of any model."""
    each = [limits.design_isc_a(m.isc_a) for m in models_to_wire(job) if m.isc_a is not None]
    needed_a = _next_above(controller.max_pv_isc_a, each)
    if needed_a is not None:
        words = (
            f"{_a(controller.model)} with inputs for {needed_a:g} A short-circuit instead of "
            f"{controller.max_pv_isc_a:g} A"
        )
        yield words, _with(job, controller, replace(controller, max_pv_isc_a=needed_a))


def _a(name: str) -> str:
    return f"{'an' if name[:1].upper() in VOWELS else 'a'} {name}"


def _one_more(job: Job, controller: ControllerModel) -> tuple[str, Job]:
    assert job.controllers is not None
    fitted = (*job.controllers.fitted, controller)
    return f"one more {controller.model}", replace(job, controllers=replace(job.controllers, fitted=fitted))


def _with(job: Job, old: ControllerModel, new: ControllerModel) -> Job:
    """The first fitted controller of a kind in another form; where they are chosen, it beside the others."""
    assert job.controllers is not None
    if job.controllers.choose:
        catalogue = (*job.controllers.catalogue, new)
        return replace(job, controllers=replace(job.controllers, catalogue=catalogue))
    fitted = list(job.controllers.fitted)
    fitted[fitted.index(old)] = new
    return replace(job, controllers=replace(job.controllers, fitted=tuple(fitted)))


def _next_above(limit: float, each: Sequence[float]) -> float | None:
    """The least whole number above a limit that allows one more of something than the limit does."""
    counts = {one: math.floor(limit / one * (1.0 + limits.TOLERANCE)) + 1 for one in each if one > 0.0}
    needed = [float(math.ceil(n * one - 1e-9)) for one, n in counts.items()]
    return min((v for v in needed if v > limit), default=None)


def _differs(one: Supply, other: Supply) -> bool:
    """Whether one has trackers or strings that the other has not, whatever the controllers are called."""

    def said(supply: Supply) -> set[tuple[object, ...]]:
        ways = {
            (o.model.model, o.in_series, o.most_parallel, supply.classes[o.tracker_class].trackers)
            for o in supply.options
        }
        return {*ways, ("trackers", sum(c.trackers for c in supply.classes if c.trackers))}

    return not said(one) <= said(other)
