"""What unlike strings in parallel on one tracker lose beside each on a tracker of its own.

The tracker is taken to find the highest peak. There are no blocking diodes: a string above its own
open-circuit voltage takes current from the others. The worst of a few conditions counts: standard test
conditions, hottest noon, and for sun from every STEPS_DEG all round, at ALTITUDES_DEG on the hottest day and
at LOW_DEG on the coldest, what falls on each facet by its slope and direction (clear sky, no shadows, nothing
reflected from the ground).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from rooflayout.facing import downhill_from_front_deg
from rooflayout.job import Facet, Job, PanelModel
from rooflayout.plan import Mismatch, Note, PanelString, Severity, Temperatures, Wiring
from rooflayout.wiring.curves import Curve, LitPanel, best_power_w, panel_curve, parallel_curve
from rooflayout.wiring.limits import FULL_SUN_W_M2, STC_CELL_C, TOLERANCE, flush_cell_c

ALTITUDES_DEG = (15.0, 30.0, 60.0)
LOW_DEG = (15.0, 30.0)  # common practice, no source: the coldest day is in winter
STEPS_DEG = 45.0
NO_LOSS_PCT = 0.05  # what would print as 0.0 %
SUN_W_M2 = 1353.0  # normal to the beam outside the air, in the formula of direct_w_m2
DIFFUSE_PART = 0.1  # of the direct light, from all over the sky: common practice, no source


@dataclass(frozen=True, slots=True)
class StringPart:
    """in_parallel alike strings of in_series panels, as they stand in the sun."""

    panel: PanelModel
    in_series: int
    in_parallel: int = 1
    irradiance_w_m2: float = FULL_SUN_W_M2
    cell_c: float = STC_CELL_C


@dataclass(frozen=True, slots=True)
class Condition:
    """Sun and cell temperature of each facet, in the order asked for; words say when that is."""

    words: str
    irradiance_w_m2: tuple[float, ...]
    cell_c: tuple[float, ...]


def loss_pct(parts: Sequence[StringPart], bypass_diodes: int = 1) -> float:
    """What parts in parallel on one tracker lose, in % of what each would give on its own; 0 in the dark.

    Raises ValueError when there are no parts or a panel lacks figures that its curve needs.
    """
    curves = [part_curve(part, bypass_diodes) for part in parts]
    alone_w = sum(best_power_w(curve) for curve in curves)
    if alone_w <= 0.0:
        return 0.0
    return max(0.0, 100.0 * (1.0 - best_power_w(parallel_curve(curves)) / alone_w))


def worst_loss(
    parts: Sequence[StringPart],
    facets: Sequence[Facet],
    temperatures: Temperatures,
    heading_deg: float | None = None,
) -> tuple[float, str]:
    """The largest loss_pct over conditions of parts that lie on these facets, and when that is.

    The parts' own irradiance and cell temperature do not count.
    """
    found = []
    for condition in conditions(tuple(facets), temperatures, heading_deg):
        suns = zip(condition.irradiance_w_m2, condition.cell_c, strict=True)
        lit = [
            replace(part, irradiance_w_m2=sun, cell_c=cell_c)
            for part, (sun, cell_c) in zip(parts, suns, strict=True)
        ]
        found.append((loss_pct(lit), condition.words))
    return max(found, key=lambda loss: loss[0])


def wiring_mismatch(job: Job, wiring: Wiring) -> tuple[Mismatch, ...]:
    """A Mismatch for every tracker whose strings differ in model, number of panels or facet.

    Raises KeyError for a facet or model that the job does not know.
    """
    return tuple(
        Mismatch(
            controller=strings[0].controller,
            tracker=strings[0].tracker,
            strings=tuple(s.string for s in strings),
            loss_pct=_worst(job, wiring, strings)[0],
        )
        for strings in _unlike(wiring)
    )


def mismatch_notes(job: Job, wiring: Wiring) -> tuple[Note, ...]:
    """A note for every tracker with unlike strings: what they lose, when, and whether the job allows it."""
    most_pct = job.wiring_rules.most_mismatch_pct
    found = []
    for strings in _unlike(wiring):
        loss, when = _worst(job, wiring, strings)
        sorts: dict[tuple[str, int, str], list[str]] = {}
        for s in strings:
            sorts.setdefault(_sort(s), []).append(s.string)
        words = "; ".join(
            f"{', '.join(names)}: {in_series} x {model} on {facet}"
            for (model, in_series, facet), names in sorts.items()
        )
        within = loss <= most_pct * (1.0 + TOLERANCE)
        allowed = (
            f"within the {most_pct:g} % that the job allows"
            if within
            else (f"more than the {most_pct:g} % that the job allows: give them trackers of their own")
        )
        text = (
            f"{strings[0].controller} tracker {strings[0].tracker} has unlike strings in parallel ({words}). "
            f"Together they lose {loss:.1f} % at most ({when}), {allowed}."
        )
        severity: Severity = "warning" if not within else "caution" if loss >= NO_LOSS_PCT else "info"
        found.append(Note(severity, "mismatch", text))
    return tuple(found)


@lru_cache(maxsize=256)
def conditions(
    facets: tuple[Facet, ...], temperatures: Temperatures, heading_deg: float | None = None
) -> tuple[Condition, ...]:
    """The conditions that worst_loss looks at.

    Facets that face alike always get the same sun: beside STC and noon they are looked at in low sun on the
    coldest and on the hottest day. Others are looked at with the sun all round on both days, as a vehicle may
    park every way. heading_deg: bearing of the front; where it is None the front counts as north.
    """
    count = len(facets)
    hot_c, cold_c = temperatures.hottest_air_c, temperatures.coldest_cell_c
    found = [
        Condition("standard test conditions", (FULL_SUN_W_M2,) * count, (STC_CELL_C,) * count),
        Condition("hottest noon", (FULL_SUN_W_M2,) * count, (temperatures.hottest_cell_c,) * count),
    ]
    faces = {(f.slope_deg, downhill_from_front_deg(f, heading_deg) if f.slope_deg else None) for f in facets}
    if len(faces) == 1:
        sun = direct_w_m2(ALTITUDES_DEG[0]) * (math.sin(math.radians(ALTITUDES_DEG[0])) + DIFFUSE_PART)
        for air_c, day in ((cold_c, "coldest"), (hot_c, "hottest")):
            cells = (lit_cell_c(air_c, sun),) * count
            found.append(Condition(f"low sun on the {day} day", (sun,) * count, cells))
        return tuple(found)
    days = (("hottest", hot_c, ALTITUDES_DEG), ("coldest", cold_c, LOW_DEG))
    for day, air_c, altitude_deg in ((d, c, a) for d, c, altitudes in days for a in altitudes):
        for step in range(round(360.0 / STEPS_DEG)):
            sun_deg = step * STEPS_DEG
            suns = tuple(facet_sun_w_m2(f, altitude_deg, sun_deg, heading_deg) for f in facets)
            cells = tuple(lit_cell_c(air_c, sun) for sun in suns)
            words = f"{day} day, sun at {altitude_deg:g}°, {sun_deg:g}° clockwise from the front"
            found.append(Condition(words, suns, cells))
    return tuple(found)


def direct_w_m2(altitude_deg: float) -> float:
    """Light straight from the sun on a plane normal to it, clear sky, in W/m².

    1353 x 0.7 ** (AM ** 0.678) with air mass AM = 1 / sin(altitude): Meinel and Meinel, Applied Solar
    Energy (1976), from memory.
    """
    air_mass = 1.0 / math.sin(math.radians(altitude_deg))
    return float(SUN_W_M2 * 0.7 ** (air_mass**0.678))


def facet_sun_w_m2(
    facet: Facet, altitude_deg: float, sun_deg: float, heading_deg: float | None = None
) -> float:
    """Irradiance in W/m² of a facet, the sun sun_deg clockwise from the front, seen from above.

    Direct light by the cosine of its angle to the facet's normal, and DIFFUSE_PART of it from an even sky
    (Liu and Jordan 1963). A slope whose direction is not known counts as level.
    """
    slope, altitude = math.radians(facet.slope_deg), math.radians(altitude_deg)
    downhill_deg = downhill_from_front_deg(facet, heading_deg)
    cosine = math.sin(altitude) * math.cos(slope)
    if downhill_deg is None:
        slope, cosine = 0.0, math.sin(altitude)
    else:
        beside = math.radians(sun_deg - downhill_deg)
        cosine += math.cos(altitude) * math.sin(slope) * math.cos(beside)
    sky = DIFFUSE_PART * (1.0 + math.cos(slope)) / 2.0
    return direct_w_m2(altitude_deg) * (max(0.0, cosine) + sky)


def lit_cell_c(air_c: float, irradiance_w_m2: float) -> float:
    """Cell temperature in °C of a panel flush on a roof: limits.flush_cell_c's rise, by the sun on it."""
    return air_c + (flush_cell_c(air_c) - air_c) * irradiance_w_m2 / FULL_SUN_W_M2


@lru_cache(maxsize=4096)
def part_curve(part: StringPart, bypass_diodes: int = 1) -> Curve:
    """The curve of a part: one panel's, as many times as high and as wide."""
    curve = panel_curve(LitPanel(part.panel, part.irradiance_w_m2, part.cell_c), bypass_diodes)
    return Curve(part.in_series * curve.voltage_v, part.in_parallel * curve.current_a)


def _sort(string: PanelString) -> tuple[str, int, str]:
    return string.model, string.in_series, string.facet


def _unlike(wiring: Wiring) -> list[list[PanelString]]:
    """The strings of every tracker that has more than one sort of them."""
    trackers: dict[tuple[str, int], list[PanelString]] = {}
    for s in wiring.strings:
        trackers.setdefault((s.controller, s.tracker), []).append(s)
    return [own for own in trackers.values() if len({_sort(s) for s in own}) > 1]


def _worst(job: Job, wiring: Wiring, strings: Sequence[PanelString]) -> tuple[float, str]:
    models = job.panel_models()
    counts: dict[tuple[str, int, str], int] = {}
    for s in strings:
        counts[_sort(s)] = counts.get(_sort(s), 0) + 1
    parts = [StringPart(models[model], series, count) for (model, series, _), count in counts.items()]
    facets = [job.facet(facet) for _, _, facet in counts]
    return worst_loss(parts, facets, wiring.temperatures, _heading_deg(job))


def _heading_deg(job: Job) -> float | None:
    return None if job.site is None else job.site.heading_deg
