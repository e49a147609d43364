"""Which strings on which of the fitted controllers."""

from __future__ import annotations

from rooflayout.job import Job
from rooflayout.plan import Temperatures
from rooflayout.wiring.counts import CountModel, pools_of
from rooflayout.wiring.groups import Counts, Group, NotWirable, in_words
from rooflayout.wiring.options import supply_of
from rooflayout.wiring.stages import OutOfTime


def load_fitted(job: Job, temperatures: Temperatures, groups: tuple[Group, ...], seconds: float) -> Counts:
    """Every new panel on the fitted controllers, and the best of what that leaves open.

    Best is, in this order: fewest watts of kept panels left off, fewest trackers with two sorts of strings
    (unlike.py), fewest watts lost by those and cut off by charge currents, the controllers' and the
    battery's, least strain (strain.Strain: cable that would have to be thicker than usual, strings above
    120 V, fuses, strings above 60 V, loss in copper), fewest trackers,
    the most watts and the first groups on the first controllers. Raises NotWirable when it cannot be done.
    """
    assert job.battery is not None
    assert job.controllers is not None
    alone: frozenset[tuple[str, str]] = frozenset()
    there = frozenset((g.facet, g.model.model) for g in groups)
    if not job.kept:  # then nothing is left off, and no shared tracker is better than a few of them
        found = _loaded(job, temperatures, groups, alone, seconds)
        if found is not None:
            return found
    found = _loaded(job, temperatures, groups, there, seconds)
    if found is None:
        raise NotWirable(f"{in_words(groups)} cannot all be wired onto {_fitted(job)}.")
    return found


def _loaded(
    job: Job,
    temperatures: Temperatures,
    groups: tuple[Group, ...],
    there: frozenset[tuple[str, str]],
    seconds: float,
) -> Counts | None:
    """The best counts where these groups (facet, model) may share trackers; None where there are none."""
    supply = supply_of(job, temperatures, there=there)
    copies = [kind.trackers // kind.controller.trackers for kind in supply.classes]
    counts = CountModel(job, temperatures, groups, supply, pools_of(supply, copies))
    stages = (
        counts.unwired(),
        *([counts.unlike(), counts.lost()] if supply.pairs else [counts.clipped()]),
        *counts.strains(),
        counts.trackers(),
        counts.lateness(),
    )
    try:
        return counts.solve(stages, seconds)
    except OutOfTime as fault:
        text = f"No way was found in time to wire {in_words(groups)} onto {_fitted(job)}."
        raise NotWirable(text) from fault


def _fitted(job: Job) -> str:
    assert job.controllers is not None
    return ", ".join(c.model for c in job.controllers.fitted) or "no controller"
