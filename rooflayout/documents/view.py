"""One facet's view on the sheet: how big it is at a scale, and where a point of the roof lies on paper."""

from __future__ import annotations

from dataclasses import dataclass

from ..job import Facet, Job, Obstacle, Point
from ..plan import PlacedPanel, Plan
from ..wiring.lengths import gland_facet
from .box import Box, PaperPoint, bounding_box
from .header import LEAST_WIDTH, Header, plan_header
from .lettering import NORMAL, line_mm
from .naming import Field, Margin, Names, plan_names
from .running import Running, overall_boxes, plan_running
from .shapes import facet_is_rectangle

_ROW = line_mm(NORMAL) + 2.0  # height of one row of names above the roof
_ROWS_GAP = 2.0
_CORNER = 14.0  # least room left of and below the roof, for the datum's name
_OVERALL = 10.0  # room for an overall dimension


@dataclass(frozen=True, slots=True)
class Dimensions:
    """The running dimensions around a roof; None where figures would not find room."""

    bottom: Running | None
    left: Running | None
    top: Running | None
    right: Running | None
    remarks: tuple[str, ...]  # what is left out for want of room

    @property
    def left_mm(self) -> float:
        return max(_CORNER, self.left.depth_mm if self.left else 0.0)

    @property
    def bottom_mm(self) -> float:
        return max(_CORNER, self.bottom.depth_mm if self.bottom else 0.0)

    @property
    def right_mm(self) -> float:
        return max(_OVERALL, self.right.depth_mm if self.right else 0.0)

    @property
    def top_mm(self) -> float:
        return max(_OVERALL, self.top.depth_mm if self.top else 0.0)


@dataclass(frozen=True, slots=True)
class View:
    """A facet at a scale, with all that stands around it; lengths are millimetres of paper."""

    facet: Facet
    obstacles: tuple[Obstacle, ...]
    panels: tuple[PlacedPanel, ...]
    strings: dict[str, str]  # panel to string
    denominator: int
    bounds: Box  # millimetres of roof, the datum included
    dimensions: Dimensions
    names: Names
    name_rows_mm: float
    header: Header
    gland_mm: Point | None  # where cables go through this facet

    @property
    def roof_width_mm(self) -> float:
        return self.bounds.width / self.denominator

    @property
    def roof_height_mm(self) -> float:
        return self.bounds.height / self.denominator

    @property
    def width_mm(self) -> float:
        d = self.dimensions
        roof = d.left_mm + self.roof_width_mm + d.right_mm + self.names.beside_mm
        return max(roof, self.header.width_mm, LEAST_WIDTH)

    @property
    def above_mm(self) -> float:
        """From the roof's lower edge to the top of the heading."""
        return self.roof_height_mm + self.dimensions.top_mm + self.name_rows_mm + self.header.height_mm

    @property
    def height_mm(self) -> float:
        return self.dimensions.bottom_mm + self.above_mm


@dataclass(frozen=True, slots=True)
class PlacedView:
    """A view whose lower left corner, margins included, lies at (x, y) on the paper."""

    view: View
    x: float
    y: float

    def shift(self, point: PaperPoint) -> PaperPoint:
        """Where a point given from the lower left corner of the roof's bounding box lies."""
        d = self.view.dimensions
        return self.x + d.left_mm + point[0], self.y + d.bottom_mm + point[1]

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


def plan_dimensions(
    facet: Facet, panels: tuple[PlacedPanel, ...], bounds: Box, denominator: int
) -> Dimensions:
    """Panel edges below and left, corners of a roof that is no rectangle above and right."""
    spans = ((bounds.x0, bounds.width), (bounds.y0, bounds.height))

    def running(values: list[float], axis: int) -> Running | None:
        start, length = (v / denominator for v in spans[axis])
        past = 2.0 if axis == 0 else 0.0
        return plan_running(values, denominator, start - 1.0, start + length + past) if values else None

    edges: list[Running | None] = []
    remarks: list[str] = []
    for axis, letter in enumerate("xy"):
        near = [(p.x_mm, p.y_mm)[axis] for p in panels]
        far = [n + (p.along_x_mm, p.along_y_mm)[axis] for n, p in zip(near, panels, strict=True)]
        both, only_near = running([*near, *far], axis), running(near, axis)
        edges.append(both or only_near)
        if panels and both is None:
            far_edges = f"near edges only; far edges are {letter} + along {letter} in the table"
            remarks.append(f"along {letter}: {far_edges if only_near else 'all edges are in the table'}")
    top: Running | None = None
    right: Running | None = None
    if not facet_is_rectangle(facet):
        top, right = (running([c[axis] for c in facet.outline_mm], axis) for axis in (0, 1))
        if top is None or right is None:
            top = right = None
            remarks.append("corners of the outline: see the job file")
    return Dimensions(edges[0], edges[1], top, right, tuple(remarks))


def plan_view(job: Job, plan: Plan, facet: Facet, denominator: int) -> View:
    """The view of a facet at a scale of 1 to the denominator."""
    panels = tuple(p for p in plan.layout.panels if p.facet == facet.name)
    strings = {p: s.string for s in plan.wiring.strings for p in s.panels} if plan.wiring else {}
    bounds = bounding_box([*facet.outline_mm, (0.0, 0.0)])
    dimensions = plan_dimensions(facet, panels, bounds, denominator)
    wide, high = bounds.width / denominator, bounds.height / denominator
    left, low = bounds.x0 / denominator, bounds.y0 / denominator
    outline = bounding_box([(x / denominator - left, y / denominator - low) for x, y in facet.outline_mm])
    origin = -left, -low
    if dimensions.top is not None and dimensions.right is not None:
        figures = [
            *dimensions.top.figure_boxes("top", origin, high),
            *dimensions.right.figure_boxes("right", origin, wide),
        ]
    else:
        figures = [*overall_boxes(outline, outline.width * denominator, outline.height * denominator)]
    margin = Margin(
        figures=tuple(figures),
        first_row=high + dimensions.top_mm + _ROWS_GAP,
        row_height=_ROW,
        start=-dimensions.left_mm,
        end=max(wide + dimensions.right_mm, LEAST_WIDTH - dimensions.left_mm),
        beside=wide + dimensions.right_mm,
    )
    field = Field(panels, strings, job.obstacles_on(facet.name), facet.outline_mm, bounds, denominator)
    names, rows = plan_names(field, margin)
    remarks = list(dimensions.remarks)
    if names.unplaced:
        remarks.append(f"without room for their names: {', '.join(names.unplaced)}")
    heading = job.site.heading_deg if job.site else None
    room = max(dimensions.left_mm + wide + dimensions.right_mm, LEAST_WIDTH)
    return View(
        facet=facet,
        obstacles=job.obstacles_on(facet.name),
        panels=panels,
        strings=strings,
        denominator=denominator,
        bounds=bounds,
        dimensions=dimensions,
        names=names,
        name_rows_mm=_ROWS_GAP + rows * _ROW if rows else 0.0,
        header=plan_header(facet, heading, room, remarks),
        gland_mm=_gland_mm(job, facet),
    )


def _gland_mm(job: Job, facet: Facet) -> Point | None:
    """None where the job has none, or where it is on another facet or in the wall beside the roof."""
    gland = job.cable.gland_mm
    if gland is None or gland_facet(job) != facet.name:
        return None
    box = bounding_box(facet.outline_mm)
    return gland if box.x0 <= gland[0] <= box.x1 and box.y0 <= gland[1] <= box.y1 else None
