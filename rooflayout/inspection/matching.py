"""Whether each panel of the plan is what the job knows: facet, model, sides, turning, kept panels."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.lookup import TOLERANCE_MM, facet_of, has_place, model_of
from rooflayout.job import Job, KeptPanel
from rooflayout.plan import PlacedPanel, Plan

_ROUNDED_UP_MM = 1.0  # a plan may state sides rounded up to whole millimetres


def facet_is_known(job: Job, plan: Plan) -> Iterator[Breach]:
    """Every panel lies on a facet of the job."""
    known = ", ".join(f.name for f in job.facets)
    for panel in plan.layout.panels:
        if facet_of(job, panel) is None:
            text = f"{panel.panel} lies on {panel.facet!r}; the job's facets are {known}"
            yield Breach("unknown-facet", panel.panel, text)


def model_is_known(job: Job, plan: Plan) -> Iterator[Breach]:
    """Every panel's model is in use or on the roof already."""
    for panel in plan.layout.panels:
        if model_of(job, panel) is None:
            text = f"{panel.panel} is a {panel.model!r}; no panel that the job uses or keeps has that name"
            yield Breach("unknown-model", panel.panel, text)


def sides_are_the_models(job: Job, plan: Plan) -> Iterator[Breach]:
    """The sides are the catalogue's for the way the panel lies, or those rounded up."""
    for panel in plan.layout.panels:
        model = model_of(job, panel)
        if model is None or not has_place(panel):
            continue
        along_x, along_y = model.sides_mm(panel.turned)
        for axis, found, side in (("x", panel.along_x_mm, along_x), ("y", panel.along_y_mm, along_y)):
            if not -TOLERANCE_MM <= found - side <= _ROUNDED_UP_MM + TOLERANCE_MM:
                a, b = figures(found, side)
                how = "turned" if panel.turned else "not turned"
                text = f"{panel.panel} measures {a} mm along {axis}; {panel.model}, {how}, measures {b} mm"
                yield Breach("panel-size", panel.panel, text)


def turned_only_where_allowed(job: Job, plan: Plan) -> Iterator[Breach]:
    """A new panel is turned only when its model may be."""
    for panel in plan.layout.panels:
        model = model_of(job, panel)
        if model is not None and panel.turned and not model.turnable and not panel.kept:
            text = f"{panel.panel} is turned; {model.model} may only lie with its length along x"
            yield Breach("turned", panel.panel, text)


def kept_panels_are_there(job: Job, plan: Plan) -> Iterator[Breach]:
    """Every panel that the job keeps is in the plan, at its place and lying the same way."""
    left = [p for p in plan.layout.panels if p.kept]
    for kept in job.kept:
        match = next((p for p in left if _same(p, kept)), None)
        if match is None:
            yield Breach(
                "kept-missing",
                f"{kept.model.model} on {kept.facet}",
                f"the job keeps {_kept_words(kept)}; the plan has no kept panel there",
            )
        else:
            left.remove(match)


def no_kept_panel_is_invented(job: Job, plan: Plan) -> Iterator[Breach]:
    """No panel is called kept that the job does not keep."""
    left = list(job.kept)
    keeps = "; ".join(_kept_words(k) for k in job.kept) or "none"
    for panel in plan.layout.panels:
        if not panel.kept:
            continue
        match = next((k for k in left if _same(panel, k)), None)
        if match is None:
            yield Breach(
                "kept-invented",
                panel.panel,
                f"{panel.panel}, a {panel.model} at ({plain(panel.x_mm)}, {plain(panel.y_mm)}) mm on "
                f"{panel.facet}, is called kept; the job keeps {keeps}",
            )
        else:
            left.remove(match)


def _same(panel: PlacedPanel, kept: KeptPanel) -> bool:
    return (
        panel.model == kept.model.model
        and panel.facet == kept.facet
        and panel.turned == kept.turned
        and abs(panel.x_mm - kept.x_mm) <= TOLERANCE_MM
        and abs(panel.y_mm - kept.y_mm) <= TOLERANCE_MM
    )


def _kept_words(kept: KeptPanel) -> str:
    turned = "turned" if kept.turned else "not turned"
    return f"a {kept.model.model} at ({plain(kept.x_mm)}, {plain(kept.y_mm)}) mm on {kept.facet}, {turned}"
