"""The linear relaxation over some candidates and some points, solved by interior point.

Points are said one from another (chain.py): the same programme, and five to eight times sparser.

Interior point rather than simplex, and without crossover to a corner: its prices lie in the middle of
all the best prices, so the candidates and points asked for next are the right ones far more often
(Gondzio, Gonzalez-Brevis, Munari 2013, "New developments in the primal-dual column generation
technique").
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import highspy
import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.chain import ALONE, before_near, less, paid, said_sparsely
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.covered import alike, needed, tight_boxes
from rooflayout.packing.entries import Entries, lines_of
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Bits, Floats, PointGrid

INFINITY = highspy.kHighsInf
LEAST_TIME_S = 0.05
FEASIBLE = 1e-6
FEW_KINDS = 4  # so few have many columns each, of which few cover the same
NO_FAMILY = -1  # the family of a point that is any panel's


@dataclass(frozen=True, slots=True)
class Solution:
    """Primal and dual values; all duals at least 0."""

    values: Floats  # of the columns asked about; those that cover the same share theirs alike
    switches: Floats  # of the auxiliary columns
    static_duals: Floats
    point_duals: Floats
    slack: Floats  # of the points


class Relaxation:
    """Builds and solves the programme for any choice of columns (candidates) and points."""

    def __init__(self, grid: PointGrid, kind: Ints, watts: Floats, auxiliary: Auxiliary) -> None:
        self._grid, self._kind, self._watts, self._auxiliary = grid, kind, watts, auxiliary
        of_kind = np.zeros(int(kind.max(initial=0)) + 1)
        of_kind[kind] = watts
        plain = not auxiliary.families and bool(np.array_equal(of_kind[kind], watts))
        self.merges = plain and len(np.unique(kind)) > FEW_KINDS
        self._static_aux = np.zeros((len(auxiliary.rows), len(auxiliary.watts)))
        for i, row in enumerate(auxiliary.rows):
            for j, value in row.auxiliary:
                self._static_aux[i, j] = value
        self._static_limits = np.array([row.limit for row in auxiliary.rows])

    def members(self, family: int) -> Bools:
        """By kind, whether it belongs to a family."""
        mask = np.zeros(self._auxiliary.per_kind.shape[1], dtype=bool)
        mask[list(self._auxiliary.families[family].kinds)] = True
        return mask

    def solve(
        self, columns: Ints, points: Ints, tolerance: float, time_s: float, corner: bool = False
    ) -> Solution | None:
        """points: rows of (family, index, index). tolerance: relative gap. None when time was up.

        corner: with prices for as few points as there can be. One column for all that cover the same, none
        for what covers more than another of its kind: those have the value 0. Where kinds are few, switches
        open points or watts differ within a kind each has its own.
        """
        if not self.merges:
            return self._solve(columns, points, tolerance, time_s, corner)
        boxes, kind = tight_boxes(self._grid, points[:, 1:], columns), self._kind[columns]
        first, sort = alike(boxes, kind)
        use = np.nonzero(needed(boxes[first], kind[first]))[0]
        found = self._solve(columns[first[use]], points, tolerance, time_s, corner)
        if found is None:
            return None
        each = np.zeros(len(first))
        each[use] = found.values
        return replace(found, values=(each / np.bincount(sort, minlength=len(first)))[sort])

    def _solve(
        self, columns: Ints, points: Ints, tolerance: float, time_s: float, corner: bool
    ) -> Solution | None:
        order = np.lexsort((points[:, 1], points[:, 2], points[:, 0]))
        matrix, before = self._matrix(columns, points[order])
        limits = less((points[order, 0] == NO_FAMILY).astype(np.float64), before)
        statics = len(self._static_limits)
        costs = np.concatenate([self._watts[columns], self._auxiliary.watts, np.zeros(len(points))])
        low = np.concatenate([np.full(statics, -INFINITY), limits])
        high = np.concatenate([self._static_limits, limits])
        found = _solve(matrix, costs, low, high, tolerance, time_s, corner)
        if found is None:
            return None
        values, duals = np.maximum(0.0, found[0]), found[1]
        n, aux = len(columns), len(self._auxiliary.watts)
        point_duals, slack = np.zeros(len(points)), np.zeros(len(points))
        point_duals[order] = np.maximum(0.0, paid(duals[statics:], before))
        slack[order] = values[n + aux :]
        return Solution(values[:n], values[n : n + aux], np.maximum(0.0, duals[:statics]), point_duals, slack)

    def _matrix(self, columns: Ints, points: Ints) -> tuple[Entries, Ints]:
        """Static rows above the points said one from another; columns, switches, a slack for each point."""
        bits = self._covers(columns, points)
        x_mm, y_mm = self._grid.xs_mm[points[:, 1]], self._grid.ys_mm[points[:, 2]]
        before = before_near(bits, points[:, 0], x_mm, y_mm)
        per_kind, statics = self._auxiliary.per_kind[:, self._kind[columns]], len(self._static_limits)
        blocks = (
            (0, 0, per_kind),
            (0, len(columns), self._static_aux),
            (statics, len(columns), less(self._switches(points), before)),
        )
        own, linked = np.arange(len(points)), np.nonzero(before != ALONE)[0]
        point, column, value = said_sparsely(bits, before)
        slack = len(columns) + len(self._auxiliary.watts)
        rows = [statics + point, statics + own, statics + linked]
        across = [column, slack + own, slack + before[linked]]
        values = [value, np.ones(len(own)), -np.ones(len(linked))]
        for below, right, block in blocks:
            row, at = np.nonzero(block)
            rows.append(below + row)
            across.append(right + at)
            values.append(np.asarray(block[row, at], dtype=np.float64))
        width = slack + len(points)
        matrix = lines_of(np.concatenate(across), np.concatenate(rows), np.concatenate(values), width)
        return matrix, before

    def _covers(self, columns: Ints, points: Ints) -> Bits:
        """By point and column, eight columns a byte."""
        families, covers = points[:, 0], self._grid.covers_packed(points[:, 1:], columns)
        for family in np.unique(families[families != NO_FAMILY]).tolist():
            covers[families == family] &= np.packbits(self.members(family)[self._kind[columns]])
        return covers

    def _switches(self, points: Ints) -> NDArray[np.float64]:
        """What is covered of a family is no more than its switches."""
        values = np.zeros((len(points), len(self._auxiliary.watts)))
        for family in np.unique(points[points[:, 0] != NO_FAMILY, 0]).tolist():
            mine = np.nonzero(points[:, 0] == family)[0]
            values[np.ix_(mine, list(self._auxiliary.families[family].switches))] = -1.0
        return values


def _solve(
    matrix: Entries,
    costs: Floats,
    low: Floats,
    high: Floats,
    tolerance: float,
    time_s: float,
    corner: bool,
) -> tuple[Floats, Floats] | None:
    """Column values and row duals of the most; by simplex where interior point does not come to its end."""
    program = highspy.HighsLp()
    program.num_row_, program.num_col_ = len(low), len(costs)
    program.col_cost_, program.col_lower_ = costs, np.zeros(len(costs))
    program.col_upper_ = np.full(len(costs), INFINITY)
    program.row_lower_, program.row_upper_ = low, high
    program.sense_ = highspy.ObjSense.kMaximize
    program.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    program.a_matrix_.start_, program.a_matrix_.index_ = matrix.starts, matrix.index
    program.a_matrix_.value_ = matrix.values
    solver = highspy.Highs()
    options = {
        "output_flag": False,
        "threads": 1,
        "presolve": "off",  # without crossover its prices do not come back from presolve
        "run_crossover": "on" if corner else "off",
        "ipm_optimality_tolerance": tolerance,
        "time_limit": max(LEAST_TIME_S, time_s),
    }
    for option, value in options.items():
        solver.setOptionValue(option, value)
    solver.passModel(program)
    for method in ("ipm", "simplex"):
        solver.setOptionValue("solver", method)
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kTimeLimit:
            return None
        if status == highspy.HighsModelStatus.kOptimal or _near_enough(solver, tolerance):
            solution = solver.getSolution()
            return np.array(solution.col_value), np.array(solution.row_dual)
    return None


def _near_enough(solver: highspy.Highs, tolerance: float) -> bool:
    """Optimal to the tolerance asked for, which the solver itself calls unknown when it is a loose one."""
    info = solver.getInfo()
    infeasible = max(info.max_primal_infeasibility, info.max_dual_infeasibility)
    return bool(infeasible <= FEASIBLE and info.primal_dual_objective_error <= 10 * tolerance)
