"""What the work adds, item by item: new panels, their mounts, cables, controllers.

What is there already is not added: kept panels and their mounts, and fitted controllers, unless the job says
that they are still to be hung. Portable panels are luggage and do not count.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rooflayout.job import Job, Point
from rooflayout.plan import CableRun, PlacedPanel, Wiring
from rooflayout.vehicle.axes import panel_at_mm
from rooflayout.vehicle.placing import facet_places
from rooflayout.yields import AddedMass

COPPER_KG_MM3 = 8.89e-6  # 8.89 g/cm³ at 20 °C: IEC 60028, from memory
INSULATED = 1.5  # a cable's mass over that of its copper: common practice, no source
FROM_PANELS = "cables from the panels"
TO_BATTERY = "cables to the battery"


@dataclass(frozen=True, slots=True)
class Part:
    """One thing of an item; kg None: not known; at_mm None: it is not known where."""

    item: str
    name: str  # as a note names it
    kg: float | None
    at_mm: Point | None
    counted: bool = False  # the item says how many there are


@dataclass(frozen=True, slots=True)
class Added:
    """Items of known mass, and the names of what has none."""

    items: tuple[AddedMass, ...]
    unknown: tuple[str, ...]

    @property
    def kg(self) -> float:
        return sum(item.kg for item in self.items)


def added_masses(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring | None) -> Added:
    """Everything that is added, alike things in one item with their common centre."""
    parts = [*_panels(job, panels), *_mounts(job, panels)]
    if wiring is not None:
        parts += [*_cables(job, panels, wiring), *_controllers(job, wiring)]
    return Added(tuple(_items(parts)), tuple(dict.fromkeys(p.name for p in parts if p.kg is None)))


def cable_kg(run: CableRun) -> float | None:
    """Both conductors of a run with their insulation; None where no size serves.

    Where a metric size serves, that is what counts.
    """
    area_mm2 = run.size_mm2
    if area_mm2 is None:
        if run.size_awg is None:
            return None
        area_mm2 = awg_mm2(run.size_awg)
    return 2.0 * run.length_mm * area_mm2 * COPPER_KG_MM3 * INSULATED


def awg_mm2(size: str) -> float:
    """Copper of an American wire gauge, such as "10" or "2/0", in mm².

    ASTM B258, from memory: 0.127 mm x 92 ** ((36 - n) / 39) across. Raises ValueError.
    """
    zeros, _, slash = size.partition("/")
    number = 1 - int(zeros) if slash else int(zeros)
    across_mm = 0.127 * 92.0 ** ((36 - number) / 39.0)
    return math.pi / 4.0 * float(across_mm) ** 2


def centre_mm(items: Sequence[AddedMass]) -> Point | None:
    """Common centre of the items whose place is known, in the first facet's x and y; None without any."""
    placed = [(i.kg, i.x_mm, i.y_mm) for i in items if i.x_mm is not None and i.y_mm is not None]
    kg = sum(mass for mass, _, _ in placed)
    if kg <= 0.0:
        return None
    return sum(m * x for m, x, _ in placed) / kg, sum(m * y for m, _, y in placed) / kg


def panel_kg(job: Job, panel: PlacedPanel) -> float | None:
    """Mass of a panel without its mounts, by the catalogue."""
    model = job.panel_models().get(panel.model)
    return None if model is None else model.mass_kg


def _panels(job: Job, panels: Sequence[PlacedPanel]) -> Iterator[Part]:
    places = facet_places(job)
    for panel in panels:
        if not panel.kept:
            at_mm = panel_at_mm(job, panel, places.get(panel.facet))
            yield Part(f"{panel.model}{_on(job, panel)}", panel.model, panel_kg(job, panel), at_mm, True)


def _mounts(job: Job, panels: Sequence[PlacedPanel]) -> Iterator[Part]:
    places = facet_places(job)
    for panel in panels:
        if not panel.kept:
            at_mm = panel_at_mm(job, panel, places.get(panel.facet))
            yield Part(f"mounts{_on(job, panel)}", "mounts", job.mounts.kg_per_panel, at_mm, True)


def _cables(job: Job, panels: Sequence[PlacedPanel], wiring: Wiring) -> Iterator[Part]:
    """A run from panels counts halfway between the middle of its panels and the controllers, one to the
    battery at the controllers: roughly where they lie."""
    places = facet_places(job)
    at_mm = {p.panel: panel_at_mm(job, p, places.get(p.facet)) for p in panels}
    home_mm = None if job.vehicle is None else job.vehicle.controllers_at_mm
    for run in wiring.runs:
        kg, name = cable_kg(run), f"cable {run.run}"
        if run.kind in ("battery", "main"):
            yield Part(TO_BATTERY, name, kg, home_mm)
            continue
        middle_mm = _mean([at_mm.get(p) for p in _panels_of(run, wiring)])
        halfway_mm = None if middle_mm is None or home_mm is None else _mean([middle_mm, home_mm])
        yield Part(FROM_PANELS, name, kg, halfway_mm)


def controllers_there(job: Job) -> bool:
    """Whether the controllers hang already and so are in the vehicle's masses as the job states them."""
    return job.controllers is not None and not job.controllers.choose and job.controllers.on_board


def _controllers(job: Job, wiring: Wiring) -> Iterator[Part]:
    if controllers_there(job):
        return
    at_mm = None if job.vehicle is None else job.vehicle.controllers_at_mm
    models = job.controller_models()
    for load in wiring.controllers:
        model = models.get(load.model)
        name = f"{load.controller} {load.model}"
        yield Part(name, name, None if model is None else model.mass_kg, at_mm)


def _items(parts: Sequence[Part]) -> Iterator[AddedMass]:
    """Parts of known mass by item; those of unknown place apart, so that the others keep their centre."""
    groups: dict[tuple[str, bool], list[Part]] = {}
    for part in parts:
        if part.kg is not None and part.kg > 0.0:
            groups.setdefault((part.item, part.at_mm is None), []).append(part)
    for (item, lost), members in groups.items():
        kg = sum(p.kg for p in members if p.kg is not None)
        name = f"{len(members)} x {item}" if members[0].counted else item
        if lost:
            yield AddedMass(name, kg)
            continue
        weighed = [AddedMass(item, p.kg, *p.at_mm) for p in members if p.kg is not None and p.at_mm]
        centre = centre_mm(weighed)
        assert centre is not None
        yield AddedMass(name, kg, *centre)


def _panels_of(run: CableRun, wiring: Wiring) -> tuple[str, ...]:
    """The panels whose current a run from the roof carries: of its string, or of all that join before it."""
    for string in wiring.strings:
        if string.string == run.start:
            return string.panels
    joined = [s for s in wiring.strings if run.end == f"{s.controller} tracker {s.tracker}"]
    return tuple(p for s in joined for p in s.panels)


def _mean(points_mm: Sequence[Point | None]) -> Point | None:
    """Middle of points; None where one is not known or there is none."""
    known = [p for p in points_mm if p is not None]
    if not known or len(known) < len(points_mm):
        return None
    return sum(x for x, _ in known) / len(known), sum(y for _, y in known) / len(known)


def _on(job: Job, panel: PlacedPanel) -> str:
    """Which facet, where there are several."""
    return f" on {panel.facet}" if len(job.facets) > 1 else ""
