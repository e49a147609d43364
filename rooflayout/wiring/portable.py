"""Portable panels: how they are joined and what they give, plugged in beside those on the roof."""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.job import Battery, Job, PortablePanels
from rooflayout.plan import Note, PortableString, Temperatures
from rooflayout.wiring import limits
from rooflayout.wiring.misses import misses
from rooflayout.wiring.strain import TOUCH_V, is_above


def portable_strings(job: Job, temperatures: Temperatures) -> tuple[PortableString, ...]:
    """Each entry of the job as it is plugged in; those that their input cannot take are left out.

    Raises ValueError when the job has no battery.
    """
    if job.battery is None:
        raise ValueError("the job has no battery, so portable panels charge nothing")
    found = []
    for own in job.portable:
        joined = joining(own, job.battery, temperatures, job.wiring_rules.most_string_v)
        if joined is not None:
            found.append(_string(own, job.battery, temperatures, *joined))
    return tuple(found)


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
    least = limits.least_in_series(model, controller, battery, temperatures.hottest_cell_c)
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
    """A note for each entry that its input cannot take, with the reason; and one for those that it can."""
    battery = job.battery
    if battery is None:
        return
    cap_v = job.wiring_rules.most_string_v
    for own in job.portable:
        if joining(own, battery, temperatures, cap_v) is None:
            missed = misses(own.model, own.controller, battery, temperatures, cap_v)
            reason = " ".join(m.sentence for m in missed)
            reason = reason or f"{own.count} cannot be joined in equal strings within its limits."
            text = f"{own.name}: {own.controller.model} cannot take {own.count} x {own.model.model}. {reason}"
            yield Note("warning", "portable-not-taken", text)
        else:
            text = (
                f"{own.name} plugs in by touch-proof connectors of one make, fused at the battery; "
                "cover the panels or lay them face down before plugging or unplugging."
            )
            yield Note("caution", "portable-live", text)


def _string(
    own: PortablePanels, battery: Battery, temperatures: Temperatures, in_series: int, in_parallel: int
) -> PortableString:
    model, controller = own.model, own.controller
    assert model.isc_a is not None  # else it could not be joined
    power_w = own.count * model.power_w
    return PortableString(
        name=own.name,
        model=model.model,
        into=controller.model,
        own_controller=own.own_controller,
        in_series=in_series,
        in_parallel=in_parallel,
        voc_cold_v=in_series * limits.cold_voc_v(model, temperatures.coldest_cell_c),
        vmp_hot_v=in_series * limits.hot_vmp_v(model, temperatures.hottest_cell_c),
        isc_a=in_parallel * model.isc_a,
        power_w=power_w,
        charge_a=limits.charge_a(power_w, controller, battery),
        clipped_w=limits.clipped_w(power_w, controller, battery),
    )
