"""CP-SAT over counts: how many trackers of which controller carry how many strings of which panels.

Trackers that share nothing are pooled, so that no symmetry is left: all copies of a controller with
one tracker are one pool; a controller with more trackers, which share its charge current, is a pool
of its own. Watts are whole milliwatts inside, money whole hundredths.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import partial
from typing import TYPE_CHECKING

from rooflayout.job import Battery, ControllerModel, Job
from rooflayout.plan import Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.figures import roof_battery
from rooflayout.wiring.groups import Counts, Group, LoadedController, StringSort, TrackerLoad
from rooflayout.wiring.options import Supply
from rooflayout.wiring.stages import in_stages
from rooflayout.wiring.strain import Strain, Strung, strain
from rooflayout.wiring.unlike import LOSS_DECIMALS

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    Expression = cp_model.LinearExprT
else:
    from rooflayout import cpsat as cp_model

MILLI = 1000


@dataclass(frozen=True, slots=True)
class Pool:
    """Interchangeable trackers: those of one controller, or of all copies of a one-tracker model."""

    controller: ControllerModel
    tracker_class: int
    trackers: int

    @property
    def is_one_controller(self) -> bool:
        return self.controller.trackers > 1


def pools_of(supply: Supply, copies: Sequence[int]) -> tuple[Pool, ...]:
    """The pools of a supply, given how many copies there are of each class's controller."""
    pools: list[Pool] = []
    for number, (kind, times) in enumerate(zip(supply.classes, copies, strict=True)):
        controller = kind.controller
        if controller.trackers == 1:
            pools.append(Pool(controller, number, times))
        else:
            pools.extend(Pool(controller, number, controller.trackers) for _ in range(times))
    return tuple(pools)


def tracker_loads(
    supply: Supply, group: int, of: Group, tracker_class: int, strain_of: Callable[[TrackerLoad], Strain]
) -> tuple[TrackerLoad, ...]:
    """One load for every number of panels that a tracker can take: the one of least strain.

    Nothing else tells loads of as many panels apart, and strains add up, so the others are never better.
    """
    best: dict[int, TrackerLoad] = {}
    for option in supply.options:
        if option.model != of.model or option.tracker_class != tracker_class:
            continue
        for in_parallel in range(1, option.most_parallel + 1):
            sort = StringSort(group, option.in_series, in_parallel)
            if sort.panels > of.panels:
                break
            load = TrackerLoad((sort,))
            if sort.panels not in best or strain_of(load) < strain_of(best[sort.panels]):
                best[sort.panels] = load
    return tuple(best[panels] for panels in sorted(best))


def shared_loads(
    supply: Supply,
    groups: tuple[Group, ...],
    tracker_class: int,
    strain_of: Callable[[TrackerLoad], Strain],
) -> tuple[TrackerLoad, ...]:
    """Loads of two groups: one for all numbers of panels of each, that of least loss, then least strain.

    Losses alike to LOSS_DECIMALS of a per cent are equal.
    """
    number = {(g.facet, g.model.model): i for i, g in enumerate(groups)}
    best: dict[tuple[tuple[int, int], ...], TrackerLoad] = {}
    for pair in supply.pairs:
        own = [number.get((f, m.model)) for f, m in zip(pair.facets, pair.models, strict=True)]
        sorts = tuple(
            StringSort(g, in_series, in_parallel)
            for g, in_series, in_parallel in zip(own, pair.in_series, pair.in_parallel, strict=True)
            if g is not None
        )
        if pair.tracker_class != tracker_class or len(sorts) < 2:
            continue
        if any(s.panels > groups[s.group].panels for s in sorts):
            continue
        load = TrackerLoad(sorts, pair.loss_pct)
        key = tuple((s.group, s.panels) for s in sorts)
        worth = round(load.loss_pct, LOSS_DECIMALS), strain_of(load)
        if key not in best or worth < (round(best[key].loss_pct, LOSS_DECIMALS), strain_of(best[key])):
            best[key] = load
    return tuple(best[key] for key in sorted(best))


def usable_w(controller: ControllerModel, battery: Battery) -> float:
    """The panel watts beyond which the controller's charge current cuts off."""
    return controller.max_charge_a * battery.charge_v / (controller.efficiency_pct / 100.0)


class CountModel:
    """Variables and constraints that every wiring obeys, and what may be asked for, one method each."""

    def __init__(
        self,
        job: Job,
        temperatures: Temperatures,
        groups: tuple[Group, ...],
        supply: Supply,
        pools: tuple[Pool, ...],
    ) -> None:
        self.model = cp_model.CpModel()
        self.pools = pools
        self._groups, self._battery = groups, roof_battery(job)
        self._coldest_c, self._cable = temperatures.coldest_cell_c, job.cable
        self._strains: dict[TrackerLoad, Strain] = {}
        of_class = [
            [
                *(
                    x
                    for g, of in enumerate(groups)
                    for x in tracker_loads(supply, g, of, number, self._strain)
                ),
                *shared_loads(supply, groups, number, self._strain),
            ]
            for number in range(len(supply.classes))
        ]
        self._loads = [of_class[pool.tracker_class] for pool in pools]
        self._times = [
            [
                self.model.new_int_var(0, min([pool.trackers, *self._times_by_panels(load)]), "")
                for load in loads
            ]
            for pool, loads in zip(pools, self._loads, strict=True)
        ]
        self._unwired = [self.model.new_int_var(0, group.kept, "") for group in groups]
        self._wire_every_new_panel()
        self._keep_to_the_trackers()
        self._alike_pools_in_order()

    # constraints

    def _wire_every_new_panel(self) -> None:
        wired: list[list[Expression]] = [[] for _ in self._groups]
        for loads, times in zip(self._loads, self._times, strict=True):
            for load, n in zip(loads, times, strict=True):
                for sort in load.sorts:
                    wired[sort.group].append(sort.panels * n)
        for group, terms, unwired in zip(self._groups, wired, self._unwired, strict=True):
            self.model.add(sum([*terms, unwired]) == group.panels)

    def _keep_to_the_trackers(self) -> None:
        for pool, times in zip(self.pools, self._times, strict=True):
            self.model.add(sum(times) <= pool.trackers)

    def _alike_pools_in_order(self) -> None:
        """Of equal controllers the first ones carry the most: without this they could be swapped."""
        for i in range(1, len(self.pools)):
            if self.pools[i].tracker_class == self.pools[i - 1].tracker_class:
                self.model.add(self.power(i) <= self.power(i - 1))

    # what can be asked for, least first

    def power(self, pool: int) -> Expression:
        """Milliwatts on a pool."""
        return self._sum(pool, [self._load_mw(load) for load in self._loads[pool]])

    def unwired(self) -> Expression:
        """Milliwatts of kept panels that stay off."""
        return sum(
            round(MILLI * group.model.power_w) * n
            for group, n in zip(self._groups, self._unwired, strict=True)
        )

    def unlike(self) -> Expression:
        """Trackers that carry two sorts of strings."""
        return self._sum_all(lambda load: int(load.unlike))

    def lost(self) -> Expression:
        """Milliwatts cut off by charge currents, and those that unlike strings lose at the worst."""
        unlike = self._sum_all(lambda load: round(self._load_mw(load) * load.loss_pct / 100.0))
        return sum([self.clipped(), unlike])

    def clipped(self) -> Expression:
        """Milliwatts that the charge currents cut off, the controllers' and then the battery's."""
        terms: list[Expression] = []
        for number, pool in enumerate(self.pools):
            if pool.is_one_controller:
                terms.append(self._clipped_by_one(number))
            else:
                terms.append(self._sum(number, [self._clipped_mw(pool, x) for x in self._loads[number]]))
        usable_mw = self._battery_usable_mw()
        if usable_mw is None:
            return sum(terms)
        power = sum(self.power(number) for number in range(len(self.pools)))
        clipped = self.model.new_int_var(0, self._most_mw(), "")
        self.model.add(clipped >= sum(terms))
        self.model.add(clipped >= power - usable_mw)
        return clipped

    def strains(self) -> tuple[Expression, ...]:
        """The figures of Strain over all trackers, the worst first; without those that are always 0."""
        names = [f.name for f in fields(Strain)]
        loads = [load for loads in self._loads for load in loads]
        told = [name for name in names if any(getattr(self._strain(load), name) for load in loads)]
        return tuple(self._sum_all(partial(self._figure_of_strain, name)) for name in told)

    def trackers(self) -> Expression:
        """Trackers that carry something."""
        return self._sum_all(lambda load: 1)

    def lateness(self) -> Expression:
        """Least when the first pools carry the most watts, and of equal watts the first groups."""
        groups = len(self._groups)
        return sum(
            number
            * self._sum(
                number,
                [(groups + 1) * self._load_mw(x) + groups - x.sorts[0].group for x in self._loads[number]],
            )
            for number in range(1, len(self.pools))
        )

    def times(self, pool: int) -> Expression:
        """Trackers of a pool that carry something."""
        return sum(self._times[pool])

    # solving

    def solve(self, stages: Sequence[Expression], seconds: float) -> Counts | None:
        """The least of the first stage, among those the least of the second, and so on; None if impossible.

        Time is counted by the solver's own steps, about a second each, so that every run ends alike.
        """
        values = in_stages(self.model, stages, seconds)
        if values is None:
            return None
        controllers: list[LoadedController] = []
        for pool, loads, times in zip(self.pools, self._loads, self._times, strict=True):
            carried = [load for load, n in zip(loads, times, strict=True) for _ in range(values[n.index])]
            if pool.is_one_controller:
                controllers.extend([LoadedController(pool.controller, tuple(carried))] if carried else [])
            else:
                controllers.extend(LoadedController(pool.controller, (load,)) for load in carried)
        return Counts(tuple(controllers), tuple(values[n.index] for n in self._unwired))

    # small helpers

    def _strain(self, load: TrackerLoad) -> Strain:
        if load not in self._strains:
            strung = [Strung(self._groups[s.group].model, s.in_series, s.in_parallel) for s in load.sorts]
            self._strains[load] = strain(strung, self._coldest_c, self._cable)
        return self._strains[load]

    def _figure_of_strain(self, name: str, load: TrackerLoad) -> int:
        value = getattr(self._strain(load), name)
        assert isinstance(value, int)
        return value

    def _most_mw(self) -> int:
        return sum(round(MILLI * g.model.power_w) * g.panels for g in self._groups)

    def _battery_usable_mw(self) -> int | None:
        """Panel milliwatts beyond which the battery's limit cuts off, at the best of the efficiencies."""
        if self._battery.most_charge_a is None or not self.pools:
            return None
        best_pct = max(pool.controller.efficiency_pct for pool in self.pools)
        return round(MILLI * self._battery.most_charge_a * self._battery.charge_v / (best_pct / 100.0))

    def _clipped_by_one(self, pool: int) -> Expression:
        """At least what its trackers would have cut off one by one: nothing new, but it saves search."""
        alone = [self._clipped_mw(self.pools[pool], load) for load in self._loads[pool]]
        clipped = self.model.new_int_var(0, self._most_mw(), "")
        usable = round(MILLI * usable_w(self.pools[pool].controller, self._battery))
        self.model.add(clipped >= self.power(pool) - usable)
        self.model.add(clipped >= self._sum(pool, alone))
        return clipped

    def _clipped_mw(self, pool: Pool, load: TrackerLoad) -> int:
        power_w = sum(s.panels * self._groups[s.group].model.power_w for s in load.sorts)
        return round(MILLI * limits.clipped_w(power_w, pool.controller, self._battery))

    def _load_mw(self, load: TrackerLoad) -> int:
        return sum(s.panels * round(MILLI * self._groups[s.group].model.power_w) for s in load.sorts)

    def _times_by_panels(self, load: TrackerLoad) -> list[int]:
        """How many times over there are panels for each of a load's sorts."""
        return [self._groups[s.group].panels // s.panels for s in load.sorts]

    def _sum(self, pool: int, weights: Sequence[int]) -> Expression:
        return sum(w * n for w, n in zip(weights, self._times[pool], strict=True))

    def _sum_all(self, weight: Callable[[TrackerLoad], int]) -> Expression:
        return sum(self._sum(i, [weight(load) for load in loads]) for i, loads in enumerate(self._loads))
