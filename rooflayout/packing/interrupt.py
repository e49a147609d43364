"""Solving in a thread of its own, so that Ctrl-C and deadlines are heard while the solver works."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from ortools.sat.python import cp_model

STATUS = {
    cp_model.OPTIMAL: "OPTIMAL",
    cp_model.FEASIBLE: "FEASIBLE",
    cp_model.INFEASIBLE: "INFEASIBLE",
    cp_model.UNKNOWN: "UNKNOWN",
}


def solve_until(
    solver: cp_model.CpSolver, model: cp_model.CpModel, deadline: float, stopped: Callable[[], bool]
) -> tuple[str, float]:
    """OPTIMAL, FEASIBLE, INFEASIBLE or UNKNOWN, and the deterministic seconds it took.

    Raises ValueError for an invalid model (a bug).
    """
    left = deadline - time.monotonic()
    if left <= 0 or stopped():
        return "UNKNOWN", 0.0
    solver.parameters.max_time_in_seconds = left
    solver.parameters.catch_sigint_signal = False
    result: list[cp_model.CpSolverStatus] = []
    thread = threading.Thread(target=lambda: result.append(solver.solve(model)), daemon=True)
    thread.start()
    wait = 0.002
    while thread.is_alive():
        thread.join(wait)
        wait = min(0.05, wait * 1.5)
        if stopped():
            solver.stop_search()
    if not result or result[0] not in STATUS:
        raise ValueError(f"the solver did not accept the model: {model.validate()}")
    return STATUS[result[0]], float(solver.response_proto.deterministic_time)
