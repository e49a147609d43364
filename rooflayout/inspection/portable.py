"""Whether portable panels hold: that they are the job's, what their input takes, and the figures stated.

A portable string's limits are those of its own input: the voltage in the cold and in the heat, 1.25 times
the short-circuit current, the battery served. The same arithmetic as for strings on the roof, but that
their cells have air on both sides.

Source: King et al. 2004, SAND2004-3535 (cell temperature, glass/glass on an open rack).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from rooflayout.inspection.breach import Breach, figures, plain
from rooflayout.inspection.electrical import (
    CURRENT_FACTOR,
    coldest_c,
    hottest_air_c,
    lacking,
    vmp_hot_v,
    voc_cold_v,
)
from rooflayout.inspection.lookup import TOLERANCE
from rooflayout.inspection.stated import wrong
from rooflayout.job import Job, PortablePanels
from rooflayout.plan import Plan, PortableString

NOT_TAKEN = "portable-not-taken"  # the code of the note on a set that no input takes


def asked_of(job: Job, string: PortableString) -> PortablePanels | None:
    """The job's entry of that name."""
    return next((own for own in job.portable if own.name == string.name), None)


def open_rack_cell_c(air_c: float) -> float:
    """Cell temperature, °C, of a panel in free air at 1000 W/m2 and 1 m/s."""
    return air_c + 1000 * math.exp(-3.47 - 0.0594 * 1.0) + 3.0


def portable_are_the_jobs(job: Job, plan: Plan) -> Iterator[Breach]:
    """Each is an entry of the job, stated once: its model, all its panels, and what it plugs into."""
    strings = _strings(plan)
    for name, times in Counter(s.name for s in strings).items():
        if times > 1:
            yield Breach("name-twice", name, f"{times} portable panels are called {name}; 1 may be")
    for s in strings:
        own = asked_of(job, s)
        if own is None:
            known = ", ".join(p.name for p in job.portable) or "none"
            yield Breach("portable", s.name, f"the plan has portable panels {s.name}; the job has {known}")
            continue
        if s.model != own.model.model:
            yield Breach("portable", s.name, f"{s.name} states the model {s.model}; it is {own.model.model}")
        if s.in_series < 1 or s.in_parallel < 1 or s.in_series * s.in_parallel != own.count:
            text = (
                f"{s.name} has {s.in_series} in series and {s.in_parallel} in parallel; there are {own.count}"
            )
            yield Breach("portable", s.name, f"{text} panels")
        if (s.into, s.own_controller) != (own.controller.model, own.own_controller):
            kind = "its own" if own.own_controller else "the vehicle charger"
            text = f"{s.name} plugs into {s.into}; the job says {own.controller.model}, {kind}"
            yield Breach("portable", s.name, text)


def portable_are_all_there(job: Job, plan: Plan) -> Iterator[Breach]:
    """Each of the job's is in the plan, or a note tells that it is not taken; no wiring, none asked."""
    if plan.wiring is None or job.battery is None:
        return
    stated = {s.name for s in _strings(plan)}
    said = [n.text for n in plan.notes if n.code == NOT_TAKEN]
    for own in job.portable:
        if own.name not in stated and not any(text.startswith(f"{own.name}:") for text in said):
            text = f"the job has portable panels {own.name}; the plan neither has them nor says why not"
            yield Breach("portable-missing", own.name, text)


def portable_below_voltage(job: Job, plan: Plan) -> Iterator[Breach]:
    """Open-circuit voltage at the coldest within the limits of the input, of the panels and of the job."""
    cold = coldest_c(job, plan)
    for s, own in _known(job, plan):
        voc = s.in_series * voc_cold_v([own.model], cold)
        for code, most, whose in (
            ("pv-voltage", own.controller.max_pv_v, f"{own.controller.model} takes at most"),
            ("system-voltage", own.model.max_system_v, "its panels are made for at most"),
            ("most-string-voltage", job.wiring_rules.most_string_v, "the job allows"),
        ):
            if most is not None and voc > most + TOLERANCE:
                a, b = figures(voc, most)
                text = f"{s.name} reaches {a} V open-circuit at {plain(cold)} °C; {whose} {b} V"
                yield Breach(code, s.name, text)


def portable_above_charge_voltage(job: Job, plan: Plan) -> Iterator[Breach]:
    """Operating voltage at the hottest reaches the charge voltage plus what the input needs."""
    air = hottest_air_c(job, plan)
    cell = open_rack_cell_c(air)
    for s, own in _known(job, plan):
        if job.battery is None:
            continue
        needed, vmp = (
            job.battery.charge_v + own.controller.start_above_battery_v,
            s.in_series * vmp_hot_v([own.model], cell),
        )
        if vmp < needed - TOLERANCE:
            a, b = figures(vmp, needed)
            text = f"{s.name} gives {a} V in {plain(air)} °C air, its cells at {plain(cell, 1)} °C; at least "
            yield Breach("charge-voltage", s.name, f"{text}{b} V are needed for {own.controller.model}")


def portable_below_current(job: Job, plan: Plan) -> Iterator[Breach]:
    """1.25 times the short-circuit current within what the input takes."""
    for s, own in _known(job, plan):
        assert own.model.isc_a is not None
        design, most = CURRENT_FACTOR * s.in_parallel * own.model.isc_a, own.controller.max_pv_isc_a
        if design > most + TOLERANCE:
            a, b = figures(design, most)
            text = f"{s.name} counts as {a} A short-circuit with the factor of 1.25; "
            yield Breach("pv-current", s.name, f"{text}{own.controller.model} takes at most {b} A")


def portable_battery_is_served(job: Job, plan: Plan) -> Iterator[Breach]:
    """What they plug into serves the battery's nominal voltage."""
    for s in _strings(plan):
        own = asked_of(job, s)
        if own is None:
            continue
        into, served = own.controller.model, ", ".join(plain(v) for v in own.controller.battery_v) or "none"
        if job.battery is None:
            yield Breach("battery-voltage", s.name, f"{s.name} charges nothing; the job names no battery")
        elif all(abs(job.battery.nominal_v - v) > TOLERANCE for v in own.controller.battery_v):
            text = f"the battery has {plain(job.battery.nominal_v)} V; {into} serves {served} V"
            yield Breach("battery-voltage", s.name, text)


def portable_figures_are_right(job: Job, plan: Plan) -> Iterator[Breach]:
    """Stated voltages, currents, watts and clipped watts are those of the panels and the input.

    The charge current may not be left out where the battery has a limit: it is part of what is charged.
    """
    cold, cell = coldest_c(job, plan), open_rack_cell_c(hottest_air_c(job, plan))
    for s, own in _known(job, plan):
        if job.battery is None:
            continue
        share = own.controller.efficiency_pct / 100
        power, most_a = s.in_series * s.in_parallel * own.model.power_w, own.controller.max_charge_a
        assert own.model.isc_a is not None
        yield from wrong(
            s.name,
            {
                "voc_cold_v": (s.voc_cold_v, s.in_series * voc_cold_v([own.model], cold)),
                "vmp_hot_v": (s.vmp_hot_v, s.in_series * vmp_hot_v([own.model], cell)),
                "isc_a": (s.isc_a, s.in_parallel * own.model.isc_a),
                "power_w": (s.power_w, power),
                "charge_a": (s.charge_a, min(most_a, power * share / job.battery.charge_v)),
                "clipped_w": (s.clipped_w, max(0.0, power - most_a * job.battery.charge_v / share)),
            },
        )
        if job.battery.most_charge_a is not None and math.isnan(s.charge_a):
            text = (
                f"{s.name} states no charge_a; that the battery's {plain(job.battery.most_charge_a)} A hold "
            )
            yield Breach("battery-charge", s.name, f"{text}cannot be shown")


def _strings(plan: Plan) -> tuple[PortableString, ...]:
    return plan.wiring.portable if plan.wiring else ()


def _known(job: Job, plan: Plan) -> Iterator[tuple[PortableString, PortablePanels]]:
    """The portable strings that the job knows, with their entry.

    A panel whose figures the catalogue leaves blank cannot be checked; the reader lets no such job pass.
    """
    for s in _strings(plan):
        own = asked_of(job, s)
        if own is not None and not lacking([own.model]):
            yield s, own
