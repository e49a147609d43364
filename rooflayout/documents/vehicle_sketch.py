"""Vehicle or house from above: its roof, what bears it, and where the added mass lies."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from ..job import Job, Point
from ..plan import Plan
from ..vehicle.axes import ahead_mm, middle_left_mm, on_vehicle_mm
from ..vehicle.placing import facet_places, outline_on_vehicle_mm
from .arrange import ROOF_DENOMINATORS
from .box import Box, PaperPoint, bounding_box
from .lettering import NORMAL, fixed, width_mm
from .palette import OBSTACLE_FILL, ROOF_PANELS, UNWIRED_FILL
from .paper import GREY, INK, Paper

ABOVE, BELOW = 13.0, 12.0  # rows of words over and under the roof
BEHIND, BEFORE = 17.0, 8.0  # words and lines at its ends
DENOMINATORS = tuple(sorted((*ROOF_DENOMINATORS, 60, 75, 125, 150)))  # a sketch may lie between
_WHEEL = (650.0, 200.0)  # along and across; a sign, not a measure
_LARGEST_DOT = 3.0
_BETWEEN_WORDS = 2.5

OnPaper = Callable[[Point], PaperPoint]


@dataclass(frozen=True, slots=True)
class Support:
    """Something that bears: its name, mm ahead of the first facet's origin, and whether it has wheels."""

    name: str
    ahead_mm: float
    wheels: bool


def supports_of(job: Job) -> tuple[Support, ...]:
    """Axles and coupling whose places are known; none of a boat."""
    vehicle = job.vehicle
    if vehicle is None or vehicle.kind == "boat":
        return ()
    front = ("coupling", vehicle.coupling_x_mm) if vehicle.kind == "trailer" else None
    if vehicle.kind == "motor":
        front = ("front axle", vehicle.front_axle_x_mm)
    named = [("axle" if vehicle.kind == "trailer" else "rear axle", vehicle.axle_x_mm), front]
    return tuple(
        Support(what[0], ahead_mm(job, what[1]), what[0] != "coupling")
        for what in named
        if what is not None and what[1] is not None
    )


def outlines_mm(job: Job) -> dict[str, tuple[Point, ...]]:
    """(ahead, left) of the corners of every facet whose place is known."""
    found = {}
    for name, place in facet_places(job).items():
        if place is not None:
            corners = outline_on_vehicle_mm(job, job.facet(name), place)
            found[name] = tuple((float(a), float(b)) for a, b, _ in corners)
    return found


@dataclass(frozen=True, slots=True)
class Sketch:
    """All that is drawn, in mm ahead and to the left, and the scale."""

    job: Job
    plan: Plan
    denominator: int
    bounds: Box  # of roof, supports and centre

    @property
    def height_mm(self) -> float:
        return ABOVE + self.bounds.height / self.denominator + BELOW


def plan_sketch(job: Job, plan: Plan, width: float, most_height: float) -> Sketch | None:
    """The sketch at the largest scale that fits, of a house's roof too; None where no facet has a place."""
    if plan.balance is None:
        return None
    outlines = outlines_mm(job)
    if not outlines:
        return None
    roof = bounding_box(p for outline in outlines.values() for p in outline)
    points = [*roof.corners, *((s.ahead_mm, roof.y0) for s in supports_of(job))]
    points += [at for at, _ in dots(job, plan)]
    bounds = bounding_box(points)
    for denominator in DENOMINATORS:
        sketch = Sketch(job, plan, denominator, bounds)
        if bounds.width / denominator + BEHIND + BEFORE <= width and sketch.height_mm <= most_height:
            return sketch
    return None


def dots(job: Job, plan: Plan) -> list[tuple[Point, float]]:
    """(ahead, left) and kg of every item whose place is known."""
    items = plan.balance.items if plan.balance else ()
    return [
        (on_vehicle_mm(job, (i.x_mm, i.y_mm)), i.kg)
        for i in items
        if i.x_mm is not None and i.y_mm is not None
    ]


def centre_on_vehicle_mm(job: Job, plan: Plan) -> Point | None:
    """(ahead, left) of the centre of what is added, or None."""
    balance = plan.balance
    if balance is None or balance.centre_x_mm is None or balance.centre_y_mm is None:
        return None
    return on_vehicle_mm(job, (balance.centre_x_mm, balance.centre_y_mm))


def draw_sketch(paper: Paper, sketch: Sketch, x: float, top: float, width: float) -> None:
    """Draw it with its front to the right, its upper left corner at (x, top)."""
    job, bounds, scale = sketch.job, sketch.bounds, sketch.denominator
    left = x + BEHIND + (width - bounds.width / scale - BEHIND - BEFORE) / 2
    low = top - sketch.height_mm + BELOW

    def at(point: Point) -> PaperPoint:
        return left + (point[0] - bounds.x0) / scale, low + (point[1] - bounds.y0) / scale

    outlines = {name: [at(p) for p in points] for name, points in outlines_mm(job).items()}
    roof = bounding_box(p for outline in outlines.values() for p in outline)
    middle_mm = None if job.vehicle is None else middle_left_mm(job)
    middle = roof.centre[1] if middle_mm is None else at((0.0, middle_mm))[1]
    _draw_supports(paper, sketch, at, roof, middle)
    for outline in outlines.values():
        paper.polygon(outline, UNWIRED_FILL, 0.5)
    if middle_mm is not None:
        paper.line([(roof.x0 - 6.0, middle), (roof.x1 + 6.0, middle)], 0.18, INK, "dashdot")
        paper.text(roof.x0 - 7.0, middle + 0.8, "centre", NORMAL, "right")
        paper.text(roof.x0 - 7.0, middle - 3.6, "line", NORMAL, "right")
    _draw_masses(paper, sketch, at, roof, (x, x + width))


def _draw_supports(paper: Paper, sketch: Sketch, at: OnPaper, roof: Box, middle: float) -> None:
    scale = sketch.denominator
    long, wide = (v / scale for v in _WHEEL)
    taken = -math.inf
    for support in sorted(supports_of(sketch.job), key=lambda s: s.ahead_mm):
        x = at((support.ahead_mm, 0.0))[0]
        if support.wheels:
            paper.line([(x, roof.y0 - wide), (x, roof.y1 + wide)], 0.7, GREY)
            for y in (roof.y0 - wide - 0.4, roof.y1 + 0.4):
                paper.box(Box(x - long / 2, y, x + long / 2, y + wide), OBSTACLE_FILL, 0.35)
        else:
            for y in (roof.y0 + roof.height * 0.2, roof.y1 - roof.height * 0.2):
                paper.line([(roof.x1, y), (x, middle)], 0.35, GREY)
            paper.circle((x, middle), 1.3, "white", 0.5)
        words = width_mm(support.name, NORMAL)
        start = max(x - words / 2, taken + _BETWEEN_WORDS)
        y = roof.y0 - wide - 6.0
        if not support.wheels:
            paper.line([(x, middle - 1.3), (x, y + NORMAL + 1.0)], 0.18)
        paper.text(start, y, support.name, NORMAL)
        taken = start + words


def _draw_masses(paper: Paper, sketch: Sketch, at: OnPaper, roof: Box, ends: tuple[float, float]) -> None:
    """A dot an item, its area as its mass; the centre of all, its words over the roof within the ends."""
    placed = dots(sketch.job, sketch.plan)
    heaviest = max((kg for _, kg in placed), default=1.0)
    for point, kg in sorted(placed, key=lambda dot: -dot[1]):
        radius = max(0.5, _LARGEST_DOT * math.sqrt(kg / heaviest))
        paper.circle(at(point), radius, ROOF_PANELS.fill, 0.25, ROOF_PANELS.edge)
    centre = centre_on_vehicle_mm(sketch.job, sketch.plan)
    if centre is None:
        return
    x, y = at(centre)
    words = f"centre of {fixed(sum(kg for _, kg in placed), 1)} kg added"
    high = roof.y1 + 200.0 / sketch.denominator + 4.0
    paper.line([(x, y + 2.6), (x, high - 1.0)], 0.25)
    half = width_mm(words, NORMAL, True) / 2
    middle = min(max(x, ends[0] + half), ends[1] - half)
    paper.text(middle, high, words, NORMAL, "center", bold=True)
    paper.circle((x, y), 2.0, "white", 0.5)
    for dx, dy in ((2.6, 0.0), (0.0, 2.6)):
        paper.line([(x - dx, y - dy), (x + dx, y + dy)], 0.5)


def draw_front(paper: Paper, right: float, base: float) -> None:
    """The word with its arrow, as on the roof drawing; the front lies to the right."""
    paper.text(right - 9.0, base, "FRONT", NORMAL, "right")
    paper.arrow((right - 8.0, base + NORMAL / 2), (right, base + NORMAL / 2), 0.5, 3.2)
