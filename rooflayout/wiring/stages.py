"""CP-SAT asked for one thing after another: the least of the first, among those the least of the next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    Expression = cp_model.LinearExprT
else:
    from rooflayout import cpsat as cp_model


SEED = 1
HIGHEST = 10**15  # of a stage's value; far above any sum of milliwatts or hundredths
LEAST_S = 0.1  # a stage's time when the ones before it used up all
STEPS_PER_S = 0.6  # measured: what a second is in the solver's own steps, or somewhat less
WALL_FACTOR = 3.0  # the clock on the wall only guards against a machine that is far slower than that


class OutOfTime(Exception):  # noqa: N818
    """Neither a solution nor the proof that there is none was found in time."""


def in_stages(
    model: cp_model.CpModel, stages: Sequence[Expression], seconds: float
) -> tuple[int, ...] | None:
    """The values of all variables by their index; None when the model has no solution.

    Each stage, of values of 0 and above, may use half of what is left of the seconds; the best that
    it found then stands. Seconds are counted by the solver's own steps, so that every run ends
    alike. The model is changed. Raises OutOfTime when the first stage comes to nothing in time.
    """
    goals = [model.new_int_var(0, HIGHEST, "") for _ in stages]
    for goal, stage in zip(goals, stages, strict=True):
        model.add(goal == stage)
    found: tuple[int, ...] | None = None
    left_s = seconds
    for goal in goals:
        if found is not None and found[goal.index] == 0:  # nothing can be less
            model.add(goal == 0)
            continue
        model.minimize(goal)
        status, values, used_s = _solve(model, left_s / 2)
        left_s = max(LEAST_S, left_s - used_s)
        if status == cp_model.UNKNOWN and found is None:
            status, values, used_s = _solve(model, left_s)
            left_s = max(LEAST_S, left_s - used_s)
        if status == cp_model.INFEASIBLE and found is None:
            return None
        if values is not None:
            found = values
        if found is None:
            raise OutOfTime(f"no wiring was found within {seconds:g} s")
        model.add(goal <= found[goal.index])
        model.clear_hints()  # type: ignore[no-untyped-call]
        for index, value in enumerate(found):
            model.add_hint(model.get_int_var_from_proto_index(index), value)
    return found


def _solve(model: cp_model.CpModel, seconds: float) -> tuple[object, tuple[int, ...] | None, float]:
    """Status, values if there are any, and the time that it took by the solver's own steps."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = STEPS_PER_S * seconds
    solver.parameters.max_time_in_seconds = WALL_FACTOR * seconds
    solver.parameters.catch_sigint_signal = False  # else a later Ctrl-C ends the program without a word
    status = solver.solve(model)
    solved = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    values = tuple(solver.response_proto.solution) if solved else None
    return status, values, solver.response_proto.deterministic_time / STEPS_PER_S
