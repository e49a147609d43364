"""What comes out of the road: where each panel lies, what each string carries, what to mind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["proven", "best found", "nothing fits"]
Severity = Literal["info", "caution", "warning"]


@dataclass(frozen=True, slots=True)
class Note:
    """Something the reader should know; code is a short kebab-case name for programs."""

    severity: Severity
    code: str
    text: str


@dataclass(frozen=True, slots=True)
class PlacedPanel:
    """A panel on a facet; (x_mm, y_mm) is the corner nearest the facet's origin."""

    panel: str  # P1, P2 ... in reading order; K1 ... for kept ones
    facet: str
    model: str
    x_mm: float
    y_mm: float
    along_x_mm: float
    along_y_mm: float
    turned: bool
    watts: float
    kept: bool = False


@dataclass(frozen=True, slots=True)
class NearMiss:
    """With short_mm more along an axis of a facet, between two things, more would go on: watts more.

    panels: of each model on the facet then.
    """

    facet: str
    axis: Literal["x", "y"]
    short_mm: int
    watts: float
    between: tuple[str, str]
    panels: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """The panels and how good they are.

    bound_watts is what no layout of the positions tried can exceed, true_bound_watts what no layout
    whatever can; None where the two are the same.
    """

    watts: float
    bound_watts: float
    status: Status
    seconds: float
    panels: tuple[PlacedPanel, ...]
    true_bound_watts: float | None = None

    @property
    def ceiling_watts(self) -> float:
        """What no layout whatever can exceed."""
        return self.bound_watts if self.true_bound_watts is None else self.true_bound_watts

    @property
    def sampled(self) -> bool:
        """Whether bound and proof hold over the positions tried only."""
        return self.ceiling_watts > self.bound_watts


@dataclass(frozen=True, slots=True)
class PanelString:
    """Panels of one model on one facet in series, on one tracker; strings of a tracker are parallel."""

    string: str  # S1, S2 ...
    controller: str  # C1, C2 ...
    tracker: int  # from 1
    facet: str
    model: str
    panels: tuple[str, ...]  # in the order of connection
    voc_cold_v: float  # whole string, coldest morning
    vmp_hot_v: float  # whole string, hottest noon
    isc_a: float  # one string, standard test conditions
    power_w: float  # whole string, standard test conditions

    @property
    def in_series(self) -> int:
        return len(self.panels)


@dataclass(frozen=True, slots=True)
class ControllerLoad:
    """What one controller carries; isc_a and power_w are sums over all its strings."""

    controller: str
    model: str
    power_w: float
    isc_a: float
    charge_a: float  # power_w times efficiency over the charge voltage, at most the controller's limit
    clipped_w: float  # panel watts that the charge limit cuts off
    clipped_pct: float


@dataclass(frozen=True, slots=True)
class Temperatures:
    """The design temperatures in use, each with where it came from in words."""

    coldest_cell_c: float
    coldest_source: str
    hottest_air_c: float
    hottest_cell_c: float
    hottest_source: str


@dataclass(frozen=True, slots=True)
class Wiring:
    strings: tuple[PanelString, ...]
    controllers: tuple[ControllerLoad, ...]
    unwired: tuple[str, ...]  # kept panels that no controller can take
    temperatures: Temperatures


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that the documents need beside the job itself."""

    title: str
    job_file: str
    layout: Layout
    wiring: Wiring | None = None
    notes: tuple[Note, ...] = ()
    near_misses: tuple[NearMiss, ...] = ()
    seed: int = 0
    schema: int = 1
