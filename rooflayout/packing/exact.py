"""The rules of rules.py as exact rows over whole numbers: counts of kinds beside trackers and strings."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from rooflayout.packing.grid import Floats
from rooflayout.packing.rules import Rules
from rooflayout.wiring.options import UNLIMITED

ENDLESS = np.inf


@dataclass(frozen=True, slots=True)
class ExactRow:
    """low <= sum over kinds (per_kind times count) + sum over other columns (column, value) <= high."""

    per_kind: Floats
    others: tuple[tuple[int, float], ...]
    low: float
    high: float


@dataclass(slots=True)
class ExactRows:
    """worth (grains of watts) and most of each other column, all whole numbers from 0; and the rows."""

    worth: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[ExactRow] = field(default_factory=list)
    of_model: dict[int, list[int]] = field(default_factory=dict)  # the switch of each model
    of_group: dict[int, list[int]] = field(default_factory=dict)  # the trackers of each group

    def column(self, worth: float, most: float) -> int:
        self.worth.append(worth)
        self.most.append(most)
        return len(self.worth) - 1

    def row(
        self, per_kind: Floats, others: list[tuple[int, float]], high: float, low: float = -ENDLESS
    ) -> None:
        self.rows.append(ExactRow(per_kind, tuple(others), low, high))


def exact_rows(rules: Rules, panels: int) -> ExactRows:
    """Stock, mass, money, models, wiring; panels: no layout has more new ones."""
    found = ExactRows()
    for cap in rules.caps:
        found.row(np.array(cap.per_kind, dtype=np.float64), [], float(max(0, cap.limit)))
    if rules.most_models is not None:
        _add_models(found, rules, panels)
    if rules.wired:
        _add_wiring(found, rules, panels)
    return found


def _add_models(found: ExactRows, rules: Rules, panels: int) -> None:
    assert rules.most_models is not None
    for number in sorted({k.model for k in rules.kinds} - rules.kept_models):
        switch = found.column(0.0, 1.0)
        mine = (rules.model_of_kind == number).astype(np.float64)
        found.row(mine, [(switch, -float(panels))], 0.0)
        found.of_model[number] = [switch]
    left = max(0, rules.most_models - len(rules.kept_models))
    none = np.zeros(len(rules.kinds))
    found.row(none, [(s, 1.0) for (s,) in found.of_model.values()], float(left))


def _add_wiring(found: ExactRows, rules: Rules, panels: int) -> None:
    """Every panel in a string, every tracker with equal strings of one group or exactly a pair's panels."""
    none = np.zeros(len(rules.kinds))
    most = float(panels + sum(g.kept for g in rules.groups))
    of_class: list[list[tuple[int, float]]] = [[] for _ in rules.trackers]
    of_group: list[list[tuple[int, float]]] = [[] for _ in rules.groups]
    for number, group in enumerate(rules.groups):
        found.of_group[number] = []
        if group.kept:
            kept = found.column(group.kept_watts / rules.grain(), float(group.kept))
            of_group[number].append((kept, 1.0))
    for option in rules.options:
        used = found.column(0.0, min(float(rules.trackers[option.tracker_class]), most))
        strings = found.column(0.0, most)
        found.row(none, [(strings, 1.0), (used, -float(option.most_parallel))], 0.0)
        found.row(none, [(used, 1.0), (strings, -1.0)], 0.0)
        of_class[option.tracker_class].append((used, 1.0))
        of_group[option.group].append((strings, -float(option.in_series)))
        found.of_group[option.group].append(used)
    for pair in rules.pairs:
        used = found.column(0.0, min(float(rules.trackers[pair.tracker_class]), most))
        of_class[pair.tracker_class].append((used, 1.0))
        for shared, panels in zip(pair.groups, pair.panels, strict=True):
            of_group[shared].append((used, -float(panels)))
            found.of_group[shared].append(used)
    for trackers, limit in zip(of_class, rules.trackers, strict=True):
        if limit < UNLIMITED:
            found.row(none, trackers, float(limit))
    for number, others in enumerate(of_group):
        found.row((rules.group_of_kind == number).astype(np.float64), others, 0.0, low=0.0)
