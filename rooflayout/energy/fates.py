"""How the battery fares with the sun as estimated, and with less and more of it by a month's uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.energy.battery import Simulation, simulate
from rooflayout.energy.harvest import Harvest
from rooflayout.energy.sky import SkyHours
from rooflayout.job import Job


@dataclass(frozen=True, slots=True)
class Fates:
    """The same made-up years, day for day, with three suns."""

    estimated: Simulation
    less_sun: Simulation
    more_sun: Simulation


def fates_of(
    job: Job, found: Harvest, sky: SkyHours, night_share: Sequence[float], month_off_pct: float
) -> Fates | None:
    """The battery with its harvest; None without a battery's capacity.

    night_share: the part of the 24 hours without sun, by month. month_off_pct: within which a single month's
    harvest lies, here taken off every hour or put on it, since it is months that are told of; a whole year is
    seldom so far off. The charge limits and what the engine gives stay.
    """
    suns = (1.0, 1.0 - month_off_pct / 100.0, 1.0 + month_off_pct / 100.0)
    runs = [simulate(job, found.days(sky, sun), night_share=night_share) for sun in suns]
    known = [run for run in runs if run is not None]
    return Fates(*known) if len(known) == len(suns) else None
