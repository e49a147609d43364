"""What the user wrote about sun, loads and vehicle: frozen classes beside job.py, checked by survey/.

Twelve values are the months, January first. Places on the vehicle are mm from the first facet's origin, as
seen from above along its own x and y, so level lengths where it slopes: x to the vehicle's front and y to
its left, unless that facet says where its front lies. Whichever way that is, a point (controllers_at_mm) is
its own x and y, as on the drawing. A single figure is read along the one of its axes that runs along the
vehicle (axle_x_mm, coupling_x_mm, front_axle_x_mm) or across it (middle_y_mm), in that axis' own sense: with
front "-x" what lies farther ahead has the smaller x; with front "+y" axle_x_mm is a y of the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Aim = Literal["watts", "harvest"]
Chemistry = Literal["lithium", "gel", "agm", "flooded"]
When = Literal["day", "night"]
VehicleKind = Literal["trailer", "motor", "boat"]
EVERY_MONTH = tuple(range(1, 13))


@dataclass(frozen=True, slots=True)
class WeatherHour:
    """One hour of a weather file, at the middle of it; irradiances in W/m² (level, towards the sun, sky).

    The day is the place's own, by its clock; so utc_hour, counted from that day's 0 h in UTC, runs from below
    0 or to above 24.
    """

    day_of_year: int  # from 1, of a year without 29 February
    utc_hour: float
    ghi_w_m2: float
    dni_w_m2: float
    dhi_w_m2: float
    air_c: float


@dataclass(frozen=True, slots=True)
class Climate:
    """The user's own figures, which come before the packaged ones."""

    sun_kwh_m2_day: tuple[float, ...] | None = None  # daily mean on the level, by month
    air_c: tuple[float, ...] | None = None  # mean of day and night, by month
    weather: tuple[WeatherHour, ...] = ()  # a typical year, hour by hour
    weather_name: str = ""  # the file's name
    albedo: float = 0.2  # what the ground reflects


@dataclass(frozen=True, slots=True)
class Load:
    """Something that draws from the battery; wh_day before the inverter's losses."""

    name: str
    wh_day: float
    power_w: float | None = None  # while it runs; None: only its Wh a day are known
    inverter: bool = False
    months: tuple[int, ...] = EVERY_MONTH
    when: When | None = None  # the sun is up, or down; None: evenly over the 24 hours


@dataclass(frozen=True, slots=True)
class Inverter:
    """idle_w is drawn hours_day long, in every month in which a load runs through it."""

    efficiency_pct: float = 90.0
    idle_w: float = 0.0
    hours_day: float = 24.0


@dataclass(frozen=True, slots=True)
class Driving:
    """Charging while the engine runs."""

    hours_day: float
    charge_a: float
    months: tuple[int, ...] = EVERY_MONTH


@dataclass(frozen=True, slots=True)
class Mounts:
    """What holds the panels and brings their current down."""

    kg_per_panel: float = 1.5  # rails, brackets, adhesive: common practice, no source


@dataclass(frozen=True, slots=True)
class Vehicle:
    """What carries the roof; None is not known.

    trailer: coupling_x_mm and axle_x_mm (middle of the axle group). motor: axle_x_mm is the rear axle,
    front_axle_x_mm the front one. boat: displacement_kg and metacentric_height_mm.
    Masses as it stands before the work, limits as its plate says.
    """

    kind: VehicleKind
    axle_x_mm: float | None = None
    coupling_x_mm: float | None = None
    front_axle_x_mm: float | None = None
    middle_y_mm: float | None = None  # the centre line; None: the first facet's middle
    mass_kg: float | None = None
    most_mass_kg: float | None = None
    coupling_kg: float | None = None
    most_coupling_kg: float | None = None
    axle_kg: float | None = None
    most_axle_kg: float | None = None
    front_axle_kg: float | None = None
    most_front_axle_kg: float | None = None
    displacement_kg: float | None = None
    metacentric_height_mm: float | None = None
    most_roof_kg: float | None = None  # on the whole roof
    most_roof_kg_m2: float | None = None  # under each panel
    most_lopsided_kg_m: float | None = None  # left against right, of all that is added
    controllers_at_mm: tuple[float, float] | None = None  # where they hang


OF_THE_PLACE = Climate()  # nothing given: the packaged figures of the place
USUAL_INVERTER = Inverter()
USUAL_MOUNTS = Mounts()
