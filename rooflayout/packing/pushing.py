"""A window filled anew: the most of what its places are worth, straight down from the linear relaxation.

The relaxation of a window of a few dozen panels is mostly whole already; where it is not, what it uses most
is taken and it is solved again. Points are asked for where the solution takes them more than once, places
where they are worth more than their points cost, both from the last basis on: a few milliseconds, where
building and solving a CP-SAT model took fifty.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import highspy
import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats, PointGrid

INFINITY = highspy.kHighsInf
FEW_PLACES = 600  # with no more all are told at once
NEW_POINTS, NEW_PLACES = 60, 300  # the most to add after one solution
COLUMN_CELL_MM = 60  # of one kind only the best new place in each such cell
FULL = 1e-6  # a point covered by so much more than once is too full
WHOLE = 1e-5  # so near to a whole number is whole
SURE = 0.9  # a place with so large a value is taken with the largest
GAIN = 1e-6  # of a place's worth beside its points, to be of use
ROUNDS = 60  # of points and places before places are taken all the same
LEAST_TIME_S = 0.05


class Pushing:
    """The programme over the places of a window; worth: of each place, what is summed up."""

    def __init__(self, grid: PointGrid, kind: Ints, worth: Floats, standing: Ints) -> None:
        """standing: places (numbers) of a layout, which overlap nowhere."""
        self._grid, self._kind, self._worth = grid, kind, worth
        self._crowd = grid.cover(np.arange(len(worth), dtype=np.int64), np.ones(len(worth)))
        self._cell = (kind << 42) + (grid.x_mm // COLUMN_CELL_MM << 21) + grid.y_mm // COLUMN_CELL_MM
        self._points = np.zeros((0, 2), dtype=np.int64)
        self._columns = np.zeros(0, dtype=np.int64)
        self._barred = np.zeros(len(worth), dtype=bool)
        self._groups: list[tuple[int, Bools]] = []
        self._solver = highspy.Highs()
        for option, value in (
            ("output_flag", False),
            ("threads", 1),
            ("presolve", "off"),
            ("solver", "simplex"),
        ):
            self._solver.setOptionValue(option, value)
        self._solver.changeObjectiveSense(highspy.ObjSense.kMaximize)
        self._standing = standing

    def as_many_of_each(self, groups: Ints, count: int) -> None:
        """As many places of every group as stand there; groups: of each place; call it first."""
        for number in range(count):
            here = groups == number
            most = float(here[self._standing].sum())
            self._groups.append((self._solver.getNumRow(), here))
            self._solver.addRow(most, most, 0, np.zeros(0, dtype=np.int32), np.zeros(0))

    def run(self, deadline: float, stopped: Callable[[], bool]) -> Ints | None:
        """The places chosen (numbers, sorted); None: out of time, or it came to nothing."""
        grid, first = self._grid, self._standing
        self._add_points(np.stack([grid.right[first] - 1, grid.high[first] - 1], axis=1))
        self._add_columns(self._first_places())
        taken: list[int] = []
        while True:
            values, to_the_end = self._solved(deadline, stopped)
            if values is None:
                return None
            on = np.nonzero(values > FULL)[0]
            if to_the_end and np.all(values[on] > 1 - WHOLE):
                return np.sort(self._columns[on])
            self._take(values, taken)

    # the programme

    def _first_places(self) -> Ints:
        """All, if they are few; else the best of each kind and cell, and what stands there."""
        if len(self._worth) <= FEW_PLACES:
            return np.arange(len(self._worth), dtype=np.int64)
        order = np.argsort(-self._worth, kind="stable")
        _, first = np.unique(self._cell[order], return_index=True)
        return np.union1d(order[first], self._standing)

    def _solved(self, deadline: float, stopped: Callable[[], bool]) -> tuple[Floats | None, bool]:
        """By column; whether no point is too full and no place worth more than its points.

        None: out of time, or there is no solution.
        """
        solver = self._solver
        for _ in range(ROUNDS):
            left = max(LEAST_TIME_S, deadline - time.monotonic())
            solver.setOptionValue("time_limit", solver.getRunTime() + left)
            solver.run()
            feasible = (
                solver.getInfo().primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
            )
            if not feasible or stopped() or time.monotonic() > deadline:
                return None, False
            solution = solver.getSolution()
            values: Floats = np.array(solution.col_value)
            points, places = self._too_full(values), self._unpriced(np.array(solution.row_dual))
            if not len(points) and not len(places):
                return values, True
            self._add_points(points)
            self._add_columns(places)
        return values, False

    def _add_points(self, points: Ints) -> None:
        if not len(points):
            return
        self._points = np.concatenate([self._points, points])
        row, column = np.nonzero(self._grid.covers(points, self._columns))
        starts = np.searchsorted(row, np.arange(len(points))).astype(np.int32)
        low, high = np.full(len(points), -INFINITY), np.ones(len(points))
        self._solver.addRows(
            len(points), low, high, len(column), starts, column.astype(np.int32), np.ones(len(column))
        )

    def _add_columns(self, places: Ints) -> None:
        if not len(places):
            return
        of_points = self._grid.covers(self._points, places)
        of_groups = np.array([here[places] for _, here in self._groups], dtype=bool).reshape(-1, len(places))
        column, row = np.nonzero(np.vstack([of_groups, of_points]).T)
        starts = np.searchsorted(column, np.arange(len(places))).astype(np.int32)
        self._solver.addCols(
            len(places),
            self._worth[places],
            np.zeros(len(places)),
            np.ones(len(places)),
            len(row),
            starts,
            row.astype(np.int32),
            np.ones(len(row)),
        )
        self._columns = np.concatenate([self._columns, places])

    # what is missing

    def _too_full(self, values: Floats) -> Ints:
        """Points that these column values take more than once, the fullest first."""
        grid = self._grid
        on = np.nonzero(values > FULL)[0]
        which, values = self._columns[on], values[on]
        a, b, c, d = grid.left[which], grid.right[which], grid.low[which], grid.high[which]
        lines_x, lines_y = np.unique(b - 1), np.unique(d - 1)  # what any set of places has in common
        wide = (lines_x[:, None] >= a) & (lines_x[:, None] < b)
        deep = (lines_y[:, None] >= c) & (lines_y[:, None] < d)
        total = (wide * values) @ deep.T.astype(np.float64)
        i, j = np.nonzero(total > 1.0 + FULL)
        found: dict[bytes, tuple[int, int]] = {}
        for n in np.argsort(-total[i, j], kind="stable").tolist():
            covering = wide[i[n]] & deep[j[n]]
            key = covering.tobytes()
            if key not in found:
                found[key] = self._busiest(which[covering])
                if len(found) >= NEW_POINTS:
                    break
        return np.array(sorted(set(found.values())), dtype=np.int64).reshape(-1, 2)

    def _busiest(self, covering: Ints) -> tuple[int, int]:
        """Of the points that all these places share, the one that most places cover."""
        grid = self._grid
        a, b = int(grid.left[covering].max()), int(grid.right[covering].min())
        c, d = int(grid.low[covering].max()), int(grid.high[covering].min())
        part = self._crowd[a:b, c:d]
        at = int(part.argmax())
        return a + at // part.shape[1], c + at % part.shape[1]

    def _unpriced(self, duals: Floats) -> Ints:
        """Places worth more than their points cost, in each cell the best one of a kind."""
        if len(self._columns) == len(self._worth):
            return np.zeros(0, dtype=np.int64)
        first = len(self._groups)
        paid = np.nonzero(duals[first:])[0]
        gain = self._worth - self._grid.sums(self._points[paid], duals[first:][paid])
        for number, (_, here) in enumerate(self._groups):
            gain[here] -= duals[number]
        gain[self._columns] = 0.0
        gain[self._barred] = 0.0
        new = np.nonzero(gain > GAIN)[0]
        order = new[np.argsort(-gain[new], kind="stable")]
        _, best = np.unique(self._cell[order], return_index=True)
        return order[np.sort(best)][:NEW_PLACES]

    # straight down

    def _take(self, values: Floats, taken: list[int]) -> None:
        """The place with the largest value that is not whole, and all that are nearly sure, for good."""
        most = len(taken) + 1
        for column in np.argsort(-values, kind="stable").tolist():
            if values[column] <= FULL or (values[column] < SURE and len(taken) >= most):
                break
            place = int(self._columns[column])
            if not self._barred[place] and place not in taken:
                taken.append(place)
                self._barred |= self._beside(place)
        index = np.arange(len(self._columns), dtype=np.int32)
        high = (~self._barred[self._columns]).astype(np.float64)
        low = np.isin(self._columns, taken).astype(np.float64)
        self._solver.changeColsBounds(len(index), index, low, high)

    def _beside(self, place: int) -> Bools:
        """The other places that overlap this one."""
        over = self._grid.over(place)
        over[place] = False
        return over
