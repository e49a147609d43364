"""A facet's shade to scale: which scale fits, and where the panels' and obstacles' names stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..job import Facet, Job, Obstacle, Point
from ..plan import PlacedPanel, Plan
from .arrange import ROOF_DENOMINATORS
from .box import Box, PaperPoint, bounding_box
from .header import LEAST_WIDTH, Header, plan_header
from .lettering import NORMAL, SMALL, line_mm
from .naming import Field, Margin, Names, plan_names
from .stack import Line, Stack

_ROW = line_mm(NORMAL) + 2.0  # height of one row of names above the roof
_GAP = 3.0  # between heading, names and roof
_WAYS = 8  # of writing a panel's name and loss
_PAD = 1.4  # left free in a panel, along each side's length

Known = dict[tuple[int, Margin], tuple[Names, int]]  # by scale, what plan_names found for one facet


@dataclass(frozen=True, slots=True)
class ShadeView:
    """A facet at a scale; lengths are millimetres of paper."""

    facet: Facet
    bounds: Box  # millimetres of roof
    denominator: int
    obstacles: tuple[Obstacle, ...]
    panels: tuple[PlacedPanel, ...]
    labels: dict[str, Stack]  # by panel; those for which there is room
    untold: tuple[str, ...]  # panels that have no room for their loss
    names: Names
    name_rows_mm: float
    header: Header

    @property
    def width_mm(self) -> float:
        roof = self.bounds.width / self.denominator + self.names.beside_mm
        return max(roof, self.header.width_mm, LEAST_WIDTH)

    @property
    def roof_height_mm(self) -> float:
        return self.bounds.height / self.denominator

    @property
    def height_mm(self) -> float:
        return self.header.height_mm + self.name_rows_mm + _GAP + self.roof_height_mm + 1.0


@dataclass(frozen=True, slots=True)
class PlacedShade:
    """A view whose roof has its lower left corner at (x, y) on the paper."""

    view: ShadeView
    x: float
    y: float

    def shift(self, point: PaperPoint) -> PaperPoint:
        """Where a point given from the lower left corner of the roof's bounding box lies."""
        return self.x + point[0], self.y + point[1]

    def paper(self, point: Point) -> PaperPoint:
        """Where a point of the roof lies on the paper [mm]."""
        b, den = self.view.bounds, self.view.denominator
        return self.shift(((point[0] - b.x0) / den, (point[1] - b.y0) / den))

    def paper_box(self, x0: float, y0: float, x1: float, y1: float) -> Box:
        """A rectangle of the roof on the paper."""
        return Box(*self.paper((x0, y0)), *self.paper((x1, y1)))

    def panel_box(self, p: PlacedPanel) -> Box:
        """A panel on the paper."""
        return self.paper_box(p.x_mm, p.y_mm, p.x_mm + p.along_x_mm, p.y_mm + p.along_y_mm)

    @property
    def roof_box(self) -> Box:
        """The roof's bounding box on the paper."""
        b = self.view.bounds
        return self.paper_box(b.x0, b.y0, b.x1, b.y1)


def loss_words(loss_pct: float) -> str:
    """What shade takes, in whole %."""
    return "< 1 %" if 0.0 < loss_pct < 0.5 else f"{loss_pct:.0f} %"


def largest_view(
    job: Job, plan: Plan, facet: Facet, room: Box, known: Known | None = None
) -> ShadeView | None:
    """The facet at the largest scale at which it fits a room; None where it fits at none.

    known: for another room's view of the same facet, so that its names are not placed again.
    """
    whole = bounding_box(facet.outline_mm)
    for denominator in ROOF_DENOMINATORS:
        if whole.width / denominator > room.width or whole.height / denominator > room.height:
            continue
        view = shade_view(job, plan, facet, denominator, room.width, {} if known is None else known)
        if view.width_mm <= room.width and view.height_mm <= room.height:
            return view
    return None


def shade_view(
    job: Job, plan: Plan, facet: Facet, denominator: int, room_mm: float, known: Known
) -> ShadeView:
    """The facet at a scale, its heading in a room so wide."""
    bounds = bounding_box(facet.outline_mm)
    panels = tuple(p for p in plan.layout.panels if p.facet == facet.name)
    losses = {s.panel: s.loss_pct for s in plan.energy.shade} if plan.energy else {}
    labels, untold = _labels(panels, losses, denominator)
    # Neither lids nor clearances matter here.
    things = tuple(replace(o, opens=None, clearance_mm=0.0) for o in job.obstacles_on(facet.name))
    field = Field(panels, {}, things, facet.outline_mm, bounds, denominator)
    wide, high = bounds.width / denominator, bounds.height / denominator
    margin = Margin((), high + _GAP, _ROW, 0.0, max(wide, min(room_mm, LEAST_WIDTH)), wide)
    if (denominator, margin) not in known:
        known[denominator, margin] = plan_names(field, margin, labels)
    names, rows = known[denominator, margin]
    remarks = [f"without room for their names: {', '.join(names.unplaced)}"] if names.unplaced else []
    heading = job.site.heading_deg if job.site else None
    header = plan_header(facet, heading, max(wide, min(room_mm, 120.0)), remarks)
    return ShadeView(facet, bounds, denominator, things, panels, labels, untold, names, rows * _ROW, header)


def _labels(
    panels: Sequence[PlacedPanel], losses: dict[str, float], denominator: int
) -> tuple[dict[str, Stack], tuple[str, ...]]:
    """Name and loss of each panel as they fit it, those of one size alike; and which have no room for both.

    The name alone then, where that fits.
    """
    labels: dict[str, Stack] = {}
    untold: list[str] = []
    sizes = dict.fromkeys((p.along_x_mm, p.along_y_mm) for p in panels)
    for size in sizes:
        room = size[0] / denominator - _PAD, size[1] / denominator - _PAD
        group = [p.panel for p in panels if (p.along_x_mm, p.along_y_mm) == size]
        both = {p: _wordings(p, loss_words(losses[p])) for p in group if p in losses}
        ways = [[stacks[k] for stacks in both.values()] for k in range(_WAYS)] if both else []
        fitting = next((way for way in ways if all(_fits(stack, room) for stack in way)), None)
        if fitting is not None:
            labels.update(zip(both, fitting, strict=True))
        else:
            untold += both
        for p in group:
            alone = next((s for s in _wordings(p, "") if _fits(s, room)), None)
            if p not in labels and alone is not None:
                labels[p] = alone
    return labels, tuple(p.panel for p in panels if p.panel in untold)


def _wordings(name: str, loss: str) -> list[Stack]:
    """From the largest down, _WAYS of them; without a loss the name alone."""
    ways: list[Stack] = []
    for size in (NORMAL, SMALL):
        two = (Line(name, size, True), Line(loss, size)) if loss else (Line(name, size, True),)
        one = Line(f"{name}  {loss}".strip(), size, True)
        ways += [Stack(lines, upright) for lines in (two, (one,)) for upright in (False, True)]
    return ways


def _fits(stack: Stack, room: tuple[float, float]) -> bool:
    along_x, along_y = stack.size_mm()
    return along_x <= room[0] and along_y <= room[1]
