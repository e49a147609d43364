"""The last gap: branch and bound by linear relaxations over the candidates that prices leave.

CP-SAT is quick to find layouts. To prove that no better one is left goes by far better with the
relaxation solved anew at each step: strong branching closes most gaps at the root. One more column
stands for "nothing as good": it takes the whole roof and is worth a little less than what is asked for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.apart import parting_points
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Point, PointGrid
from rooflayout.packing.programme import Programme, run_until
from rooflayout.packing.rules import Rules
from rooflayout.wiring.options import UNLIMITED

HALF = 0.5
PARTING_POINTS = 60  # at most, after a solution with overlaps
LIKE_MM = 150  # candidates of a kind so near each other are alike


@dataclass(frozen=True, slots=True)
class Branched:
    """The best of some candidates from low watts up, if there is one.

    bound: no layout of these candidates has more watts (tenths); below low: none has low.
    chosen: candidate numbers; they may still overlap at points not asked for. members: for each chosen
    one the candidates of its kind that cover all points asked for that it covers, itself among them.
    """

    bound: float
    chosen: Ints
    members: tuple[Ints, ...]


class Branching:
    """The choice among some candidates as a whole-number programme. Watts are in tenths."""

    def __init__(
        self,
        candidates: Candidates,
        grid: PointGrid,
        rules: Rules,
        keep: Ints,
        points: list[Point],
        family_points: list[tuple[int, Point]],
    ) -> None:
        self._grid, self._rules, self._keep = grid, rules, keep
        self._kind = candidates.kind[keep]
        self._grain = rules.grain()
        families = Auxiliary(rules).families
        self._families = [families[number] for number, _ in family_points]
        self._bound = self._covers([point for _, point in family_points])
        for row, family in zip(self._bound, self._families, strict=True):
            row &= np.isin(self._kind, list(family.kinds))
        self._free = np.unique(self._covers(points), axis=0)
        self._all = np.vstack([self._free, self._bound])
        self._best = undominated(self._all, self._kind)

    def __len__(self) -> int:
        """How many candidates it chooses among: those that cover no more than another needs to."""
        return len(self._best)

    def run(self, low: int, deadline: float, stopped: Callable[[], bool]) -> Branched:
        """The best layout of at least low (tenths; kept panels count only where they are wired)."""
        programme, nothing = self._programme(low)
        solver = programme.solver({nothing: 1.0})
        finished = run_until(solver, deadline, stopped)
        values = np.array(solver.getSolution().col_value)
        info = solver.getInfo()
        bound = (info.objective_function_value if finished else info.mip_dual_bound) * self._grain
        if len(values) == 0 or values[nothing] > HALF:
            return Branched(bound, np.zeros(0, dtype=np.int64), ())
        chosen = self._best[np.nonzero(values[: len(self._best)] > HALF)[0]]
        members = tuple(self._keep[self._no_less(int(i))] for i in chosen)
        return Branched(bound, self._keep[chosen], members)

    def parting(self, found: Branched) -> list[Point]:
        """Points to ask for, so that neither what was found nor its like is found again with overlaps."""
        chosen, grid = found.chosen, self._grid
        like = np.zeros(len(self._best), dtype=bool)
        keep = self._keep[self._best]
        for i in chosen.tolist():
            near = np.abs(grid.x_mm[keep] - grid.x_mm[i]) <= LIKE_MM
            near &= np.abs(grid.y_mm[keep] - grid.y_mm[i]) <= LIKE_MM
            like |= near & (self._kind[self._best] == self._kind[np.searchsorted(self._keep, i)])
        some = self._best[like]
        points = parting_points(grid, self._keep[some], self._all[:, some], PARTING_POINTS)
        return list(dict.fromkeys(grid.overlaps(chosen) + points))

    def _covers(self, points: list[Point]) -> Bools:
        """Which point lies in which candidate: shape (points, candidates)."""
        grid, keep = self._grid, self._keep
        p, q = np.array(points, dtype=np.int64).reshape(-1, 2).T[:, :, None]
        covers = (p >= grid.left[keep]) & (p < grid.right[keep])
        return np.asarray(covers & (q >= grid.low[keep]) & (q < grid.high[keep]))

    def _no_less(self, place: int) -> Ints:
        same = np.nonzero(self._kind == self._kind[place])[0]
        mine = self._all[:, place]
        return same[self._all[np.ix_(mine, same)].all(axis=0)]

    # the programme

    def _programme(self, low: int) -> tuple[Programme, int]:
        """The programme, and its column for "nothing as good"."""
        rules, kind = self._rules, self._kind[self._best]
        programme = Programme()
        watts = np.array([k.watts for k in rules.kinds], dtype=np.float64) / self._grain
        for k in kind.tolist():
            programme.column(watts[k], 1.0)
        nothing = programme.column(low / self._grain - 1.0, 1.0)
        for row in self._free[:, self._best]:
            programme.row([*np.nonzero(row)[0].tolist(), nothing], 1.0, high=1.0)
        for cap in rules.caps:
            each = np.array(cap.per_kind, dtype=np.float64)[kind]
            on = np.nonzero(each)[0]
            programme.row(on.tolist(), each[on].tolist(), high=float(max(0, cap.limit)))
        of_model = _add_models(programme, rules, kind) if rules.most_models is not None else {}
        of_group = _add_wiring(programme, rules, kind, nothing) if rules.wired else {}
        for family, row in zip(self._families, self._bound[:, self._best], strict=True):
            switches = of_model.get(family.model) or of_group.get(family.group)
            if switches:
                on = np.nonzero(row)[0]
                values = [1.0] * len(on) + [-1.0] * len(switches)
                programme.row([*on.tolist(), *switches], values, high=0.0)
        return programme, nothing


def undominated(covers: Bools, kind: Ints) -> Ints:
    """Of each kind the candidates that cover no more points than another of it; of equal ones the first."""
    best = []
    for k in np.unique(kind):
        own = np.nonzero(kind == k)[0]
        _, first = np.unique(np.packbits(covers[:, own], axis=0), axis=1, return_index=True)
        own = own[np.sort(first)]
        each = covers[:, own].astype(np.float32)
        common = each.T @ each
        within = common >= np.diag(common)[None, :] - HALF  # [i, j]: what j covers, i covers too
        np.fill_diagonal(within, False)
        best.append(own[~within.any(axis=1)])
    return np.sort(np.concatenate(best)) if best else np.zeros(0, dtype=np.int64)


def _add_models(programme: Programme, rules: Rules, kind: Ints) -> dict[int, list[int]]:
    """At most so many models; returns the switch of each model."""
    assert rules.most_models is not None
    model = rules.model_of_kind[kind]
    switches: dict[int, list[int]] = {}
    for number in sorted({k.model for k in rules.kinds} - rules.kept_models):
        switch = programme.column(0.0, 1.0)
        mine = np.nonzero(model == number)[0].tolist()
        programme.row([*mine, switch], [1.0] * len(mine) + [-float(len(mine))], high=0.0)
        switches[number] = [switch]
    left = max(0, rules.most_models - len(rules.kept_models))
    programme.row([s for (s,) in switches.values()], 1.0, high=float(left))
    return switches


def _add_wiring(programme: Programme, rules: Rules, kind: Ints, nothing: int) -> dict[int, list[int]]:
    """Every panel in a string, every tracker with equal strings of one group; returns a group's trackers."""
    ceiling = float(len(kind) + sum(g.kept for g in rules.groups))
    of_class: list[list[int]] = [[] for _ in rules.trackers]
    of_group: dict[int, list[int]] = {number: [] for number in range(len(rules.groups))}
    panels: list[tuple[list[int], list[float]]] = []
    for number, group in enumerate(rules.groups):
        mine = np.nonzero(rules.group_of_kind[kind] == number)[0].tolist()
        panels.append((mine, [1.0] * len(mine)))
        if group.kept:
            kept = programme.column(group.kept_watts / rules.grain(), float(group.kept))
            programme.row([kept, nothing], [1.0, float(group.kept)], high=float(group.kept))
            panels[-1][0].append(kept)
            panels[-1][1].append(1.0)
    for option in rules.options:
        used = programme.column(0.0, min(float(rules.trackers[option.tracker_class]), ceiling))
        strings = programme.column(0.0, ceiling)
        programme.row([strings, used], [1.0, -float(option.most_parallel)], high=0.0)
        programme.row([used, strings], [1.0, -1.0], high=0.0)
        of_class[option.tracker_class].append(used)
        of_group[option.group].append(used)
        panels[option.group][0].append(strings)
        panels[option.group][1].append(-float(option.in_series))
    for used_trackers, limit in zip(of_class, rules.trackers, strict=True):
        if limit < UNLIMITED:
            programme.row(used_trackers, 1.0, high=float(limit))
    for columns, values in panels:
        programme.row(columns, values, low=0.0, high=0.0)
    return of_group
