"""How the battery fares, day by day over many made-up years.

A day begins at sunset: night first, with what is drawn at night; then sunrise, when the state of
charge is noted; then half of what the sun is short of the draw in daylight, then what it gives beyond the
draw, and the engine; then the other half (daylight.py). What charges the battery does so with its charge
efficiency; what a full battery does not take is spilled, what an empty one does not give is not drawn. The
draw is even over the night and even over the day, and over both for loads that do not say when. The battery
begins full, a year before the years that count.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rooflayout.energy.day_kinds import PERSISTENCE, draw_wh
from rooflayout.energy.daylight import over_and_short_wh
from rooflayout.energy.loads import demand_wh_day, driving_wh_day, night_draw_share
from rooflayout.job import Battery, Job
from rooflayout.months import DAYS_IN_MONTH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Of the capacity, without wearing the battery out early; common practice, no source.
USUAL_USABLE_PCT = {"lithium": 90.0, "gel": 50.0, "agm": 50.0, "flooded": 50.0}
# Wh given back of Wh put in, the lower voltage of giving back included (charging.py); common practice, no
# source.
CHARGE_EFFICIENCY_PCT = {"lithium": 96.0, "gel": 85.0, "agm": 85.0, "flooded": 85.0}
NOT_SAID = "agm"  # what a battery of unknown chemistry is taken for: the careful side
YEARS = 200  # that count, each after a year of its own that does not
EVEN_NIGHTS = (0.5,) * 12
LOW_PCT, MIDDLE_PCT, HIGH_PCT = 10.0, 50.0, 90.0  # of the days stay below
TINY = 1e-9  # of a day's draw: rounding, not want


@dataclass(frozen=True, slots=True)
class Books:
    """Wh a year, mean of the years: given = drawn + spilled + lost + kept."""

    given_wh: float  # sun and driving
    drawn_wh: float
    spilled_wh: float  # the battery was full
    lost_wh: float  # in charging
    kept_wh: float  # more in the battery than a year ago
    wanted_wh: float  # asked for but not drawn: the battery was empty


@dataclass(frozen=True, slots=True)
class Simulation:
    """Months January first; states of charge at sunrise in % of the usable capacity."""

    empty_pct: tuple[float, ...]  # of days on which the battery does not give all that is asked for
    soc_low_pct: tuple[float, ...]  # one day in ten stays below
    soc_middle_pct: tuple[float, ...]
    soc_high_pct: tuple[float, ...]  # nine days in ten stay below
    soc_band_pct: tuple[tuple[float, float, float], ...]  # low, middle, high of each of the 365 days
    spilled_pct: tuple[float, ...]  # of what sun and driving could give: the battery was full
    books: Books


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """Arrays [years, days] of run_days, in Wh."""

    sunrise_wh: NDArray[np.float64]
    sunset_wh: NDArray[np.float64]  # at the end of the day
    wanted_wh: NDArray[np.float64]
    spilled_wh: NDArray[np.float64]
    lost_wh: NDArray[np.float64]


def usable_pct(battery: Battery) -> float:
    """Share of the capacity that is drawn at most: the job's, or as is usual for the chemistry."""
    if battery.usable_pct is not None:
        return battery.usable_pct
    return USUAL_USABLE_PCT[battery.chemistry or NOT_SAID]


def usable_wh(battery: Battery) -> float | None:
    """Wh between full and as empty as it may be, at the nominal voltage; None without a capacity."""
    if battery.capacity_ah is None:
        return None
    return battery.capacity_ah * battery.nominal_v * usable_pct(battery) / 100.0


def charge_efficiency(battery: Battery) -> float:
    """Wh that come back of a Wh put in, 0 to 1."""
    return CHARGE_EFFICIENCY_PCT[battery.chemistry or NOT_SAID] / 100.0


def simulate(
    job: Job,
    days: Sequence[Sequence[tuple[float, float]]],
    *,
    night_share: Sequence[float] = EVEN_NIGHTS,
    years: int = YEARS,
    persistence: float = PERSISTENCE,
    seed: int = 0,
) -> Simulation | None:
    """How the job's battery fares with its loads and its driving; None without a battery's capacity.

    days: by month the (Wh, weight) of each kind of day, roof and portable panels together, as they reach
    the battery. night_share: the part of the 24 hours without sun, by month (1 - sunset hour angle / 180°);
    half where it is not known. persistence: see day_kinds.py. The same seed gives the same answer.
    """
    import numpy as np  # not at the top: help must come without it

    room_wh = None if job.battery is None else usable_wh(job.battery)
    if job.battery is None or not room_wh:
        return None
    month_of = np.tile(np.repeat(np.arange(12), DAYS_IN_MONTH), 2)  # the first year does not count
    demand_wh = np.array(demand_wh_day(job))[month_of]
    nights = np.array(night_draw_share(job, night_share))[month_of]
    sun_wh = draw_wh(days, month_of, years=years, persistence=persistence, seed=seed)
    engine_wh = np.array(driving_wh_day(job))[month_of]
    over_wh, short_wh = over_and_short_wh(sun_wh, demand_wh, nights)
    efficiency = charge_efficiency(job.battery)
    run = run_days(over_wh + engine_wh, short_wh, demand_wh * nights, room_wh, efficiency)
    counts = slice(len(month_of) // 2, None)
    months = month_of[counts]
    sunrise_pct = 100.0 * run.sunrise_wh[:, counts] / room_wh
    empty = run.wanted_wh[:, counts] > TINY * demand_wh[counts]
    by_month = [
        np.percentile(sunrise_pct[:, months == m], (LOW_PCT, MIDDLE_PCT, HIGH_PCT)) for m in range(12)
    ]
    low, middle, high = (tuple(float(v) for v in row) for row in np.array(by_month).T)
    band = np.percentile(sunrise_pct, (LOW_PCT, MIDDLE_PCT, HIGH_PCT), axis=0).T
    return Simulation(
        empty_pct=tuple(float(100.0 * empty[:, months == m].mean()) for m in range(12)),
        soc_low_pct=low,
        soc_middle_pct=middle,
        soc_high_pct=high,
        soc_band_pct=tuple((float(a), float(b), float(c)) for a, b, c in band),
        spilled_pct=_spilled_pct(run.spilled_wh[:, counts], (sun_wh + engine_wh)[:, counts], months),
        books=_books(run, sun_wh + engine_wh, demand_wh, counts),
    )


def run_days(
    over_wh: NDArray[np.float64],
    short_wh: NDArray[np.float64],
    night_wh: NDArray[np.float64],
    room_wh: float,
    efficiency: float,
    first_wh: float | None = None,
) -> Run:
    """Every day in order, all years side by side.

    over_wh and short_wh [years, days]: what the day gives to the battery and asks of it; night_wh [days]:
    what the night before asks. room_wh is what the battery holds from empty to full, first_wh what is in it
    at the first sunset (None: full), efficiency (0 to 1) that of charging.
    """
    import numpy as np  # not at the top: help must come without it

    shape = over_wh.shape
    kept = Run(*(np.zeros(shape) for _ in range(5)))
    state_wh = np.full(shape[0], room_wh if first_wh is None else first_wh)
    for day in range(shape[1]):
        half_wh, over = short_wh[:, day] / 2.0, over_wh[:, day]
        sunrise_wh = np.maximum(state_wh - night_wh[day], 0.0)
        morning_wh = np.maximum(sunrise_wh - half_wh, 0.0)
        taken_wh = np.minimum(over, (room_wh - morning_wh) / efficiency)
        evening_wh = np.minimum(morning_wh + taken_wh * efficiency, room_wh)
        wanted_wh = np.maximum(night_wh[day] - state_wh, 0.0) + np.maximum(half_wh - sunrise_wh, 0.0)
        kept.wanted_wh[:, day] = wanted_wh + np.maximum(half_wh - evening_wh, 0.0)
        kept.spilled_wh[:, day] = over - taken_wh
        kept.lost_wh[:, day] = taken_wh * (1.0 - efficiency)
        kept.sunrise_wh[:, day] = sunrise_wh
        state_wh = np.maximum(evening_wh - half_wh, 0.0)
        kept.sunset_wh[:, day] = state_wh
    return kept


def _spilled_pct(
    spilled_wh: NDArray[np.float64], given_wh: NDArray[np.float64], months: NDArray[np.int64]
) -> tuple[float, ...]:
    """Share of what could be given [years, days] for which there was no room, by month; else 0."""
    found = []
    for month in range(12):
        given = float(given_wh[:, months == month].sum())
        found.append(100.0 * float(spilled_wh[:, months == month].sum()) / given if given > 0.0 else 0.0)
    return tuple(found)


def _books(run: Run, given_wh: NDArray[np.float64], demand_wh: NDArray[np.float64], counts: slice) -> Books:
    """What became of every Wh in the days that count, which begin at the sunset before the first of them."""
    years = given_wh.shape[0]
    wanted = float(run.wanted_wh[:, counts].sum()) / years
    return Books(
        given_wh=float(given_wh[:, counts].sum()) / years,
        drawn_wh=float(demand_wh[counts].sum()) - wanted,
        spilled_wh=float(run.spilled_wh[:, counts].sum()) / years,
        lost_wh=float(run.lost_wh[:, counts].sum()) / years,
        kept_wh=float((run.sunset_wh[:, -1] - run.sunset_wh[:, counts.start - 1]).mean()),
        wanted_wh=wanted,
    )
