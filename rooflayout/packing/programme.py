"""A whole-number programme as HiGHS takes it, column by column and row by row."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

import highspy
import numpy as np
import scipy.sparse as sparse

from rooflayout.packing.clearance import Ints
from rooflayout.packing.grid import Floats

INFINITY = highspy.kHighsInf
WAIT_S = 0.1
OPTIONS = {
    "output_flag": False,
    "threads": 1,
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 0.5,  # all worths are whole numbers
    # measured: each of these cost more than it saved, together three times
    "presolve": "off",
    "mip_allow_restart": False,
    "mip_heuristic_effort": 0.0,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_root_reduced_cost": False,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_pscost_minreliable": 0,
}


class Programme:
    """Maximise a sum over whole-number columns from 0 up, under rows low <= sum <= high."""

    def __init__(self) -> None:
        self._worth: list[float] = []
        self._most: list[float] = []
        self._rows: list[tuple[Ints, Floats]] = []
        self._low: list[float] = []
        self._high: list[float] = []

    def column(self, worth: float, most: float) -> int:
        """A new column's number."""
        self._worth.append(worth)
        self._most.append(most)
        return len(self._worth) - 1

    def row(
        self, columns: Sequence[int], values: Sequence[float] | float, high: float, low: float = -INFINITY
    ) -> None:
        """Columns with their values, or with one value for all."""
        where = np.array(columns, dtype=np.int64)
        self._rows.append((where, np.broadcast_to(np.asarray(values, dtype=np.float64), where.shape)))
        self._low.append(low)
        self._high.append(high)

    def solver(self, start: dict[int, float]) -> highspy.Highs:
        """HiGHS, ready to run from a start in which all columns but those named are 0."""
        n = len(self._worth)
        counts = [len(where) for where, _ in self._rows]
        indptr = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
        index = np.concatenate([where for where, _ in self._rows]) if self._rows else np.zeros(0, dtype=np.int64)
        values = np.concatenate([v for _, v in self._rows]) if self._rows else np.zeros(0)
        matrix = sparse.csr_matrix((values, index, indptr), shape=(len(self._rows), n)).tocsc()
        program = highspy.HighsLp()
        program.num_col_, program.num_row_ = n, len(self._rows)
        program.col_cost_ = np.array(self._worth)
        program.col_lower_, program.col_upper_ = np.zeros(n), np.array(self._most)
        program.row_lower_, program.row_upper_ = np.array(self._low), np.array(self._high)
        program.sense_ = highspy.ObjSense.kMaximize
        program.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        program.a_matrix_.start_, program.a_matrix_.index_ = matrix.indptr, matrix.indices
        program.a_matrix_.value_ = matrix.data
        program.integrality_ = [highspy.HighsVarType.kInteger] * n
        solver = highspy.Highs()
        for option, value in OPTIONS.items():
            solver.setOptionValue(option, value)
        solver.passModel(program)
        solution = highspy.HighsSolution()
        solution.col_value = [start.get(i, 0.0) for i in range(n)]
        solver.setSolution(solution)
        return solver


def run_until(solver: highspy.Highs, deadline: float, stopped: Callable[[], bool]) -> bool:
    """Run to the end, or to the deadline (time.monotonic()) or until stopped; whether it came to its end."""
    solver.HandleUserInterrupt = True
    solver.setOptionValue("time_limit", max(WAIT_S, deadline - time.monotonic()))
    solver.startSolve()
    while not solver.wait(WAIT_S)[0]:
        if stopped() or time.monotonic() > deadline:
            solver.cancelSolve()
    return bool(solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)
