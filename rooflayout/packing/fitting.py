"""Do these panels fit? Pieces with free coordinates on their sheets, for CP-SAT.

Beside the question itself both projections are said: at every x what lies there is no deeper than the
sheet, at every y no wider.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rooflayout.packing.copies import Copies, Counts, one_worker
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.interrupt import solve_until
from rooflayout.packing.pieces import Pieces

if TYPE_CHECKING:
    from ortools.sat.python import cp_model
else:
    from rooflayout import cpsat as cp_model

Lain = tuple[int, int, int]  # way, x and y in units of its sheet


@dataclass(frozen=True, slots=True)
class Fit:
    """status: OPTIMAL, FEASIBLE, INFEASIBLE or UNKNOWN; effort in deterministic seconds.

    value and bound of what was asked for, 0 where nothing was.
    """

    status: str
    places: tuple[Place, ...]
    value: int
    bound: int
    effort: float

    @property
    def found(self) -> bool:
        return self.status in ("OPTIMAL", "FEASIBLE")


class _Lying:
    """Switches with places on the sheets, none of which overlap."""

    def __init__(self, model: cp_model.CpModel, pieces: Pieces) -> None:
        self.model, self._pieces = model, pieces
        self._all: list[tuple[int, cp_model.IntVar, cp_model.IntVar, cp_model.IntVar]] = []
        self._across: list[list[cp_model.IntervalVar]] = [[] for _ in pieces.sheets]
        self._along: list[list[cp_model.IntervalVar]] = [[] for _ in pieces.sheets]
        self._sides: list[list[tuple[int, int]]] = [[] for _ in pieces.sheets]
        for number, sheet in enumerate(pieces.sheets):
            for x0, y0, x1, y1 in sheet.taken:
                self._across[number].append(model.new_fixed_size_interval_var(x0, x1 - x0, ""))
                self._along[number].append(model.new_fixed_size_interval_var(y0, y1 - y0, ""))
                self._sides[number].append((x1 - x0, y1 - y0))

    def add(self, number: int, on: cp_model.IntVar, *, halved: bool = False) -> tuple[cp_model.IntVar, ...]:
        """A piece that lies in this way if switched on; halved: in the lower left quarter, by its middle."""
        way = self._pieces.ways[number]
        sheet = self._pieces.sheets[way.sheet]
        most_x, most_y = sheet.wide - way.wide, sheet.deep - way.deep
        x = self.model.new_int_var(0, most_x // 2 if halved else most_x, "")
        y = self.model.new_int_var(0, most_y // 2 if halved else most_y, "")
        self._across[way.sheet].append(self.model.new_optional_fixed_size_interval_var(x, way.wide, on, ""))
        self._along[way.sheet].append(self.model.new_optional_fixed_size_interval_var(y, way.deep, on, ""))
        self._sides[way.sheet].append((way.wide, way.deep))
        self._all.append((number, on, x, y))
        return x, y

    def keep_apart(self) -> None:
        for sheet, across, along, sides in zip(
            self._pieces.sheets, self._across, self._along, self._sides, strict=True
        ):
            self.model.add_no_overlap_2d(across, along)
            self.model.add_cumulative(across, [deep for _, deep in sides], sheet.deep)
            self.model.add_cumulative(along, [wide for wide, _ in sides], sheet.wide)

    def places(self, solver: cp_model.CpSolver) -> tuple[Place, ...]:
        """Where they lie, pushed towards the corners of their sheets."""
        found = [(n, solver.value(x), solver.value(y)) for n, on, x, y in self._all if solver.value(on)]
        return tuple(self._pieces.place(*piece) for piece in pushed(self._pieces, found))


def fits(pieces: Pieces, counts: Counts, clock: Clock, effort: float) -> Fit:
    """Whether so many of each sort fit together, in any ways."""
    model = cp_model.CpModel()
    lying = _Lying(model, pieces)
    alone = _for_a_quarter(pieces, counts)
    for number in sorted(range(len(counts)), key=lambda n: -_area(pieces, n)):
        sort = pieces.sorts[number]
        before: cp_model.IntVar | None = None
        for _ in range(counts[number]):
            if len(sort.ways) == 1:
                x, _ = lying.add(sort.ways[0], model.new_constant(1), halved=number == alone)
                if before is not None:
                    model.add(before <= x)
                before = x
                continue
            ways = [model.new_bool_var("") for _ in sort.ways]
            model.add_exactly_one(ways)
            for way, switch in zip(sort.ways, ways, strict=True):
                lying.add(way, switch, halved=number == alone)
    lying.keep_apart()
    return _solved(lying, clock, effort)


def at_once(pieces: Pieces, copies: Copies, low: int, high: int, clock: Clock, effort: float) -> Fit:
    """The copies of most watts and their places in one question; watts from low to high."""
    lying = _Lying(copies.model, pieces)
    for number, own in enumerate(copies.ways):
        for switch in own:
            lying.add(number, switch)
    lying.keep_apart()
    copies.model.add(copies.watts >= low)
    copies.model.add(copies.watts <= high)
    copies.model.maximize(copies.watts)
    return _solved(lying, clock, effort)


def pushed(pieces: Pieces, lying: Sequence[Lain]) -> list[Lain]:
    """Pieces (way, x, y in units) pushed to the left and down until each touches something."""
    found = list(lying)
    moved = True
    while moved:
        moved = False
        for along_x in (True, False):
            found.sort(key=lambda piece: piece[1 if along_x else 2])
            for number, piece in enumerate(found):
                at = _stop(pieces, found, piece, along_x)
                if at < piece[1 if along_x else 2]:
                    way, x, y = piece
                    found[number] = (way, at, y) if along_x else (way, x, at)
                    moved = True
    return found


def _stop(pieces: Pieces, lying: Sequence[Lain], piece: Lain, along_x: bool) -> int:
    """How far a piece can be pushed along an axis."""
    own, sheet = _box(pieces, piece), pieces.ways[piece[0]].sheet
    others = [_box(pieces, p) for p in lying if p != piece and pieces.ways[p[0]].sheet == sheet]
    low, across = (0, 1) if along_x else (1, 0)
    ends = [
        box[low + 2]
        for box in (*others, *pieces.sheets[sheet].taken)
        if box[across] < own[across + 2] and own[across] < box[across + 2] and box[low + 2] <= own[low]
    ]
    return max(ends, default=0)


def _box(pieces: Pieces, piece: Lain) -> tuple[int, int, int, int]:
    way, x, y = piece
    return x, y, x + pieces.ways[way].wide, y + pieces.ways[way].deep


def _solved(lying: _Lying, clock: Clock, effort: float) -> Fit:
    solver = one_worker(effort)
    status, took = solve_until(solver, lying.model, clock.deadline, clock.stopped)
    if status in ("INFEASIBLE", "UNKNOWN"):
        return Fit(status, (), 0, 0, took)
    value, bound = round(solver.objective_value), round(solver.best_objective_bound)
    return Fit(status, lying.places(solver), value, bound, took)


def _for_a_quarter(pieces: Pieces, counts: Counts) -> int | None:
    """A sort of one copy whose middle may be kept to a quarter of a bare sheet: the rest is mirrored."""
    if len(pieces.sheets) > 1 or pieces.sheets[0].taken:
        return None
    single = [n for n, count in enumerate(counts) if count == 1]
    return max(single, key=lambda n: _area(pieces, n), default=None)


def _area(pieces: Pieces, sort: int) -> int:
    way = pieces.ways[pieces.sorts[sort].ways[0]]
    return way.wide * way.deep
