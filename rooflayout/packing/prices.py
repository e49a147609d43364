"""What each point of the roof is worth: the linear relaxation over all candidates, and its bound.

maximise watts, subject to: every point is covered at most once; every rule of rules.py. Both sides
are too long to write out (hundreds of thousands of candidates, as many points), so they grow on
demand: a point becomes a row when the solution covers it more than once, a candidate becomes a
column when it is worth more than the points it would take. Both tests are one prefix sum over the
point grid, and both are asked of the same solution, which need not be exact before the end. sound.py
makes a true bound of its prices at any moment, and with it each candidate's reduced cost: no layout
with that candidate has more than bound + reduced cost.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.closure import Candidates
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Floats, Point, PointGrid
from rooflayout.packing.interior import NO_FAMILY, Relaxation, Solution
from rooflayout.packing.rules import Rules
from rooflayout.packing.sound import Pricer, Pricing

LOOSE, TIGHT = 1e-3, 1e-7  # relative gaps to which the programme is solved, at first and at the end
TIGHTER = 0.1  # from one to the next
FEW_COLUMNS, FEW_ROWS = 60, 30  # so few new ones in a round: time for more exact prices
NEW_COLUMNS, NEW_ROWS = 1500, 400  # the most to add in one round
ALL_COLUMNS = 600  # so few are added without choosing, with the nearest to be worth their points
NEARLY = 0.003  # of its watts: what lacks no more is nearly worth its points
COLUMN_CELL_MM, ROW_CELL_MM = 70, 60  # of one kind, or of one family, only the best in each such cell
TOO_FULL = 1e-4  # a point covered by so much more than once is too full
CLOSE = 0.1  # of the grain: closer need no bound come to the relaxation
IDLE_PRICE, IDLE_SLACK = 2e-4, 0.05  # a point is let go with less of the highest price, and more to spare
IDLE_COLUMN = -0.15  # a candidate is let go when it loses so much of its watts, and is not used
MERGED = (1200, 0.006, -0.05)  # the same three where those that cover the same cost no more than one
IN_LINE = 0.9  # a point on a line that has others is taken if so crowded beside the most crowded
STALE_ROUNDS = 3
FEW = 300  # candidates, of which all are tried: so few solutions may stand still and go on
LET_GO_ROUNDS = 30  # after so many nothing is let go any more


@dataclass(frozen=True, slots=True)
class Prices:
    """A bound on the watts (tenths), and what a candidate's presence would take from it (never above 0)."""

    bound: float
    reduced_cost: Floats  # the tightest of all rounds: for one candidate at a time
    cost: Floats  # by candidate, of the points it takes; all at the prices of one round, that of the bound
    columns: Ints  # candidates that mattered
    rows: tuple[Point, ...]  # points that mattered
    family_rows: tuple[tuple[int, Point], ...]
    row_prices: Floats  # of the rows, as far as known
    converged: bool

    def points_mm(self, grid: PointGrid) -> list[tuple[int, int, int]]:
        """The points that mattered, as lay_out takes them."""
        asked = [*((NO_FAMILY, p) for p in self.rows), *self.family_rows]
        return [(family, *grid.point_mm(point)) for family, point in asked]

    def at(self, grid: PointGrid, other: PointGrid) -> Prices:
        """Only the points that mattered, on another grid; nothing is known of its candidates."""
        asked = [*((NO_FAMILY, *p) for p in self.rows), *((f, *p) for f, p in self.family_rows)]
        family, *point = np.array(asked, dtype=np.int64).reshape(-1, 3).T
        p, q = grid.same_in(other, *point)
        known = (p >= 0) & (q >= 0)
        moved = dict.fromkeys(zip(*(v[known].tolist() for v in (family, p, q)), strict=True))
        free = tuple((p, q) for f, p, q in moved if f == NO_FAMILY)
        return Prices(
            np.inf,
            np.zeros(len(other)),
            np.zeros(len(other)),
            np.zeros(0, dtype=np.int64),
            free,
            tuple((f, (p, q)) for f, p, q in moved if f != NO_FAMILY),
            np.zeros(len(free)),
            converged=False,
        )


Watch = Callable[[float, float, Callable[[], Prices]], bool]
"""Told after each solution: bound, value of the relaxation, and what gives the prices; True ends it."""


def no_prices(candidates: int) -> Prices:
    """Where nothing is known of so many candidates."""
    nobody = np.zeros(0, dtype=np.int64)
    nothing = np.zeros(candidates)
    return Prices(np.inf, nothing, nothing, nobody, (), (), np.zeros(0), converged=False)


class PriceSearch:
    """Grows the linear programme until it is the relaxation over all candidates, or until time is up."""

    def __init__(
        self, candidates: Candidates, grid: PointGrid, rules: Rules, watts: Floats | None = None
    ) -> None:
        """watts (tenths): of each candidate, where they are not those of its kind."""
        self._grid, self._rules, self._kind = grid, rules, candidates.kind
        of_kind = np.array([k.watts for k in rules.kinds], dtype=np.float64)
        self._watts = of_kind[candidates.kind] if watts is None else watts
        self._auxiliary = Auxiliary(rules)
        self._relaxation = Relaxation(grid, self._kind, self._watts, self._auxiliary)
        plain = ALL_COLUMNS, NEARLY, IDLE_COLUMN
        self._all, self._nearly, self._idle = MERGED if self._relaxation.merges else plain
        self._pricer = Pricer(grid, self._kind, self._watts, self._auxiliary)
        self._crowd = grid.cover(np.arange(len(candidates), dtype=np.int64), np.ones(len(candidates)))
        x, y = candidates.x_mm // COLUMN_CELL_MM, candidates.y_mm // COLUMN_CELL_MM
        self._cell = (candidates.kind << 42) + (x << 21) + y
        self._columns = np.zeros(0, dtype=np.int64)
        self._points = np.zeros((0, 3), dtype=np.int64)  # family or NO_FAMILY, and indices on the grid
        self._in_line = np.zeros(grid.shape[1], dtype=bool)  # lines along x that have points
        self._gone: set[tuple[int, ...]] = set()  # points once let go
        self._left = np.zeros(len(candidates), dtype=bool)  # candidates once let go

    def lay_out(self, points_mm: list[tuple[int, int, int]]) -> None:
        """Begin with points found elsewhere: (family, x, y), x with the grid's offset of facets."""
        self._add_points([(family, *point) for family, point in self._grid.points_at(points_mm)])

    def run(
        self,
        start: Ints,
        deadline: float,
        stopped: Callable[[], bool],
        enough: float = 0.0,
        watch: Watch | None = None,
    ) -> Prices:
        """Prices for these rules; start are the first columns, enough a share of the bound to be unsure of.

        deadline as time.monotonic().
        """
        # true before any price is known: all candidates at once, and all kept panels
        best = float(self._watts.sum()) + self._rules.kept_watts()
        ceiling, converged, cost = np.full(len(self._kind), best), False, self._watts
        if not len(self._kind) and not self._auxiliary.watts:
            return Prices(best, ceiling, cost, self._columns, (), (), np.zeros(0), converged=True)
        self._add_columns(start)
        tolerance, values = LOOSE, [np.inf]
        paid: dict[tuple[int, ...], float] = {}
        while not converged:
            solution = self._relaxation.solve(
                self._columns, self._points, tolerance, deadline - time.monotonic()
            )
            if solution is None:
                break
            pricing = self._pricer.price(self._points, solution)
            paid = dict(zip(map(tuple, self._points.tolist()), solution.point_duals.tolist(), strict=True))
            ceiling = np.minimum(ceiling, pricing.bound + pricing.reduced)
            if pricing.bound < best:
                best, cost = pricing.bound, self._watts - pricing.reduced
            new, rows = self._unpriced(pricing), self._too_full_points(solution)
            values.append(pricing.value)
            little = max(CLOSE * self._rules.grain(), enough * best)
            near, stale = best - pricing.value <= little, max(values[-STALE_ROUNDS:]) - pricing.value < little
            stale &= len(self._kind) > FEW or not (len(new) or len(rows))
            converged = (near and stale) or not (len(new) or len(rows) or tolerance > TIGHT)
            known = partial(self._known, best, ceiling, cost, paid)
            if watch is not None and watch(best, pricing.value, known):
                converged = True
            if time.monotonic() > deadline or stopped():
                break
            if len(new) < FEW_COLUMNS and len(rows) < FEW_ROWS:
                tolerance = max(TIGHT, tolerance * TIGHTER)
            if len(values) < LET_GO_ROUNDS:
                self._let_go(solution, pricing)
            self._add_points(rows)
            self._add_columns(new)
        return self._known(best, ceiling, cost, paid, converged)

    def _known(
        self,
        best: float,
        ceiling: Floats,
        cost: Floats,
        paid: dict[tuple[int, ...], float],
        converged: bool = False,
    ) -> Prices:
        """ceiling: by candidate, the most that a layout with it can have. paid: the prices of points."""
        own = self._points[:, 0] == NO_FAMILY
        points = tuple((int(p), int(q)) for _, p, q in self._points[own])
        families = tuple((int(f), (int(p), int(q))) for f, p, q in self._points[~own])
        prices = np.array([paid.get((NO_FAMILY, *point), 0.0) for point in points])
        reduced = np.minimum(0.0, ceiling - best)
        return Prices(best, reduced, cost, self._columns, points, families, prices, converged)

    # columns

    def _unpriced(self, pricing: Pricing) -> Ints:
        """Candidates worth more than they cost, in each cell the best one of a kind.

        Where they are few, some that are nearly worth it with them: the next prices would ask for them.
        """
        gain = self._watts - pricing.cost
        gain[self._columns] = -np.inf
        worth: Bools = gain > CLOSE * CLOSE * self._rules.grain()
        if worth.sum() <= self._all:
            new = np.nonzero(gain > -self._nearly * self._watts if worth.any() else worth)[0]
            return new[np.argsort(-gain[new], kind="stable")][: self._all]
        new = np.nonzero(worth)[0]
        order = new[np.argsort(-gain[new], kind="stable")]
        _, first = np.unique(self._cell[order], return_index=True)
        return order[np.sort(first)][:NEW_COLUMNS]

    def _add_columns(self, which: Ints) -> None:
        """Each with a point that it covers, for what covers none has no price."""
        self._columns = np.union1d(self._columns, which)
        points = self._points[self._points[:, 0] == NO_FAMILY, 1:]
        covered = self._grid.sums(points, np.ones(len(points)), which)
        bare = which[covered < 0.5].tolist()
        self._add_points([(NO_FAMILY, *self._busiest(np.array([i]))) for i in bare])

    # points

    def _too_full_points(self, solution: Solution) -> list[tuple[int, int, int]]:
        found: list[tuple[int, int, int]] = []
        on = solution.values > TOO_FULL * 1e-3
        for family in range(NO_FAMILY, len(self._auxiliary.families)):
            limit, mine = 1.0, on
            if family != NO_FAMILY:
                limit = float(solution.switches[list(self._auxiliary.families[family].switches)].sum())
                mine = on & self._relaxation.members(family)[self._kind[self._columns]]
            if mine.any() and (limit < 1.0 or family == NO_FAMILY):
                found += self._too_full(family, self._columns[mine], solution.values[mine], limit)
        known = set(map(tuple, self._points.tolist()))
        return [row for row in dict.fromkeys(found) if row not in known]

    def _too_full(self, family: int, which: Ints, values: Floats, limit: float) -> list[tuple[int, int, int]]:
        """Points covered beyond the limit: the fullest in each cell."""
        cover = self._grid.cover(which, values)
        xs, ys = np.unique(self._grid.left[which]), np.unique(self._grid.low[which])
        local = cover[np.ix_(xs, ys)]
        i, j = np.nonzero(local > limit + TOO_FULL)
        order = np.argsort(-local[i, j], kind="stable")
        i, j = i[order], j[order]
        cell = (self._grid.xs_mm[xs[i]] // ROW_CELL_MM << 21) + self._grid.ys_mm[ys[j]] // ROW_CELL_MM
        _, first = np.unique(cell, return_index=True)
        found = []
        for n in np.sort(first)[:NEW_ROWS].tolist():
            covering = self._grid.at((int(xs[i[n]]), int(ys[j[n]])), which)
            found.append((family, *self._busiest(covering)))
        return found

    def _busiest(self, covering: Ints) -> Point:
        """Of the points that all these candidates share, the one that most candidates cover."""
        grid = self._grid
        a, b = int(grid.left[covering].max()), int(grid.right[covering].min())
        c, d = int(grid.low[covering].max()), int(grid.high[covering].min())
        part = self._crowd[a:b, c:d]
        at = int(part.argmax())
        best = part.flat[at]
        if self._in_line[c:d].any():  # points on one line make short rows (interior.py)
            lined = np.where(self._in_line[c:d], part, 0.0)
            i = int(lined.argmax())
            if lined.flat[i] >= IN_LINE * best:
                at = i
        return a + at // part.shape[1], c + at % part.shape[1]

    def _add_points(self, rows: list[tuple[int, int, int]]) -> None:
        if rows:
            new = np.array(rows, dtype=np.int64)
            self._points = np.unique(np.concatenate([self._points, new]), axis=0)
            self._in_line[new[:, 2]] = True

    # both

    def _let_go(self, solution: Solution, pricing: Pricing) -> None:
        """Take out what does not bind and what is not worth its points; what matters later comes back."""
        most = max(1.0, float(solution.point_duals.max(initial=0.0)))
        idle: Bools = (solution.point_duals < IDLE_PRICE * most) & (solution.slack > IDLE_SLACK)
        went = set(map(tuple, self._points[idle].tolist()))
        back = went & self._gone  # once only, or the same points would come and go for ever
        self._gone |= went
        idle &= np.array([tuple(row) not in back for row in self._points.tolist()], dtype=bool)
        self._points = self._points[~idle]
        gain = (self._watts - pricing.cost)[self._columns]
        used = (gain > self._idle * self._watts[self._columns]) | (solution.values > TOO_FULL)
        used |= self._left[self._columns]
        self._left[self._columns[~used]] = True
        self._columns = self._columns[used]
