"""What the installer should know about mass and balance, one function a concern."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from rooflayout.job import Job
from rooflayout.plan import SEVERITIES, Note, Severity
from rooflayout.vehicle.doubts import doubts
from rooflayout.yields import Balance, Bearing

NEAR = 0.9  # of a limit: from here on it is told: common practice, no source
COUPLING_LEAST, COUPLING_MOST = 0.04, 0.10  # of the trailer's mass: common practice, no source
HEEL_SEEN_DEG = 2.0  # a list that people on board notice: common practice, no source
HEEL_MOST_DEG = 5.0  # no boat is left lying over further by what is fitted: common practice, no source
HEEL_SMALL_DEG = 10.0  # up to here the metacentric height holds: common practice, no source
ROUNDING_KG = 1e-6
MOST_NAMED = 4  # panels in one sentence
# Warnings of these codes tell a limit that is passed, or a support that is lifted.
PASSED = ("roof-load-m2", "lopsided", "heel")
PASSED_ENDS = ("-load", "-lifted", "-limit-passed")
OVER = "OVER A LIMIT"  # the heading of such warnings


def balance_notes(job: Job, balance: Balance) -> tuple[Note, ...]:
    """Notes on a balance, the gravest first."""
    found = [
        *(note for bearing in balance.bearings for note in beyond_limit(bearing)),
        *relieved(balance),
        *coupling_share(job, balance),
        *under_panels(job, balance),
        *lopsided(job, balance),
        *heel(balance),
        *doubts(job, balance),
    ]
    return tuple(sorted(found, key=lambda n: SEVERITIES.index(n.severity)))


def tells_limit_passed(note: Note) -> bool:
    """Whether a note says that vehicle or roof would bear more than they may."""
    return note.severity == "warning" and (note.code in PASSED or note.code.endswith(PASSED_ENDS))


def told_once(notes: Iterable[Note], balance: Balance) -> tuple[Note, ...]:
    """Without what the survey says of a load before the work, where the balance has that load after it."""
    known = {f"{_code(b.what)}-limit-passed" for b in balance.bearings if b.after_kg is not None}
    return tuple(note for note in notes if note.code not in known)


def beyond_limit(bearing: Bearing) -> tuple[Note, ...]:
    """A load over its limit, or close under it."""
    what, most_kg, after_kg = bearing.what, bearing.most_kg, bearing.after_kg
    if most_kg is None:
        return ()
    verb = "weigh" if what == "vehicle" else "carry"
    if after_kg is None:
        return _without_before(bearing, most_kg)
    assert bearing.before_kg is not None
    over_kg = after_kg - most_kg
    work = f"{bearing.before_kg:.1f} kg before, {bearing.change_kg:+.1f} kg by the work"
    text = f"The {what} would {verb} {after_kg:.1f} kg ({work})"
    return _graded(
        f"{_code(what)}-load",
        after_kg,
        most_kg,
        lambda: f"{text}, {over_kg:.1f} kg over its limit of {most_kg:g} kg{_way_out(what, over_kg)}.",
        lambda: f"{text}, {100.0 * after_kg / most_kg:.0f} % of its limit of {most_kg:g} kg.",
    )


def _way_out(what: str, over_kg: float) -> str:
    """What the job can ask for, where the panels alone decide."""
    if what != "roof":
        return ""
    least = f"{math.ceil(10.0 * over_kg - ROUNDING_KG) / 10.0:.1f} kg"
    return f": set [panels] most_mass at least {least} below what these panels weigh without mounts"


def is_over(bearing: Bearing) -> bool:
    """Whether something would bear more than it may; by the change alone where that is all that is known."""
    load_kg = bearing.change_kg if bearing.after_kg is None else bearing.after_kg
    return bearing.most_kg is not None and load_kg > bearing.most_kg + ROUNDING_KG


def relieved(balance: Balance) -> tuple[Note, ...]:
    """A support that would be lifted, or a coupling that gets lighter while its load is not given."""
    found = []
    for bearing in balance.bearings:
        after_kg, change_kg = bearing.after_kg, bearing.change_kg
        if after_kg is not None and after_kg < -ROUNDING_KG:
            text = (
                f"The {bearing.what} would be lifted with {-after_kg:.1f} kg ({bearing.before_kg:.1f} kg "
                f"before, {change_kg:+.1f} kg by the work): move mass towards it."
            )
            found.append(Note("warning", f"{_code(bearing.what)}-lifted", text))
        elif after_kg is None and bearing.what == "coupling" and change_kg < -ROUNDING_KG:
            text = (
                f"The work takes {-change_kg:.1f} kg off the coupling, and what it carries now is not given: "
                "a trailer light on its coupling sways; weigh it and give [vehicle] coupling."
            )
            found.append(Note("caution", "coupling-lighter", text))
    return tuple(found)


def coupling_share(job: Job, balance: Balance) -> tuple[Note, ...]:
    """A coupling load that is little or much for the trailer's mass."""
    vehicle, bearing = job.vehicle, _of(balance, "coupling")
    if vehicle is None or vehicle.mass_kg is None or bearing is None or bearing.after_kg is None:
        return ()
    share = bearing.after_kg / (vehicle.mass_kg + balance.added_kg)
    if bearing.after_kg < -ROUNDING_KG or COUPLING_LEAST <= share <= COUPLING_MOST:
        return ()
    much = share > COUPLING_MOST
    advice = (
        "check the tow car's own limit, and that the coupling stays within its plate"
        if much
        else "the trailer may sway: load the rest further forward"
    )
    usual = f"{100.0 * COUPLING_LEAST:.0f} to {100.0 * COUPLING_MOST:.0f} % (in North America 10 to 15 %)"
    text = (
        f"The coupling would carry {100.0 * share:.1f} % of the trailer's mass; common practice is {usual}: "
        f"{advice}."
    )
    return (Note("caution", "coupling-share", text),)


def under_panels(job: Job, balance: Balance) -> tuple[Note, ...]:
    """Panels that weigh on the roof below them more than it may bear a m², or nearly."""
    most = None if job.vehicle is None else job.vehicle.most_roof_kg_m2
    if most is None or not balance.roof_kg_m2:
        return ()
    over = [(panel, load) for panel, load in balance.roof_kg_m2 if load > most + ROUNDING_KG]
    near = [(panel, load) for panel, load in balance.roof_kg_m2 if NEAR * most <= load <= most + ROUNDING_KG]
    found = []
    if over:
        text = f"{_loads(over)} with mounts: over the roof's limit of {most:g} kg/m²."
        found.append(Note("warning", "roof-load-m2", text))
    if near:
        text = f"{_loads(near)} with mounts: close to the roof's limit of {most:g} kg/m²."
        found.append(Note("caution", "roof-load-m2", text))
    return tuple(found)


def lopsided(job: Job, balance: Balance) -> tuple[Note, ...]:
    """More on one side of the centre line than the user allows, or nearly."""
    most = None if job.vehicle is None else job.vehicle.most_lopsided_kg_m
    if most is None or balance.lopsided_kg_m is None:
        return ()
    size, side = abs(balance.lopsided_kg_m), _side(balance.lopsided_kg_m)
    way = "move mass to the other side"
    if not job.panels.balance:
        way += ", or ask for it of the panels by [panels] balance = true"
    text = f"What is added weighs {size:.1f} kg m more on the {side} of the centre line"
    return _graded(
        "lopsided",
        size,
        most,
        lambda: f"{text}, over the limit of {most:g} kg m: {way}.",
        lambda: f"{text}, close to the limit of {most:g} kg m.",
    )


def heel(balance: Balance) -> tuple[Note, ...]:
    """How far a boat lies over; a limit is passed from more than HEEL_MOST_DEG on."""
    if balance.heel_deg is None:
        return ()
    size, side = abs(balance.heel_deg), _side(balance.heel_deg)
    if size < 0.05:
        text = "The boat stays upright: what is added heels it by less than 0.05°."
    else:
        text = f"What is added heels the boat {size:.1f}° to the {side}"
        text += f", over the {HEEL_MOST_DEG:g}° that are usual at most" if size > HEEL_MOST_DEG else ""
        text += ": put some of it on the other side." if size >= HEEL_SEEN_DEG else "."
    text += " Mass on the roof also lowers the metacentric height, which is taken as it was."
    severity: Severity = "info"
    if size >= HEEL_SEEN_DEG:
        severity = "warning" if size > HEEL_MOST_DEG else "caution"
    if size > HEEL_SMALL_DEG:
        text += f" Beyond {HEEL_SMALL_DEG:g}° the figure itself is rough."
    return (Note(severity, "heel", text),)


def _without_before(bearing: Bearing, most_kg: float) -> tuple[Note, ...]:
    """Only a limit is given: the change may break it by itself, else nobody knows what is left of it."""
    what, change_kg = bearing.what, bearing.change_kg
    verb, does = ("weigh", "weighs") if what == "vehicle" else ("carry", "carries")
    if change_kg > most_kg + ROUNDING_KG:
        text = f"The work adds {change_kg:.1f} kg to the {what}, which may {verb} {most_kg:g} kg in all."
        return (Note("warning", f"{_code(what)}-load", text),)
    if change_kg <= 0.0:
        return ()
    key = "mass" if what == "vehicle" else what.replace(" ", "_")
    text = (
        f"The work adds {change_kg:.1f} kg to the {what}, which may {verb} {most_kg:g} kg in all; what it "
        f"{does} now is not given: weigh it and give [vehicle] {key}."
    )
    return (Note("caution", f"{_code(what)}-load-not-known", text),)


def _graded(
    code: str, value: float, most: float, over: Callable[[], str], near: Callable[[], str]
) -> tuple[Note, ...]:
    """A warning over the limit, a caution from NEAR of it on."""
    if value > most + ROUNDING_KG:
        return (Note("warning", code, over()),)
    return (Note("caution", code, near()),) if value >= NEAR * most else ()


def _loads(panels: Sequence[tuple[str, float]]) -> str:
    """ "P1 12.3, P2 11.9 kg/m²"; of many only how many, and the worst."""
    if len(panels) > MOST_NAMED:
        worst, most = max(panels, key=lambda p: p[1])
        return f"{len(panels)} panels, the worst {worst} {most:.1f} kg/m²"
    return ", ".join(f"{panel} {load:.1f}" for panel, load in panels) + " kg/m²"


def _of(balance: Balance, what: str) -> Bearing | None:
    return next((b for b in balance.bearings if b.what == what), None)


def _code(what: str) -> str:
    return what.replace(" ", "-")


def _side(value: float) -> str:
    return "left" if value > 0.0 else "right"
