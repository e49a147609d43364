"""What comes out of the road: where each panel lies, what each string carries, what to mind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rooflayout.yields import Balance, Energy

Status = Literal["proven", "best found", "nothing fits"]
Severity = Literal["error", "warning", "caution", "info"]
SEVERITIES: tuple[Severity, ...] = ("error", "warning", "caution", "info")  # the gravest first


@dataclass(frozen=True, slots=True)
class Note:
    """Something the reader should know; code is a short kebab-case name for programs.

    error: the plan cannot be built as it stands.
    """

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
    harvest_wh_year: float | None = None  # where that is what the job aims at: what it is, before the
    bound_harvest_wh_year: float | None = None  # controllers, and what no layout of the positions can exceed

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
    limit_v: float | None = None  # the least of what tracker, panels and installer allow at open circuit
    vmp_hot_at_controller_v: float | None = None  # vmp_hot_v less the drop of its cables; None: not known

    @property
    def headroom_v(self) -> float | None:
        """From the coldest morning's voltage to the limit."""
        return None if self.limit_v is None else self.limit_v - self.voc_cold_v

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
    set_a: float | None = None  # what its charge limit is set down to for the battery; None: left as it is


@dataclass(frozen=True, slots=True)
class Temperatures:
    """The design temperatures in use, each with where it came from in words."""

    coldest_cell_c: float
    coldest_source: str
    hottest_air_c: float
    hottest_cell_c: float
    hottest_source: str


RunKind = Literal["string", "array", "battery", "main"]


@dataclass(frozen=True, slots=True)
class CableRun:
    """One cable, there and back: from a string to the point where strings join or to its controller,
    from that point to the controller, from a controller to the battery; where several controllers join, to
    their busbar ("battery" too), and from it to the battery ("main").

    size_mm2 and size_awg are None when no standard size serves; why says which limit it was then, and
    in any case what set the size.
    """

    run: str  # R1, R2 ...
    kind: RunKind
    start: str  # S1, "C1 tracker 1 joint", C1, busbar ...
    end: str  # C1 tracker 1, busbar, battery ...
    current_a: float  # that it is sized for
    length_mm: float  # one way
    estimated: bool  # length not given in the job
    size_mm2: float | None
    size_awg: str | None
    carries_a: float | None  # the metric size, at this ambient, insulation and bundling
    drop_v: float | None  # the metric size, warm, at working current
    drop_pct: float | None
    fuse_a: float | None  # of a string run where strings join, of a battery or main run at that end
    isolator: bool
    why: str
    carries_awg_a: float | None = None  # the AWG size, as of the metric one
    drop_awg_v: float | None = None
    drop_awg_pct: float | None = None
    working_a: float | None = None  # in full sun, at which the drops are worked out


@dataclass(frozen=True, slots=True)
class MeterReading:
    """What a meter should read on a string, or on portable panels at their plug, at the given sun and cell
    temperature."""

    string: str  # or the name of the portable panels
    irradiance_w_m2: float
    cell_c: float
    voc_v: float
    isc_a: float
    voc_low_v: float
    voc_high_v: float
    isc_low_a: float
    isc_high_a: float


@dataclass(frozen=True, slots=True)
class Mismatch:
    """What unlike strings in parallel on one tracker lose beside each by itself."""

    controller: str
    tracker: int
    strings: tuple[str, ...]
    loss_pct: float


@dataclass(frozen=True, slots=True)
class MountedBox:
    """A controller in the mounting space; (x_mm, y_mm) is its corner at the lower left, upright as drawn."""

    controller: str
    x_mm: float
    y_mm: float
    along_x_mm: float
    along_y_mm: float


@dataclass(frozen=True, slots=True)
class PortableString:
    """Portable panels as they are plugged in: strings of in_series, in_parallel of them."""

    name: str
    model: str
    into: str  # the controller's model or the vehicle charger's name
    own_controller: bool
    in_series: int
    in_parallel: int
    voc_cold_v: float
    vmp_hot_v: float
    isc_a: float
    power_w: float
    charge_a: float
    clipped_w: float


@dataclass(frozen=True, slots=True)
class Wiring:
    strings: tuple[PanelString, ...]
    controllers: tuple[ControllerLoad, ...]
    unwired: tuple[str, ...]  # kept panels that no controller can take
    temperatures: Temperatures
    because: tuple[tuple[str, str], ...] = ()  # controller, and why it is wired so, in a sentence
    runs: tuple[CableRun, ...] = ()
    readings: tuple[MeterReading, ...] = ()
    mismatch: tuple[Mismatch, ...] = ()
    mounted: tuple[MountedBox, ...] | None = None  # None: no space given, or the boxes do not fit
    portable: tuple[PortableString, ...] = ()
    portable_readings: tuple[MeterReading, ...] = ()


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
    energy: Energy | None = None  # None: the job does not say where the sun shines on it
    balance: Balance | None = None  # None: no mass is known

    @property
    def errors(self) -> tuple[Note, ...]:
        """The notes that say why it cannot be built as it stands."""
        return tuple(n for n in self.notes if n.severity == "error")
