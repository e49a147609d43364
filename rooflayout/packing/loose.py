"""Wiring that binds nothing: where every layout that fits can also be wired, the search need not mind it.

Counted crudely, so that a yes is always true: of each group as many panels as the facet's area, its stock and
the kept ones allow, all of them at once, each group on trackers of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from rooflayout.packing.clearance import Field, free_area_mm2
from rooflayout.packing.rules import PairOption, Rules

MOST_PANELS = 1000  # of a group; beyond that nobody need save the seconds


def wires_anything(fields: Sequence[Field], rules: Rules) -> bool:
    """True only if any number of panels of every group can be wired, whatever lies beside them.

    False says nothing. Rules without wiring have nothing to wire: True.
    """
    if not rules.wired:
        return True
    free = list(rules.trackers)
    most = [most_panels(fields, rules, g) for g in range(len(rules.groups))]
    needs = [trackers_needed(rules, g, most[g]) for g in range(len(rules.groups))]
    for need in sorted(needs, key=lambda n: min(n.values(), default=0), reverse=True):
        able = [(trackers, c) for c, trackers in need.items() if trackers <= free[c]]
        if not able:
            return False
        trackers, tracker_class = min(able)
        free[tracker_class] -= trackers
    return True


def most_panels(fields: Sequence[Field], rules: Rules, group: int) -> int:
    """More panels of a group than these there cannot be: by area and stock, and the kept ones."""
    own = rules.groups[group]
    each_mm2 = _least_area_mm2(rules, group)
    new = int(free_area_mm2(fields[own.facet]) / each_mm2 + 1e-6) if each_mm2 else 0
    stock = rules.models[own.model].stock
    return own.kept + (new if stock is None else min(new, stock))


def with_room(fields: Sequence[Field], rules: Rules) -> Rules:
    """The rules without pairs of more unlike panels than the facets, the stock and the kept ones allow.

    Nothing is lost, and there may be ten times fewer pairs.
    """
    if not rules.pairs:
        return rules
    free_mm2 = [free_area_mm2(field) for field in fields]
    most = [most_panels(fields, rules, g) for g in range(len(rules.groups))]
    each = [_least_area_mm2(rules, g) for g in range(len(rules.groups))]

    def fits(pair: PairOption) -> bool:
        if any(n > most[g] for g, n in zip(pair.groups, pair.panels, strict=True)):
            return False
        taken_mm2 = [0.0] * len(fields)
        for g, n in zip(pair.groups, pair.panels, strict=True):
            taken_mm2[rules.groups[g].facet] += max(0, n - rules.groups[g].kept) * each[g]
        return all(taken <= free + 1.0 for taken, free in zip(taken_mm2, free_mm2, strict=True))

    return replace(rules, pairs=tuple(pair for pair in rules.pairs if fits(pair)))


def _least_area_mm2(rules: Rules, group: int) -> float:
    """Of a new panel of the group; 0 where there can be none."""
    sides = [rules.kinds[k].w_mm * rules.kinds[k].h_mm for k in rules.groups[group].kinds]
    return float(min(sides, default=0))


def trackers_needed(rules: Rules, group: int, most: int) -> dict[int, int]:
    """By class, how many of its trackers take any number of the group's panels up to the most.

    Without the classes whose trackers cannot take every number.
    """
    if most > MOST_PANELS:
        return {}
    found = {}
    for tracker_class in range(len(rules.trackers)):
        loads = {
            option.in_series * strings
            for option in rules.options
            if (option.group, option.tracker_class) == (group, tracker_class)
            for strings in range(1, min(option.most_parallel, most) + 1)
            if option.in_series * strings <= most
        }
        needed = _fewest(np.array(sorted(loads), dtype=np.int64), most)
        if np.isfinite(needed):
            found[tracker_class] = int(needed)
    return found


def _fewest(loads: np.ndarray[tuple[int], np.dtype[np.int64]], most: int) -> float:
    """The fewest trackers among which any number of panels up to the most can be divided; else inf."""
    fewest = np.full(most + 1, np.inf)
    fewest[0] = 0.0
    for panels in range(1, most + 1):
        fitting = loads[loads <= panels]
        if len(fitting):
            fewest[panels] = 1.0 + fewest[panels - fitting].min()
    return float(fewest.max())
