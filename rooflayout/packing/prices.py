"""What each point of the roof is worth: the linear relaxation over all candidates, and its bound.

maximise watts, subject to: every point is covered at most once; every rule of rules.py. Both sides
are too long to write out (hundreds of thousands of candidates, as many points), so they grow on
demand: a point becomes a row when the solution covers it more than once, a candidate becomes a
column when it is worth more than the points it would take. Both tests are one prefix sum over the
point grid. Scaling the prices until no candidate is worth more than its points gives a true bound
at any moment (Farley 1990), and with it each candidate's reduced cost: no layout with that
candidate has more than bound + reduced cost.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from itertools import count

import highspy
import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.clearance import Ints
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Floats, Point, PointGrid
from rooflayout.packing.positions import Candidates
from rooflayout.packing.rules import Rules

INFINITY = highspy.kHighsInf
EPSILON = 1e-6
NEW_COLUMNS, NEW_ROWS = 400, 80  # the most to add in one round
SLICE_S = 1.0
CELL_MM = 100  # of one kind, only the best new column in each cell of this size


@dataclass(frozen=True, slots=True)
class Prices:
    """A bound on the watts (tenths), and what a candidate's presence would take from it (never above 0)."""

    bound: float
    reduced_cost: Floats
    columns: Ints  # candidates that mattered
    rows: tuple[Point, ...]  # points that mattered
    family_rows: tuple[tuple[int, Point], ...]
    converged: bool


class PriceSearch:
    """Grows the linear programme until it is the relaxation over all candidates, or until time is up."""

    def __init__(self, candidates: Candidates, grid: PointGrid, rules: Rules) -> None:
        self._grid, self._rules = grid, rules
        self._kind = candidates.kind
        self._watts = np.array([k.watts for k in rules.kinds], dtype=np.float64)[candidates.kind]
        self._everyone = np.arange(len(candidates), dtype=np.int64)
        cells = (candidates.kind << 42) + ((candidates.x_mm // CELL_MM) << 21) + candidates.y_mm // CELL_MM
        self._cell = cells
        self._auxiliary = Auxiliary(rules)
        self._families = self._auxiliary.families
        self._crowd = grid.cover(self._everyone, np.ones(len(candidates)))
        self._columns = np.zeros(0, dtype=np.int64)
        self._is_column = np.zeros(len(candidates), dtype=bool)
        self._rows: list[tuple[int, Point]] = []  # (family or -1, point)
        self._known: set[tuple[int, Point]] = set()
        self._start_model()

    def run(
        self, start: Ints, deadline: float, stopped: Callable[[], bool], rounds: int | None = None
    ) -> Prices:
        """Prices for these rules; start are the first columns, rounds the most times that more are added.

        deadline as time.monotonic().
        """
        # true before any price is known: all candidates at once, and all kept panels
        kept = self._rules.kept_watts()
        best, reduced, converged = float(self._watts.sum()) + kept, np.zeros(len(self._everyone)), False
        self._add_columns(start)
        for turn in count():
            if not self._solve_with_rows(deadline, stopped):
                break  # half a solution: neither its values nor its prices mean anything
            cost = self._cost()
            if np.all(cost > EPSILON * self._watts):  # else no scaling covers the candidates without a price
                scale = float(np.max(self._watts / cost, initial=1.0))
                bound = scale * float(self._duals @ self._limits()) + EPSILON
                if bound < best:
                    best, reduced = bound, np.minimum(0.0, self._watts - scale * cost)
            gain = self._watts - cost
            new = np.nonzero((gain > EPSILON) & ~self._is_column)[0]
            if not len(new):
                converged = True
                break
            if time.monotonic() > deadline or stopped() or turn == rounds:
                break
            self._drop_slack_rows()
            self._add_columns(self._choose(new, gain))
        points = tuple(p for f, p in self._rows if f < 0)
        families = tuple((f, p) for f, p in self._rows if f >= 0)
        return Prices(best, reduced, self._columns, points, families, converged)

    def _start_model(self) -> None:
        self._highs = highspy.Highs()
        for option, value in (("output_flag", False), ("threads", 1)):
            self._highs.setOptionValue(option, value)
        self._highs.changeObjectiveSense(highspy.ObjSense.kMaximize)
        aux = self._auxiliary
        for watts in aux.watts:
            self._highs.addCol(watts, 0.0, INFINITY, 0, np.zeros(0, dtype=np.int32), np.zeros(0))
        for row in aux.rows:
            index = np.array([j for j, _ in row.auxiliary], dtype=np.int32)
            values = np.array([v for _, v in row.auxiliary], dtype=np.float64)
            self._highs.addRow(-INFINITY, row.limit, len(index), index, values)
        self._static = len(aux.rows)

    def _limits(self) -> Floats:
        own = [1.0 if family < 0 else 0.0 for family, _ in self._rows]
        return np.array([row.limit for row in self._auxiliary.rows] + own)

    def _solve_with_rows(self, deadline: float, stopped: Callable[[], bool]) -> bool:
        """Solve, adding points that are too full; False when time was up within a solve."""
        while True:
            if not self._solve(deadline, stopped):
                return False
            solution = self._highs.getSolution()
            self._values = np.array(solution.col_value)
            self._duals = np.maximum(0.0, np.array(solution.row_dual))
            added = self._add_rows(self._violated())
            if not added or time.monotonic() > deadline or stopped():
                if added:
                    self._duals = np.concatenate([self._duals, np.zeros(added)])
                return True

    def _solve(self, deadline: float, stopped: Callable[[], bool]) -> bool:
        """In slices of a second, so that a deadline and Ctrl-C are heard; whether it came to its end."""
        while True:
            self._highs.setOptionValue("time_limit", self._highs.getRunTime() + SLICE_S)
            self._highs.run()
            unfinished = self._highs.getModelStatus() == highspy.HighsModelStatus.kTimeLimit
            if not unfinished:
                return True
            if time.monotonic() > deadline or stopped():
                return False

    def _cost(self) -> Floats:
        """What each candidate's points and rules cost at the present prices."""
        static, dynamic = self._duals[: self._static], self._duals[self._static :]
        per_kind = self._auxiliary.per_kind.T @ static if self._static else np.zeros(len(self._rules.kinds))
        cost = per_kind[self._kind]
        for family in {f for f, _ in self._rows}:
            mine = np.array([i for i, (f, _) in enumerate(self._rows) if f == family])
            points = np.array([self._rows[i][1] for i in mine], dtype=np.int64).reshape(-1, 2)
            who = self._everyone if family < 0 else np.nonzero(self._members(family)[self._kind])[0]
            cost[who] += self._grid.sums(points, dynamic[mine], who)
        return cost

    def _members(self, family: int) -> NDArray[np.bool_]:
        mask = np.zeros(len(self._rules.kinds), dtype=bool)
        mask[list(self._families[family].kinds)] = True
        return mask

    def _choose(self, new: Ints, gain: Floats) -> Ints:
        order = new[np.argsort(-gain[new], kind="stable")]
        _, first = np.unique(self._cell[order], return_index=True)
        return order[np.sort(first)][:NEW_COLUMNS]

    def _add_columns(self, which: Ints) -> None:
        which = which[~self._is_column[which]]
        points = np.array([p for _, p in self._rows], dtype=np.int64).reshape(-1, 2)
        for i in which.tolist():
            rows, values = self._auxiliary.column(int(self._kind[i]))
            hit = self._grid.points_in(points, i)
            hit = hit[[self._covers(self._rows[r][0], i) for r in hit]] if len(hit) else hit
            index = np.concatenate([rows, hit + self._static]).astype(np.int32)
            entries = np.concatenate([values, np.ones(len(hit))])
            self._highs.addCol(self._watts[i], 0.0, INFINITY, len(index), index, entries)
        self._columns = np.concatenate([self._columns, which])
        self._is_column[which] = True
        bare = [i for i in which.tolist() if not len(self._grid.points_in(points, i))]
        self._add_rows([(-1, self._busiest(np.array([i]))) for i in bare])

    def _covers(self, family: int, candidate: int) -> bool:
        return family < 0 or int(self._kind[candidate]) in self._families[family].kinds

    def _violated(self) -> list[tuple[int, Point]]:
        aux = len(self._auxiliary.watts)
        values = self._values[aux:]
        on = values > 1e-9
        found = self._too_full(-1, self._columns[on], values[on], 1.0)
        for number, family in enumerate(self._families):
            mine = on & self._members(number)[self._kind[self._columns]]
            if mine.any():
                limit = float(self._values[list(family.switches)].sum())
                found += self._too_full(number, self._columns[mine], values[mine], limit)
        return found

    def _too_full(self, family: int, which: Ints, values: Floats, limit: float) -> list[tuple[int, Point]]:
        """Points covered beyond the limit, fullest first, one for each set of covering candidates."""
        if limit >= 1.0 and family >= 0:
            return []
        cover = self._grid.cover(which, values)
        xs, ys = np.unique(self._grid.left[which]), np.unique(self._grid.low[which])
        local = cover[np.ix_(xs, ys)]
        i, j = np.nonzero(local > limit + EPSILON)
        order = np.argsort(-local[i, j], kind="stable")[:1500]
        found, seen = [], set()
        for n in order:
            covering = self._grid.at((int(xs[i[n]]), int(ys[j[n]])), which)
            key = covering.tobytes()
            if key not in seen:
                seen.add(key)
                found.append((family, self._busiest(covering)))
                if len(found) >= NEW_ROWS:
                    break
        return found

    def _busiest(self, covering: Ints) -> Point:
        """Of the points that all these candidates share, the one that most candidates cover."""
        grid = self._grid
        a, b = int(grid.left[covering].max()), int(grid.right[covering].min())
        c, d = int(grid.low[covering].max()), int(grid.high[covering].min())
        part = self._crowd[a:b, c:d]
        at = int(part.argmax())
        return a + at // part.shape[1], c + at % part.shape[1]

    def _add_rows(self, rows: list[tuple[int, Point]]) -> int:
        rows = [row for row in dict.fromkeys(rows) if row not in self._known]
        aux = len(self._auxiliary.watts)
        place = np.zeros(len(self._everyone), dtype=np.int32)
        place[self._columns] = np.arange(len(self._columns), dtype=np.int32) + aux
        for family, point in rows:
            covering = self._grid.at(point, self._columns)
            switches = np.zeros(0, dtype=np.int32)
            if family >= 0:
                covering = covering[self._members(family)[self._kind[covering]]]
                switches = np.array(self._families[family].switches, dtype=np.int32)
            index = np.concatenate([place[covering], switches]).astype(np.int32)
            values = np.concatenate([np.ones(len(covering)), -np.ones(len(switches))])
            self._highs.addRow(-INFINITY, 1.0 if family < 0 else 0.0, len(index), index, values)
            self._rows.append((family, point))
            self._known.add((family, point))
        return len(rows)

    def _drop_slack_rows(self) -> None:
        """Rows that do not bind are taken out again; a point that matters later comes back."""
        values = np.array(self._highs.getSolution().row_value)[self._static :]
        limits = self._limits()[self._static :]
        slack = np.nonzero(limits[: len(values)] - values > EPSILON)[0]
        if len(slack) < 50:
            return
        self._highs.deleteRows(len(slack), (slack + self._static).astype(np.int32))
        gone = set(slack.tolist())
        self._known -= {self._rows[i] for i in gone}
        self._rows = [row for i, row in enumerate(self._rows) if i not in gone]
