"""The cheapest set of controllers from the catalogue that carries the panels."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import Battery, Controllers, Job
from rooflayout.plan import Temperatures
from rooflayout.wiring.counts import MILLI, CountModel, Expression, Pool, pools_of, usable_w
from rooflayout.wiring.groups import Counts, Group, NotWirable, in_words
from rooflayout.wiring.options import MOST_CONTROLLERS, Supply, supply_of
from rooflayout.wiring.stages import OutOfTime

CENTS = 100


@dataclass(frozen=True, slots=True)
class _Attempt:
    """What is asked: whether the cap on clipping holds, and how many controllers there may be."""

    capped: bool
    most: int


def choose_controllers(
    job: Job, temperatures: Temperatures, groups: tuple[Group, ...], seconds: float
) -> Counts:
    """The cheapest controllers that carry every new panel, none cutting off more than most_clipped_pct.

    Kept panels are wired too, as far as strings of them are possible at all. Without prices the
    fewest controllers count as the cheapest, then the least charge current. Of equally cheap sets:
    least clipped, fewest controllers, fewest fuses, least current, fewest trackers.

    At most MOST_CONTROLLERS; where these cannot keep within the cap, the set that cuts off least is
    taken, and where they cannot carry the panels at all, there may be as many as there are panels.
    Raises NotWirable when no controllers of the catalogue can carry the panels.
    """
    panels = sum(g.panels for g in groups)
    attempts = [_Attempt(True, MOST_CONTROLLERS), _Attempt(False, MOST_CONTROLLERS)]
    if panels > MOST_CONTROLLERS:
        attempts += [_Attempt(True, panels), _Attempt(False, panels)]
    in_time = True
    for attempt in attempts:
        try:
            found = _cheapest(job, temperatures, groups, attempt, seconds)
        except OutOfTime:
            in_time = False
            continue
        if found is not None:
            return found
    if not in_time:
        raise NotWirable(f"No controllers were found in time for {in_words(groups)}.")
    raise NotWirable(f"No controllers of the catalogue can carry {in_words(groups)}.")


def _cheapest(
    job: Job, temperatures: Temperatures, groups: tuple[Group, ...], attempt: _Attempt, seconds: float
) -> Counts | None:
    assert job.battery is not None
    assert job.controllers is not None
    supply = supply_of(job, temperatures, attempt.capped)
    counts = CountModel(groups, supply, _shop(supply, groups, attempt.most), job.battery)
    bought = [_controllers_of(counts, number) for number in range(len(counts.pools))]
    counts.model.add(sum(bought) <= attempt.most)
    if attempt.capped:
        _keep_within_cap(counts, job.battery, job.controllers.most_clipped_pct)
    cost = _cost(job.controllers, counts.pools, bought)
    stages = [counts.unwired(), *cost, counts.clipped()]
    if not attempt.capped:
        stages = [counts.unwired(), counts.clipped(), *cost]
    stages += [sum(bought), counts.fused(), counts.current_squared(), counts.trackers()]
    return counts.solve(stages, seconds)


def _shop(supply: Supply, groups: tuple[Group, ...], most: int) -> tuple[Pool, ...]:
    """As many copies of each controller as could ever be of use."""
    panels = sum(g.panels for g in groups)
    return pools_of(supply, [min(most, panels)] * len(supply.classes))


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
