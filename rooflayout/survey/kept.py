"""The [[kept_panel]] tables: panels that are on the roof already and stay."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rooflayout.job import Facet, KeptPanel, Obstacle, PanelModel, Point, Spacing
from rooflayout.survey.facets import Facets, read_facet_name
from rooflayout.survey.hints import Turn, place_hint
from rooflayout.survey.shapes import (
    TOLERANCE_MM,
    box_inside,
    boxes_gap_mm,
    boxes_overlap,
    kept_box,
    nearer_than,
    too_near_obstacle,
)
from rooflayout.survey.sheet import Catalogue
from rooflayout.survey.table import Table, tables
from rooflayout.survey.words import did_you_mean, number_text, show


@dataclass(frozen=True, slots=True)
class KeptEntry:
    """A kept panel as written, its model still a name; None is absent or faulty."""

    table: Table
    model: str | None
    facet: str | None
    at: Point | None
    turned: bool


def read_kept_entries(top: Table, facets: Facets) -> list[KeptEntry]:
    """Reads the tables before the catalogue is known."""
    entries = []
    for table in tables(top, "kept_panel", "kept panel"):
        table.check_keys("kept_panel")
        entries.append(
            KeptEntry(
                table,
                table.text("model", "a model of the panel catalogue", needed=True),
                read_facet_name(table, facets),
                table.pair("at", "[x, y] in mm", needed=True),
                table.flag("turned", False),
            )
        )
    return entries


def place_kept_panels(
    entries: list[KeptEntry],
    catalogue: Catalogue[PanelModel],
    facets: Facets,
    obstacles: tuple[Obstacle, ...],
    spacing: Spacing,
) -> tuple[KeptPanel, ...]:
    """The kept panels with their models, checked against the roof, the obstacles and each other."""
    placed: list[tuple[KeptEntry, KeptPanel]] = []
    for entry in entries:
        if entry.model is not None and entry.model not in catalogue.listed:
            entry.table.problem(
                ("model",),
                "model",
                show(entry.model),
                "a model of the panel catalogue",
                did_you_mean(entry.model, catalogue.listed),
            )
        model = catalogue.models.get(entry.model or "")
        if model is None or entry.facet is None or entry.at is None:
            continue
        kept = KeptPanel(model, entry.facet, *entry.at, entry.turned)
        _check_edge(entry, kept, facets, spacing)
        _check_obstacles(entry, kept, obstacles)
        for earlier_entry, earlier in placed:
            if earlier.facet == kept.facet:
                _check_pair(entry, kept, earlier_entry, earlier, spacing)
        placed.append((entry, kept))
    return tuple(kept for _, kept in placed)


def _check_edge(entry: KeptEntry, kept: KeptPanel, facets: Facets, spacing: Spacing) -> None:
    facet = facets.find(kept.facet)
    if facet is None:
        return
    x0, y0, x1, y1 = kept_box(kept)
    if not box_inside((x0, y0, x1, y1), 0.0, facet):
        span = f"x {number_text(x0)} to {number_text(x1)}, y {number_text(y0)} to {number_text(y1)}"
        expected = f"a place inside facet {show(facet.name)}"
        entry.table.problem(("at",), "at", f"it on {span}", expected, _edge_hint(kept, facet, facets))
    elif not box_inside((x0, y0, x1, y1), spacing.from_edge_mm, facet):
        text = f"{_name(entry)} lies nearer than {number_text(spacing.from_edge_mm)} mm to the edge."
        entry.table.findings.note("caution", "kept-panel-near-edge", text)


def _edge_hint(kept: KeptPanel, facet: Facet, facets: Facets) -> str:
    """The panel turned, its corner's x and y swapped, or another facet, where it would lie inside."""
    if box_inside(kept_box(replace(kept, turned=not kept.turned)), 0.0, facet):
        return f"It would fit with turned = {'false' if kept.turned else 'true'}."

    def fits(to: Facet, turn: Turn) -> bool:
        x, y = turn(kept.x_mm, kept.y_mm)
        return box_inside(kept_box(replace(kept, x_mm=x, y_mm=y)), 0.0, to)

    return place_hint(facet, facets, fits)


def _check_obstacles(entry: KeptEntry, kept: KeptPanel, obstacles: tuple[Obstacle, ...]) -> None:
    for obstacle in obstacles:
        if obstacle.facet != kept.facet:
            continue
        if nearer_than(kept_box(kept), obstacle, 0.0):
            found = f"it lying on obstacle {show(obstacle.name)}"
            entry.table.problem(("at",), "at", found, "a place clear of obstacles")
        elif too_near_obstacle(kept_box(kept), obstacle):
            text = f"{_name(entry)} lies within the clearance of obstacle {show(obstacle.name)}."
            entry.table.findings.note("caution", "kept-panel-near-obstacle", text)


def _check_pair(
    entry: KeptEntry, kept: KeptPanel, earlier_entry: KeptEntry, earlier: KeptPanel, spacing: Spacing
) -> None:
    one, other = kept_box(kept), kept_box(earlier)
    gap = boxes_gap_mm(one, other)
    if boxes_overlap(one, other):
        found = f"it lying over {_name(earlier_entry)} by {number_text(round(-gap, 1))} mm"
        entry.table.problem(("at",), "at", found, "a place of its own")
    elif gap < spacing.between_panels_mm - TOLERANCE_MM:
        text = f"{_name(entry)} lies {number_text(round(gap, 1))} mm from {_name(earlier_entry)}; "
        text += f"the spacing asks for {number_text(spacing.between_panels_mm)} mm."
        entry.table.findings.note("caution", "kept-panels-close", text)


def _name(entry: KeptEntry) -> str:
    return entry.table.name
