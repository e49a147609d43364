"""The panels as an electrician counts them: so many of one model on one facet."""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.job import ControllerModel, Job, PanelModel
from rooflayout.plan import PlacedPanel


class NotWirable(Exception):  # noqa: N818
    """These panels cannot all be put on these controllers; the text says so in plain words."""


@dataclass(frozen=True, slots=True)
class Group:
    """Panels of one model on one facet, which are interchangeable; new ones must be wired."""

    facet: str
    model: PanelModel
    new: int
    kept: int

    @property
    def panels(self) -> int:
        return self.new + self.kept


@dataclass(frozen=True, slots=True)
class StringSort:
    """Equal strings in parallel; group is an index into the groups."""

    group: int
    in_series: int
    in_parallel: int

    @property
    def panels(self) -> int:
        return self.in_series * self.in_parallel


@dataclass(frozen=True, slots=True)
class TrackerLoad:
    """What one tracker carries: strings of one sort, or of two that lose loss_pct together at the worst."""

    sorts: tuple[StringSort, ...]
    loss_pct: float = 0.0

    @property
    def unlike(self) -> bool:
        return len(self.sorts) > 1


@dataclass(frozen=True, slots=True)
class LoadedController:
    """A controller with what its trackers carry; which tracker carries which is open."""

    controller: ControllerModel
    loads: tuple[TrackerLoad, ...]


@dataclass(frozen=True, slots=True)
class Counts:
    """Who carries how many; unwired counts the kept panels of each group that stay off."""

    controllers: tuple[LoadedController, ...]
    unwired: tuple[int, ...]


def groups_of(job: Job, panels: tuple[PlacedPanel, ...]) -> tuple[Group, ...]:
    """The groups on the roof, facets in the job's order and models in the catalogue's.

    Raises NotWirable when a panel lies on a facet, or is of a model, that the job does not know.
    """
    models = job.panel_models()
    facets = [f.name for f in job.facets]
    for panel in panels:
        if panel.model not in models or panel.facet not in facets:
            raise NotWirable(f"The job knows no panel {panel.model} on a facet {panel.facet}.")
    groups = []
    for facet in facets:
        for name, model in models.items():
            own = [p for p in panels if (p.facet, p.model) == (facet, name)]
            if own:
                kept = sum(p.kept for p in own)
                groups.append(Group(facet, model, len(own) - kept, kept))
    return tuple(groups)


def in_words(groups: tuple[Group, ...]) -> str:
    """For example "3 Curlew 200 on main, 1 Plover 130 on front slope (1 kept)"."""
    return ", ".join(
        f"{g.panels} {g.model.model} on {g.facet}" + (f" ({g.kept} kept)" if g.kept else "") for g in groups
    )
