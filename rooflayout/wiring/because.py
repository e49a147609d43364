"""Why a wiring is as it is: each tracker's strings beside the next shorter and the next longer ones.

The others would carry as many panels on the same tracker; either a limit forbids them or they strain more.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.job import Battery, ControllerModel, Job, PanelModel
from rooflayout.plan import PanelString, Temperatures, Wiring
from rooflayout.wiring import limits
from rooflayout.wiring.enough import held_by_the_battery
from rooflayout.wiring.misses import limit_owner
from rooflayout.wiring.options import LONGEST_SERIES
from rooflayout.wiring.shared import Shares, why_these_in_series
from rooflayout.wiring.strain import (
    EXTRA_LOW_V,
    TOUCH_V,
    Strain,
    Strung,
    strain,
    thickest_drop_pct,
    working_a,
)

NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


@dataclass(frozen=True, slots=True)
class _Way:
    """Equal strings on a tracker, in a job."""

    job: Job
    battery: Battery
    temperatures: Temperatures
    controller: ControllerModel
    model: PanelModel
    in_series: int
    in_parallel: int

    def cold_v(self, in_series: int) -> float:
        return in_series * limits.cold_voc_v(self.model, self.temperatures.coldest_cell_c)

    def strain_of(self, in_series: int, in_parallel: int) -> Strain:
        strung = [Strung(self.model, in_series, in_parallel)]
        return strain(strung, self.temperatures.coldest_cell_c, self.job.cable)


def because(job: Job, wiring: Wiring) -> tuple[tuple[str, str], ...]:
    """For each controller that carries something, its name and the reason in sentences.

    Raises ValueError when the job asks for no wiring, KeyError for a model that it does not know.
    """
    if job.battery is None or job.controllers is None:
        raise ValueError("the job has no battery or no controllers, so nothing can be wired")
    models = job.panel_models()
    controllers = job.controller_models()
    found = []
    for load in wiring.controllers:
        of_tracker: dict[int, list[str]] = {}
        for tracker, strings in _trackers(wiring, load.controller):
            kinds = _kinds(strings)
            if len(kinds) > 1:
                of_tracker[tracker] = [_shared(job, wiring.temperatures, controllers[load.model], kinds)]
                continue
            for (_, model, in_series), in_parallel in kinds.items():
                way = _Way(
                    job,
                    job.battery,
                    wiring.temperatures,
                    controllers[load.model],
                    models[model],
                    in_series,
                    in_parallel,
                )
                of_tracker.setdefault(tracker, []).append(_reason(way))
        if of_tracker:
            held = held_by_the_battery(job, wiring, load.controller)
            last = "" if held is None else f" {held[:1].upper()}{held[1:]}."
            found.append((load.controller, _sentence(of_tracker) + last))
    return tuple(found)


def _trackers(wiring: Wiring, controller: str) -> list[tuple[int, list[PanelString]]]:
    own = [s for s in wiring.strings if s.controller == controller]
    return [(t, [s for s in own if s.tracker == t]) for t in sorted({s.tracker for s in own})]


def _kinds(strings: Sequence[PanelString]) -> Counter[tuple[str, str, int]]:
    """Strings in parallel of each sort on a tracker: facet, model, panels in series."""
    return Counter((s.facet, s.model, s.in_series) for s in strings)


def _shared(
    job: Job,
    temperatures: Temperatures,
    controller: ControllerModel,
    kinds: Counter[tuple[str, str, int]],
) -> str:
    """Where a tracker takes two sorts of strings."""
    each = [
        f"{_how(in_series, in_parallel)} ({model} on {facet})"
        for (facet, model, in_series), in_parallel in kinds.items()
    ]
    told = f"{' beside '.join(each)}: more sorts of panels than trackers"
    models = job.panel_models()
    sorts = [Shares(facet, models[name], n, times) for (facet, name, n), times in kinds.items()]
    if len(sorts) != 2:  # as built, not as planned
        return told
    words = [_number(n) for n in range(max(s.in_series * s.in_parallel for s in sorts) + 1)]
    pair = (sorts[0], sorts[1])
    return f"{told}; {why_these_in_series(job, temperatures, controller, pair, words)}"


def _sentence(of_tracker: dict[int, list[str]]) -> str:
    """A sentence a tracker; those that are wired alike, for the same reason, are told once."""
    reasons = ["; ".join(own) for own in of_tracker.values()]
    if len(set(reasons)) == 1:
        return f"{reasons[0][:1].upper()}{reasons[0][1:]}."
    return " ".join(f"Tracker {tracker}, {own}." for tracker, own in zip(of_tracker, reasons, strict=True))


def _reason(way: _Way) -> str:
    clauses = [c for c in (_not_shorter(way), _not_longer(way)) if c is not None]
    return f"{_how(way.in_series, way.in_parallel)}: {'; '.join(clauses or [_fits(way)])}"


def _how(in_series: int, in_parallel: int) -> str:
    if in_parallel == 1:
        return "one panel alone" if in_series == 1 else f"{_number(in_series)} in series"
    return f"{_number(in_series)} in series, {_number(in_parallel)} in parallel"


def _not_shorter(way: _Way) -> str | None:
    """Why not the next shorter strings, more of them in parallel."""
    if way.in_series == 1:
        return None
    least = limits.least_in_series(way.model, way.controller, way.battery, way.temperatures.hottest_cell_c)
    if way.in_series - 1 < least:
        return _drops_out(way, way.in_series - 1)
    panels = way.in_series * way.in_parallel
    shorter = max(n for n in range(1, way.in_series) if panels % n == 0)
    if shorter < least:
        return f"{_number(panels)} panels do not divide into shorter strings of {_number(least)} or more"
    strings = panels // shorter
    if strings > limits.most_in_parallel(way.model, way.controller):
        design_a = strings * limits.design_isc_a(way.model.isc_a or 0.0)
        return (
            f"{_how(shorter, strings)} count as {design_a:.1f} A short-circuit, above the "
            f"{way.controller.max_pv_isc_a:g} A that the input takes"
        )
    return _strains_more(way, shorter, strings)


def _drops_out(way: _Way, in_series: int) -> str:
    """Where strings are too short for the battery: the cell temperature up to which they would do."""
    who = "a single panel" if in_series == 1 else f"{_number(in_series)} in series"
    needed_v = limits.needed_vmp_v(way.battery, way.controller)
    limit_c = drop_out_c(way.model, in_series, needed_v)
    if limit_c <= way.temperatures.coldest_cell_c:
        return f"{who} would never give the {needed_v:.1f} V that charging {way.battery.nominal_v:g} V takes"
    whole_c = math.ceil(limit_c)
    told = f"{whole_c}" if whole_c <= way.temperatures.hottest_cell_c else f"{limit_c:.1f}"
    return f"at {way.battery.nominal_v:g} V {who} would drop out with cells above {told} °C"


def drop_out_c(model: PanelModel, in_series: int, needed_v: float) -> float:
    """Cell temperature in °C at which a string's operating voltage falls to needed_v."""
    stc_v = in_series * (model.vmp_v or 0.0)
    if stc_v <= 0.0:
        return -math.inf
    pct_per_k = limits.vmp_pct_per_k(model)
    if pct_per_k >= 0.0:
        return math.inf if stc_v >= needed_v else -math.inf
    return limits.STC_CELL_C + 100.0 * (needed_v / stc_v - 1.0) / pct_per_k


def _strains_more(way: _Way, in_series: int, in_parallel: int) -> str | None:
    """What makes shorter strings worse, the first figure in which they are; None when they are not."""
    own, other = way.strain_of(way.in_series, way.in_parallel), way.strain_of(in_series, in_parallel)
    if other <= own:
        return None
    how = _how(in_series, in_parallel)
    if other.steep > own.steep:
        drop_pct = thickest_drop_pct([Strung(way.model, in_series, in_parallel)], way.job.cable)
        most_pct = way.job.cable.most_drop_pct
        return f"{how} would lose {drop_pct:.1f} % even in 10 mm² cable, above {most_pct:g} %"
    if other.above_120 != own.above_120:
        return f"{how} would be more strings above {EXTRA_LOW_V:g} V DC"
    if other.fused != own.fused:
        return f"{how} would need a fuse for each string"
    if other.above_60 != own.above_60:
        return f"{how} would be more strings above {TOUCH_V:g} V DC"
    own_a, other_a = working_a(way.model, way.in_parallel), working_a(way.model, in_parallel)
    return f"{how} would bring {other_a:.1f} A instead of {own_a:.1f} A, so more loss in the cable"


def _not_longer(way: _Way) -> str | None:
    """Why not the next longer strings, fewer of them in parallel."""
    panels = way.in_series * way.in_parallel
    longer = min((n for n in range(way.in_series + 1, panels + 1) if panels % n == 0), default=None)
    if longer is None:
        return None
    cold_v, how = way.cold_v(longer), f"{_number(longer)} in series"
    cap_v = way.job.wiring_rules.most_string_v
    most = limits.most_in_series(way.model, way.controller, way.temperatures.coldest_cell_c, cap_v)
    if longer > most:
        limit_v = limits.string_limit_v(way.model, way.controller, cap_v)
        _, owner = limit_owner(way.model, way.controller, limit_v)
        return (
            f"{how} would reach {_above(cold_v, limit_v)} V in the cold, above the {limit_v:g} V that {owner}"
        )
    if longer > LONGEST_SERIES:
        return f"{how} is longer than any string that is planned"
    own, other = way.strain_of(way.in_series, way.in_parallel), way.strain_of(longer, panels // longer)
    for name, class_v in (("above_120", EXTRA_LOW_V), ("above_60", TOUCH_V)):
        if own < other and getattr(other, name) > getattr(own, name):
            return f"{how} would reach {_above(cold_v, class_v)} V in the cold, above {class_v:g} V DC"
    return None


def _fits(way: _Way) -> str:
    """Where there is nothing to compare with: what it gives and what it takes."""
    hot_v = way.in_series * limits.hot_vmp_v(way.model, way.temperatures.hottest_cell_c)
    needed_v = limits.needed_vmp_v(way.battery, way.controller)
    return f"{hot_v:.1f} V in the heat, where charging {way.battery.nominal_v:g} V takes {needed_v:.1f} V"


def _above(value: float, limit: float) -> str:
    """A value above a limit in whole units, or as finely as it takes to be seen above it."""
    for decimals in range(4):
        text = f"{value:.{decimals}f}"
        if float(text) > limit:
            break
    return text


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else str(count)
