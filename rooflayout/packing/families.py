"""The rules of rules.py as rows of the linear programme, with the columns that stand beside the panels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from rooflayout.packing.rules import PairOption, Rules
from rooflayout.wiring.options import UNLIMITED


@dataclass(frozen=True, slots=True)
class Family:
    """Kinds that may be on the roof only as far as the switches (auxiliary columns) are on."""

    kinds: frozenset[int]
    switches: tuple[int, ...]
    model: int = -1  # whose family it is: one model's,
    group: int = -1  # or one group's


@dataclass(frozen=True, slots=True)
class StaticRow:
    """sum over kinds (per_kind times count) + sum over auxiliary columns <= limit."""

    per_kind: tuple[float, ...]
    auxiliary: tuple[tuple[int, float], ...]
    limit: float


class Auxiliary:
    """Auxiliary columns (all at least 0), static rows, and families of one set of rules."""

    def __init__(self, rules: Rules) -> None:
        self._rules = rules
        self.watts: list[float] = []  # objective of each auxiliary column
        self.rows: list[StaticRow] = []
        self.families: list[Family] = []
        for cap in rules.caps:
            self._row([float(v) for v in cap.per_kind], [], float(max(0, cap.limit)))
        if rules.most_models is not None:
            self._models()
        if rules.wired:
            self._wiring()
        count = len(rules.kinds)
        self.per_kind: NDArray[np.float64] = np.array(
            [r.per_kind for r in self.rows], dtype=np.float64
        ).reshape(len(self.rows), count)

    def column(self, kind: int) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """The static rows in which a candidate of this kind stands, and with what."""
        values = self.per_kind[:, kind]
        rows = np.nonzero(values)[0]
        return rows, values[rows]

    def _models(self) -> None:
        """At most so many models: each new one needs a switch, and the switches are few."""
        rules = self._rules
        assert rules.most_models is not None
        switches = []
        for model in sorted({k.model for k in rules.kinds} - rules.kept_models):
            switch = self._column(0.0)
            switches.append((switch, 1.0))
            kinds = frozenset(i for i, k in enumerate(rules.kinds) if k.model == model)
            self.families.append(Family(kinds, (switch,), model=model))
        left = max(0, rules.most_models - len(rules.kept_models))
        self._row([0.0] * len(rules.kinds), switches, float(left))

    def _wiring(self) -> None:
        """A group's panels fit the strings of its trackers; trackers are few; each serves one or two."""
        rules = self._rules
        trackers = {c: [] for c in range(len(rules.trackers))}  # type: dict[int, list[tuple[int, float]]]
        of_group: list[list[tuple[int, float]]] = [[] for _ in rules.groups]
        endless = [False] * len(rules.groups)
        for option in rules.options:
            column = self._column(0.0)
            trackers[option.tracker_class].append((column, 1.0))
            of_group[option.group].append((column, -float(option.in_series * option.most_parallel)))
            endless[option.group] |= rules.trackers[option.tracker_class] >= UNLIMITED
        for pair in most_of(rules.pairs):
            column = self._column(0.0)
            trackers[pair.tracker_class].append((column, 1.0))
            for shared, panels in zip(pair.groups, pair.panels, strict=True):
                of_group[shared].append((column, -float(panels)))
                endless[shared] |= rules.trackers[pair.tracker_class] >= UNLIMITED
        for tracker_class, columns in trackers.items():
            self._row([0.0] * len(rules.kinds), columns, float(rules.trackers[tracker_class]))
        for number, group in enumerate(rules.groups):
            mine = [1.0 if i in group.kinds else 0.0 for i in range(len(rules.kinds))]
            columns = list(of_group[number])
            if group.kept:
                kept = self._column(float(group.kept_watts))
                columns.append((kept, 1.0))
                self._row([0.0] * len(rules.kinds), [(kept, 1.0)], float(group.kept))
            self._row(mine, columns, 0.0)
            if not endless[number] and group.kinds:
                switches = tuple(c for c, _ in of_group[number])
                self.families.append(Family(frozenset(group.kinds), switches, group=number))

    def _column(self, watts: float) -> int:
        self.watts.append(watts)
        return len(self.watts) - 1

    def _row(self, per_kind: list[float], auxiliary: list[tuple[int, float]], limit: float) -> None:
        self.rows.append(StaticRow(tuple(per_kind), tuple(auxiliary), limit))


@lru_cache(maxsize=64)
def most_of(pairs: tuple[PairOption, ...]) -> tuple[PairOption, ...]:
    """Those that carry most: no other of the same groups and class has as many panels of each, or more."""
    found: list[PairOption] = []
    of_tracker: dict[tuple[tuple[int, int], int], list[PairOption]] = {}
    for pair in pairs:
        of_tracker.setdefault((pair.groups, pair.tracker_class), []).append(pair)
    for own in of_tracker.values():
        most = -1
        for pair in sorted(own, key=lambda p: p.panels, reverse=True):
            if pair.panels[1] > most:
                most = pair.panels[1]
                found.append(pair)
    return tuple(found)
