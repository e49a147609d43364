"""Where a facet's names stand: inside their shapes where they fit, else beside them on a leader.

Places are millimetres of paper from the lower left corner of the roof's bounding box.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from ..job import Obstacle, Point
from ..plan import PlacedPanel
from .box import Box, PaperPoint, bounding_box, point_in_polygon
from .callouts import Callout, Surroundings, place_callout
from .lettering import clean, millimetres, number
from .shapes import clipped, lid_name_strip, obstacle_polygon
from .stack import PanelWords, Stack, name_stacks, panel_stacks

_STACK_RIM = 0.3  # descenders hang a little below a stack's box
_ROWS = (0, 1, 2, 4, 6)  # above the roof, tried in turn until every name has its place
_MANY = 60  # names outside, for which only the most room is tried: most of them will find no place
_BESIDE = 2.0  # from the dimensions to a name right of the roof


@dataclass(frozen=True, slots=True)
class PlacedStack:
    """A stack centred on a point."""

    stack: Stack
    centre: PaperPoint


@dataclass(frozen=True, slots=True)
class Names:
    """All names of a facet's view; unplaced ones are in the tables only."""

    panels: dict[str, Stack]
    obstacles: tuple[PlacedStack, ...]
    lids: tuple[PlacedStack, ...]
    callouts: tuple[Callout, ...]
    unplaced: tuple[str, ...]
    beside_mm: float = 0.0  # what names right of the roof take of the paper


@dataclass(frozen=True, slots=True)
class Field:
    """What is to be named, at a scale."""

    panels: tuple[PlacedPanel, ...]
    strings: dict[str, str]
    obstacles: tuple[Obstacle, ...]
    outline: tuple[Point, ...]
    bounds: Box  # millimetres of roof, the datum included
    denominator: int

    def place(self, point: Point) -> PaperPoint:
        """A point of the roof on paper, from the lower left corner of its bounding box."""
        return (point[0] - self.bounds.x0) / self.denominator, (point[1] - self.bounds.y0) / self.denominator

    def box(self, x0: float, y0: float, x1: float, y1: float) -> Box:
        return Box(*self.place((x0, y0)), *self.place((x1, y1)))

    def panel_box(self, p: PlacedPanel) -> Box:
        return self.box(p.x_mm, p.y_mm, p.x_mm + p.along_x_mm, p.y_mm + p.along_y_mm)


@dataclass(frozen=True, slots=True)
class Margin:
    """The room above the roof where names may stand in rows."""

    figures: tuple[Box, ...]  # dimension figures that stand there
    first_row: float  # baseline
    row_height: float
    start: float
    end: float
    beside: float  # where the dimensions right of the roof end


def panel_words(panel: PlacedPanel, string: str) -> PanelWords:
    """What is written in a panel."""
    return PanelWords(
        number=panel.panel,
        badge=string,
        kept=panel.kept,
        model=clean(panel.model),
        size=f"{millimetres(panel.along_x_mm)} × {millimetres(panel.along_y_mm)}",
        watts=f"{number(panel.watts, 1)} W",
    )


def lid_names(obstacle: Obstacle) -> tuple[str, ...]:
    """What the strip under a lid may be called, the fullest first."""
    return f"lid of {clean(obstacle.name)}", "lid swing", "lid"


# What finds no room inside: the names it may be called by, best first, and where a leader may end.
Anchored = tuple[tuple[str, ...], list[PaperPoint]]  # the wordings of a name, and where its leader may end
Outside = list[Anchored]


def plan_names(field: Field, margin: Margin, labels: Mapping[str, Stack] | None = None) -> tuple[Names, int]:
    """Find every name its place; returns also how many rows above the roof that takes.

    labels: what is written in the panels, where that is not the drawing's wording; a panel without one is
    named outside.
    """
    panels, outside = _panel_names(field) if labels is None else _labelled(field, labels)
    taken = [*margin.figures]
    taken += [panels[p.panel].box_at(*field.panel_box(p).centre) for p in field.panels if p.panel in panels]
    outline = [field.place(p) for p in field.outline]
    obstacles: list[PlacedStack] = []
    lids: list[PlacedStack] = []
    for obstacle in field.obstacles:
        whole = [field.place(p) for p in obstacle_polygon(obstacle)]
        roof = field.box(field.bounds.x0, field.bounds.y0, field.bounds.x1, field.bounds.y1)
        shape = clipped(whole, roof) or whole  # what overhangs is named where there is roof
        frame = bounding_box(shape)
        placed = _inside(name_stacks([clean(obstacle.name)], frame.width, frame.height), frame, shape, taken)
        if placed is not None:
            obstacles.append(placed)
        else:
            outside.append(((clean(obstacle.name),), _anchors(frame)))
        strip = lid_name_strip(obstacle)
        shared = field.box(*strip).meet(bounding_box(outline)) if strip is not None else None
        if shared is None:  # no lid, or one that swings clear of this roof
            continue
        frame = shared
        stacks = name_stacks(lid_names(obstacle), frame.width, frame.height)
        placed = _inside(stacks, frame, outline, taken)
        if placed is not None:
            lids.append(placed)
        else:
            outside.append((lid_names(obstacle)[::2], _anchors(frame)))
    outside.sort(key=lambda name: len(name[1]))  # what is small has the least choice
    best: tuple[list[Callout], list[str], int] | None = None
    hopeless: list[Anchored] = []
    rooms = list(product((False, True), _ROWS))
    for beside, rows in rooms if len(outside) <= _MANY else rooms[-1:]:
        around = _surroundings(field, taken, margin, rows, beside)
        fewest = len(outside) + 1 if best is None else len(best[1])
        callouts, unplaced = _place_all(outside, around, hopeless)
        if unplaced and len(outside) <= _MANY:
            if best is None:
                most = _surroundings(field, taken, margin, max(_ROWS), True)
                hopeless = [n for n in outside if n[0][0] in unplaced and _callout(n, most) is None]
            first = sorted(outside, key=lambda name: name[0][0] not in unplaced)
            second = _place_all(first, around, hopeless, min(fewest, len(unplaced)))
            callouts, unplaced = min((callouts, unplaced), second, key=lambda p: len(p[1]))
        if len(unplaced) < fewest:
            best = callouts, unplaced, rows
        if not unplaced:
            break
    assert best is not None
    beside_mm = max((c.box.x1 - margin.beside for c in best[0] if c.x > margin.beside), default=0.0)
    names = Names(panels, tuple(obstacles), tuple(lids), tuple(best[0]), tuple(best[1]), beside_mm)
    return names, best[2]


def _panel_names(field: Field) -> tuple[dict[str, Stack], Outside]:
    """Panels drawn alike are lettered alike; those too small even for their number go outside."""
    alike: dict[tuple[str, float, float, bool], list[PlacedPanel]] = {}
    for p in field.panels:
        alike.setdefault((p.model, p.along_x_mm, p.along_y_mm, p.kept), []).append(p)
    inside: dict[str, Stack] = {}
    outside: Outside = []
    for group in alike.values():
        words = [panel_words(p, field.strings.get(p.panel, "")) for p in group]
        box = field.panel_box(group[0])
        stacks = panel_stacks(words, box.width, box.height)
        if stacks is None:
            for p, w in zip(group, words, strict=True):
                names = (f"{p.panel} {w.badge}", p.panel) if w.badge else (p.panel,)
                outside.append((names, [field.panel_box(p).centre]))
        else:
            inside.update((p.panel, stack) for p, stack in zip(group, stacks, strict=True))
    return inside, outside


def _labelled(field: Field, labels: Mapping[str, Stack]) -> tuple[dict[str, Stack], Outside]:
    """Panels with lettering of their own, and those that have none."""
    bare = [p for p in field.panels if p.panel not in labels]
    return dict(labels), [((p.panel,), [field.panel_box(p).centre]) for p in bare]


def _inside(
    stacks: list[Stack], frame: Box, shape: Sequence[PaperPoint], taken: list[Box]
) -> PlacedStack | None:
    """The first of some stacks that, centred in a frame, stands free and within a shape; now taken."""
    for stack in stacks:
        box = stack.box_at(*frame.centre)
        within = all(point_in_polygon(corner, shape) for corner in box.corners)
        box = box.grown(_STACK_RIM)
        if within and not any(box.overlaps(other) for other in taken):
            taken.append(box)
            return PlacedStack(stack, frame.centre)
    return None


def _anchors(frame: Box) -> list[PaperPoint]:
    """Points along the middle of a thing that a leader may end on; a long one has more of them."""
    x, y = frame.centre
    long = max(frame.width, frame.height)
    count = min(9, 1 + 2 * int(long // 6.0))
    shares = [(k + 0.5) / count - 0.5 for k in range(count)]
    if frame.width >= frame.height:
        return [(x + share * frame.width, y) for share in shares]
    return [(x, y + share * frame.height) for share in shares]


def _surroundings(field: Field, taken: list[Box], margin: Margin, rows: int, beside: bool) -> Surroundings:
    """What names on leaders must mind, with so many rows above the roof, and room right of it or none."""
    b = field.bounds
    roof = field.box(b.x0, b.y0, b.x1, b.y1)
    kept_clear: list[Box] = []
    for obstacle in field.obstacles:
        x0, y0, x1, y1 = obstacle.bounds_mm()
        c = obstacle.clearance_mm
        kept_clear.append(field.box(x0 - c, y0 - c, x1 + c, y1 + c))
        swing = obstacle.swing_mm()
        if swing is not None:
            kept_clear.append(field.box(*swing))
    solids = [field.panel_box(p) for p in field.panels]
    # Clearances and lids are drawn on the roof only; past it names may stand.
    solids += [shared for box in kept_clear if (shared := box.meet(roof)) is not None]
    corners = [field.place(p) for p in field.outline]
    return Surroundings(
        roof=roof,
        solids=tuple(solids),
        rows=tuple(margin.first_row + k * margin.row_height for k in range(rows)),
        row_start=margin.start,
        row_end=margin.end,
        outline=tuple(zip(corners, corners[1:] + corners[:1], strict=True)),
        beside=margin.beside + _BESIDE if beside else None,
        taken=taken,
    )


def _callout(name: Anchored, around: Surroundings) -> Callout | None:
    """The first wording of a name that finds a place."""
    wordings, anchors = name
    return next((c for w in wordings if (c := place_callout(w, anchors, around)) is not None), None)


def _place_all(
    outside: Outside, around: Surroundings, hopeless: Outside, fewer_than: float = math.inf
) -> tuple[list[Callout], list[str]]:
    """Names on leaders one after the other; those without a place come second.

    hopeless: those that find none even alone and with all the room there is. It ends as soon as there are
    not fewer_than without a place, as nobody then asks for the rest.
    """
    standing = replace(
        around, taken=list(around.taken), names=list(around.names), leaders=list(around.leaders)
    )
    callouts: list[Callout] = []
    failed: list[str] = []
    for name in outside:
        callout = None if name in hopeless else _callout(name, standing)
        if callout is None:
            failed.append(name[0][0])
            if len(failed) >= fewer_than:
                break
        else:
            standing.add(callout)
            callouts.append(callout)
    return callouts, failed
