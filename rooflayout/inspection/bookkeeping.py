"""Whether names, watts, strings, trackers and the claim of proof agree with one another."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures
from rooflayout.inspection.lookup import (
    controller_of,
    lacks_wiring,
    model_of,
    panels_of,
    strings_of,
    tracker_strings,
)
from rooflayout.job import Job
from rooflayout.plan import Layout, Plan

_TOLERANCE_WH = 1.0
_TOLERANCE_W = 0.05 + 1e-6  # a tenth of a watt, rounded


def names_are_unique(job: Job, plan: Plan) -> Iterator[Breach]:
    """No two panels, no two strings and no two controllers share a name."""
    wiring = plan.wiring
    groups = {
        "panels": [p.panel for p in plan.layout.panels],
        "strings": [s.string for s in wiring.strings] if wiring else [],
        "controllers": [c.controller for c in wiring.controllers] if wiring else [],
    }
    for things, names in groups.items():
        for name, times in Counter(names).items():
            if times > 1:
                yield Breach("name-twice", name, f"{times} {things} are called {name}; 1 may be")


def panel_watts_are_the_models(job: Job, plan: Plan) -> Iterator[Breach]:
    """A panel's watts are its model's."""
    for panel in plan.layout.panels:
        model = model_of(job, panel)
        if model is not None and _apart(panel.watts, model.power_w):
            a, b = figures(panel.watts, model.power_w)
            yield Breach("panel-watts", panel.panel, f"{panel.panel} states {a} W; {model.model} has {b} W")


def watts_add_up(job: Job, plan: Plan) -> Iterator[Breach]:
    """The layout's watts are those of its panels; where wiring is asked, of the wired ones."""
    if lacks_wiring(job, plan):
        return
    wired = {name for s in plan.wiring.strings for name in s.panels} if plan.wiring else set()
    watts = 0.0
    for panel in plan.layout.panels:
        model = model_of(job, panel)
        if model is not None and (panel.panel in wired or not job.wants_wiring):
            watts += model.power_w
    if _apart(plan.layout.watts, watts):
        a, b = figures(plan.layout.watts, watts)
        which = "wired panels" if job.wants_wiring else "panels"
        yield Breach("layout-watts", "the layout", f"the layout states {a} W; its {which} add up to {b} W")


def status_is_consistent(job: Job, plan: Plan) -> Iterator[Breach]:
    """The bound is at least the watts, and equal when proven; nothing new lies there when nothing fits.

    A bound over the positions tried binds none but those, so a plan made better by hand keeps to the one over
    all positions. Where the job aims at harvest, its Wh and their bound are what is proven.
    """
    layout = plan.layout
    aims_at_wh = job.panels.aim == "harvest" and layout.harvest_wh_year is not None
    watts, bound = layout.watts, layout.bound_watts
    if layout.ceiling_watts < watts - _TOLERANCE_W:
        a, b = figures(watts, layout.ceiling_watts)
        yield Breach("bound", "the layout", f"the layout has {a} W; its bound says that at most {b} W fit")
    elif aims_at_wh:
        yield from _harvest_is_consistent(layout)
    elif layout.status == "proven" and not math.isnan(watts) and not abs(bound - watts) <= _TOLERANCE_W:
        a, b = figures(bound, watts)
        text = f"the layout is called proven with a bound of {a} W; the bound must equal its {b} W"
        if bound < watts:
            text += " (a layout with positions that were not tried is 'best found')"
        yield Breach("proof", "the layout", text)
    new = [p.panel for p in layout.panels if not p.kept]
    if layout.status == "nothing fits" and new:
        text = f"the status is 'nothing fits'; {len(new)} new panels are placed ({', '.join(new[:5])})"
        yield Breach("status", "the layout", text)


def _harvest_is_consistent(layout: Layout) -> Iterator[Breach]:
    wh, bound_wh = layout.harvest_wh_year, layout.bound_harvest_wh_year
    if wh is None or bound_wh is None or bound_wh < wh - _TOLERANCE_WH:
        text = f"the layout states {wh} Wh a year with a bound of {bound_wh} Wh; the bound is at least that"
        yield Breach("harvest-bound", "the layout", text)
    elif layout.status == "proven" and bound_wh > wh + _TOLERANCE_WH:
        a, b = figures(bound_wh, wh)
        text = f"the layout is called proven with a bound of {a} Wh a year; the bound must equal its {b} Wh"
        yield Breach("harvest-proof", "the layout", text)


def plan_is_wired(job: Job, plan: Plan) -> Iterator[Breach]:
    """A plan with panels has wiring where the job asks for it, and none that cannot be checked."""
    if lacks_wiring(job, plan):
        text = f"the job asks for wiring; {len(plan.layout.panels)} panels are placed and none is wired"
        yield Breach("unwired", "the plan", text)
    if plan.wiring is not None and not job.wants_wiring and (plan.wiring.strings or plan.wiring.controllers):
        text = (
            f"the plan has {len(plan.wiring.strings)} strings; the job names no battery or no controllers, "
            "so they cannot be checked"
        )
        yield Breach("wiring-unchecked", "the plan", text)


def panels_are_on_one_string(job: Job, plan: Plan) -> Iterator[Breach]:
    """A new panel is on exactly one string, a kept one on one or listed as unwired."""
    if plan.wiring is None or not job.wants_wiring:
        return
    times = Counter(name for s in plan.wiring.strings for name in s.panels)
    for panel in plan.layout.panels:
        name, n = panel.panel, times[panel.panel]
        if n > 1:
            strings = ", ".join(s.string for s in plan.wiring.strings if name in s.panels)
            yield Breach("panel-twice", name, f"{name} is wired {n} times, on {strings}; 1 is allowed")
        elif n == 0 and not panel.kept:
            yield Breach("panel-unwired", name, f"{name} is on 0 strings; a new panel is on exactly 1")
        elif n == 0 and name not in plan.wiring.unwired:
            text = f"{name} is kept and on 0 strings; it must be listed as unwired"
            yield Breach("unwired-list", name, text)
    there = {p.panel for p in plan.layout.panels}
    for name in plan.wiring.unwired:
        if name not in there:
            yield Breach("unwired-list", name, f"{name} is listed as unwired; no panel has that name")
        elif times[name]:
            yield Breach("unwired-list", name, f"{name} is listed as unwired; it is on {times[name]} string")


def strings_name_panels(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string has at least one panel and names only panels of the layout."""
    there = {p.panel for p in plan.layout.panels}
    for string in strings_of(plan):
        if not string.panels:
            yield Breach("string-empty", string.string, f"{string.string} has 0 panels; at least 1")
        for name in string.panels:
            if name not in there:
                text = f"{string.string} names {name}; no panel of the layout has that name"
                yield Breach("string-panel", string.string, text)


def strings_are_of_one_kind(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string's panels are of one model on one facet: the ones it states."""
    for string in strings_of(plan):
        panels = panels_of(plan, string)
        for what, found, stated in (
            ("model", sorted({p.model for p in panels}), string.model),
            ("facet", sorted({p.facet for p in panels}), string.facet),
        ):
            if len(found) > 1:
                names = ", ".join(found)
                text = f"{string.string} has panels of {len(found)} {what}s ({names}); 1 is allowed"
                yield Breach("string-mixed", string.string, text)
            elif found and stated and found[0] != stated:
                text = f"{string.string} states {what} {stated}; its panels are of {what} {found[0]}"
                yield Breach(f"string-{what}", string.string, text)


def controllers_are_known(job: Job, plan: Plan) -> Iterator[Breach]:
    """C1, C2 ... are the fitted controllers in order; chosen ones state a model of the catalogue."""
    if plan.wiring is None or job.controllers is None:
        return
    stated = {c.controller: c.model for c in plan.wiring.controllers}
    used = [*stated, *(s.controller for s in plan.wiring.strings)]
    for name in dict.fromkeys(used):
        controller = controller_of(job, plan, name)
        if controller is None and job.controllers.choose:
            text = f"{name} states the model {stated.get(name, '')!r}; the catalogue has no such controller"
            yield Breach("unknown-controller", name, text)
        elif controller is None:
            fitted = ", ".join(f"C{i} {c.model}" for i, c in enumerate(job.controllers.fitted, 1))
            text = f"the plan names {name}; fitted are {fitted or 'none'}"
            yield Breach("unknown-controller", name, text)
        elif stated.get(name) and stated[name] != controller.model:
            text = f"{name} states the model {stated[name]}; fitted there is the {controller.model}"
            yield Breach("controller-model", name, text)


def trackers_exist(job: Job, plan: Plan) -> Iterator[Breach]:
    """A string's tracker is one that its controller has."""
    for name, tracker in tracker_strings(plan):
        controller = controller_of(job, plan, name)
        if controller is not None and not 1 <= tracker <= controller.trackers:
            where = f"{name} tracker {tracker}"
            text = f"{where} carries a string; {controller.model} has trackers 1 to {controller.trackers}"
            yield Breach("unknown-tracker", where, text)


def _apart(stated: float, right: float) -> bool:
    return not math.isnan(stated) and not abs(stated - right) <= _TOLERANCE_W
