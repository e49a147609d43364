"""Months with frost: what they may do to battery and panels, which no figure reckons with.

Neither the warmth of a battery's place nor snow is known, so neither is modelled; what is told is when to
think of them. A place that is colder than its square of the packaged grid, as on a mountain, is known by the
job's own coldest temperature: its months of frost and snow are those of air so much colder.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Protocol

from rooflayout.energy.climate import COLDEST_ONE_IN_TWENTY_K, COLDEST_PER_K, coldest_design_c
from rooflayout.energy.outside import outside_by_month
from rooflayout.energy.sky import half_range_k
from rooflayout.job import Job
from rooflayout.months import DAYS_IN_MONTH
from rooflayout.wiring.battery_kind import FREEZING_C

SNOW_C = 2.0  # mean of day and night, below which snow may lie; common practice, no source
OFTEN_PCT = 10.0  # of a month's mornings: three a month
LOW_SCATTER_K = 4.0  # standard deviation of a month's daily lows, middle latitudes in winter; from memory


class MonthAir(Protocol):
    """What is known of a month: daily sun on the level and mean air of day and night."""

    @property
    def sun_kwh_m2_day(self) -> float: ...

    @property
    def air_c(self) -> float: ...


@dataclass(frozen=True, slots=True)
class ColderPlace:
    """A place whose coldest temperature the packaged air does not explain."""

    coldest_c: float  # the job's
    estimate_c: float  # by the packaged air
    colder_k: float  # by so much its monthly means are taken to be colder


def colder_place(job: Job) -> ColderPlace | None:
    """Where the job's coldest lies further under the estimate than this is uncertain by; else None.

    Only where the air is the packaged one: the job's own air, or a weather file's, is of the place itself.
    The means are taken to be colder by what the rule from mean to coldest (climate.py) makes of it.
    """
    site, own = job.site, job.climate
    if site is None or site.coldest_c is None or own.air_c is not None or own.weather:
        return None
    if site.latitude_deg is None or site.longitude_deg is None:
        return None
    estimate_c = coldest_design_c(site.latitude_deg, site.longitude_deg)
    under_k = estimate_c - site.coldest_c
    if under_k <= COLDEST_ONE_IN_TWENTY_K:
        return None
    return ColderPlace(site.coldest_c, estimate_c, under_k / COLDEST_PER_K)


def morning_frost_pct(job: Job, months: Sequence[MonthAir]) -> tuple[float, ...]:
    """Share of mornings below 0 °C outside, by month, in %; an estimate.

    From a weather file its own days. Else daily lows lie below the month's mean by half the range that its
    clearness brings (sky.half_range_k), and scatter by LOW_SCATTER_K like a normal distribution. Without a
    latitude the lows count as the means. In a colder_place all are so much lower.
    """
    if job.climate.weather:
        return _of_days(job)
    latitude_deg = None if job.site is None else job.site.latitude_deg
    colder_k = _colder_k(job)
    outside = (0.0,) * len(months) if latitude_deg is None else outside_by_month(latitude_deg)
    found = []
    for month, beyond in zip(months, outside, strict=True):
        clearness = month.sun_kwh_m2_day / beyond if beyond > 0.0 else 0.0
        low_c = month.air_c - colder_k - float(half_range_k(clearness))
        found.append(100.0 * NormalDist(low_c, LOW_SCATTER_K).cdf(FREEZING_C))
    return tuple(found)


def frosty_months(job: Job, months: Sequence[MonthAir]) -> list[int]:
    """Months (0 to 11) in which one morning in ten or more freezes."""
    return [i for i, pct in enumerate(morning_frost_pct(job, months)) if pct >= OFTEN_PCT]


def snowy_months(job: Job, months: Sequence[MonthAir]) -> list[int]:
    """Months (0 to 11) so cold that snow may lie on the panels."""
    colder_k = _colder_k(job)
    return [i for i, month in enumerate(months) if month.air_c - colder_k < SNOW_C]


def _colder_k(job: Job) -> float:
    place = colder_place(job)
    return 0.0 if place is None else place.colder_k


def is_lithium(job: Job) -> bool:
    """Whether the job's battery must not be charged in frost."""
    return job.battery is not None and job.battery.chemistry == "lithium"


def unreckoned_by_month(job: Job, months: Sequence[MonthAir]) -> tuple[str, ...]:
    """What a month's figures leave out, in words; empty where there is nothing of the kind.

    Snow on the panels, and frost that stops a lithium battery's charging: notes.py tells more of both.
    """
    frosty, snowy = frosty_months(job, months) if is_lithium(job) else [], snowy_months(job, months)
    return tuple(_left_out(i in snowy, i in frosty) for i in range(len(months)))


def _left_out(snow: bool, frost: bool) -> str:
    if snow and frost:
        return "neither snow nor frost is reckoned with"
    return f"{'snow' if snow else 'frost'} is not reckoned with" if snow or frost else ""


def _of_days(job: Job) -> tuple[float, ...]:
    """Of a weather file's days: those whose coldest hour is below 0 °C; 0 in months without hours."""
    lows: dict[int, float] = {}
    for hour in job.climate.weather:
        day = min(max(hour.day_of_year, 1), sum(DAYS_IN_MONTH))
        lows[day] = min(hour.air_c, lows.get(day, hour.air_c))
    found, first = [], 1
    for length in DAYS_IN_MONTH:
        own = [low for day, low in lows.items() if first <= day < first + length]
        found.append(100.0 * sum(low < FREEZING_C for low in own) / len(own) if own else 0.0)
        first += length
    return tuple(found)
