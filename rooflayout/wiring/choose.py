"""The cheapest set of controllers from the catalogue that carries the panels."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rooflayout.job import Battery, ControllerModel, Controllers, Job, MountingSpace
from rooflayout.plan import Temperatures
from rooflayout.wiring.counts import MILLI, CountModel, Pool, pools_of, usable_w
from rooflayout.wiring.enough import as_the_battery_takes
from rooflayout.wiring.figures import roof_battery
from rooflayout.wiring.groups import Counts, Group, NotWirable, in_words
from rooflayout.wiring.mounting import area_of, fits, unsized, wall_area
from rooflayout.wiring.options import MOST_CONTROLLERS, Supply, distinct, shortest_strings, supply_of
from rooflayout.wiring.stages import OutOfTime

if TYPE_CHECKING:
    from rooflayout.wiring.counts import Expression

CENTS = 100
GRAMS = 1000  # to the kg
MOST_TRIES = 12  # sets that turn out not to hang in the space, before it is given up


@dataclass(frozen=True, slots=True)
class _Attempt:
    """What is asked: whether the set must fit the mounting space, whether the cap on clipping holds, and how
    many controllers there may be."""

    hung: bool
    capped: bool
    most: int


def choose_controllers(
    job: Job, temperatures: Temperatures, groups: tuple[Group, ...], seconds: float
) -> Counts:
    """The cheapest controllers that carry every new panel, none cutting off more than most_clipped_pct,
    or more than the battery's charge limit cuts off anyway (enough.py).

    Kept panels are wired too, as far as strings of them are possible at all. Without prices the
    fewest controllers count as the cheapest, then the least charge current. Of equally cheap sets:
    fewest controllers, least clipped, least that must be set down for the battery, least mass (where the
    catalogue gives all masses), least strain (strain.Strain), fewest trackers.

    At most MOST_CONTROLLERS; where these cannot keep within the cap, the set that cuts off least is
    taken, and where they cannot carry the panels at all, there may be as many as there are panels.
    A set that fits the mounting space comes before any that does not, or whose sizes are not known.
    Raises NotWirable when no controllers of the catalogue can carry the panels.
    """
    panels = sum(g.panels for g in groups)
    in_time = True
    for attempt in _attempts(job, panels):
        try:
            found = _useful(job, temperatures, groups, attempt, seconds)
        except OutOfTime:
            in_time = False
            continue
        if found is not None:
            return found
    if not in_time:
        raise NotWirable(f"No controllers were found in time for {in_words(groups)}.")
    raise NotWirable(f"No controllers of the catalogue can carry {in_words(groups)}.")


def _useful(
    job: Job, temperatures: Temperatures, groups: tuple[Group, ...], attempt: _Attempt, seconds: float
) -> Counts | None:
    """The best set of an attempt, where watts that the battery cannot take count for nothing.

    Kept panels that stay off bring no watts: where some do, the set is sought anew without theirs.
    """
    every_w = sum(g.panels * g.model.power_w for g in groups)
    eased = as_the_battery_takes(job, every_w)
    found = _cheapest(eased, temperatures, groups, attempt, seconds)
    if eased is job or found is None or not any(found.unwired):
        return found
    off_w = sum(n * g.model.power_w for n, g in zip(found.unwired, groups, strict=True))
    return _cheapest(as_the_battery_takes(job, every_w - off_w), temperatures, groups, attempt, seconds)


def _attempts(job: Job, panels: int) -> list[_Attempt]:
    sizes = [MOST_CONTROLLERS, panels] if panels > MOST_CONTROLLERS else [MOST_CONTROLLERS]
    plain = [_Attempt(False, capped, most) for most in sizes for capped in (True, False)]
    if job.mounting_space is None:
        return plain
    return [_Attempt(True, capped, MOST_CONTROLLERS) for capped in (True, False)] + plain


def _cheapest(
    job: Job, temperatures: Temperatures, groups: tuple[Group, ...], attempt: _Attempt, seconds: float
) -> Counts | None:
    """The best set of an attempt. Sets that do not hang in the space are ruled out as they come up."""
    barred = _too_many_alone(job, attempt.most) if attempt.hung else []
    for _ in range(MOST_TRIES):
        found = _best(job, temperatures, groups, attempt, barred, seconds)
        if found is None or not attempt.hung:
            return found
        assert job.mounting_space is not None
        chosen = [c.controller for c in found.controllers]
        if fits(job.mounting_space, chosen):
            return found
        barred.append(_least_misfit(job.mounting_space, chosen))
    return None


def _best(
    job: Job,
    temperatures: Temperatures,
    groups: tuple[Group, ...],
    attempt: _Attempt,
    barred: Sequence[Counter[str]],
    seconds: float,
) -> Counts | None:
    assert job.battery is not None
    assert job.controllers is not None
    supply = supply_of(job, temperatures, attempt.capped)
    counts = CountModel(job, temperatures, groups, supply, _shop(supply, groups, attempt.most))
    bought = [_controllers_of(counts, number) for number in range(len(counts.pools))]
    counts.model.add(sum(bought) <= attempt.most)
    if attempt.capped:
        _keep_within_cap(counts, job.battery, job.controllers.most_clipped_pct)
    if attempt.hung and job.mounting_space is not None:
        _keep_to_the_wall(counts, job.mounting_space, bought)
    for misfit in barred:
        _bar(counts, bought, misfit)
    cost = [*_cost(job.controllers, counts.pools, bought), sum(bought)]
    first = [*cost, counts.clipped()] if attempt.capped else [counts.clipped(), *cost]
    after = [*_set_down(counts, roof_battery(job), bought), *_mass(counts.pools, bought)]
    stages = [counts.unwired(), *first, *after, *counts.strains(), counts.trackers()]
    return counts.solve(stages, seconds)


def _too_many_alone(job: Job, most: int) -> list[Counter[str]]:
    """Of each controller so many that they do not hang in the space even without others."""
    assert job.controllers is not None
    assert job.mounting_space is not None
    found = []
    for controller in distinct(job.controllers.catalogue):
        for count in range(1, most + 1):
            if not fits(job.mounting_space, [controller] * count):
                found.append(Counter({controller.model: count}))
                break
    return found


def _keep_to_the_wall(counts: CountModel, space: MountingSpace, bought: list[Expression]) -> None:
    """No more boxes than the space has room for by area; those of unknown size are barred anyway."""
    taken = [
        area_of(space, pool.controller) * n
        for pool, n in zip(counts.pools, bought, strict=True)
        if not unsized([pool.controller])
    ]
    counts.model.add(sum(taken) <= wall_area(space))


def _least_misfit(space: MountingSpace, chosen: Sequence[ControllerModel]) -> Counter[str]:
    """Controllers that do not hang in the space together, as few of the chosen as that takes."""
    left = list(chosen)
    for controller in chosen:
        fewer = list(left)
        fewer.remove(controller)
        if not fits(space, fewer):
            left = fewer
    return Counter(c.model for c in left)


def _bar(counts: CountModel, bought: list[Expression], misfit: Counter[str]) -> None:
    """Not all of these together, and so no set that contains them."""
    fewer = []
    for name, count in misfit.items():
        own = sum(n for pool, n in zip(counts.pools, bought, strict=True) if pool.controller.model == name)
        spared = counts.model.new_bool_var("")
        counts.model.add(own <= count - 1).only_enforce_if(spared)
        fewer.append(spared)
    counts.model.add_bool_or(fewer)


def _set_down(counts: CountModel, battery: Battery, bought: list[Expression]) -> list[Expression]:
    """Milliamperes that the controllers could charge with beyond the battery's limit."""
    if battery.most_charge_a is None:
        return []
    each = [round(MILLI * pool.controller.max_charge_a) for pool in counts.pools]
    beyond = counts.model.new_int_var(0, MOST_CONTROLLERS * max(each, default=0) * len(each), "")
    could = sum(current * n for current, n in zip(each, bought, strict=True))
    counts.model.add(beyond >= could - round(MILLI * battery.most_charge_a))
    return [beyond]


def _mass(pools: tuple[Pool, ...], bought: list[Expression]) -> list[Expression]:
    """Grams of the set; nothing where a mass is blank."""
    masses = [pool.controller.mass_kg for pool in pools]
    known = [round(GRAMS * m) for m in masses if m is not None]
    if len(known) < len(masses):
        return []
    return [sum(grams * n for grams, n in zip(known, bought, strict=True))]


def _shop(supply: Supply, groups: tuple[Group, ...], most: int) -> tuple[Pool, ...]:
    """As many copies of each controller as could ever be of use."""
    return pools_of(supply, [min(most, _most_loads(supply, groups, n)) for n in range(len(supply.classes))])


def _most_loads(supply: Supply, groups: tuple[Group, ...], tracker_class: int) -> int:
    """How many trackers of a class the panels could load, in the shortest strings that it takes."""
    shortest = shortest_strings(o for o in supply.options if o.tracker_class == tracker_class)
    return sum(g.panels // shortest[g.model.model] for g in groups if g.model.model in shortest)


def _controllers_of(counts: CountModel, number: int) -> Expression:
    """How many controllers of a pool are bought: one for each loaded tracker, or one for them all."""
    pool = counts.pools[number]
    if not pool.is_one_controller:
        return counts.times(number)
    bought = counts.model.new_bool_var("")
    counts.model.add(counts.times(number) <= pool.trackers * bought)
    return bought


def _keep_within_cap(counts: CountModel, battery: Battery, cap_pct: float) -> None:
    """A controller with several trackers cuts off at most cap_pct of what they carry together.

    Where there is one tracker a controller, the options keep to the cap already.
    """
    if cap_pct >= 100.0:
        return
    for number, pool in enumerate(counts.pools):
        if pool.is_one_controller:
            most_w = usable_w(pool.controller, battery) / (1.0 - cap_pct / 100.0)
            counts.model.add(counts.power(number) <= round(MILLI * most_w))


def _cost(controllers: Controllers, pools: tuple[Pool, ...], bought: list[Expression]) -> list[Expression]:
    """What the set costs; without prices how many there are, then their charge current."""
    prices = {c.model: c.price for c in controllers.catalogue if c.price is not None}
    if len(prices) == len(controllers.catalogue):
        each = [round(CENTS * prices[pool.controller.model]) for pool in pools]
        return [sum(price * n for price, n in zip(each, bought, strict=True))]
    charge = [round(MILLI * pool.controller.max_charge_a) for pool in pools]
    return [sum(bought), sum(current * n for current, n in zip(charge, bought, strict=True))]
