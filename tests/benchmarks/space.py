"""A job as the opponents see it: boxes to fill and rectangles to avoid, in whole millimetres.

Shares no code with rooflayout.packing, so that a mistake there cannot flatter the comparison.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from rooflayout.job import Facet, Job, Obstacle, PanelModel
from rooflayout.plan import PlacedPanel

# A circle is covered by rectangles about its centre; these are the shares of the radius where they step.
STEPS = (0.0, 0.7, 0.9, 1.0)


class CannotModelError(Exception):
    """This opponent has no way to say what the job asks for; the text says what."""


@dataclass(frozen=True, slots=True)
class Rectangle:
    x0_mm: int
    y0_mm: int
    x1_mm: int
    y1_mm: int

    def meets(self, other: Rectangle) -> bool:
        """True when the insides overlap; touching is not meeting."""
        return (
            self.x0_mm < other.x1_mm
            and other.x0_mm < self.x1_mm
            and self.y0_mm < other.y1_mm
            and other.y0_mm < self.y1_mm
        )

    def end_past(self, panel: Rectangle, along_x: bool) -> int:
        """Where a panel that meets this would clear it, moved up along one axis."""
        return self.x1_mm if along_x else self.y1_mm


@dataclass(frozen=True, slots=True)
class Circle:
    x_mm: float
    y_mm: float
    radius_mm: float

    def meets(self, other: Rectangle) -> bool:
        """True when the rectangle reaches into the circle."""
        dx = max(other.x0_mm - self.x_mm, 0.0, self.x_mm - other.x1_mm)
        dy = max(other.y0_mm - self.y_mm, 0.0, self.y_mm - other.y1_mm)
        return math.hypot(dx, dy) < self.radius_mm - 1e-9

    def end_past(self, panel: Rectangle, along_x: bool) -> int:
        """Where a panel that meets this would clear it, moved up along one axis."""
        if along_x:
            aside = max(panel.y0_mm - self.y_mm, 0.0, self.y_mm - panel.y1_mm)
            return math.ceil(self.x_mm + math.sqrt(self.radius_mm**2 - aside**2) - 1e-6)
        aside = max(panel.x0_mm - self.x_mm, 0.0, self.x_mm - panel.x1_mm)
        return math.ceil(self.y_mm + math.sqrt(self.radius_mm**2 - aside**2) - 1e-6)

    def cover(self) -> Iterator[Rectangle]:
        """Rectangles about the centre that cover the circle, overshooting by a few millimetres."""
        for inner, outer in itertools.pairwise(STEPS):
            half_x, half_y = outer * self.radius_mm, math.sqrt(1 - inner**2) * self.radius_mm
            yield _outward(self.x_mm - half_x, self.y_mm - half_y, self.x_mm + half_x, self.y_mm + half_y)


@dataclass(frozen=True, slots=True)
class Space:
    """One facet: panels lie inside the box and meet nothing of what is kept clear."""

    facet: str
    box: Rectangle
    kept_clear: tuple[Rectangle | Circle, ...]
    gap_mm: int

    def rectangles(self) -> tuple[Rectangle, ...]:
        """What is kept clear, circles covered by rectangles."""
        flat: list[Rectangle] = []
        for thing in self.kept_clear:
            flat += thing.cover() if isinstance(thing, Circle) else [thing]
        return tuple(flat)

    def grown(self) -> tuple[Rectangle, tuple[Rectangle, ...]]:
        """Box and disjoint rectangles to avoid, for panels that carry the gap on their right and upper sides.

        Such a panel may reach a gap further right and up than a bare one, so the box is that much
        larger and everything to avoid starts that much later.
        """
        gap = self.gap_mm
        box = Rectangle(self.box.x0_mm, self.box.y0_mm, self.box.x1_mm + gap, self.box.y1_mm + gap)
        late = [Rectangle(r.x0_mm + gap, r.y0_mm + gap, r.x1_mm, r.y1_mm) for r in self.rectangles()]
        late = [r for r in late if r.x0_mm < r.x1_mm and r.y0_mm < r.y1_mm and r.meets(box)]
        return box, _disjoint(late)


def spaces_of(job: Job) -> tuple[Space, ...]:
    """Every facet of the job. Raises CannotModelError for what rectangles cannot say."""
    if job.kept:
        raise CannotModelError("kept panels")
    if job.wants_wiring:
        raise CannotModelError("wiring")
    rules = job.panels
    if rules.most_models is not None or rules.most_mass_kg is not None or rules.budget is not None:
        raise CannotModelError("limits on models, mass or money")
    return tuple(_space(job, facet) for facet in job.facets)


def ways_round(model: PanelModel) -> tuple[bool, ...]:
    """Not turned, and turned where that is allowed and makes a difference."""
    return (False, True) if model.turnable and model.length_mm != model.width_mm else (False,)


def whole_sides(model: PanelModel, turned: bool) -> tuple[int, int]:
    """Sides along x and y, rounded up to whole millimetres."""
    along_x, along_y = model.sides_mm(turned)
    return math.ceil(along_x - 1e-9), math.ceil(along_y - 1e-9)


def placed(facet: str, model: PanelModel, turned: bool, x_mm: int, y_mm: int) -> PlacedPanel:
    """A panel without a name."""
    along_x, along_y = model.sides_mm(turned)
    return PlacedPanel("", facet, model.model, x_mm, y_mm, along_x, along_y, turned, model.power_w)


def _space(job: Job, facet: Facet) -> Space:
    xs = sorted({x for x, _ in facet.outline_mm})
    ys = sorted({y for _, y in facet.outline_mm})
    if len(facet.outline_mm) != 4 or len(xs) != 2 or len(ys) != 2:
        raise CannotModelError("not a rectangle")
    edge = job.spacing.from_edge_mm
    box = Rectangle(
        math.ceil(xs[0] + edge), math.ceil(ys[0] + edge), math.floor(xs[1] - edge), math.floor(ys[1] - edge)
    )
    clear = [thing for obstacle in job.obstacles_on(facet.name) for thing in _kept_clear(obstacle)]
    return Space(facet.name, box, tuple(clear), math.ceil(job.spacing.between_panels_mm))


def _kept_clear(obstacle: Obstacle) -> Iterator[Rectangle | Circle]:
    c = obstacle.clearance_mm
    if obstacle.centre_mm is not None and obstacle.diameter_mm is not None:
        yield Circle(*obstacle.centre_mm, obstacle.diameter_mm / 2 + c)
    else:
        corners = set(obstacle.outline_mm or ())
        x0, y0, x1, y1 = obstacle.bounds_mm()
        if corners != {(x0, y0), (x1, y0), (x1, y1), (x0, y1)}:
            raise CannotModelError(f"{obstacle.name} is not a rectangle")
        yield _outward(x0 - c, y0 - c, x1 + c, y1 + c)
    swing = obstacle.swing_mm()
    if swing is not None:
        yield _outward(*swing)


def _outward(x0: float, y0: float, x1: float, y1: float) -> Rectangle:
    return Rectangle(math.floor(x0), math.floor(y0), math.ceil(x1), math.ceil(y1))


def _disjoint(rectangles: list[Rectangle]) -> tuple[Rectangle, ...]:
    """The same area without overlaps: cut at every x, then merged along y and along x."""
    xs = sorted({x for r in rectangles for x in (r.x0_mm, r.x1_mm)})
    open_runs: dict[tuple[int, int], int] = {}  # (y0, y1) of a run: where along x it began
    done: list[Rectangle] = []
    for a, b in itertools.pairwise(xs):
        spans = sorted((r.y0_mm, r.y1_mm) for r in rectangles if r.x0_mm <= a and r.x1_mm >= b)
        merged: list[tuple[int, int]] = []
        for low, high in spans:
            if merged and low <= merged[-1][1]:
                merged[-1] = (merged[-1][0], max(merged[-1][1], high))
            else:
                merged.append((low, high))
        for run in [run for run in open_runs if run not in merged]:
            done.append(Rectangle(open_runs.pop(run), run[0], a, run[1]))
        for run in merged:
            open_runs.setdefault(run, a)
    done += [Rectangle(began, low, xs[-1], high) for (low, high), began in open_runs.items()]
    return tuple(done)
