"""What sun, loads and vehicle come to: frozen classes beside those of plan.py.

Twelve values are the months, January first; Wh a day are the month's mean.
"""

from __future__ import annotations

from dataclasses import dataclass

from rooflayout.months import DAYS_IN_MONTH


@dataclass(frozen=True, slots=True)
class MonthYield:
    """One month: sun, what reaches the battery, what is drawn from it, and how it fares.

    soc is the state of charge at sunrise, in % of the usable capacity; low, middle and high are the
    values that one day in ten, every other day and nine days in ten stay below. Less and more sun: by
    Energy.month_uncertainty_pct than estimated. None without a battery's capacity.
    """

    month: int  # 1 to 12
    sun_kwh_m2_day: float  # on the level
    air_c: float
    harvest_wh_day: float  # roof panels, after the controllers
    portable_wh_day: float
    driving_wh_day: float
    demand_wh_day: float  # inverter's losses included
    empty_pct: float | None  # of days on which the battery runs empty
    soc_low_pct: float | None
    soc_middle_pct: float | None
    soc_high_pct: float | None
    sentence: str  # for the owner
    empty_less_sun_pct: float | None = None
    empty_more_sun_pct: float | None = None
    spilled_pct: float | None = None  # of what sun and driving could give: the battery is full


@dataclass(frozen=True, slots=True)
class ControllerYield:
    """Over the year: what the panels could give and what the charge current passes on.

    passes_wh_year takes each hour's sun as even, passes_least_wh_year clouds that come and go as quickly as
    they may; the truth lies between. None: not known.
    """

    controller: str
    could_wh_year: float
    passes_wh_year: float
    passes_least_wh_year: float | None = None

    @property
    def passes_pct(self) -> float:
        return 100.0 * self.passes_wh_year / self.could_wh_year if self.could_wh_year > 0.0 else 100.0

    @property
    def passes_least_pct(self) -> float | None:
        if self.passes_least_wh_year is None or self.could_wh_year <= 0.0:
            return None
        return 100.0 * self.passes_least_wh_year / self.could_wh_year


@dataclass(frozen=True, slots=True)
class PanelShade:
    """What shade takes from a panel over the year, by its own bypass sections."""

    panel: str
    loss_pct: float


@dataclass(frozen=True, slots=True)
class ShadeMap:
    """Beam light that shade takes over the year on a facet, % of a bare roof's; rows from y_mm up, cells of
    step_mm from x_mm on. Cells outside the outline are None."""

    facet: str
    x_mm: float
    y_mm: float
    step_mm: float
    rows: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class FacetYield:
    """What a watt of panel gives on a facet without shade, before the controller."""

    facet: str
    wh_per_w_year: float


@dataclass(frozen=True, slots=True)
class LoadHours:
    """How many hours a day the sun alone carries a load of known watts, by month."""

    load: str
    hours_day: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Energy:
    """What the sun gives and what the loads take."""

    months: tuple[MonthYield, ...]
    controllers: tuple[ControllerYield, ...]
    facets: tuple[FacetYield, ...]
    shade: tuple[PanelShade, ...]
    wh_year: float  # roof panels, after the controllers
    uncertainty_pct: float  # of the yearly sun; nine places in ten lie within it
    source: str  # of the sun's figures, in words
    harvest_uncertainty_pct: float | None = None  # of wh_year: the sun's, dirt, heat, shade, panels, clipping
    month_uncertainty_pct: float | None = None  # of the harvest of a single month
    place: str = ""  # where the sun shines so, in words
    usable_wh: float | None = None  # of the battery
    days_without_sun: float | None = None  # from full to empty, in the month of most demand
    refill_hours: float | None = None  # of full sun overhead (1000 W/m² on the level), from 20 % to full
    watts_per_ah: float | None = None  # panel watts to the battery's Ah, at 12 V
    load_hours: tuple[LoadHours, ...] = ()
    soc_band_pct: tuple[tuple[float, float, float], ...] = ()  # low, middle, high of each day of the year
    maps: tuple[ShadeMap, ...] = ()

    @property
    def sun_kwh_m2_day(self) -> float:
        """On the level, mean of the year."""
        days = [DAYS_IN_MONTH[(m.month - 1) % 12] for m in self.months]
        return sum(m.sun_kwh_m2_day * d for m, d in zip(self.months, days, strict=True)) / sum(days)


@dataclass(frozen=True, slots=True)
class AddedMass:
    """One item of what is added; x and y on the vehicle (see needs.py), None: not known."""

    item: str
    kg: float
    x_mm: float | None = None
    y_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Bearing:
    """What a mass does to something that bears it: change, what it was, what it may bear, all kg."""

    what: str  # coupling, axle, front axle, vehicle, roof
    change_kg: float
    before_kg: float | None = None
    most_kg: float | None = None

    @property
    def after_kg(self) -> float | None:
        return None if self.before_kg is None else self.before_kg + self.change_kg


@dataclass(frozen=True, slots=True)
class Balance:
    """Added mass and what it does; the centre is that of the items whose place is known."""

    items: tuple[AddedMass, ...]
    added_kg: float
    centre_x_mm: float | None
    centre_y_mm: float | None
    lopsided_kg_m: float | None  # to the left of the centre line, negative to the right
    bearings: tuple[Bearing, ...] = ()
    payload_left_kg: float | None = None
    heel_deg: float | None = None  # of a boat, to the left positive
    roof_kg_m2: tuple[tuple[str, float], ...] = ()  # by panel
    unknown: tuple[str, ...] = ()  # what has no mass in the catalogue, and so counts nowhere
