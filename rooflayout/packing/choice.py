"""The choice among some candidates as a linear programme that is solved again and again.

Of the candidates of a kind only those are columns that cover no more of the points asked for than they
need to: of many places a few millimetres apart one speaks for all. Points are asked for when a solution
covers them more than once, and then a place that had been spoken for may get a column of its own.
"""

from __future__ import annotations

import copy

import numpy as np

from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.exact import exact_rows
from rooflayout.packing.families import Auxiliary, Family
from rooflayout.packing.grid import Floats, Point, PointGrid, different, heaped
from rooflayout.packing.interior import NO_FAMILY
from rooflayout.packing.programme import Programme
from rooflayout.packing.rules import Rules

WHOLE = 1e-5  # so near to a whole number is whole
HALF, FULL, PAID = 0.5, 1e-6, 1e-7


class Choice:
    """keep: candidate numbers; places are positions in keep. Values are grains of watts."""

    def __init__(
        self,
        grid: PointGrid,
        rules: Rules,
        kind: Ints,
        keep: Ints,
        points: list[Point],
        family_points: list[tuple[int, Point]],
    ) -> None:
        self.grid, self.rules, self.keep, self.kind = grid, rules, keep, kind[keep]
        self._kind_of_all = kind
        self.worth = np.array([k.watts for k in rules.kinds], dtype=np.float64)[self.kind] / rules.grain()
        self.exact = exact_rows(rules, len(keep))
        rows = [row.per_kind for row in self.exact.rows]
        self._per_kind = np.array(rows, dtype=np.float64).reshape(len(rows), len(rules.kinds))
        families = Auxiliary(rules).families
        self._families = [families[n] for n, _ in family_points]
        free = self._covers(points)
        first, _ = different(free)
        free = free[first]
        bare = self._bare(free)
        own = [*(points[i] for i in first.tolist()), *bare]
        self._asked = [*((NO_FAMILY, p) for p in own), *family_points]  # in the order of their rows
        free = np.vstack([free, self._covers(bare)])
        bound = self._covers([p for _, p in family_points])
        for row, family in zip(bound, self._families, strict=True):
            row &= np.isin(self.kind, list(family.kinds))
        self.covers = np.vstack([free, bound])  # (points asked for, places)
        self.others = len(self.exact.worth)  # columns before those of places
        self.columns, self._speaker = undominated(self.covers, self.kind)
        self._start(len(free))

    def _bare(self, covers: Bools) -> list[Point]:
        """Points for places that have none: who speaks for a place must have a point in common with it."""
        grid, left = self.grid, ~covers.any(axis=0)
        found: list[Point] = []
        while left.any():
            i = self.keep[int(left.argmax())]
            found.append((int(grid.right[i]) - 1, int(grid.high[i]) - 1))
            left &= ~self._covers(found[-1:])[0]
        return found

    # the programme

    def _start(self, free: int) -> None:
        """free: how many points are any panel's; those of families follow, which only switches open."""
        self.programme = Programme(self.exact)
        none: list[list[int]] = [[] for _ in range(free)]
        switches = [self._switches(family) for family in self._families]
        limits = np.repeat([1.0, 0.0], [free, len(switches)])
        covers = self.covers[:, self.columns]
        self.programme.add_points(covers, self._family_numbers(), limits, [*none, *switches])
        self._groups = np.zeros((0, len(self.keep)), dtype=bool)
        columns, self.columns = self.columns, np.zeros(0, dtype=np.int64)
        self._add_columns(columns)

    def _switches(self, family: Family) -> list[int]:
        return self.exact.of_model.get(family.model) or self.exact.of_group.get(family.group, [])

    def _family_numbers(self) -> Ints:
        """Of each point asked for."""
        return np.array([family for family, _ in self._asked], dtype=np.int64)

    def _add_columns(self, places: Ints) -> None:
        exact = self._per_kind[:, self.kind[places]]
        covers, groups = self.covers[:, places], self._groups[:, places]
        self.programme.add_places(self.worth[places], exact, covers, groups)
        self.columns = np.concatenate([self.columns, places])

    def add_points(self, points: list[Point]) -> None:
        """Ask for more points; places that no other speaks for any more get columns."""
        if not points:
            return
        new = self._covers(points)
        self._asked += [(NO_FAMILY, p) for p in points]
        self.covers = np.vstack([self.covers, new])
        covers, limits = self.covers[:, self.columns], np.ones(len(new))
        self.programme.add_points(covers, self._family_numbers(), limits, [[] for _ in points])
        lost: Bools = np.asarray((new[:, self._speaker] & ~new).any(axis=0))
        lost[self.columns] = False
        own = [self._respeak(np.nonzero(lost & (self.kind == k))[0]) for k in np.unique(self.kind[lost])]
        if own:
            self._add_columns(np.concatenate(own))

    def _respeak(self, lost: Ints) -> Ints:
        """New speakers for places of one kind; returns those of them that need columns of their own."""
        if len(self._groups):  # one who was ruled out speaks for nobody new
            self._speaker[lost] = lost
            return lost
        same = self.columns[self.kind[self.columns] == self.kind[lost[0]]]
        inside = self.covers[:, lost].astype(np.float32)
        each = self.covers[:, same].astype(np.float32)
        within = each.T @ inside >= each.sum(axis=0)[:, None] - HALF  # [j, i]: i covers all that j does
        spoken = within.any(axis=0)
        self._speaker[lost[spoken]] = same[within[:, spoken].argmax(axis=0)]
        left = lost[~spoken]
        own, speaker = undominated(self.covers[:, left], self.kind[left])
        self._speaker[left] = left[speaker]
        return np.asarray(left[own])

    def group(self, place: int) -> tuple[int, Bools]:
        """A number for all the places that one speaks for, to ask for one of them; and these places."""
        members = self._speaker == place
        self.add_group(members)
        return len(self._groups) - 1, members

    def add_group(self, members: Bools) -> None:
        """Places of which one may be asked for; none of them is spoken for by another."""
        self._groups = np.vstack([self._groups, members])
        self.programme.add_group(members[self.columns])
        foreign = np.nonzero(members & ~members[self._speaker])[0]
        self._speaker[foreign] = foreign
        self._add_columns(foreign)

    def ceilings(self, bound: float) -> Floats:
        """By place, the most that a layout with it can have, by the prices of the last solution."""
        exact, paid, groups = self.programme.duals()
        return np.asarray(bound + self.worth - self._cost(exact, paid) - groups @ self._groups)

    def bound_by(self, exact: Floats, paid: Floats, open_: Bools) -> tuple[float, Floats]:
        """By any prices, none below 0, of exact rows and points: the most of all layouts, and as ceilings.

        open_: the columns in use. Where there are no other columns and no groups.
        """
        lacks = self.worth - self._cost(exact, paid)
        anyones = np.array([f == NO_FAMILY for f, _ in self._asked], dtype=bool)
        bound = sum(row.high * price for row, price in zip(self.exact.rows, exact.tolist(), strict=True))
        bound += float(paid[anyones].sum() + np.maximum(0.0, lacks[self.columns[open_]]).sum())
        return bound, np.asarray(bound + np.minimum(0.0, lacks))

    def _cost(self, exact: Floats, paid: Floats) -> Floats:
        """By place, what its exact rows and its points cost."""
        cost = (self._per_kind.T @ exact)[self.kind]
        anyones = np.array([f == NO_FAMILY for f, _ in self._asked], dtype=bool)
        free, bound_up = np.nonzero(anyones & (paid != 0.0))[0], np.nonzero(~anyones & (paid != 0.0))[0]
        points = np.array([p for _, p in self._asked], dtype=np.int64).reshape(-1, 2)
        cost = cost + self.grid.sums(points[free], paid[free], self.keep)
        return np.asarray(cost + paid[bound_up] @ self.covers[bound_up])

    def size(self) -> int:
        """Of its programme: places with columns times points."""
        return len(self.columns) * len(self.covers)

    def bar(self, barred: Bools) -> None:
        """From now on columns that speak for barred places only may not be used."""
        self.programme.open_places(self.open_columns(barred))

    def open_columns(self, barred: Bools) -> Bools:
        """Which columns speak for a place that is not barred."""
        speaks = np.zeros(len(self.keep), dtype=bool)
        speaks[self._speaker[~barred]] = True
        return speaks[self.columns]

    def binding(self) -> tuple[list[Point], list[tuple[int, Point]]]:
        """The points, and those of families, that have a price in the last solution."""
        _, duals, _ = self.programme.duals()
        paid = [asked for asked, dual in zip(self._asked, duals, strict=True) if abs(dual) > PAID]
        return [p for f, p in paid if f == NO_FAMILY], [(f, p) for f, p in paid if f != NO_FAMILY]

    def below(self, places: Bools, groups: Ints) -> Choice:
        """A choice among these places only, beginning with the points that bind here.

        Of each of these groups one must be used; they are numbered anew.
        """
        keep = self.keep[places]
        choice = Choice(self.grid, self.rules, self._kind_of_all, keep, *self.binding())
        for number in groups.tolist():
            choice.add_group(self._groups[number, places])
        return choice

    def among(self, places: Bools, points: Bools) -> Choice:
        """A choice among these places only, with these of the points asked for."""
        asked = [a for a, use in zip(self._asked, points.tolist(), strict=True) if use]
        free, families = [p for f, p in asked if f == NO_FAMILY], [a for a in asked if a[0] != NO_FAMILY]
        return Choice(self.grid, self.rules, self._kind_of_all, self.keep[places], free, families)

    def copy(self) -> Choice:
        """Another one like it, to go on with by itself."""
        other = copy.copy(self)  # its arrays and lists are replaced, but for these
        other._asked, other._speaker = list(self._asked), self._speaker.copy()
        other.programme = self.programme.copy()
        return other

    # solutions

    def holds(self, values: Floats) -> bool:
        """Whether column values, rounded, keep to the exact rows; all of those are in whole numbers."""
        counts = np.bincount(
            self.kind[self.columns], weights=np.round(values[self.others :]), minlength=len(self.rules.kinds)
        )
        for row in self.exact.rows:
            total = float(row.per_kind @ counts) + sum(v * round(float(values[j])) for j, v in row.others)
            if not row.low - HALF <= total <= row.high + HALF:
                return False
        return True

    def too_full(self, values: Floats, most: int) -> list[Point]:
        """So many points at most that these column values cover more than once, the fullest first."""
        on = values > FULL
        which = self.keep[self.columns[on]]
        if not len(which):
            return []
        xs, ys = np.unique(self.grid.left[which]), np.unique(self.grid.low[which])
        a, b = np.searchsorted(xs, self.grid.left[which]), np.searchsorted(xs, self.grid.right[which])
        c, d = np.searchsorted(ys, self.grid.low[which]), np.searchsorted(ys, self.grid.high[which])
        total = heaped((len(xs), len(ys)), a, b, c, d, values[on])
        i, j = np.nonzero(total > 1.0 + FULL * 10)
        order = np.argsort(-total[i, j], kind="stable")
        found, seen = [], set()
        for n in order[: most * 10].tolist():
            covering = (a <= i[n]) & (b > i[n]) & (c <= j[n]) & (d > j[n])
            key = covering.tobytes()
            if key not in seen:
                seen.add(key)
                found.append((int(xs[i[n]]), int(ys[j[n]])))
            if len(found) >= most:
                break
        return found

    def _covers(self, points: list[Point]) -> Bools:
        return self.grid.covers(np.array(points, dtype=np.int64), self.keep)


def reaches(bound: float | Floats, low: float) -> Bools:
    """Whether a layout with such a bound (grains, which layouts have whole) may have low."""
    return np.asarray(np.floor(np.asarray(bound) + WHOLE) >= low)


def undominated(covers: Bools, kind: Ints) -> tuple[Ints, Ints]:
    """Of each kind the places that cover no more points than they need to; and who speaks for each place."""
    best, speaker = [], np.zeros(len(kind), dtype=np.int64)
    for k in np.unique(kind):
        own = np.nonzero(kind == k)[0]
        first, same = different(covers[:, own].T)
        each = covers[:, own[first]].astype(np.float32)
        within = each.T @ each >= each.sum(axis=0)[None, :] - HALF  # [i, j]: what j covers, i covers too
        np.fill_diagonal(within, False)
        over = within.any(axis=1)
        # follow to one that covers as little as possible: the smallest that lies within
        size = each.sum(axis=0)
        to = np.where(over, np.where(within, size[None, :], np.inf).argmin(axis=1), np.arange(len(first)))
        while np.any(over[to]):
            to = np.where(over[to], to[to], to)
        best.append(own[first[~over]])
        speaker[own] = own[first[to[same]]]
    return (np.sort(np.concatenate(best)) if best else np.zeros(0, dtype=np.int64)), speaker
