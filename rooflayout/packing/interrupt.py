"""Solving in a thread of its own, so that Ctrl-C and deadlines are heard while the solver works."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model
else:
    from rooflayout import cpsat as cp_model


STATUSES = ("OPTIMAL", "FEASIBLE", "INFEASIBLE", "UNKNOWN")


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
    status = solver.status_name(result[0]) if result else ""
    if status not in STATUSES:
        raise ValueError(f"the solver did not accept the model: {model.validate()}")
    return status, float(solver.response_proto.deterministic_time)
