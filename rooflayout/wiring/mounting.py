"""Where the controllers hang in the space that the job gives, each upright and with its clearance all round.

A box is length_mm wide and width_mm high as the catalogue gives it, never turned: its terminals point down.
It stands height_mm off the wall. Between two boxes, and between a box and the space's edges, there is at
least the clearance. Lengths are kept in tenths of a millimetre inside, boxes rounded up and spaces down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rooflayout.job import ControllerModel, Job, MountingSpace
from rooflayout.plan import MountedBox

if TYPE_CHECKING:
    from ortools.sat.python import cp_model
else:
    from rooflayout import cpsat as cp_model

TENTHS = 10
EFFORT_S = 2.0  # by the solver's own steps, for one question
SEED = 1
Axis = Literal["x", "y"]
Boxes = Sequence[tuple[int, int]]  # along x and y, clearance added once
Corners = list[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Short:
    """What the space lacks, in mm: more width alone, or more height alone, would do; and depth in any case.

    None where no amount of that alone was found to do; together_mm then is more width and more height.
    """

    width_mm: float | None
    height_mm: float | None
    depth_mm: float
    together_mm: tuple[float, float] | None = None


def mounted(job: Job, controllers: Sequence[tuple[str, ControllerModel]]) -> tuple[MountedBox, ...] | None:
    """Where each controller hangs, by its name, from the lower left; None without a space, when a size is
    blank, or when they do not fit. The search is complete for a dozen boxes.
    """
    space = job.mounting_space
    if space is None or unsized([c for _, c in controllers]):
        return None
    corners = _corners(space, [c for _, c in controllers])
    if corners is None:
        return None
    edge = space.clearance_mm
    return tuple(
        MountedBox(name, edge + x / TENTHS, edge + y / TENTHS, *_sides_mm(c))
        for (name, c), (x, y) in zip(controllers, corners, strict=True)
    )


def fits(space: MountingSpace, controllers: Sequence[ControllerModel]) -> bool:
    """Whether these hang in the space; False when a size is blank."""
    return not unsized(controllers) and _corners(space, controllers) is not None


def area_of(space: MountingSpace, controller: ControllerModel) -> int:
    """What a box takes of wall_area, its clearance counted once; its sizes are given."""
    ((x, y),) = _boxes(space, [controller])
    return x * y


def wall_area(space: MountingSpace) -> int:
    """What all boxes together may take at most, whatever their shapes."""
    wide, high = _extent(space)
    return max(0, wide) * max(0, high)


def unsized(controllers: Sequence[ControllerModel]) -> list[str]:
    """The models whose length, width or height the catalogue leaves blank, each once."""
    blank = [c.model for c in controllers if None in (c.length_mm, c.width_mm, c.height_mm)]
    return list(dict.fromkeys(blank))


def short_of(space: MountingSpace, controllers: Sequence[ControllerModel]) -> Short:
    """What the space lacks for these controllers, whose sizes are all given."""
    boxes, (wide, high) = _boxes(space, controllers), _extent(space)
    deepest_mm = max((c.height_mm or 0.0 for c in controllers), default=0.0)
    width_mm, height_mm = _more_mm(boxes, high, wide, "x"), _more_mm(boxes, wide, high, "y")
    together_mm = None
    if width_mm is None and height_mm is None:
        widest = max(wide, *(x for x, _ in boxes))
        more_mm = _more_mm(boxes, widest, high, "y")
        together_mm = None if more_mm is None else ((widest - wide) / TENTHS, more_mm)
    return Short(width_mm, height_mm, max(0.0, deepest_mm - space.depth_mm), together_mm)


def _sides_mm(controller: ControllerModel) -> tuple[float, float]:
    assert controller.length_mm is not None
    assert controller.width_mm is not None
    return controller.length_mm, controller.width_mm


def _boxes(space: MountingSpace, controllers: Sequence[ControllerModel]) -> list[tuple[int, int]]:
    """Each box with a clearance at its right and above it."""
    gap = space.clearance_mm
    return [
        (math.ceil(TENTHS * (x + gap) - 1e-6), math.ceil(TENTHS * (y + gap) - 1e-6))
        for x, y in map(_sides_mm, controllers)
    ]


def _extent(space: MountingSpace) -> tuple[int, int]:
    """The space without the clearance at its left and below."""
    gap = space.clearance_mm
    return tuple(math.floor(TENTHS * (v - gap) + 1e-6) for v in (space.width_mm, space.height_mm))  # type: ignore[return-value]


def _corners(space: MountingSpace, controllers: Sequence[ControllerModel]) -> Corners | None:
    """Lower left corners in tenths, from the clearance on; None when they do not fit."""
    if any((c.height_mm or 0.0) > space.depth_mm + 1e-6 for c in controllers):
        return None
    boxes, (wide, high) = _boxes(space, controllers), _extent(space)
    if any(x > wide or y > high for x, y in boxes) or sum(x * y for x, y in boxes) > wide * high:
        return None
    return _in_rows(boxes, wide, high) or _searched(boxes, wide, high)


def _in_rows(boxes: Boxes, wide: int, high: int) -> Corners | None:
    """In rows from the bottom, in the order given, the next row where one is full; None when too high."""
    corners: Corners = []
    x = y = row = 0
    for along_x, along_y in boxes:
        if x + along_x > wide:
            x, y, row = 0, y + row, 0
        if y + along_y > high:
            return None
        corners.append((x, y))
        x, row = x + along_x, max(row, along_y)
    return corners


def _searched(boxes: Boxes, wide: int, high: int) -> Corners | None:
    """Any way at all, by CP-SAT; None when there is none, or none was found in time."""
    model = cp_model.CpModel()
    corners = _placed(model, boxes, wide, high)
    solver = _solved(model)
    if solver is None:
        return None
    return [(solver.value(x), solver.value(y)) for x, y in corners]


def _more_mm(boxes: Boxes, fixed: int, given: int, axis: Axis) -> float | None:
    """How much must be added along axis, the other extent being fixed; None when that alone will not do."""
    sides = [b if axis == "x" else b[::-1] for b in boxes]
    if any(across > fixed for _, across in sides):
        return None
    most = sum(along for along, _ in sides)
    model = cp_model.CpModel()
    corners = _placed(model, sides, max(most, given), fixed)
    reach = model.new_int_var(0, max(most, given), "")
    for (x, _), (along, _) in zip(corners, sides, strict=True):
        model.add(x + along <= reach)
    model.minimize(reach)
    solver = _solved(model)
    return None if solver is None else max(0, solver.value(reach) - given) / TENTHS


def _placed(
    model: cp_model.CpModel, boxes: Boxes, wide: int, high: int
) -> list[tuple[cp_model.IntVar, cp_model.IntVar]]:
    """Corner variables of boxes that do not overlap; of equal boxes the first lies further left."""
    corners, across, upward = [], [], []
    for along_x, along_y in boxes:
        x = model.new_int_var(0, wide - along_x, "")
        y = model.new_int_var(0, high - along_y, "")
        across.append(model.new_fixed_size_interval_var(x, along_x, ""))
        upward.append(model.new_fixed_size_interval_var(y, along_y, ""))
        corners.append((x, y))
    model.add_no_overlap_2d(across, upward)
    model.add_cumulative(across, [y for _, y in boxes], high)
    model.add_cumulative(upward, [x for x, _ in boxes], wide)
    last: dict[tuple[int, int], int] = {}
    for number, box in enumerate(boxes):
        if box in last:
            model.add(corners[last[box]][0] <= corners[number][0])
        last[box] = number
    return corners


def _solved(model: cp_model.CpModel) -> cp_model.CpSolver | None:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = EFFORT_S
    solver.parameters.catch_sigint_signal = False  # else a later Ctrl-C ends the program without a word
    return solver if solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
