"""A bound that is true at any moment, from prices that are not yet right.

Prices are right when no candidate is worth more than the points it takes, and no switch more than it
costs. Where they are not, they are put right here, the cheaper way of two: all prices are scaled until
the worst candidate is covered (Farley 1990), or points that the uncovered candidates share get a price
on top. The sum of right prices bounds the watts of every layout, and a candidate's reduced cost is what
its presence takes from the bound at least.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.families import Auxiliary
from rooflayout.packing.grid import Floats, PointGrid
from rooflayout.packing.interior import NO_FAMILY, Solution
from rooflayout.wiring.options import UNLIMITED

EPSILON = 1e-6
MOST_REPAIRS = 300


@dataclass(frozen=True, slots=True)
class Pricing:
    """What each candidate costs at these prices, and the bound and reduced costs that follow."""

    cost: Floats
    value: float  # of the prices as they are
    bound: float  # of the prices put right; endless where that could not be done
    reduced: Floats


class Pricer:
    """Prices candidates and puts prices right."""

    def __init__(self, grid: PointGrid, kind: Ints, watts: Floats, auxiliary: Auxiliary) -> None:
        self._grid, self._kind, self._watts, self._auxiliary = grid, kind, watts, auxiliary
        self._members: list[Bools] = [np.isin(kind, list(f.kinds)) for f in auxiliary.families]
        self._limits = np.array([row.limit for row in auxiliary.rows])

    def price(self, points: Ints, solution: Solution) -> Pricing:
        """points: rows of (family, index, index), as solved."""
        static = self._payable(solution.static_duals, points, solution.point_duals)
        cost = (self._auxiliary.per_kind.T @ static)[self._kind] if len(static) else np.zeros(len(self._kind))
        for family in np.unique(points[:, 0]).tolist():
            mine = points[:, 0] == family
            who = slice(None) if family == NO_FAMILY else np.nonzero(self._members[family])[0]
            cost[who] += self._grid.sums(points[mine, 1:], solution.point_duals[mine], who)
        value = float(static @ self._limits + solution.point_duals[points[:, 0] == NO_FAMILY].sum())
        return self._put_right(cost, value)

    def _payable(self, static: Floats, points: Ints, duals: Floats) -> Floats:
        """The static rows' prices, raised until no switch earns more than it costs."""
        static = static.copy()
        pure: Bools = np.asarray(~self._auxiliary.per_kind.any(axis=1))
        of_family = [float(duals[points[:, 0] == f].sum()) for f in range(len(self._members))]
        rows = [
            [(i, v) for i, row in enumerate(self._auxiliary.rows) for j, v in row.auxiliary if j == column]
            for column in range(len(self._auxiliary.watts))
        ]
        own = [next(i for i, v in mine if v > 0 and pure[i]) for mine in rows]
        for at, mine in zip(own, rows, strict=True):
            if self._limits[at] >= UNLIMITED:  # costs nothing, so it may earn nothing
                static[[at, *(i for i, v in mine if v < 0)]] = 0.0
        for column, (at, mine) in enumerate(zip(own, rows, strict=True)):
            earns = self._auxiliary.watts[column] - sum(static[i] * v for i, v in mine)
            earns += sum(
                s for s, f in zip(of_family, self._auxiliary.families, strict=True) if column in f.switches
            )
            static[at] += max(0.0, earns)
        return static

    def _put_right(self, cost: Floats, value: float) -> Pricing:
        gain = self._watts - cost
        worst = float(gain.max(initial=0.0))
        if worst <= 0.0:
            return Pricing(cost, value, value + EPSILON, np.minimum(0.0, gain))
        scale = float(np.max(self._watts / cost)) if np.all(cost > EPSILON * self._watts) else np.inf
        most = (scale - 1.0) * value if np.isfinite(scale) else np.inf
        added, extra = self._repairs(gain, min(most, value))
        if added is not None:
            paid = cost + self._grid.sums(*added)
            return Pricing(cost, value, value + extra + EPSILON, np.minimum(0.0, self._watts - paid))
        if not np.isfinite(scale):
            return Pricing(cost, value, np.inf, np.zeros(len(cost)))
        return Pricing(cost, value, scale * value + EPSILON, np.minimum(0.0, self._watts - scale * cost))

    def _repairs(self, gain: Floats, most: float) -> tuple[tuple[Ints, Floats] | None, float]:
        """Points with extra prices (positions, prices) that cover every gain, if they cost less than most."""
        grid = self._grid
        open_ = np.nonzero(gain > 0.0)[0]
        left = gain[open_]
        crowd = grid.cover(open_, left)
        a, b, c, d = (v[open_] for v in (grid.left, grid.right, grid.low, grid.high))
        points: list[tuple[int, int]] = []
        prices: list[float] = []
        total = 0.0
        for _ in range(MOST_REPAIRS):
            i = int(left.argmax()) if len(left) else 0
            if not len(left) or left[i] <= 0.0:
                return (np.array(points, dtype=np.int64).reshape(-1, 2), np.array(prices)), total
            part = crowd[a[i] : b[i], c[i] : d[i]]
            at = int(part.argmax())
            p, q = int(a[i]) + at // part.shape[1], int(c[i]) + at % part.shape[1]
            price = float(left[i])
            total += price
            if total >= most:
                return None, 0.0
            points.append((p, q))
            prices.append(price)
            left = np.where((a <= p) & (p < b) & (c <= q) & (q < d), left - price, left)
        return None, 0.0
