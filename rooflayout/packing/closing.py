"""Layouts from below and proof from above, until they meet.

The prices bound the watts, mostly within a panel's width of the best. So the search asks from the top:
is there a layout between the bound and a little below it? Only candidates whose reduced cost leaves
room for that many watts, and that others among them can hold, need be looked at: a few thousand out of
a hundred thousand. The first window that holds a layout holds the best one, and the empty ones above it
are the proof.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from rooflayout.packing.asked import Asked
from rooflayout.packing.choice import Choice
from rooflayout.packing.clearance import Ints
from rooflayout.packing.diving import FIRST_EFFORT, NEAR, dive_both, most_promising, take
from rooflayout.packing.improve import improve
from rooflayout.packing.incumbent import places_of
from rooflayout.packing.model import PackingModel
from rooflayout.packing.narrow import Narrowed, Points, dearest, narrowed, with_dearest
from rooflayout.packing.tree import Tree

FIRST_GAPS = 12  # gaps to fill anew in the first try to improve it
FIRST_SIZE = 1000  # candidates in the first try for a better layout
NEARER = 0.003  # and when that came to no end
SMALL_WINDOW = 400  # candidates for which CP-SAT is tried first
SMALL_WIRED = 2000  # the same for few groups that must be wired, of which relaxations know little
FEW_GROUPS = 4
MORE_EFFORT = 3  # times as much for that
MIDDLING_WINDOW = 2000  # and for which it is tried when the tree came to no end
NODES = 500  # of the search tree, for each deterministic second of effort
QUICKLY = 100  # nodes, which settle most roofs before anything is done for better layouts
QUICKLY_NEAR = 0.1  # of the bound: where the layout is not so near it is made better first
FIRST_WINDOW = 3000  # candidates in the first window
NEXT_WINDOW = 28_000  # and in the second
WIDER = 1.2  # a window that is too wide anyway may as well hold so much more
LAST = 1.4  # a window that holds so much more leaves none below it
WIDE = 40_000  # candidates from which on windows are made no wider than they need be
WIDEST = 150_000  # candidates: too many to decide a window among
MOST_AT_ONCE = 8000  # candidates in a try for a better layout
MOST_DIVED = 8000  # and in a dive


class Closing:
    """Rounds of a try for a better layout and a try at the proof, each with three times the effort.

    Before the first a quick try at the proof alone.
    """

    def __init__(self, asked: Asked, late: Callable[[], None] = lambda: None) -> None:
        """late: takes a layout that is still being made beside, when the first window has been looked at."""
        self._asked, self._windows, self._late, self._begun = asked, Windows(asked), late, False
        self._size, self._effort, self._gaps = FIRST_SIZE, FIRST_EFFORT, FIRST_GAPS
        self._near = NEAR

    def round(self) -> None:
        asked, inc = self._asked, self._asked.incumbent
        if not self._begun:
            self._begun = True
            self._windows.look()
            self._late()
            if inc.places is not None and inc.near(QUICKLY_NEAR) and not _few_wired(asked):
                self._windows.descend_quickly()
        if not inc.settled():
            self._try()
        if inc.settled():
            self._windows.forget()

    def _try(self) -> None:
        asked, inc = self._asked, self._asked.incumbent
        wide = len(asked.enough(inc.least())) > _small(asked)
        far = not inc.near(NEAR)
        if wide and far:
            self._windows.dive()
            far = not inc.near(NEAR)
        if _wants_promising(asked, wide, far):
            answer_promising(asked, self._size, self._effort)
        if wide:
            improve(asked, self._gaps, self._near)
        self._windows.descend(self._effort)
        self._size, self._effort = min(self._size * 2, MOST_AT_ONCE), self._effort * 3
        self._gaps, self._near = self._gaps * 3, NEARER


def _wants_promising(asked: Asked, wide: bool, far: bool) -> bool:
    """Whether a layout of the most promising is looked for before the windows."""
    if far and not wide:
        return not _few_wired(asked)  # whose small windows are decided as soon
    return asked.incumbent.places is None or (asked.rules.wired and far)  # dives know nothing of wiring


def answer_promising(asked: Asked, size: int, effort: float) -> None:
    """A layout of so many of the most promising, with so many deterministic seconds: alike everywhere."""
    asked.answer(most_promising(asked, size), effort)


class Windows:
    """From the bound down, each window as wide as so many candidates allow, twice as many after each."""

    def __init__(self, asked: Asked) -> None:
        self._asked, self._points, self._most = asked, dearest(asked), FIRST_WINDOW
        self._known: tuple[int, Narrowed] | None = None  # the window from such watts up
        self._to_dive: tuple[int, Choice] | None = None  # likewise, narrowed
        self._tree: tuple[Tree, Points] | None = None  # that came to no end; it comes before any other window
        self._nodes = 0  # of all trees

    def look(self) -> None:
        """Narrow the first window that is not empty, for when it is decided."""
        if not _few_wired(self._asked):
            self._first_that_holds()

    def dive(self) -> None:
        """Better layouts, straight down from the relaxation of the first window that is not empty."""
        if self._to_dive is None or self._to_dive[0] > self._asked.incumbent.bound:
            self._first_that_holds()
        if self._to_dive is not None:
            dive_both(self._asked, _promising(self._asked, self._to_dive[1]))
        self._to_dive = None

    def _first_that_holds(self) -> None:
        """Narrow the first window that is not empty, unless it has too many candidates, for dives too."""
        asked, inc = self._asked, self._asked.incumbent
        while not inc.settled() and not inc.clock.over():
            low, keep = _window(asked, self._most)
            narrow = self._narrowed(low, keep) if len(keep) <= WIDEST else None
            if narrow is None:
                return
            self._points = with_dearest(asked, narrow[1])
            if len(narrow[0].keep):
                self._to_dive = low, narrow[0].copy()
                return
            if not self._by_tree(low, keep, FIRST_EFFORT):  # kept panels may reach it
                return

    def _narrowed(self, low: int, keep: Ints) -> Narrowed | None:
        """As narrowed has it; what is known of this window or a lower one will do."""
        if self._known is None or self._known[0] > low:
            found = narrowed(self._asked, keep, _grains(self._asked, low), self._points)
            self._known = None if found is None else (low, found)
        return None if self._known is None else self._known[1]

    def descend(self, effort: float, widest: int = WIDEST) -> None:
        """Until all is settled, or a window is wider than the widest (candidates) or takes more effort."""
        while self._decided_next(effort, widest):
            pass

    def descend_quickly(self) -> None:
        """The same with QUICKLY nodes for all windows together."""
        end = self._nodes + QUICKLY
        while self._nodes < end and self._decided_next((end - self._nodes) / NODES, WIDEST):
            pass

    def forget(self) -> None:
        """What was kept for later."""
        self._known = self._to_dive = self._tree = None

    def _decided_next(self, effort: float, widest: int) -> bool:
        """Whether a window was decided, and there is another one."""
        inc = self._asked.incumbent
        if inc.settled() or inc.clock.over():
            return False
        low, keep = _window(self._asked, min(self._most, widest), widest)
        if len(keep) > widest or not self._decided(low, keep, effort):
            return False
        self._most = min(max(NEXT_WINDOW, 2 * self._most), WIDE)
        return True

    def _decided(self, low: int, keep: Ints, effort: float) -> bool:
        """Whether it came to the window's best layout or its emptiness.

        By CP-SAT first where it is small, unless it is narrowed already and not of few wired groups.
        """
        asked, more = self._asked, MORE_EFFORT if _few_wired(self._asked) else 1
        narrow = self._known is not None or self._tree is not None
        first = (not narrow or _few_wired(asked)) and len(keep) <= _small(asked)
        if first and _by_constraints(asked, keep, low, effort * more):
            self._tree = None  # it may have been this window's
            return True
        if self._by_tree(low, keep, effort):
            return True
        if first or len(keep) > MIDDLING_WINDOW or not _by_constraints(asked, keep, low, effort):
            return False
        self._tree = None
        return True

    def _by_tree(self, low: int, keep: Ints, effort: float) -> bool:
        """The same by relaxations, which wide windows need; a tree that came to no end is gone on with."""
        asked, inc = self._asked, self._asked.incumbent
        if self._tree is None:
            narrow = self._narrowed(low, keep)
            self._known = None  # the tree goes on from it
            if narrow is None:
                return False
            clock, grains = inc.clock, _grains(asked, low)
            tree = Tree(narrow[0], grains, asked.held, clock.deadline, clock.stopped, clock.workers)
            self._tree = tree, narrow[1]
        tree, points = self._tree
        tree.raise_low(_grains(asked, low))  # which does nothing where the window has grown since
        before = tree.nodes
        found = tree.run(round(effort * NODES))
        self._nodes += tree.nodes - before
        if found.chosen is not None:
            take(asked, found.chosen, kept_to=not asked.rules.wired)
        inc.lower(found.bound * inc.grain + inc.kept)
        if found.finished:
            self._tree = None
            self._points = with_dearest(asked, points)
        return found.finished


def _promising(asked: Asked, choice: Choice) -> Choice:
    """The same, or where its places are many the most promising of them."""
    if len(choice.keep) <= MOST_DIVED:
        return choice
    order = np.argsort(-asked.prices.reduced_cost[choice.keep], kind="stable")
    promising = np.zeros(len(order), dtype=bool)
    promising[order[:MOST_DIVED]] = True
    return choice.among(promising, np.ones(len(choice.covers), dtype=bool))


def _grains(asked: Asked, watts: int) -> float:
    """Of all but the kept panels."""
    return (watts - asked.incumbent.kept) / asked.incumbent.grain


def _few_wired(asked: Asked) -> bool:
    return asked.rules.wired and len(asked.rules.groups) <= FEW_GROUPS


def _small(asked: Asked) -> int:
    """Candidates up to which a window goes to CP-SAT first."""
    return SMALL_WIRED if _few_wired(asked) else SMALL_WINDOW


def _by_constraints(asked: Asked, keep: Ints, low: int, effort: float) -> bool:
    """The window's best layout or its emptiness by CP-SAT; False when the effort was too little."""
    inc = asked.incumbent
    model = PackingModel(asked.candidates, asked.grid, asked.rules, keep, asked.prices)
    model.model.add(model.watts >= low)
    model.model.add(model.watts <= inc.bound)
    answer = model.solve(model.watts, inc.clock.deadline, inc.clock.stopped, most=True, effort=effort)
    if answer.status in ("OPTIMAL", "FEASIBLE"):
        inc.better(answer.value, places_of(asked.candidates, answer.chosen))
        inc.lower(max(answer.bound, answer.value))
    elif answer.status == "INFEASIBLE":
        inc.lower(low - inc.grain)
    return answer.status in ("OPTIMAL", "INFEASIBLE")


def _window(asked: Asked, most: int, widest: int = WIDEST) -> tuple[int, Ints]:
    """The lowest watts with at most so many candidates, or WIDER times as many as for the bound itself.

    With these candidates; down to all that is left where those are LAST times as many at most.
    """
    inc = asked.incumbent
    rest = asked.enough(inc.least())
    if len(rest) <= min(LAST * most, widest):
        return inc.least(), rest
    easy, hard = 0, (inc.bound - inc.least()) // inc.grain + 1  # steps below the bound
    keep = asked.enough(inc.bound)
    most = max(most, int(len(keep) * WIDER))
    while hard - easy > 1:
        middle = (easy + hard) // 2
        some = asked.enough(inc.bound - middle * inc.grain)
        if len(some) <= most:
            easy, keep = middle, some
        else:
            hard = middle
    return inc.bound - easy * inc.grain, keep
