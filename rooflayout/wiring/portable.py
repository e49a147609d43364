"""Portable panels: how they are joined and what they give, plugged in beside those on the roof.

They stand in free air, so in the heat their cells are cooler than those of panels flush on a roof: every
function takes the temperatures of the roof and makes in_free_air of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rooflayout.job import Battery, Job, PortablePanels
from rooflayout.plan import Note, PortableString, Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.misses import misses
from rooflayout.wiring.strain import TOUCH_V, is_above


@dataclass(frozen=True, slots=True)
class Planned:
    """An entry of the job: in_series and in_parallel as it is plugged in, or 0 and the reason why not."""

    own: PortablePanels
    in_series: int = 0
    in_parallel: int = 0
    charge_a: float = 0.0
    most_a: float = 0.0  # what of the battery's limit it takes: limits.low_charge_a
    reason: str = ""

    @property
    def taken(self) -> bool:
        """True when its input, and the battery, can take it."""
        return self.in_series > 0


def in_free_air(temperatures: Temperatures) -> Temperatures:
    """The same air, with cells as hot as they get with air on both sides (limits.open_rack_cell_c)."""
    return replace(temperatures, hottest_cell_c=limits.open_rack_cell_c(temperatures.hottest_air_c))


def planned(job: Job, temperatures: Temperatures) -> tuple[Planned, ...]:
    """Each entry of the job, in its order; the battery's largest charge current goes to the first ones.

    They are not set down, so each counts with what it charges a low battery with.
    Raises ValueError when the job has no battery.
    """
    if job.battery is None:
        raise ValueError("the job has no battery, so portable panels charge nothing")
    battery, most_a = job.battery, job.battery.most_charge_a
    found: list[Planned] = []
    for own in job.portable:
        joined = joining(own, battery, temperatures, job.wiring_rules.most_string_v)
        power_w = own.count * own.model.power_w
        charge_a = limits.charge_a(power_w, own.controller, battery)
        could_a = limits.low_charge_a(power_w, own.controller, battery)
        before_a = sum(p.most_a for p in found)
        if joined is None:
            found.append(Planned(own, reason=_why_not_joined(job, own, battery, temperatures)))
        elif most_a is not None and before_a + could_a > most_a * (1.0 + limits.TOLERANCE):
            beside = f", {before_a:.1f} A of it go to the portable panels before it" if before_a else ""
            reason = (
                f"It would charge with up to {could_a:.1f} A; the battery takes {most_a:g} A at most{beside}."
            )
            found.append(Planned(own, reason=reason))
        else:
            found.append(Planned(own, *joined, charge_a, could_a))
    return tuple(found)


def portable_strings(job: Job, temperatures: Temperatures) -> tuple[PortableString, ...]:
    """Each entry of the job as it is plugged in; those that cannot be taken are left out.

    Raises ValueError when the job has no battery.
    """
    return tuple(_string(job, p, temperatures) for p in planned(job, temperatures) if p.taken)


def joining(
    own: PortablePanels, battery: Battery, temperatures: Temperatures, most_string_v: float | None
) -> tuple[int, int] | None:
    """(in series, in parallel) of all the panels, or None when the input takes them in no way.

    Not above TOUCH_V at the coldest where that is possible, for leads lie in the grass; then as many in
    series as go: less current.
    """
    model, controller = own.model, own.controller
    if not limits.serves_battery(controller, battery):
        return None
    hottest_c = in_free_air(temperatures).hottest_cell_c
    least = limits.least_in_series(model, controller, battery, hottest_c)
    most = limits.most_in_series(model, controller, temperatures.coldest_cell_c, most_string_v)
    parallel = limits.most_in_parallel(model, controller)
    cold_v = limits.cold_voc_v(model, temperatures.coldest_cell_c)
    ways = [
        (n, own.count // n)
        for n in range(least, min(most, own.count) + 1)
        if own.count % n == 0 and own.count // n <= parallel
    ]
    return max(ways, key=lambda way: (not is_above(way[0] * cold_v, TOUCH_V), way[0]), default=None)


def portable_notes(job: Job, temperatures: Temperatures) -> Iterator[Note]:
    """A note for each entry, with the reason where it cannot be taken; and one on shared inputs."""
    if job.battery is None:
        return
    sharing: dict[str, list[str]] = {}
    for p in planned(job, temperatures):
        own = p.own
        if not p.taken:
            text = (
                f"{own.name}: {own.controller.model} cannot take {own.count} x {own.model.model}. {p.reason}"
            )
            yield Note("warning", "portable-not-taken", text)
            continue
        text = (
            f"{own.name} plugs in by touch-proof connectors of one make, fused at the battery; "
            "cover the panels or lay them face down before plugging or unplugging."
        )
        yield Note("caution", "portable-live", text)
        if not own.own_controller:
            sharing.setdefault(own.controller.model, []).append(own.name)
    for into, names in sharing.items():
        if len(names) > 1:
            text = f"{' and '.join(names)} share the solar input of {into}: plug in one at a time."
            yield Note("caution", "portable-shared-input", text)


def _why_not_joined(job: Job, own: PortablePanels, battery: Battery, temperatures: Temperatures) -> str:
    """The limits that are missed; where none is, that so many panels make no equal strings within them."""
    model, controller, cap_v = own.model, own.controller, job.wiring_rules.most_string_v
    temperatures = in_free_air(temperatures)
    missed = misses(model, controller, battery, temperatures, cap_v)
    if missed:
        return " ".join(m.sentence for m in missed)
    least = limits.least_in_series(model, controller, battery, temperatures.hottest_cell_c)
    most = limits.most_in_series(model, controller, temperatures.coldest_cell_c, cap_v)
    parallel = limits.most_in_parallel(model, controller)
    series = f"{least}" if least == most else f"{least} to {most}"
    panels = "1 panel makes" if own.count == 1 else f"{own.count} panels make"
    return (
        f"{panels} no equal strings of {series} in series, at most {parallel} in parallel, "
        f"which is what its limits of {limits.string_limit_v(model, controller, cap_v):g} V and "
        f"{controller.max_pv_isc_a:g} A and the battery's {battery.charge_v:g} V allow."
    )


def _string(job: Job, planned_as: Planned, temperatures: Temperatures) -> PortableString:
    own, in_series, in_parallel = planned_as.own, planned_as.in_series, planned_as.in_parallel
    model, controller = own.model, own.controller
    assert model.isc_a is not None  # else it could not be joined
    assert job.battery is not None
    power_w = own.count * model.power_w
    return PortableString(
        name=own.name,
        model=model.model,
        into=controller.model,
        own_controller=own.own_controller,
        in_series=in_series,
        in_parallel=in_parallel,
        voc_cold_v=in_series * limits.cold_voc_v(model, temperatures.coldest_cell_c),
        vmp_hot_v=in_series * limits.hot_vmp_v(model, in_free_air(temperatures).hottest_cell_c),
        isc_a=in_parallel * model.isc_a,
        power_w=power_w,
        charge_a=planned_as.charge_a,
        clipped_w=limits.clipped_w(power_w, controller, job.battery),
    )
