"""CP-SAT over a handful of candidates: which of them, under all rules, wired to the last panel.

Variables, constraints and objectives apart; one method a rule. Points are asked for lazily: a
solution in which panels overlap adds the point they share, and the search goes on.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rooflayout.packing.clearance import Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Point, PointGrid, different
from rooflayout.packing.interrupt import solve_until
from rooflayout.packing.prices import Prices
from rooflayout.packing.rules import Rules, mass_g, price_cents
from rooflayout.wiring.options import UNLIMITED

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    Expression = cp_model.LinearExpr
    Term = cp_model.LinearExprT
else:
    from rooflayout import cpsat as cp_model


@dataclass(frozen=True, slots=True)
class Answer:
    """status is OPTIMAL, FEASIBLE, INFEASIBLE or UNKNOWN; chosen are candidate numbers."""

    status: str
    value: int
    bound: int
    chosen: Ints
    effort: float  # deterministic seconds spent


class PackingModel:
    """The choice among some candidates. Watts are in tenths and count wired panels only."""

    def __init__(
        self, candidates: Candidates, grid: PointGrid, rules: Rules, keep: Ints, prices: Prices | None
    ) -> None:
        self._candidates, self._grid, self._rules, self._keep = candidates, grid, rules, keep
        self._kind = candidates.kind[keep]
        self.model = cp_model.CpModel()
        self._place = [self.model.new_bool_var(f"p{i}") for i in keep.tolist()]
        self._of_group = [self._count(np.nonzero(self._in_group(g))[0]) for g in range(len(rules.groups))]
        self._asked: set[Point] = set()
        self._hint: Ints | None = None
        if prices and prices.rows:
            self._at_most_one(prices.rows)
        self._apply_caps()
        self._used = self._models_used()
        if rules.most_models is not None:
            self.model.add(_sum(self._used) <= max(rules.most_models, len(rules.kept_models)))
        self._wired_kept: list[Term] = [g.kept for g in rules.groups]
        self._shared: list[Term] = []  # trackers with unlike strings
        if rules.wired:
            self._apply_wiring()
        if prices:
            self._switch_families(prices)
        kept = [g.kept_watts * n for g, n in zip(rules.groups, self._wired_kept, strict=True)]
        self._kept_watts: Expression = _sum(kept)
        self.watts: Expression = _sum([self._sum_by_kind([k.watts for k in rules.kinds]), self._kept_watts])

    def total(self, of_candidate: Ints) -> Expression:
        """A whole number of each candidate summed up, and that of the kept panels."""
        return _sum([self._sum_of(of_candidate[self._keep]), self._kept_watts])

    # what can be asked for, least first

    def unlike(self) -> Expression | None:
        """Trackers that carry strings of two groups; None where there can be none."""
        return _sum(self._shared) if self._shared else None

    def models_used(self) -> Expression:
        return _sum(self._used)

    def panels(self) -> Expression:
        return _sum(self._place)

    def mass(self) -> Expression:
        """Grams of new panels."""
        return self._sum_by_kind([mass_g(self._rules.models[k.model]) for k in self._rules.kinds])

    def price(self) -> Expression:
        """Hundredths of the currency, new panels."""
        return self._sum_by_kind([price_cents(self._rules.models[k.model]) for k in self._rules.kinds])

    def lost(self) -> Expression | None:
        """Wh a year that shade takes; None where that is not known."""
        lost = self._rules.wishes.lost_wh
        return None if lost is None else self._sum_of(lost(self._rules.kinds, self._kept()))

    def lopsided(self) -> Expression | None:
        """Gram-metres by which one side is heavier than the other; None where that is not wished for."""
        wishes = self._rules.wishes
        if wishes.moment_g_m is None:
            return None
        each = wishes.moment_g_m(self._rules.kinds, self._kept())
        moment = self._sum_of(each) + wishes.kept_moment_g_m
        most = int(np.abs(each).sum()) + abs(wishes.kept_moment_g_m)
        found = self.model.new_int_var(0, most, "")
        self.model.add(found >= moment)
        self.model.add(found >= -moment)
        return found

    def lines(self) -> Expression:
        """How many setting-out lines the workshop needs: distinct x and distinct y of corners, by facet."""
        facet = np.array([k.facet for k in self._rules.kinds])[self._kind]
        total: list[Term] = []
        for at in (self._candidates.x_mm[self._keep], self._candidates.y_mm[self._keep]):
            for key in sorted({(int(f), int(v)) for f, v in zip(facet, at, strict=True)}):
                line = self.model.new_bool_var("")
                total.append(line)
                for i in np.nonzero((facet == key[0]) & (at == key[1]))[0]:
                    self.model.add_implication(self._place[i], line)
        return _sum(total)

    def spread(self) -> Expression:
        """Sum of the panels' distances from the datum along x and y, in centimetres."""
        near = (self._candidates.x_mm[self._keep] + self._candidates.y_mm[self._keep]) // 10
        return cp_model.LinearExpr.weighted_sum(self._place, near.tolist())

    # solving

    def fix(self, chosen: Ints) -> None:
        """These candidates (numbers as in Answer.chosen) are on the roof."""
        for i in np.nonzero(np.isin(self._keep, chosen))[0].tolist():
            self.model.add(self._place[i] == 1)

    def hint(self, chosen: Ints) -> None:
        """Start from these candidates (numbers as in Answer.chosen)."""
        self._hint = chosen

    def solve(
        self,
        objective: Expression,
        deadline: float,
        stopped: Callable[[], bool],
        *,
        most: bool,
        effort: float | None = None,
    ) -> Answer:
        """Best value of the objective. effort limits deterministic time, so that every run ends alike."""
        if most:
            self.model.maximize(objective)
        else:
            self.model.minimize(objective)
        spent = 0.0
        nothing = np.zeros(0, dtype=np.int64)
        while True:
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = 1
            solver.parameters.random_seed = 1
            solver.parameters.linearization_level = (
                2  # the relaxation is nearly whole: measured 10 to 50 times faster
            )
            solver.parameters.cp_model_probing_level = 0
            solver.parameters.merge_at_most_one_work_limit = 0.0  # 0.3 s of presolve for nothing
            if not most:  # among equal watts symmetries were seen to take seven times as long for nothing
                solver.parameters.symmetry_level = 0
            if effort is not None:
                solver.parameters.max_deterministic_time = max(1e-3, effort - spent)
            self._apply_hint()
            status, took = solve_until(solver, self.model, deadline, stopped)
            spent += took
            if status in ("INFEASIBLE", "UNKNOWN"):
                return Answer(status, 0, 0, nothing, spent)
            on = np.array([i for i, v in enumerate(self._place) if solver.value(v)], dtype=np.int64)
            chosen = self._keep[on]
            overlaps = [p for p in self._grid.overlaps(chosen) if p not in self._asked]
            if not overlaps:
                value, bound = round(solver.objective_value), round(solver.best_objective_bound)
                return Answer(status, value, bound, chosen, spent)
            self._at_most_one(overlaps)
            if time.monotonic() > deadline or stopped() or (effort is not None and spent >= effort):
                return Answer("UNKNOWN", 0, 0, nothing, spent)

    # constraints

    def _at_most_one(self, points: Sequence[Point]) -> None:
        """Each of these points is covered at most once; what several points say is said once."""
        self._asked.update(points)
        covers = self._grid.covers(np.array(points, dtype=np.int64), self._keep)
        first, _ = different(covers)
        for row in covers[np.sort(first)]:
            both = np.nonzero(row)[0].tolist()
            if len(both) > 1:
                self.model.add_at_most_one([self._place[i] for i in both])

    def _apply_caps(self) -> None:
        """Stock, mass, budget."""
        for cap in self._rules.caps:
            self.model.add(self._sum_by_kind(list(cap.per_kind)) <= max(0, cap.limit))

    def _models_used(self) -> list[Term]:
        """One switch a model that is on the roof; kept models are there anyway."""
        used: list[Term] = [1 for _ in self._rules.kept_models]
        model = self._rules.model_of_kind[self._kind]
        for number in sorted(set(model.tolist()) - self._rules.kept_models):
            switch = self.model.new_bool_var(f"model{number}")
            used.append(switch)
            for i in np.nonzero(model == number)[0]:
                self.model.add_implication(self._place[i], switch)
        return used

    def _apply_wiring(self) -> None:
        """Every new panel is in a string; a class's trackers each take equal strings of one group, or exactly
        the panels of a pair of groups."""
        rules = self._rules
        ceiling = max(1, len(self._keep) + sum(g.kept for g in rules.groups))
        in_strings: list[list[Term]] = [[] for _ in rules.groups]
        of_class: list[list[Term]] = [[] for _ in rules.trackers]
        self._trackers_of: list[list[cp_model.IntVar]] = [[] for _ in rules.groups]
        for option in rules.options:
            most = min(rules.trackers[option.tracker_class], ceiling)
            trackers = self.model.new_int_var(0, most, "")
            strings = self.model.new_int_var(0, ceiling, "")
            self.model.add(strings >= trackers)
            self.model.add(strings <= option.most_parallel * trackers)
            in_strings[option.group].append(option.in_series * strings)
            of_class[option.tracker_class].append(trackers)
            self._trackers_of[option.group].append(trackers)
        for pair in rules.pairs:
            trackers = self.model.new_int_var(0, min(rules.trackers[pair.tracker_class], ceiling), "")
            of_class[pair.tracker_class].append(trackers)
            self._shared.append(trackers)
            for shared, panels_each in zip(pair.groups, pair.panels, strict=True):
                in_strings[shared].append(panels_each * trackers)
                self._trackers_of[shared].append(trackers)
        for number, trackers_used in enumerate(of_class):
            self.model.add(_sum(trackers_used) <= rules.trackers[number])
        self._allot_trackers(of_class)
        for number, group in enumerate(rules.groups):
            if group.kept:
                self._wired_kept[number] = self.model.new_int_var(0, group.kept, "")
            panels = _sum([self._of_group[number], self._wired_kept[number]])
            self.model.add(panels == _sum(in_strings[number]))

    def _allot_trackers(self, of_class: list[list[Term]]) -> None:
        """Said once more where the search can branch on it: a group has panels only if it has a tracker."""
        rules = self._rules
        if max(rules.trackers, default=0) >= UNLIMITED:
            return
        used = []
        for number in range(len(rules.groups)):
            mine = np.nonzero(self._in_group(number))[0]
            trackers = self._trackers_of[number]
            switch = self.model.new_bool_var(f"group{number}")
            self.model.add(_sum(trackers) >= switch)
            for count in trackers:
                self.model.add(count == 0).only_enforce_if(~switch)
            for i in mine:
                self.model.add_implication(self._place[i], switch)
            used.append(switch)
        self.model.add(_sum(used) <= _sum([sum(rules.trackers), *self._shared]))

    def _switch_families(self, prices: Prices) -> None:
        """The relaxation's rows 'what covers this point, of one group or model, is switched on' once more."""
        rules = self._rules
        families = Auxiliary(rules).families
        for number, point in prices.family_rows:
            family = families[number]
            if family.group < 0:
                continue
            switches = self._trackers_of[family.group]
            covering = self._grid.at(point, self._keep)
            mine = [
                i for i in np.nonzero(np.isin(self._keep, covering))[0] if int(self._kind[i]) in family.kinds
            ]
            self.model.add(_sum([self._place[i] for i in mine]) <= _sum(switches))

    # small helpers

    def _kept(self) -> Candidates:
        return self._candidates.take(self._keep)

    def _sum_of(self, of_place: Ints) -> Expression:
        return cp_model.LinearExpr.weighted_sum(self._place, of_place.tolist())

    def _in_group(self, group: int) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        return np.asarray(self._rules.group_of_kind[self._kind] == group)

    def _count(self, which: Ints) -> Expression:
        return _sum([self._place[i] for i in which])

    def _sum_by_kind(self, per_kind: list[int]) -> Expression:
        return cp_model.LinearExpr.weighted_sum(self._place, [per_kind[int(k)] for k in self._kind])

    def _apply_hint(self) -> None:
        if self._hint is None:
            return
        chosen = set(self._hint.tolist())
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for candidate, variable in zip(self._keep.tolist(), self._place, strict=True):
            self.model.add_hint(variable, candidate in chosen)


def _sum(terms: Sequence[Term]) -> Expression:
    return cp_model.LinearExpr.sum(list(terms))
