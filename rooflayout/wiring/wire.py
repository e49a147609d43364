"""Puts every panel on a string and every string on a controller: the room's one door for the road."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from rooflayout.job import ControllerModel, Job
from rooflayout.plan import ControllerLoad, PanelString, PlacedPanel, Temperatures, Wiring
from rooflayout.wiring.because import because
from rooflayout.wiring.choose import choose_controllers
from rooflayout.wiring.figures import controller_load, panel_string, roof_battery, settings_a
from rooflayout.wiring.fitted import load_fitted
from rooflayout.wiring.groups import Counts, Group, NotWirable, groups_of
from rooflayout.wiring.kept_apart import split_apart
from rooflayout.wiring.lengths import centre_mm
from rooflayout.wiring.limits import string_limit_v
from rooflayout.wiring.mounting import mounted
from rooflayout.wiring.neighbours import leave_out
from rooflayout.wiring.numbering import in_reading_order, number_panels
from rooflayout.wiring.options import has_figures

Panels = list[PlacedPanel]
Rank = Callable[[Sequence[Panels]], int]


@dataclass(frozen=True, slots=True)
class _Controller:
    """A controller and, for each tracker that is used, its strings of panels."""

    controller: ControllerModel
    trackers: tuple[tuple[Panels, ...], ...]

    @property
    def watts(self) -> float:
        return sum(p.watts for strings in self.trackers for string in strings for p in string)


def wire(
    job: Job,
    temperatures: Temperatures,
    panels: tuple[PlacedPanel, ...],
    seconds: float = 10,
    shade: Callable[[PlacedPanel], float] | None = None,
) -> tuple[tuple[PlacedPanel, ...], Wiring]:
    """The panels, named in reading order, and how they are wired.

    Every new panel is on a string; a kept one that no controller can take is listed as unwired.
    C1, C2 ... are the fitted controllers in order, or the chosen ones by descending watts; strings are
    numbered by controller, tracker and first panel. Each controller is told why it is wired so, and where it
    hangs if the job gives a space for it. The same panels in any order give the same answer.
    seconds is what the counting may take at most, roughly; vehicle roofs take far less. shade: what shade
    takes of a panel's year, 0 to 1; where it is known, panels of a string share their shade. Kept panels have
    strings of their own where whole strings take up just so many (kept_apart.py).

    Raises NotWirable when new panels cannot all be wired; ValueError when the job asks for no wiring.
    """
    if job.battery is None or job.controllers is None:
        raise ValueError("the job has no battery or no controllers, so nothing can be wired")
    named = number_panels(job, panels)
    usable = tuple(p for p in named if _has_figures(job, p))
    groups = groups_of(job, usable)
    solve = choose_controllers if job.controllers.choose else load_fitted
    counts = solve(job, temperatures, groups, seconds)
    loaded = _hand_out(job, usable, groups, counts, shade)
    return named, _wiring(job, temperatures, named, loaded)


def _has_figures(job: Job, panel: PlacedPanel) -> bool:
    """False for a kept panel whose electrical figures are not known. Raises NotWirable for a new one."""
    known = all(has_figures(m) for m in job.panel_models().values() if m.model == panel.model)
    if not known and not panel.kept:
        raise NotWirable(f"{panel.model} lacks figures in the catalogue that wiring needs.")
    return known


def _hand_out(
    job: Job,
    panels: tuple[PlacedPanel, ...],
    groups: tuple[Group, ...],
    counts: Counts,
    shade: Callable[[PlacedPanel], float] | None,
) -> list[_Controller]:
    """Panels for the counts: each tracker's strings from neighbouring panels of their groups."""
    ordered = in_reading_order(job, panels)
    place = {p.panel: number for number, p in enumerate(ordered)}

    def first(strings: Sequence[Panels]) -> int:
        return min(place[p.panel] for string in strings for p in string)

    strings_of: dict[tuple[int, int], list[Panels]] = {}  # by controller and load
    for number, group in enumerate(groups):
        wired = _wired_of([p for p in ordered if _is_of(p, group)], counts.unwired[number])
        slots = [
            ((i, k), sort)
            for i, c in enumerate(counts.controllers)
            for k, load in enumerate(c.loads)
            for sort in load.sorts
            if sort.group == number
        ]
        split = split_apart(
            [centre_mm(p) for p in wired],
            [p.kept for p in wired],
            [(sort.in_series, sort.in_parallel) for _, sort in slots],
            None if shade is None else [shade(p) for p in wired],
        )
        for (slot, _), strings in zip(slots, split, strict=True):
            chains = [_from_first([wired[k] for k in chain], place) for chain in strings]
            strings_of.setdefault(slot, []).extend(chains)
    loaded = []
    for i, c in enumerate(counts.controllers):
        own = [tuple(sorted(strings_of[i, k], key=lambda chain: first([chain]))) for k in range(len(c.loads))]
        loaded.append(_Controller(c.controller, tuple(sorted(own, key=first))))
    return _in_order(job, loaded, first)


def _in_order(job: Job, loaded: list[_Controller], first: Rank) -> list[_Controller]:
    """The chosen ones by descending watts; the fitted ones as fitted, with those that stay empty."""
    assert job.controllers is not None

    def rank(c: _Controller) -> int:
        return first([string for strings in c.trackers for string in strings])

    if job.controllers.choose:
        names = [c.model for c in job.controllers.catalogue]
        return sorted(loaded, key=lambda c: (-c.watts, names.index(c.controller.model), rank(c)))
    waiting = sorted(loaded, key=rank)
    found = []
    for controller in job.controllers.fitted:
        own = next((c for c in waiting if c.controller == controller), None)
        if own is not None:
            waiting.remove(own)
        found.append(own or _Controller(controller, ()))
    return found


def _wired_of(panels: Panels, unwired: int) -> Panels:
    """The group's panels without so many kept ones."""
    kept = [i for i, p in enumerate(panels) if p.kept]
    out = leave_out([centre_mm(p) for p in panels], kept, unwired)
    return [p for i, p in enumerate(panels) if i not in out]


def _is_of(panel: PlacedPanel, group: Group) -> bool:
    return (panel.facet, panel.model) == (group.facet, group.model.model)


def _from_first(chain: Panels, place: dict[str, int]) -> Panels:
    """The chain from its end that is read first."""
    return chain if place[chain[0].panel] <= place[chain[-1].panel] else chain[::-1]


def _wiring(
    job: Job, temperatures: Temperatures, panels: tuple[PlacedPanel, ...], loaded: list[_Controller]
) -> Wiring:
    models, battery = job.panel_models(), job.battery
    assert battery is not None
    cap_v = job.wiring_rules.most_string_v
    strings: list[PanelString] = []
    loads: list[ControllerLoad] = []
    settings = settings_a(roof_battery(job), [(own.controller, own.watts) for own in loaded])
    for number, (own, set_a) in enumerate(zip(loaded, settings, strict=True), 1):
        of_controller: list[PanelString] = []
        for tracker, chains in enumerate(own.trackers, 1):
            for chain in chains:
                name = f"S{len(strings) + len(of_controller) + 1}"
                model = models[chain[0].model]
                limit_v = string_limit_v(model, own.controller, cap_v)
                of_controller.append(
                    panel_string(name, f"C{number}", tracker, chain, model, temperatures, limit_v)
                )
        loads.append(controller_load(f"C{number}", own.controller, battery, of_controller, set_a))
        strings += of_controller
    wired = {name for string in strings for name in string.panels}
    unwired = tuple(p.panel for p in panels if p.panel not in wired)
    wiring = Wiring(tuple(strings), tuple(loads), unwired, temperatures)
    boxes = [(load.controller, own.controller) for load, own in zip(loads, loaded, strict=True)]
    return replace(wiring, because=because(job, wiring), mounted=mounted(job, boxes))
