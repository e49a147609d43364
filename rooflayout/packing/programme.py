"""The linear programme of a choice, which grows while it is solved again and again from its last basis.

Its points are said one from another (chain.py), which halves the time of the simplex method.
"""

from __future__ import annotations

import copy
import time

import highspy
import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.central import Equations
from rooflayout.packing.chain import ALONE, before_all, paid, said
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.entries import Entries, lines_of
from rooflayout.packing.exact import ExactRows
from rooflayout.packing.grid import Floats

INFINITY = highspy.kHighsInf
SOLVED = (highspy.HighsModelStatus.kOptimal, highspy.HighsModelStatus.kModelEmpty)
LEAST_TIME_S = 0.05
STALLED = 5000  # steps without an end: from nothing it is as quick, and some had none after 90 000
ANY = 2**31 - 1
AS_INTERIOR = 750  # steps of the simplex method that take as long as a solution by interior point

Status = highspy.HighsBasisStatus


class Programme:
    """Of the most worth. Columns: others (those of the exact rows) first, then places and room to spare."""

    def __init__(self, exact: ExactRows) -> None:
        self.solver, self._fresh, self._steps = _solver(), True, 0
        self.solver.changeObjectiveSense(highspy.ObjSense.kMaximize)
        self.others, self._exact = len(exact.worth), len(exact.rows)
        nothing, none = np.zeros(0, dtype=np.int32), np.zeros(0)
        for worth, most in zip(exact.worth, exact.most, strict=True):
            self.solver.addCol(worth, 0.0, most, 0, nothing, none)
        for row in exact.rows:
            index = np.array([j for j, _ in row.others], dtype=np.int32)
            values = np.array([v for _, v in row.others], dtype=np.float64)
            self.solver.addRow(_endless(row.low), _endless(row.high), len(index), index, values)
        self.places = np.zeros(0, dtype=np.int32)  # the columns of places
        self.spare = np.zeros(0, dtype=np.int32)  # and of the room to spare at each point
        self.before = np.zeros(0, dtype=np.int64)  # by point: the one that it is said from, or ALONE
        self.point_rows = np.zeros(0, dtype=np.int32)
        self._group_rows = np.zeros(0, dtype=np.int32)

    def copy(self) -> Programme:
        """Another one like it, to go on with from a basis."""
        other = copy.copy(self)  # the arrays are never changed, but replaced
        other.solver = _solver()
        other.solver.passModel(self.solver.getLp())
        if not self._fresh:
            other.solver.setBasis(self.solver.getBasis())
        return other

    def equations(self) -> Equations:
        """For solutions by interior point; where there are no other columns. Room to spare comes last."""
        lp = self.solver.getLp()
        starts, across = np.array(lp.a_matrix_.start_), np.array(lp.a_matrix_.index_, dtype=np.int64)
        line = np.repeat(np.arange(len(starts) - 1), np.diff(starts))
        by_row = lp.a_matrix_.format_ == highspy.MatrixFormat.kRowwise
        row, column = (line, across) if by_row else (across, line)
        low, high = np.array(lp.row_lower_), np.array(lp.row_upper_)
        loose = np.nonzero(low != high)[0]  # exact rows, of which none has a lower limit here
        columns = lp.num_col_ + np.arange(len(loose))
        entry = np.concatenate([np.array(lp.a_matrix_.value_), np.ones(len(loose))])
        worth = np.concatenate([np.array(lp.col_cost_), np.zeros(len(loose))])
        return Equations(np.concatenate([row, loose]), np.concatenate([column, columns]), entry, worth, high)

    # growing

    def add_points(self, covers: Bools, family: Ints, limits: Floats, switches: list[list[int]]) -> None:
        """A row for each new point: no more is covered than its limit, and one for each of its switches.

        covers: by point, the old and the new ones, and by place with a column, or that will have one next.
        family: of all points; limits and switches (columns): of the new ones.
        """
        old, new, columns = len(self.spare), len(limits), self.solver.getNumCol()
        if not new:
            return
        before = before_all(covers, family, old)
        self.before = np.concatenate([self.before, before])
        self.spare = np.concatenate([self.spare, columns + np.arange(new, dtype=np.int32)])
        zeros, endless = np.zeros(new), np.full(new, INFINITY)
        empty = np.zeros(new, dtype=np.int32)
        self.solver.addCols(new, zeros, zeros, endless, 0, empty, empty[:0], zeros[:0])
        signs = said(covers[:, : len(self.places)], self.before)[old:]
        row, at = np.nonzero(signs)
        alone = np.nonzero(before == ALONE)[0]
        switch = [(n, s) for n in alone.tolist() for s in switches[n]]
        from_, own = np.nonzero(before != ALONE)[0], np.arange(new)
        rows = np.concatenate([row, own, from_, np.array([n for n, _ in switch], dtype=np.int64)])
        switched = np.array([s for _, s in switch], dtype=np.int32)
        at_columns = [self.places[at], self.spare[old:], self.spare[before[from_]], switched]
        values: list[Floats] = [np.asarray(signs[row, at], dtype=np.float64), np.ones(new)]
        values += [-np.ones(len(from_)), -np.ones(len(switch))]
        lines = lines_of(rows, np.concatenate(at_columns), np.concatenate(values), new)
        self.point_rows = np.concatenate([self.point_rows, self._next_rows(new)])
        limits = np.where(before == ALONE, limits, 0.0)
        self._add_rows(limits, limits, lines)

    def add_places(self, worth: Floats, exact: Floats, covers: Bools, groups: Bools) -> None:
        """Columns; exact, covers, groups: what they are in each exact row, at each point, in each group."""
        if not len(worth):
            return
        signs = said(covers, self.before)
        worths = np.vstack([exact, signs, groups])
        row, place = np.nonzero(worths)
        of = np.concatenate([np.arange(self._exact), self.point_rows, self._group_rows]).astype(np.int32)
        count = len(worth)
        columns = lines_of(place, of[row], worths[row, place], count)
        at = self.solver.getNumCol() + np.arange(count, dtype=np.int32)
        self.places = np.concatenate([self.places, at])
        self.solver.addCols(
            count,
            worth,
            np.zeros(count),
            np.ones(count),
            len(columns),
            columns.starts[:-1],
            columns.index,
            columns.values,
        )

    def add_group(self, members: Bools) -> None:
        """A row for places (by column) of which one may be asked for."""
        at = np.nonzero(members)[0]
        line = lines_of(np.zeros(len(at), dtype=np.int64), self.places[at], np.ones(len(at)), 1)
        self._group_rows = np.concatenate([self._group_rows, self._next_rows(1)])
        self._add_rows(np.full(1, -INFINITY), np.full(1, INFINITY), line)

    def _next_rows(self, count: int) -> NDArray[np.int32]:
        return np.arange(count, dtype=np.int32) + int(self.solver.getNumRow())

    def _add_rows(self, low: Floats, high: Floats, lines: Entries) -> None:
        starts = lines.starts[:-1]
        self.solver.addRows(len(low), low, high, len(lines), starts, lines.index, lines.values)

    # bounds

    def bound_others(self, low: Floats, high: Floats) -> None:
        if self.others:
            index = np.arange(self.others, dtype=np.int32)
            self.solver.changeColsBounds(self.others, index, low, high)

    def open_places(self, open_: Bools) -> None:
        """By place column, whether it may be used."""
        n = len(self.places)
        self.solver.changeColsBounds(n, self.places, np.zeros(n), open_.astype(np.float64))

    def ask_for(self, groups: Ints) -> None:
        """Of each of these groups one place at least must be used, and of no other."""
        n = len(self._group_rows)
        if n:
            low = np.where(np.isin(np.arange(n), groups), 1.0, -INFINITY)
            self.solver.changeRowsBounds(n, self._group_rows, low, np.full(n, INFINITY))

    # solving

    def solve(self, deadline: float, most_steps: int | None = None, first: bool = False) -> float | None:
        """The programme's value, or a guess at it after most_steps; None: out of time.

        -inf where there is no solution. first: by interior point, if nothing was solved before; with a
        basis there its memory was corrupted, once in a few runs. By interior point from nothing, too, where
        the simplex method does not come to an end: what took 0.1 s otherwise had none after 90 000 steps.
        """
        methods = ("ipm", "simplex") if first and self._fresh else ("simplex",)
        self._fresh = False
        self._steps = 0
        for method in methods:
            status = self._run(method, deadline, most_steps or STALLED, guess=most_steps is not None)
            if most_steps is None and status == highspy.HighsModelStatus.kIterationLimit:
                self._forget()
                status = self._run("ipm", deadline)
            if status == highspy.HighsModelStatus.kInfeasible:
                return -np.inf
            if status in SOLVED or most_steps is not None:
                return float(self.solver.getInfo().objective_function_value)
        return None

    def _run(
        self, method: str, deadline: float, most_steps: int = ANY, guess: bool = False
    ) -> highspy.HighsModelStatus:
        """guess: at the value, for which simpler weights of edges do."""
        left = max(LEAST_TIME_S, deadline - time.monotonic())
        options = {
            "time_limit": self.solver.getRunTime() + left,
            "simplex_iteration_limit": most_steps,
            "simplex_dual_edge_weight_strategy": 1 if guess else -1,
            "solver": method,
        }
        for option, value in options.items():
            self.solver.setOptionValue(option, value)
        self.solver.run()
        self._steps += AS_INTERIOR if method == "ipm" else 0
        self._steps += max(0, self.solver.getInfo().simplex_iteration_count)
        return self.solver.getModelStatus()

    def _forget(self) -> None:
        """The same programme with no basis."""
        solver = _solver()
        solver.passModel(self.solver.getLp())
        self.solver = solver

    def effort(self) -> int:
        """Of the last solution: steps of the simplex method times columns, which go with its seconds."""
        return self._steps * int(self.solver.getNumCol())

    def finished(self) -> bool:
        """Whether the last solution came to its end, so that its value is a bound."""
        status = self.solver.getModelStatus()
        return status in SOLVED or status == highspy.HighsModelStatus.kInfeasible

    def values(self) -> Floats:
        """Of the last solution: by other column, then by place column."""
        values = np.array(self.solver.getSolution().col_value)
        return np.concatenate([values[: self.others], values[self.places]])

    def duals(self) -> tuple[Floats, Floats, Floats]:
        """Of the last solution: of the exact rows, of points (what covering each costs), of groups."""
        duals = np.array(self.solver.getSolution().row_dual)
        points = paid(duals[self.point_rows], self.before)
        return duals[: self._exact], points, duals[self._group_rows]

    # bases

    def basis(self) -> highspy.HighsBasis:
        return self.solver.getBasis()

    def begin_from(self, basis: highspy.HighsBasis) -> None:
        """A basis of this programme, which may have had fewer rows and columns then."""
        self.solver.setBasis(self._grown(basis))

    def _grown(self, basis: highspy.HighsBasis) -> highspy.HighsBasis:
        """With what is new binding nothing."""
        columns, rows = list(basis.col_status), list(basis.row_status)
        old_columns, old_rows = len(columns), len(rows)
        if self.solver.getNumCol() == old_columns and self.solver.getNumRow() == old_rows:
            return basis
        columns += [Status.kLower] * (self.solver.getNumCol() - old_columns)
        rows += [Status.kBasic] * (self.solver.getNumRow() - old_rows)
        for spare, row in zip(self.spare.tolist(), self.point_rows.tolist(), strict=True):
            if row >= old_rows:
                columns[spare], rows[row] = Status.kBasic, Status.kLower
        grown = highspy.HighsBasis()
        grown.valid, grown.col_status, grown.row_status = True, columns, rows
        return grown


def _solver() -> highspy.Highs:
    solver = highspy.Highs()
    for option, value in (("output_flag", False), ("threads", 1), ("presolve", "off")):
        solver.setOptionValue(option, value)
    return solver


def _endless(value: float) -> float:
    return float(np.clip(value, -INFINITY, INFINITY))
