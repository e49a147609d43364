"""What a balance does not know, and what it takes for granted, one function a doubt."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from rooflayout.job import Job
from rooflayout.listing import listed
from rooflayout.plan import Note
from rooflayout.vehicle.masses import controllers_there
from rooflayout.vehicle.placing import facet_places, joints
from rooflayout.yields import Balance


def doubts(job: Job, balance: Balance) -> tuple[Note, ...]:
    """Notes on masses, places and figures that are missing, and on places that were deduced."""
    return (
        *there_already(job),
        *without_mass(job, balance),
        *without_place(job, balance),
        *not_worked_out(job, balance),
        *(deduced_places(job) if job.vehicle is not None else ()),
    )


def there_already(job: Job) -> tuple[Note, ...]:
    """What is not counted as added, since it is there; and how to say that it is not."""
    kept = [k.model.model for k in job.kept]
    fitted: list[str] = []
    if job.controllers is not None and controllers_there(job):
        fitted = [c.model for c in job.controllers.fitted]
    parts = []
    if kept:
        parts.append(f"the kept panel{'s' if len(kept) > 1 else ''} {listed(_counted(kept))}")
    if fitted:
        parts.append(f"the fitted controller{'s' if len(fitted) > 1 else ''} {listed(_counted(fitted))}")
    if not parts:
        return ()
    stated = "" if job.vehicle is None else ", and so in the masses that [vehicle] gives"
    text = f"Not counted as added, since there already{stated}: {' and '.join(parts)}."
    if fitted:
        text += " Controllers that are still to be hung: [controllers] on_board = false."
    return (Note("info", "mass-there-already", text),)


def without_mass(job: Job, balance: Balance) -> tuple[Note, ...]:
    """Things whose mass is blank; a caution where there is a vehicle to carry them."""
    if not balance.unknown:
        return ()
    cables = [name for name in balance.unknown if name.startswith("cable ")]
    others = [name for name in balance.unknown if name not in cables]
    text = f"No mass is known for {listed(balance.unknown)}: all masses and loads are without."
    text += f" Fill mass_kg of {listed(others)} in the catalogue." if others and cables else ""
    text += " Fill mass_kg in the catalogue." if others and not cables else ""
    text += f" No standard size serves {listed(cables)}, so there is no copper to weigh." if cables else ""
    return (Note("info" if job.vehicle is None else "caution", "mass-not-known", text),)


def without_place(job: Job, balance: Balance) -> tuple[Note, ...]:
    """Items that count in the sum only, since nobody says where they are."""
    lost = [i for i in balance.items if i.x_mm is None]
    if job.vehicle is None or not lost:
        return ()
    kg = sum(i.kg for i in lost)
    text = (
        f"It is not known where {listed([i.item for i in lost])} will be: {kg:.1f} kg count in the added "
        "mass, but not in its centre and what follows from it."
    )
    unplaced = [f for f, place in facet_places(job).items() if place is None]
    alone = len(job.facets) == 1
    hints = [_where_from(job, f) for f in unplaced if alone or any(i.item.endswith(f" on {f}") for i in lost)]
    if job.vehicle.controllers_at_mm is None and job.wants_wiring:
        hints.append("[vehicle] controllers_at")
    text += f" Give {listed(hints)}." if hints else ""
    return (Note("caution", "mass-not-placed", text),)


def not_worked_out(job: Job, balance: Balance) -> tuple[Note, ...]:
    """Figures that the job gives a load or a limit for, and that lack something to be worked out with."""
    vehicle, found = job.vehicle, []
    if vehicle is None:
        return ()
    known = {b.what for b in balance.bearings}
    placed = any(i.x_mm is not None for i in balance.items)
    asked = {
        "coupling": (vehicle.coupling_kg, vehicle.most_coupling_kg),
        "front axle": (vehicle.front_axle_kg, vehicle.most_front_axle_kg),
        "axle": (vehicle.axle_kg, vehicle.most_axle_kg),
    }
    lacking = [w for w, figures in asked.items() if figures != (None, None) and w not in known]
    if vehicle.kind != "boat" and lacking and placed:
        front = "coupling_x" if vehicle.kind == "trailer" else "front_axle_x"
        found.append((lacking, f"[vehicle] axle_x and {front}, at two places"))
    if vehicle.most_lopsided_kg_m is not None and balance.lopsided_kg_m is None and placed:
        found.append((["left against right"], "[vehicle] middle_y"))
    if vehicle.kind == "boat" and balance.heel_deg is None and placed:
        needed = ["[vehicle] displacement"] if vehicle.displacement_kg is None else []
        needed += ["[vehicle] metacentric_height"] if vehicle.metacentric_height_mm is None else []
        needed += ["[vehicle] middle_y"] if balance.lopsided_kg_m is None else []
        found.append((["the boat's heel"], listed(needed)))
    return tuple(
        Note("caution", "balance-not-worked-out", f"Not worked out: {listed(what)}. It takes {needs}.")
        for what, needs in found
    )


def deduced_places(job: Job) -> tuple[Note, ...]:
    """Facets whose places are taken from the way they slope."""
    found = [f"{j.facet} to join on to the {j.side} of {j.onto}, centred" for j in joints(job)]
    if not found:
        return ()
    text = f"Taken for granted: {listed(found)}. If not, give place of the facet."
    return (Note("info", "facet-place-deduced", text),)


def _where_from(job: Job, facet: str) -> str:
    """The key that would tell where a facet lies."""
    found = job.facet(facet)
    needs_downhill = found.slope_deg > 0.0 and found.downhill is None
    return f"{'downhill' if needs_downhill else 'place'} of facet {facet}"


def _counted(models: Sequence[str]) -> list[str]:
    """ "2 x Willow 60" for a model that is there twice."""
    counts = Counter(models)
    return [model if number == 1 else f"{number} x {model}" for model, number in counts.items()]
