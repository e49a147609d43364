"""Teams of groups that may share a roof, and the rules for one of them alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, islice

import numpy as np

from rooflayout.packing.rules import Group, GroupOption, PairOption, Rules
from rooflayout.wiring.options import UNLIMITED

LARGEST_TEAM = 2  # trackers or models; beyond that there are too many teams, and the relaxation is better

MOST_TEAMS = 165  # of models: of eleven any three; with 210 (ten, any four) all at once has as good bounds

Team = tuple[int, ...]  # numbers of groups


def teams_of(rules: Rules) -> list[Team] | None:
    """All teams that may share the roof, or None when the whole is better searched at once."""
    able = _able(rules)
    if _few_trackers(rules):
        return _sharing(able, sorted({p.groups for p in rules.pairs}), sum(rules.trackers))
    models = sorted({rules.groups[g].model for g in able} - rules.kept_models)
    if rules.most_models is None:
        return None
    more = max(0, rules.most_models - len(rules.kept_models))
    if more <= LARGEST_TEAM and len(models) > more:
        return _of_models(rules, list(combinations(models, more)))
    return None


def most_wired_models(rules: Rules) -> int:
    """As many models as the trackers can take: each takes one, or two where unlike models may share one."""
    unlike = any(len({rules.groups[g].model for g in pair.groups}) > 1 for pair in rules.pairs)
    return min(UNLIMITED, sum(rules.trackers) * (2 if unlike else 1))


def teams_by_models(rules: Rules) -> list[Team] | None:
    """All groups of as many models as the trackers can take, for every choice of models; None where no need.

    Kept models are in every team. None too where there are more teams than can be looked at.
    """
    models = sorted({rules.groups[g].model for g in _able(rules)} - rules.kept_models)
    if not rules.wired or most_wired_models(rules) >= len(models):
        return None
    chosen = list(islice(combinations(models, most_wired_models(rules)), MOST_TEAMS + 1))
    return _of_models(rules, chosen) if len(chosen) <= MOST_TEAMS else None


def _of_models(rules: Rules, choices: Sequence[tuple[int, ...]]) -> list[Team]:
    """All able groups of each of these choices, and those of the kept models."""
    able, own = _able(rules), rules.kept_models
    return [tuple(g for g in able if rules.groups[g].model in own.union(chosen)) for chosen in choices]


def unshared(rules: Rules) -> list[Team]:
    """Where few trackers may be shared, the teams that do not."""
    few = rules.pairs and _few_trackers(rules)
    return list(combinations(_able(rules), sum(rules.trackers))) if few else []


def _few_trackers(rules: Rules) -> bool:
    """Whether it is the trackers that make teams."""
    trackers = sum(rules.trackers) if rules.wired else UNLIMITED
    return trackers <= LARGEST_TEAM and len(_able(rules)) > trackers


def _able(rules: Rules) -> list[int]:
    """The groups that can be wired at all."""
    return [g for g in range(len(rules.groups)) if _can_be_wired(rules, g)]


def _sharing(able: list[int], pairs: list[tuple[int, int]], trackers: int) -> list[Team]:
    """Every team that so many trackers can serve, each with one group or with a pair; none within another."""
    units = [(g,) for g in able] + pairs
    teams = {tuple(sorted({g for unit in some for g in unit})) for some in combinations(units, trackers)}
    widest = sorted(teams, key=lambda team: (-len(team), team))
    found: list[Team] = []
    for team in widest:
        if not any(set(team) < set(other) for other in found):
            found.append(team)
    return sorted(found)


def kinds_in(rules: Rules, team: Team) -> list[int]:
    """The kinds of a team's groups, in order."""
    return sorted(k for g in team for k in rules.groups[g].kinds)


def restricted(rules: Rules, team: Team) -> Rules:
    """The rules for these groups alone; kinds and groups are numbered anew."""
    kinds = kinds_in(rules, team)
    new_kind = {old: new for new, old in enumerate(kinds)}
    groups = tuple(
        Group(g.facet, g.model, tuple(new_kind[k] for k in g.kinds), g.kept, g.kept_watts)
        for g in (rules.groups[n] for n in team)
    )
    new_group = {old: new for new, old in enumerate(team)}
    group_of_kind = np.zeros(len(kinds), dtype=np.int64)
    for number, group in enumerate(groups):
        group_of_kind[list(group.kinds)] = number
    return replace(
        rules,
        kinds=tuple(rules.kinds[k] for k in kinds),
        caps=tuple(replace(c, per_kind=tuple(c.per_kind[k] for k in kinds)) for c in rules.caps),
        groups=groups,
        options=tuple(
            GroupOption(new_group[o.group], o.tracker_class, o.in_series, o.most_parallel)
            for o in rules.options
            if o.group in new_group
        ),
        pairs=tuple(
            PairOption((new_group[p.groups[0]], new_group[p.groups[1]]), p.tracker_class, p.panels)
            for p in rules.pairs
            if new_group.keys() >= set(p.groups)
        ),
        group_of_kind=group_of_kind,
        model_of_kind=np.array([rules.kinds[k].model for k in kinds], dtype=np.int64),
        grain_watts=rules.grain(),
    )


def _can_be_wired(rules: Rules, group: int) -> bool:
    return not rules.wired or any(o.group == group for o in rules.options)
