"""Which copies of which models, without a thought of where: what stock, mass, money and scales allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rooflayout.packing.incumbent import Clock
from rooflayout.packing.interrupt import solve_until
from rooflayout.packing.pieces import Pieces
from rooflayout.packing.rules import Rules, mass_g, price_cents
from rooflayout.packing.scales import Scales

if TYPE_CHECKING:
    from ortools.sat.python import cp_model
else:
    from rooflayout import cpsat as cp_model

AT_A_TIME = 5  # rows of the scales
WISHES = 4
Counts = tuple[int, ...]  # by sort


@dataclass(frozen=True, slots=True)
class Chosen:
    """status: OPTIMAL, FEASIBLE, INFEASIBLE or UNKNOWN; effort in deterministic seconds.

    bound: of what was asked for.
    """

    status: str
    counts: Counts
    bound: int
    effort: float


class Copies:
    """A switch for each copy of each sort, one after the other, and for each way in which it may lie."""

    def __init__(self, pieces: Pieces, rules: Rules, kept_watts: int) -> None:
        self._pieces, self._rules = pieces, rules
        self.model = cp_model.CpModel()
        self.ways: list[list[cp_model.IntVar]] = [[] for _ in pieces.ways]
        self._on = [self._copies_of(number) for number in range(len(pieces.sorts))]
        self.said: set[int] = set()  # rows of the scales
        self.watts = self._total([sort.watts for sort in pieces.sorts]) + kept_watts
        for cap in rules.caps:
            self._at_most([cap.per_kind[w.kind] for w in pieces.ways], max(0, cap.limit))
        if rules.most_models is not None:
            self.model.add(self.wishes()[0] <= max(rules.most_models, len(rules.kept_models)))

    # what can be asked for

    def wishes(self) -> tuple[cp_model.LinearExprT, ...]:
        """As wishes_of."""
        kept = self._rules.kept_models
        first = [on[0] for on, s in zip(self._on, self._pieces.sorts, strict=True) if s.model not in kept]
        models = cp_model.LinearExpr.sum(first) + len(kept)
        return models, *(self._total(each) for each in _each(self._pieces, self._rules))

    # constraints

    def bar(self, counts: Counts) -> None:
        """Not so many of every sort at once."""
        self.model.add_bool_or([~on[n - 1] for on, n in zip(self._on, counts, strict=True) if n])

    def say(self, scales: Scales, rows: Sequence[int]) -> None:
        """These rows of the scales hold."""
        for row in rows:
            if row not in self.said:
                self.said.add(row)
                self._at_most(scales.weights[row].tolist(), int(scales.limits[row]))

    # solving

    def best(
        self, most: bool, aim: cp_model.LinearExprT, scales: Scales, clock: Clock, effort: float
    ) -> Chosen:
        """The most or the least of an aim, by a choice that keeps to all scales."""
        if most:
            self.model.maximize(aim)
        else:
            self.model.minimize(aim)
        spent = 0.0
        while True:
            solver = one_worker(effort - spent)
            status, took = solve_until(solver, self.model, clock.deadline, clock.stopped)
            spent += took
            if status in ("INFEASIBLE", "UNKNOWN"):
                return Chosen(status, (), 0, spent)
            broken = scales.broken([sum(map(solver.value, own)) for own in self.ways], AT_A_TIME)
            if not broken:
                counts = tuple(sum(map(solver.value, on)) for on in self._on)
                return Chosen(status, counts, round(solver.best_objective_bound), spent)
            self.say(scales, broken)
            if spent >= effort or clock.over():
                return Chosen("UNKNOWN", (), 0, spent)

    # small helpers

    def _copies_of(self, number: int) -> list[cp_model.IntVar]:
        sort = self._pieces.sorts[number]
        found: list[cp_model.IntVar] = []
        for copy in range(sort.copies):
            on = self.model.new_bool_var(f"m{sort.model}_{copy}")
            own = [on] if len(sort.ways) == 1 else [self.model.new_bool_var("") for _ in sort.ways]
            if len(own) > 1:
                self.model.add_exactly_one([*own, ~on])
            for way, switch in zip(sort.ways, own, strict=True):
                self.ways[way].append(switch)
            if found:
                self.model.add_implication(on, found[-1])
            found.append(on)
        return found

    def _total(self, of_sort: Sequence[int]) -> cp_model.LinearExprT:
        terms = [(on, n) for own, n in zip(self._on, of_sort, strict=True) for on in own]
        return cp_model.LinearExpr.weighted_sum([on for on, _ in terms], [n for _, n in terms])

    def _at_most(self, of_way: Sequence[int], limit: int) -> None:
        terms = [(switch, n) for own, n in zip(self.ways, of_way, strict=True) if n for switch in own]
        self.model.add(
            cp_model.LinearExpr.weighted_sum([s for s, _ in terms], [n for _, n in terms]) <= limit
        )


def wishes_of(pieces: Pieces, rules: Rules, counts: Counts) -> tuple[int, ...]:
    """Models on the roof, kept ones too; new panels, their mass in grams, their price in hundredths."""
    new = {s.model for s, n in zip(pieces.sorts, counts, strict=True) if n}
    sums = (sum(n * e for n, e in zip(counts, each, strict=True)) for each in _each(pieces, rules))
    return len(new | rules.kept_models), *sums


def _each(pieces: Pieces, rules: Rules) -> tuple[list[int], ...]:
    """By sort what one panel adds to the wishes but the first."""
    models = [rules.models[sort.model] for sort in pieces.sorts]
    return [1 for _ in models], [mass_g(m) for m in models], [price_cents(m) for m in models]


def one_worker(effort: float) -> cp_model.CpSolver:
    """A solver that ends alike on every machine: one worker, deterministic seconds."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = max(1e-3, effort)
    return solver
