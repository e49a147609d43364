"""What each cable of a wiring has to do, before its size is chosen.

Rules followed: IEC 62548 on the roof (from memory): a cable carries 1.25 times Isc of its strings for
good. NEC 690.8(B) (from memory) asks another 1.25 as at 30 °C, ambient and bundle left out: of AWG sizes,
by what their terminals take. Battery cables: the next standard fuse from 1.25 times what the controller can
charge with, and a cable that carries as much as its fuse (NEC, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rooflayout.job import Job
from rooflayout.plan import ControllerLoad, PanelString, PlacedPanel, RunKind, Wiring
from rooflayout.wiring.conductors import Laid
from rooflayout.wiring.lengths import (
    Length,
    bar_to_battery,
    controller_to_battery,
    gland_to_controller,
    roof_run,
)
from rooflayout.wiring.limits import design_isc_a
from rooflayout.wiring.protection import (
    CONTINUOUS_FACTOR,
    FuseChoice,
    battery_fuse,
    feed_a,
    needs_fuse,
    string_fuse,
)
from rooflayout.wiring.sizing import Need
from rooflayout.wiring.strain import working_a

# Cables within 23 mm of a roof in the sun count as in air hotter by so much: NEC 310.15(B), from memory.
HOT_ROOF_K = 33.0

# Air in a closed cupboard with controllers, above the hottest outside: common practice, no source
CUPBOARD_K = 10.0

# No single conductor on a boat is thinner than 16 AWG, which has 1.31 mm²: 33 CFR 183.425 (read)
BOAT_LEAST_MM2 = 1.3

BUSBAR, BATTERY = "busbar", "battery"  # ends of cables


@dataclass(frozen=True, slots=True)
class Draft:
    """A run before its sizes are chosen."""

    kind: RunKind
    start: str
    end: str
    current_a: float
    estimated: bool
    need: Need
    fuse: FuseChoice | None  # None: it needs none
    isolator: bool


def roof_laid(job: Job, wiring: Wiring) -> Laid:
    """How the cables on the roof lie: HOT_ROOF_K above the job's ambient, else above the hottest air."""
    outside_c = wiring.temperatures.hottest_air_c
    return _laid(job, HOT_ROOF_K + (outside_c if job.cable.ambient_c is None else job.cable.ambient_c))


def inside_laid(job: Job, wiring: Wiring) -> Laid:
    """How the cables under the roof lie: in the job's ambient, else CUPBOARD_K above the hottest air."""
    assumed_c = wiring.temperatures.hottest_air_c + CUPBOARD_K
    return _laid(job, assumed_c if job.cable.ambient_c is None else job.cable.ambient_c)


def _laid(job: Job, ambient_c: float) -> Laid:
    return Laid(ambient_c, job.cable.insulation_c, job.cable.bundled)


def least_mm2(job: Job) -> float:
    """The thinnest conductor anywhere for its strength: BOAT_LEAST_MM2 on boats, else as thin as serves."""
    return BOAT_LEAST_MM2 if job.vehicle is not None and job.vehicle.kind == "boat" else 0.0


def least_roof_mm2(job: Job) -> float:
    """The thinnest conductor on the roof for its strength: also no thinner than the job asks."""
    return max(job.cable.least_roof_mm2 or 0.0, least_mm2(job))


def string_draft(
    job: Job,
    panels: Sequence[PlacedPanel],
    wiring: Wiring,
    string: PanelString,
    strings: Sequence[PanelString],
    joint: str | None,
) -> Draft:
    """The cable of one string, to the joint or to the controller.

    Beside its own current it carries what protects it (its fuse), or without a fuse what the other
    strings can feed into it (IEC 62548, from memory).
    """
    model = job.panel_models()[string.model]
    by_name = {p.panel: p for p in panels}
    length = roof_run(job, [by_name[name] for name in string.panels])
    if joint is None:
        length = _sum(length, gland_to_controller(job))
    others_isc_a = [s.isc_a for s in strings if s is not string]
    fuse = string_fuse(string.isc_a, model.max_series_fuse_a) if needs_fuse(model, others_isc_a) else None
    beside_a = feed_a(others_isc_a) if fuse is None or fuse.size_a is None else fuse.size_a
    current_a = design_isc_a(string.isc_a)
    return Draft(
        kind="string",
        start=string.string,
        end=joint or input_of(string),
        current_a=current_a,
        estimated=length.estimated,
        need=Need(
            carry_a=max(current_a, beside_a),
            working_a=working_a(model, 1),
            length_mm=length.mm,
            voltage_v=string.vmp_hot_v,
            laid=roof_laid(job, wiring),
            terminals_a=CONTINUOUS_FACTOR * current_a,
            least_mm2=least_roof_mm2(job),
        ),
        fuse=fuse,
        isolator=joint is None,
    )


def array_draft(
    job: Job, wiring: Wiring, strings: Sequence[PanelString], drafts: Sequence[Draft], joint: str
) -> Draft:
    """The cable from the joint of parallel strings to their controller."""
    current_a = sum(d.current_a for d in drafts)
    length = gland_to_controller(job)
    need = Need(
        carry_a=current_a,
        working_a=sum(d.need.working_a for d in drafts),
        length_mm=length.mm,
        voltage_v=min(s.vmp_hot_v for s in strings),
        laid=inside_laid(job, wiring),
        terminals_a=CONTINUOUS_FACTOR * current_a,
        least_mm2=least_mm2(job),
    )
    return Draft("array", joint, input_of(strings[0]), current_a, length.estimated, need, None, True)


def battery_draft(job: Job, wiring: Wiring, load: ControllerLoad, end: str = BATTERY) -> Draft:
    """The cable from a controller to the battery or the busbar, with the fuse at that end."""
    if job.battery is None or job.controllers is None:
        raise ValueError("the job has no battery or no controllers")
    model = job.controller_models()[load.model]
    fuse = battery_fuse(model.max_charge_a)
    length = controller_to_battery(job)
    current_a = CONTINUOUS_FACTOR * model.max_charge_a
    need = Need(
        carry_a=max(current_a, fuse.size_a or 0.0),
        working_a=load.charge_a,
        length_mm=length.mm,
        voltage_v=job.battery.nominal_v,
        laid=inside_laid(job, wiring),
        least_mm2=least_mm2(job),
    )
    return Draft("battery", load.controller, end, current_a, length.estimated, need, fuse, True)


def main_draft(job: Job, wiring: Wiring, loads: Sequence[ControllerLoad]) -> Draft:
    """The cable from the busbar where controllers join to the battery, with the main fuse at the battery.

    For 1.25 times what they charge with together: each as much as it can, or as it is set down to.
    """
    if job.battery is None:
        raise ValueError("the job has no battery")
    together_a = sum(most_charge_a(job, load) for load in loads)
    fuse = battery_fuse(together_a)
    length = bar_to_battery(job)
    current_a = CONTINUOUS_FACTOR * together_a
    need = Need(
        carry_a=max(current_a, fuse.size_a or 0.0),
        working_a=sum(load.charge_a for load in loads),
        length_mm=length.mm,
        voltage_v=job.battery.nominal_v,
        laid=inside_laid(job, wiring),
        least_mm2=least_mm2(job),
    )
    return Draft("main", BUSBAR, BATTERY, current_a, length.estimated, need, fuse, False)


def most_charge_a(job: Job, load: ControllerLoad) -> float:
    """What a controller charges with at most, A: as it can, or as it is set down to for the battery."""
    can_a = job.controller_models()[load.model].max_charge_a
    return can_a if load.set_a is None else min(can_a, load.set_a)


def input_of(string: PanelString) -> str:
    return f"{string.controller} tracker {string.tracker}"


def _sum(one: Length, other: Length) -> Length:
    return Length(one.mm + other.mm, one.estimated or other.estimated)
