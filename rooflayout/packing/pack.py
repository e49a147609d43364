"""A job in, placed panels out: the door of the packing room."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rooflayout.job import Job, PanelModel
from rooflayout.packing.around import allowed_by, things_on
from rooflayout.packing.beside import Searched, rough_bound, search_all
from rooflayout.packing.clearance import Field, field_of
from rooflayout.packing.harvest import most_harvest
from rooflayout.packing.incumbent import Clock, Place
from rooflayout.packing.kinds import WATT, Kind, in_whole_millimetres, kinds_of, pitches_in_whole_millimetres
from rooflayout.packing.loose import wires_anything, with_room
from rooflayout.packing.missing import near_misses
from rooflayout.packing.rules import Rules, models_of, rules_of, unwired
from rooflayout.packing.search import Packing
from rooflayout.packing.wishes import NO_WISHES, Wishes
from rooflayout.plan import NearMiss, PlacedPanel
from rooflayout.wiring.options import Supply

MOST_PUSHED = 60  # panels


@dataclass(frozen=True, slots=True)
class Packed:
    """Panels without names, new and kept; watts count wired ones only where the job wires."""

    panels: tuple[PlacedPanel, ...]
    watts: float
    bound_watts: float  # over the positions tried
    proven: bool
    true_bound_watts: float  # over all positions: along round and slanted lines not every one can be tried
    near_misses: tuple[NearMiss, ...] = ()
    wiring_costs_watts: float = 0.0  # at least
    freed_watts: tuple[
        float, ...
    ] = ()  # what each change would carry more, at least; 0 where nothing was found
    freed_in_time: bool = True  # every change was asked to the end
    harvest_wh: int | None = None  # a year, where that is what is packed for; and its bound
    bound_harvest_wh: int | None = None


def pack(
    job: Job,
    supply: Supply | None,
    clock: Clock,
    changes: Callable[[], Sequence[Supply]] = tuple,
    wishes: Wishes = NO_WISHES,
) -> Packed:
    """The most watts that fit and can be wired, or the most Wh where that is wished; supply None: a layout
    alone.

    changes: gives other supplies, to be asked what they would carry where the supply costs watts.
    """
    models = models_of(job)
    buyable = {m.model for m in models if _buyable(job, m)}
    if supply is not None:
        buyable &= {option.model.model for option in supply.options}
    kinds = tuple(k for k in kinds_of(job, models) if models[k.model].model in buyable)
    fields = tuple(field_of(job, facet) for facet in job.facets)
    rules = replace(with_room(fields, rules_of(job, models, kinds, supply)), wishes=wishes)

    def asked() -> tuple[Rules, ...]:
        return _asked(job, fields, models, rules, supply, changes())

    every = all(k in kinds for k in kinds_of(job, models) if _buyable(job, models[k.model]))
    searched = unwired(rules) if wires_anything(fields, rules) else rules
    first = clock if wishes.harvest_wh is None else clock.part(0.5)  # the other half is for the harvest
    anywhere = not in_whole_millimetres(job)
    found = search_all(fields, searched, first, None if supply is None else asked, every, anywhere)
    packing = found.packing
    harvested = None if wishes.harvest_wh is None else most_harvest(fields, searched, packing.places, clock)
    places = packing.places if harvested is None else harvested.places
    bound = (
        found.bound
        if pitches_in_whole_millimetres(job)
        else _bound_of_fractions(job, fields, models, rules, found)
    )
    misses = _misses(job, fields, rules, found)
    panels = _kept(job) + tuple(_placed(job, kinds[k], x, y) for k, x, y in places)
    return Packed(
        panels,
        packing.watts / WATT,
        packing.bound / WATT,
        packing.proven if wishes.harvest_wh is None else harvested is not None and harvested.proven,
        bound / WATT,
        misses,
        _more(found.cost.unminded, packing),
        tuple(_more(watts, packing) for watts in found.cost.freed),
        found.cost.in_time,
        None if harvested is None else harvested.wh,
        None if harvested is None else harvested.bound_wh,
    )


def _bound_of_fractions(
    job: Job, fields: tuple[Field, ...], models: tuple[PanelModel, ...], rules: Rules, found: Searched
) -> int:
    """A bound for panels whose sides need not be rounded up; crude."""
    down = kinds_of(job, models, math.floor)
    kept = [(k.facet, k.model, k.turned) for k in rules.kinds]
    kinds = tuple(k for k in down if (k.facet, k.model, k.turned) in kept)
    return max(found.bound, rough_bound(fields, replace(rules, kinds=kinds)))


def _asked(
    job: Job,
    fields: tuple[Field, ...],
    models: tuple[PanelModel, ...],
    rules: Rules,
    supply: Supply | None,
    changes: Sequence[Supply],
) -> tuple[Rules, ...]:
    """The rules as they are and with each change, over all kinds that can be wired with any of them."""
    if supply is None:
        return ()
    wireable = {option.model.model for own in (supply, *changes) for option in own.options}
    kinds = tuple(
        k
        for k in kinds_of(job, models)
        if _buyable(job, models[k.model]) and models[k.model].model in wireable
    )
    others = tuple(with_room(fields, rules_of(job, models, kinds, own)) for own in changes)
    if kinds == rules.kinds:
        return (rules, *others)
    return (with_room(fields, rules_of(job, models, kinds, supply)), *others)


def _buyable(job: Job, model: PanelModel) -> bool:
    return any(m.model == model.model and m.stock != 0 for m in job.panels.models)


def _more(watts: int | None, packing: Packing) -> float:
    """Watts more than the packing has; 0 where nothing was found."""
    return 0.0 if watts is None else (watts - packing.watts) / WATT


def _misses(job: Job, fields: tuple[Field, ...], rules: Rules, found: Searched) -> tuple[NearMiss, ...]:
    """What a few millimetres more would carry; nothing where there are too many panels to push about."""
    packing = found.packing
    if not 0 < len(packing.places) <= MOST_PUSHED:
        return ()
    things = [things_on(job, facet) for facet in job.facets]
    misses = near_misses(
        fields,
        things,
        rules.kinds,
        packing.places,
        found.small,
        lambda kinds, gain: allowed_by(rules, kinds, packing.watts + gain),
    )
    return tuple(
        NearMiss(
            job.facets[m.facet].name, m.axis, m.short_mm, m.watts / WATT, m.between, _counts(rules, m.places)
        )
        for m in misses
    )


def _counts(rules: Rules, places: Sequence[Place]) -> tuple[tuple[str, int], ...]:
    """How many of each model."""
    names = [rules.models[rules.kinds[k].model].model for k, _, _ in places]
    return tuple((model.model, names.count(model.model)) for model in rules.models if model.model in names)


def _placed(job: Job, kind: Kind, x_mm: int, y_mm: int) -> PlacedPanel:
    model = models_of(job)[kind.model]
    facet = job.facets[kind.facet].name
    return PlacedPanel("", facet, model.model, x_mm, y_mm, kind.w_mm, kind.h_mm, kind.turned, model.power_w)


def _kept(job: Job) -> tuple[PlacedPanel, ...]:
    return tuple(
        PlacedPanel(
            "",
            k.facet,
            k.model.model,
            k.x_mm,
            k.y_mm,
            *k.model.sides_mm(k.turned),
            k.turned,
            k.model.power_w,
            True,
        )
        for k in job.kept
    )


__all__ = ["Clock", "Packed", "Packing", "pack"]
