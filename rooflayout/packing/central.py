"""A small linear programme solved by interior point, from nothing or from near its solution.

Unlike the simplex method's corners, these solutions lie in the middle of all the best, and so do their
prices: fewer nodes of a search tree, and more places ruled out at each. With a few hundred rows a full
factorisation takes milliseconds, and a programme that has lost columns is solved again in some eight of
them, beginning with what was known before it was solved to the end (Mehrotra 1992, "On the implementation
of a primal-dual interior point method", with the further corrections of Gondzio 1996, "Multiple centrality
corrections in a primal-dual method for linear programming").
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from rooflayout.packing.cholesky import Factor, Matrix
from rooflayout.packing.clearance import Bools, Ints
from rooflayout.packing.grid import Floats

MOST_STEPS = 60
CORRECTIONS = 4  # at most, for each factorisation
FURTHER = 0.3  # of a step that a correction is made for
WORTH_IT = 0.03  # of a step that a correction must gain
LONG = 0.95  # a step that needs no correction
NEAR_THE_WALL = 0.99  # how far to the nearest wall
FIRM = 1e-12  # of the diagonal, added to it
LITTLE = 1e-6  # room that is left in what had none


@dataclass(frozen=True, slots=True)
class State:
    """values: by column; prices: by row, what a unit of its limit is worth; costs: by column, above worth."""

    values: Floats
    prices: Floats
    costs: Floats

    def gap(self) -> float:
        """What the value lacks to the bound once both are right."""
        return float(self.values @ self.costs)


class Equations:
    """The most worth of values, none below 0, of which each row's sum is its limit. Entries in any order."""

    def __init__(self, row: Ints, column: Ints, entry: Floats, worth: Floats, limit: Floats) -> None:
        self.worth, self.limit = worth, limit
        order = np.lexsort((row, column))
        row, column, entry = row[order], column[order], entry[order]
        self._by_column = _Sums(column, row, entry, len(worth))
        order = np.lexsort((column, row))
        self._by_row = _Sums(row[order], column[order], entry[order], len(limit))
        self._squares = _Squares(row, column, entry, len(limit))

    def only(self, open_: Bools) -> Equations:
        """Of these columns (by column)."""
        found = object.__new__(Equations)
        number = np.cumsum(open_) - 1
        found.worth, found.limit = self.worth[open_], self.limit
        keep = open_[self._by_column.line]
        by_column, by_row = self._by_column, self._by_row
        found._by_column = _Sums(
            number[by_column.line[keep]], by_column.across[keep], by_column.entry[keep], len(found.worth)
        )
        keep = open_[by_row.across]
        found._by_row = _Sums(
            by_row.line[keep], number[by_row.across[keep]], by_row.entry[keep], len(found.limit)
        )
        found._squares = self._squares.only(open_, number)
        return found

    def size(self) -> float:
        """What a step takes, in the same unit as the simplex method's steps times columns."""
        rows = len(self.limit)
        return 5e-4 * rows**3 + 0.2 * len(self._squares) + 30_000.0

    def of_rows(self, values: Floats) -> Floats:
        """By row, the sum of the values of columns."""
        return self._by_row.sums(values)

    def of_columns(self, prices: Floats) -> Floats:
        """By column, what its rows' prices come to."""
        return self._by_column.sums(prices)

    def follow(self, state: State | None, stop: Callable[[State, float], bool]) -> State | None:
        """Steps until stop(state, lacks) says so, from a state of these columns or from nothing.

        lacks: by how much rows differ from their limits at most. None where it comes to no end.
        """
        try:
            state = self._from_nothing() if state is None else state
            for _ in range(MOST_STEPS):
                if not np.isfinite(state.gap()) or not np.isfinite(state.prices).all():
                    return None
                lacks = self.limit - self.of_rows(state.values)
                if stop(state, float(np.abs(lacks).max(initial=0.0))):
                    return state
                state = self._stepped(state, lacks)
        except np.linalg.LinAlgError:
            pass
        return None

    def _factor(self, scale: Floats) -> Factor:
        matrix = self._squares.sum(scale)
        diagonal = matrix.diagonal()
        matrix.flat[:: len(matrix) + 1] += FIRM * (diagonal + diagonal.max(initial=0.0) / 10)
        return Factor(matrix)

    def _from_nothing(self) -> State:
        """Mehrotra's beginning."""
        factor = self._factor(np.ones(len(self.worth)))
        values = self.of_columns(factor.solve(self.limit))
        prices = factor.solve(self.of_rows(self.worth))
        costs = self.of_columns(prices) - self.worth
        values += max(-1.5 * values.min(initial=0.0), 0.0)
        costs += max(-1.5 * costs.min(initial=0.0), 0.0)
        both = values @ costs / 2
        values += both / costs.sum()
        return State(values, prices, costs + both / values.sum())

    def _stepped(self, state: State, lacks: Floats) -> State:
        factor = self._factor(state.values / state.costs)
        off = self.of_columns(state.prices) - self.worth - state.costs
        nothing_lacks, nothing_off = np.zeros_like(lacks), np.zeros_like(off)
        now = state.values * state.costs
        first = self._change(factor, state, lacks, off, -now)
        long = _lengths(state, first)
        after = (state.values + long[0] * first.values) @ (state.costs + long[1] * first.costs)
        aim = after * (after / now.sum()) ** 2 / len(now)
        change = self._change(factor, state, lacks, off, aim - now - first.values * first.costs)
        long = _lengths(state, change)
        for _ in range(CORRECTIONS):
            if min(long) > LONG:
                break
            amiss = _amiss(state, change, long, aim)
            more = _plus(change, self._change(factor, state, nothing_lacks, nothing_off, amiss))
            longer = _lengths(state, more)
            if min(longer) < min(long) or max(b - a for a, b in zip(long, longer, strict=True)) < WORTH_IT:
                break
            change, long = more, longer
        values, costs = (min(1.0, NEAR_THE_WALL * length) for length in long)
        return State(
            state.values + values * change.values,
            state.prices + costs * change.prices,
            state.costs + costs * change.costs,
        )

    def _change(self, factor: Factor, state: State, lacks: Floats, off: Floats, products: Floats) -> State:
        """Newton's: rows gain what they lack, costs are put right, values times costs change by products."""
        scale, of_values = state.values / state.costs, products / state.costs
        prices = -factor.solve(lacks - self.of_rows(of_values - scale * off))
        costs = off + self.of_columns(prices)
        return State(of_values - scale * costs, prices, costs)


def _plus(one: State, other: State) -> State:
    return State(one.values + other.values, one.prices + other.prices, one.costs + other.costs)


def _lengths(state: State, change: State) -> tuple[float, float]:
    """How far the values and the costs can go, 1 at most."""
    return _length(state.values, change.values), _length(state.costs, change.costs)


def _length(now: Floats, change: Floats) -> float:
    down = change < 0
    with np.errstate(over="ignore"):  # what hardly changes is far from any wall
        return min(1.0, float((now[down] / -change[down]).min(initial=1.0)))


def _amiss(state: State, change: State, long: tuple[float, float], aim: float) -> Floats:
    """By how much products would be too small or too large (tenfold) after a longer step."""
    far = [min(1.0, length + FURTHER) for length in long]
    then = (state.values + far[0] * change.values) * (state.costs + far[1] * change.costs)
    return np.maximum(np.clip(then, aim / 10, aim * 10) - then, -aim * 10)


class _Sums:
    """Sums along lines of a matrix: entries in the order of their lines."""

    def __init__(self, line: Ints, across: Ints, entry: Floats, count: int) -> None:
        self.line, self.across, self.entry = line, across, entry
        counts = np.bincount(line, minlength=count)
        self._some = np.nonzero(counts)[0]
        self._starts = (np.cumsum(counts) - counts)[self._some]
        self._count = count

    def sums(self, factors: Floats) -> Floats:
        found = np.zeros(self._count)
        if len(self._some):
            found[self._some] = np.add.reduceat(self.entry * np.take(factors, self.across), self._starts)
        return found


class _Squares:
    """The products of every two entries of a column, which make up matrix times scale times matrix'."""

    def __init__(self, row: Ints, column: Ints, entry: Floats, rows: int) -> None:
        """Entries in the order of columns, then rows."""
        counts = np.bincount(column)
        starts = np.cumsum(counts) - counts
        places, columns, products = [], [], []
        for count in np.unique(counts[counts > 0]).tolist():
            own = np.nonzero(counts == count)[0]
            at = starts[own][:, None] + np.arange(count)
            low, left = np.tril_indices(count)
            places.append((row[at[:, low]] * rows + row[at[:, left]]).ravel())
            products.append((entry[at[:, low]] * entry[at[:, left]]).ravel())
            columns.append(np.repeat(own, len(low)))
        place = np.concatenate(places)
        order = np.argsort(place, kind="stable")
        self._set(place[order], np.concatenate(columns)[order], np.concatenate(products)[order], rows)

    def _set(self, place: Ints, column: Ints, product: Floats, rows: int) -> None:
        self._place, self._column, self._product, self._rows = place, column, product, rows
        self._starts = np.nonzero(np.diff(place, prepend=-1))[0]

    def __len__(self) -> int:
        return len(self._place)

    def only(self, open_: Bools, number: Ints) -> _Squares:
        """Of these columns; number: of each of them from now on."""
        keep = open_[self._column]
        found = object.__new__(_Squares)
        found._set(self._place[keep], number[self._column[keep]], self._product[keep], self._rows)
        return found

    def sum(self, scale: Floats) -> Matrix:
        """Its lower triangle, with each column's products times its scale."""
        found = np.zeros(self._rows * self._rows)
        found[self._place[self._starts]] = np.add.reduceat(
            self._product * np.take(scale, self._column), self._starts
        )
        return found.reshape(self._rows, self._rows)
