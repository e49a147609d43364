"""Whether what is added weighs what it must and lies where the plan puts it: panels and mounts where they
lie, cables halfway to the controllers, controllers where they hang.

Items are known by the names that they state: a panel's model or "mounts" (and the facet, where there are
several), cables from the panels and to the battery, a controller's name. Others are passed over, and so are
places that cannot be told (from_above.py).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rooflayout.inspection.added import FROM_PANELS, TO_BATTERY, Weight, all_weighed, weights
from rooflayout.inspection.breach import Breach, figures
from rooflayout.job import Job
from rooflayout.plan import Plan
from rooflayout.yields import AddedMass

_MM = 1.5  # places are written to a mm
_KG, _SHARE = 0.01, 0.001


def items_weigh_what_they_must(job: Job, plan: Plan) -> Iterator[Breach]:
    """All items of one name together have the mass of what they stand for."""
    own = weights(job, plan)
    cables_known = all_weighed(job, plan, [w for w in own if w.item in (FROM_PANELS, TO_BATTERY)])
    for name, stated in _by_name(plan).items():
        parts = [w for w in own if w.item == name]
        kg = sum(i.kg for i in stated)
        if not parts or math.isnan(kg) or not any(w.kg is not None for w in parts):
            continue
        if name in (FROM_PANELS, TO_BATTERY) and not cables_known:
            continue
        right = sum(w.kg or 0.0 for w in parts)
        if abs(kg - right) > _KG + _SHARE * right:
            a, b = figures(kg, right)
            yield Breach("mass-place", stated[0].item, f"{a} kg are stated; it weighs {b} kg")


def items_weigh_where_they_lie(job: Job, plan: Plan) -> Iterator[Breach]:
    """An item's centre is that of what it stands for."""
    own = weights(job, plan)
    for name, stated in _by_name(plan).items():
        placed = [i for i in stated if i.x_mm is not None or i.y_mm is not None]
        right = _centre_mm([w for w in own if w.item == name])
        if right is None or len(placed) != 1:
            continue
        item = placed[0]
        for what, found, must in (("x", item.x_mm, right[0]), ("y", item.y_mm, right[1])):
            if found is not None and abs(found - must) > _MM:
                a, b = figures(found, must)
                text = f"{a} mm is stated as its {what}; by the places in the plan it is {b} mm"
                yield Breach("mass-place", item.item, text)


def _by_name(plan: Plan) -> dict[str, list[AddedMass]]:
    """Items without the number of things at their head: "6 x Tern 150" is "Tern 150"."""
    found: dict[str, list[AddedMass]] = {}
    for item in plan.balance.items if plan.balance is not None else ():
        head, times, rest = item.item.partition(" x ")
        found.setdefault(rest if times and head.isdigit() else item.item, []).append(item)
    return found


def _centre_mm(parts: list[Weight]) -> tuple[float, float] | None:
    """None where the place of any is not known; things of unknown mass are taken as equal."""
    if not all(w.known for w in parts):
        return None
    placed = [(w.kg, w.at_mm) for w in parts if w.at_mm is not None]
    if not placed:
        return None
    if all(kg is None for kg, _ in placed):
        placed = [(1.0, at) for _, at in placed]
    whole = sum(kg or 0.0 for kg, _ in placed)
    if whole <= 0.0:
        return None
    x = sum((kg or 0.0) * at[0] for kg, at in placed if at is not None) / whole
    y = sum((kg or 0.0) * at[1] for kg, at in placed if at is not None) / whole
    return x, y
