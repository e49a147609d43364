"""What the user wrote: one frozen class a thing, checked by survey/, units in every name.

Lengths are millimetres in a facet's own plane: x along the drawing's long side, y across it,
both from the origin corner. Seen from above, x points to the vehicle's front and y to its left
(the axes of ISO 8855) unless the facet says where its front lies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from rooflayout.needs import (
    OF_THE_PLACE,
    USUAL_INVERTER,
    USUAL_MOUNTS,
    Aim,
    Chemistry,
    Climate,
    Driving,
    Inverter,
    Load,
    Mounts,
    Vehicle,
)

Point = tuple[float, float]
Direction = Literal["+x", "-x", "+y", "-y"]


def signed_area_mm2(corners: Sequence[Point]) -> float:
    """By the shoelace formula: above 0 when the corners run counter-clockwise."""
    x0, y0 = corners[0]  # relative to a corner, so that far-off coordinates lose no digits
    total = 0.0
    for (ax, ay), (bx, by) in zip(corners, [*corners[1:], corners[0]], strict=True):
        total += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
    return total / 2


@dataclass(frozen=True, slots=True)
class Spacing:
    """Least distances, measured along x and y."""

    between_panels_mm: float = 0.0
    from_edge_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Facet:
    """One flat piece of roof; the outline is a simple polygon, counter-clockwise, not closed."""

    name: str
    outline_mm: tuple[Point, ...]
    slope_deg: float = 0.0
    downhill: Direction | float | None = None  # a direction of the facet, or a bearing in degrees
    front: Direction = "+x"  # where the vehicle's front lies
    place_mm: tuple[float, float, float] | None = None  # of its origin, by the first facet's axes, and height

    def area_mm2(self) -> float:
        """What the outline encloses."""
        return abs(signed_area_mm2(self.outline_mm))


@dataclass(frozen=True, slots=True)
class Obstacle:
    """What stands on a facet: a polygon (outline_mm) or a circle (centre_mm, diameter_mm)."""

    name: str
    facet: str
    kind: str = "other"
    outline_mm: tuple[Point, ...] | None = None
    centre_mm: Point | None = None
    diameter_mm: float | None = None
    clearance_mm: float = 0.0
    height_mm: float | None = None
    opens: Direction | None = None  # side of the bounding box past which the lid swings
    reach_mm: float = 0.0  # depth of the strip beyond that side that stays clear

    def bounds_mm(self) -> tuple[float, float, float, float]:
        """(x_min, y_min, x_max, y_max) of the thing itself, without its clearance."""
        if self.outline_mm is not None:
            xs = [p[0] for p in self.outline_mm]
            ys = [p[1] for p in self.outline_mm]
            return min(xs), min(ys), max(xs), max(ys)
        assert self.centre_mm is not None
        assert self.diameter_mm is not None
        (cx, cy), r = self.centre_mm, self.diameter_mm / 2
        return cx - r, cy - r, cx + r, cy + r

    def swing_mm(self) -> tuple[float, float, float, float] | None:
        """(x_min, y_min, x_max, y_max) of the strip that the opening lid needs, or None."""
        if self.opens is None or self.reach_mm <= 0:
            return None
        x0, y0, x1, y1 = self.bounds_mm()
        r = self.reach_mm
        return {
            "+x": (x1, y0, x1 + r, y1),
            "-x": (x0 - r, y0, x0, y1),
            "+y": (x0, y1, x1, y1 + r),
            "-y": (x0, y0 - r, x1, y0),
        }[self.opens]


@dataclass(frozen=True, slots=True)
class PanelModel:
    """A row of the panel catalogue; None is a blank cell."""

    model: str
    length_mm: float
    width_mm: float
    power_w: float
    thickness_mm: float | None = None
    mass_kg: float | None = None
    voc_v: float | None = None
    vmp_v: float | None = None
    isc_a: float | None = None
    imp_a: float | None = None
    voc_pct_per_k: float | None = None
    isc_pct_per_k: float | None = None
    power_pct_per_k: float | None = None
    max_series_fuse_a: float | None = None
    max_system_v: float | None = None
    price: float | None = None
    stock: int | None = None  # None is no limit
    turnable: bool = True
    bypass_sections: int = 3  # side by side across the width, each with its diode

    def sides_mm(self, turned: bool) -> tuple[float, float]:
        """(along x, along y); not turned, the length lies along x."""
        return (self.width_mm, self.length_mm) if turned else (self.length_mm, self.width_mm)


@dataclass(frozen=True, slots=True)
class ControllerModel:
    """A row of the controller catalogue; voltage and current limits are per tracker."""

    model: str
    max_pv_v: float
    max_pv_isc_a: float
    max_charge_a: float
    battery_v: tuple[float, ...]  # nominal voltages it serves
    trackers: int = 1
    start_above_battery_v: float = 0.0
    efficiency_pct: float = 100.0
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    mass_kg: float | None = None
    price: float | None = None


@dataclass(frozen=True, slots=True)
class KeptPanel:
    """A panel that is on the roof already and stays; (x_mm, y_mm) is its corner nearest the origin."""

    model: PanelModel
    facet: str
    x_mm: float
    y_mm: float
    turned: bool = False


@dataclass(frozen=True, slots=True)
class PanelRules:
    """Which panels may be fitted, and how many of what."""

    models: tuple[PanelModel, ...]
    most_models: int | None = None
    most_mass_kg: float | None = None  # everything on the roof, kept panels included
    budget: float | None = None  # new panels, in the catalogue's currency
    aim: Aim = "watts"  # or the most Wh a year
    balance: bool = False  # of equal watts, the layout that weighs alike on the left and on the right


@dataclass(frozen=True, slots=True)
class Site:
    """Where it stands; temperatures are of the air, in daylight."""

    latitude_deg: float | None = None
    longitude_deg: float | None = None
    heading_deg: float | None = None  # None: a vehicle that parks every way
    coldest_c: float | None = None
    hottest_c: float | None = None


@dataclass(frozen=True, slots=True)
class Battery:
    nominal_v: float
    charge_v: float
    capacity_ah: float | None = None
    most_charge_a: float | None = None  # from all controllers together; None: not known
    chemistry: Chemistry | None = None
    usable_pct: float | None = None  # of the capacity; None: as is usual for the chemistry


@dataclass(frozen=True, slots=True)
class Controllers:
    """Either the fitted ones, in order (a model may repeat), or choose from the catalogue."""

    catalogue: tuple[ControllerModel, ...]
    fitted: tuple[ControllerModel, ...] = ()
    choose: bool = False
    most_clipped_pct: float = 10.0  # when choosing: what one controller may cut off
    on_board: bool = True  # the fitted ones hang already, so the vehicle's masses have them in


@dataclass(frozen=True, slots=True)
class WiringRules:
    """What the installer asks of the wiring beside the limits of panels and controllers."""

    most_string_v: float | None = None  # open circuit, coldest morning; None: no cap of their own
    most_mismatch_pct: float = 2.0  # what two unlike strings on one tracker may lose


@dataclass(frozen=True, slots=True)
class Cable:
    """Cable runs, one way; a length that is None is estimated. Voltage drops in % of the run's voltage."""

    roof_run_mm: float | None = None  # from the farthest panel of a string to the gland
    gland_facet: str | None = None  # where cables go through the roof; None: not known
    gland_mm: Point | None = None
    gland_to_controller_mm: float | None = None
    controller_to_battery_mm: float | None = None  # or to the busbar, where several controllers join
    ambient_c: float | None = None  # air round the cables, hotter on the roof; None: by the hottest air
    insulation_c: float = 90.0  # what the insulation stands
    bundled: int = 2  # loaded conductors that lie together
    most_drop_pct: float = 3.0  # from a string to its controller, and from a controller to the battery
    least_roof_mm2: float | None = None  # conductors on the roof, for their strength; None: no least size
    bar_to_battery_mm: float | None = None  # from the busbar where several controllers join


@dataclass(frozen=True, slots=True)
class Bench:
    """Sun in the panels' plane and cells when the strings are measured; None: usual values are assumed."""

    irradiance_w_m2: float | None = None
    cell_c: float | None = None


@dataclass(frozen=True, slots=True)
class MountingSpace:
    """Where the controllers hang: a wall of width by height, so deep; clearance round each box."""

    width_mm: float
    height_mm: float
    depth_mm: float
    clearance_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class PortablePanels:
    """Panels of one model that are set up beside the vehicle and plugged in; not on the roof."""

    name: str
    model: PanelModel
    count: int
    controller: ControllerModel  # their own, or the vehicle charger's solar input
    own_controller: bool  # False: the vehicle charger's solar input


@dataclass(frozen=True, slots=True)
class Job:
    """A whole job, as read and checked."""

    title: str
    facets: tuple[Facet, ...]
    panels: PanelRules
    obstacles: tuple[Obstacle, ...] = ()
    spacing: Spacing = Spacing()
    kept: tuple[KeptPanel, ...] = ()
    site: Site | None = None
    battery: Battery | None = None
    controllers: Controllers | None = None
    wiring_rules: WiringRules = WiringRules()
    cable: Cable = Cable()
    bench: Bench = Bench()
    mounting_space: MountingSpace | None = None
    portable: tuple[PortablePanels, ...] = ()
    climate: Climate = OF_THE_PLACE
    loads: tuple[Load, ...] = ()
    inverter: Inverter = USUAL_INVERTER
    driving: Driving | None = None
    mounts: Mounts = USUAL_MOUNTS
    vehicle: Vehicle | None = None
    file_name: str = ""

    @property
    def wants_wiring(self) -> bool:
        """True when the job names a battery and controllers."""
        return self.battery is not None and self.controllers is not None

    def panel_models(self) -> dict[str, PanelModel]:
        """By name the models that may be fitted and those of kept panels."""
        return {m.model: m for m in (*self.panels.models, *(k.model for k in self.kept))}

    def controller_models(self) -> dict[str, ControllerModel]:
        """By name the models of the catalogue and the fitted ones; empty without [controllers]."""
        if self.controllers is None:
            return {}
        return {c.model: c for c in (*self.controllers.catalogue, *self.controllers.fitted)}

    def facet(self, name: str) -> Facet:
        """The facet of that name. Raises KeyError."""
        for facet in self.facets:
            if facet.name == name:
                return facet
        raise KeyError(name)

    def obstacles_on(self, facet_name: str) -> tuple[Obstacle, ...]:
        """The obstacles that stand on a facet, in the job's order."""
        return tuple(o for o in self.obstacles if o.facet == facet_name)
