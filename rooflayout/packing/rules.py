"""What binds the panels beside geometry: stock, mass, money, models, and what can be wired.

Every rule is said over counts of kinds, so that the linear programme and CP-SAT share one statement.
A family is a set of kinds that may only be there when something is switched on: a model that counts
towards most_models, or a group (one model on one facet) that needs a tracker of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from rooflayout.job import Job, PanelModel
from rooflayout.packing.kinds import Kind, tenths
from rooflayout.packing.wishes import NO_WISHES, Wishes
from rooflayout.wiring.options import Supply

GRAM, CENT = 1000, 100


@dataclass(frozen=True, slots=True)
class Cap:
    """A sum over panels, coefficient by kind, that may not exceed a limit; whole numbers."""

    name: str
    per_kind: tuple[int, ...]
    limit: int


@dataclass(frozen=True, slots=True)
class Group:
    """The panels of one model on one facet, which an electrician may interchange."""

    facet: int
    model: int
    kinds: tuple[int, ...]
    kept: int  # kept panels of the group
    kept_watts: int  # tenths of a watt, each


@dataclass(frozen=True, slots=True)
class GroupOption:
    """A group in strings of one length on trackers of one class."""

    group: int
    tracker_class: int
    in_series: int
    most_parallel: int


@dataclass(frozen=True, slots=True)
class PairOption:
    """Two groups on one tracker of a class: exactly so many panels of each.

    Either may also be there alone: bounds of a group by itself rely on that.
    """

    groups: tuple[int, int]
    tracker_class: int
    panels: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Rules:
    kinds: tuple[Kind, ...]
    models: tuple[PanelModel, ...]
    caps: tuple[Cap, ...]
    groups: tuple[Group, ...]
    most_models: int | None
    kept_models: frozenset[int]
    wired: bool
    trackers: tuple[int, ...] = ()  # how many of each class; UNLIMITED when choosing
    options: tuple[GroupOption, ...] = ()
    pairs: tuple[PairOption, ...] = ()  # unlike strings on one tracker
    group_of_kind: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    model_of_kind: NDArray[np.int64] = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    wishes: Wishes = NO_WISHES
    grain_watts: int = 0  # the grain of the whole job, where these rules are a part of it

    def kept_watts(self) -> int:
        """Watts (tenths) of all kept panels."""
        return sum(g.kept * g.kept_watts for g in self.groups)

    def bound(self) -> bool:
        """Whether anything but geometry binds the panels."""
        return self.wired or bool(self.caps) or self.most_models is not None

    def plainly_kept(self, kinds: Sequence[int]) -> bool:
        """Whether panels of these kinds keep to all that binds them; never where they must be wired."""
        if self.wired or any(sum(cap.per_kind[k] for k in kinds) > cap.limit for cap in self.caps):
            return False
        models = self.kept_models.union(self.kinds[k].model for k in kinds)
        return self.most_models is None or len(models) <= self.most_models

    def grain(self) -> int:
        """The greatest common divisor of all watts (tenths): layouts differ by whole multiples of it."""
        if self.grain_watts:
            return self.grain_watts
        watts = [k.watts for k in self.kinds] + [g.kept_watts for g in self.groups if g.kept]
        return int(np.gcd.reduce(np.array(watts, dtype=np.int64))) if watts else 1


def models_of(job: Job) -> tuple[PanelModel, ...]:
    """The models that may be bought, then those only kept, in the catalogue's order, each once."""
    models = list(job.panels.models)
    names = {m.model for m in models}
    for kept in job.kept:
        if kept.model.model not in names:
            names.add(kept.model.model)
            models.append(kept.model)
    return tuple(models)


def rules_of(
    job: Job, models: tuple[PanelModel, ...], kinds: tuple[Kind, ...], supply: Supply | None
) -> Rules:
    """The job's rules over these kinds; kinds are only of models that may be bought and wired."""
    numbers = {m.model: i for i, m in enumerate(models)}
    groups = _groups(job, kinds, models, numbers)
    options: tuple[GroupOption, ...] = ()
    pairs: tuple[PairOption, ...] = ()
    if supply is not None:
        pairs = _pairs(job, models, groups, supply)
        options = tuple(
            GroupOption(g, o.tracker_class, o.in_series, o.most_parallel)
            for g, group in enumerate(groups)
            for o in supply.options
            if o.model.model == models[group.model].model
        )
    group_of_kind = np.zeros(len(kinds), dtype=np.int64)
    for g, group in enumerate(groups):
        group_of_kind[list(group.kinds)] = g
    return Rules(
        kinds=kinds,
        models=models,
        caps=tuple(_caps(job, models, kinds)),
        groups=groups,
        most_models=job.panels.most_models,
        kept_models=frozenset(numbers[k.model.model] for k in job.kept),
        wired=supply is not None,
        trackers=tuple(c.trackers for c in supply.classes) if supply else (),
        options=options,
        pairs=pairs,
        group_of_kind=group_of_kind,
        model_of_kind=np.array([k.model for k in kinds], dtype=np.int64),
    )


def geometry_only(rules: Rules) -> Rules:
    """The same kinds with nothing but their places to mind, and no kept panels."""
    groups = tuple(replace(g, kept=0) for g in rules.groups)
    return replace(unwired(rules), caps=(), most_models=None, groups=groups)


def unwired(rules: Rules) -> Rules:
    """The same rules with no wiring to mind."""
    return replace(rules, wired=False, options=(), pairs=(), trackers=())


def _pairs(
    job: Job, models: tuple[PanelModel, ...], groups: tuple[Group, ...], supply: Supply
) -> tuple[PairOption, ...]:
    """The supply's unlike pairs by number of group, each count of panels once."""
    number = {(job.facets[g.facet].name, models[g.model].model): i for i, g in enumerate(groups)}
    found: dict[PairOption, None] = {}
    for pair in supply.pairs:
        a, b = (number.get((f, m.model)) for f, m in zip(pair.facets, pair.models, strict=True))
        if a is not None and b is not None:
            found[PairOption((a, b), pair.tracker_class, pair.panels)] = None
    return tuple(found)


def _groups(
    job: Job, kinds: tuple[Kind, ...], models: tuple[PanelModel, ...], numbers: dict[str, int]
) -> tuple[Group, ...]:
    groups = []
    for facet_number, facet in enumerate(job.facets):
        for model_number, model in enumerate(models):
            own = tuple(i for i, k in enumerate(kinds) if (k.facet, k.model) == (facet_number, model_number))
            kept = sum(
                1 for k in job.kept if k.facet == facet.name and numbers[k.model.model] == model_number
            )
            if own or kept:
                groups.append(Group(facet_number, model_number, own, kept, tenths(model.power_w)))
    return tuple(groups)


def _caps(job: Job, models: tuple[PanelModel, ...], kinds: tuple[Kind, ...]) -> list[Cap]:
    caps = []
    for number, model in enumerate(models):
        if model.stock is not None and any(k.model == number for k in kinds):
            caps.append(
                Cap(f"stock of {model.model}", tuple(int(k.model == number) for k in kinds), model.stock)
            )
    rules = job.panels
    if rules.most_mass_kg is not None:
        left = rules.most_mass_kg - sum(k.model.mass_kg or 0.0 for k in job.kept)
        masses = tuple(mass_g(models[k.model]) for k in kinds)
        if left < 0:  # too heavy already: nothing more, not even a panel of unknown mass
            masses, left = tuple(1 for _ in kinds), 0.0
        caps.append(Cap("most_mass", masses, int(left * GRAM + 1e-6)))
    if rules.budget is not None:
        limit = int(rules.budget * CENT + 1e-6)
        caps.append(Cap("budget", tuple(price_cents(models[k.model]) for k in kinds), limit))
    return caps


def mass_g(model: PanelModel) -> int:
    """Mass in whole grams, rounded up; 0 where the catalogue is blank."""
    return int(np.ceil((model.mass_kg or 0.0) * GRAM - 1e-6))


def price_cents(model: PanelModel) -> int:
    """Price in hundredths, rounded up; 0 where the catalogue is blank."""
    return int(np.ceil((model.price or 0.0) * CENT - 1e-6))
