"""How far a figure may be off: what nine places, or nine plans, in ten lie within, in per cent.

A stated 15 % means that at nine places in ten the true long mean lies within 15 % of the figure, on either
side. Parts that know nothing of one another add by their squares (ISO/IEC Guide 98-3, GUM, 5.1.2, from
memory). What single years do is not in it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from rooflayout.energy.cells import USUAL_POWER_PCT_PER_K
from rooflayout.yields import ControllerYield, Energy

# Of the year's sun on the level by the packaged figures. Measured: tests/energy/test_sun_stations.py, at 42
# places with weather files or published means, and at each of 268 cities by all the others.
NEAR_CITY_PCT = 12.0  # with hours of sunshine of a city near by (city_sunshine.NEAR_KM)
GRID_PCT = 15.0
MOUNTAIN_PCT = 20.0  # see relief.py; near a city too, whose sunshine says little of the next valley
TROPIC_PCT = 20.0  # nearer to the equator than TROPICS_DEG, without a city near by
TROPIC_MOUNTAIN_PCT = 25.0
FAR_CELL_PCT = 25.0  # the sea, and beyond the grid; not measured, so as the least known land
TROPICS_DEG = 15.0
OWN_PCT = 10.0  # what the user looked up; common practice, no source
FILE_PCT = 8.0  # a typical year beside the long mean; common practice, no source
# A month's sun is off by so many times what the year's is: 9 months in 10 of 26 weather files are within
# 19 %, 9 years in 10 within 11 % (tests/energy/test_sun_stations.py).
MONTH_TIMES = 1.75

SOILING_OFF_PCT = 3.0  # 1 to 7 % lost instead of 4; common practice, no source
# A model of cell temperature is good to about 5 K: King, Boyson and Kratochvil, Sandia report SAND2004-3535
# (2004), from memory.
CELL_OFF_K = 5.0
PANEL_OFF_PCT = 3.0  # power beside the data sheet's, and the first years' ageing; common practice, no source
MISMATCH_OFF_PCT = 1.0  # of panels in one string; common practice, no source
COPPER_OFF_PCT = 1.5  # cables, controllers, the tracker's search; common practice, no source
SLOPE_OFF_PCT = 3.0  # from the level to a slope, models of the sky differ so much; common practice, no source
SHADE_OFF_SHARE = 0.5  # of what shade takes, by heights and edges of shadows; common practice, no source


@dataclass(frozen=True, slots=True)
class HarvestOff:
    """What nine in ten lie within, in % of the figure: the year's harvest, and a month's."""

    year_pct: float
    month_pct: float


def packaged_sun_off_pct(latitude_deg: float, *, near_city: bool, mountains: bool, away: bool) -> float:
    """Within how many % of the packaged year's sun nine places in ten lie.

    near_city: a city with hours of sunshine is near; away: the grid has nothing at the place itself.
    """
    tropics = abs(latitude_deg) < TROPICS_DEG
    if away:
        return FAR_CELL_PCT
    if mountains:
        return TROPIC_MOUNTAIN_PCT if tropics else MOUNTAIN_PCT
    if near_city:
        return NEAR_CITY_PCT
    return TROPIC_PCT if tropics else GRID_PCT


def month_off_pct(year_pct: float) -> float:
    """The sun of a single month by that of the year."""
    return MONTH_TIMES * year_pct


def together_pct(parts_pct: Iterable[float]) -> float:
    """Root of the sum of squares: of parts that are not off together."""
    return math.sqrt(sum(part * part for part in parts_pct))


def harvest_off_pct(
    sun_pct: float, shade_pct: float = 0.0, clipping_pct: float = 0.0, *, sloped: bool = False
) -> HarvestOff:
    """How far the harvest may be off, by the year's sun, what shade takes of the year, and slopes.

    clipping_pct: how much less of the harvest the charge limits pass where clouds come and go as quickly as
    they may (clipping_off_pct).
    """
    others = (
        SOILING_OFF_PCT,
        CELL_OFF_K * abs(USUAL_POWER_PCT_PER_K),
        PANEL_OFF_PCT,
        MISMATCH_OFF_PCT,
        COPPER_OFF_PCT,
        SLOPE_OFF_PCT if sloped else 0.0,
        SHADE_OFF_SHARE * shade_pct,
        clipping_pct,
    )
    return HarvestOff(together_pct((sun_pct, *others)), together_pct((month_off_pct(sun_pct), *others)))


def clipping_off_pct(controllers: Iterable[ControllerYield]) -> float:
    """What quick clouds would leave less of the year than even hours pass, in % of what these pass."""
    known = [own for own in controllers if own.passes_least_wh_year is not None]
    less_wh = sum(own.passes_wh_year - (own.passes_least_wh_year or 0.0) for own in known)
    passes_wh = sum(own.passes_wh_year for own in known)
    return max(100.0 * less_wh / passes_wh, 0.0) if passes_wh > 0.0 else 0.0


def within_words(energy: Energy) -> str:
    """Within what the harvest lies, of the year and of a month: "within 14 % ... "; empty if not known."""
    year_pct, month_pct = energy.harvest_uncertainty_pct, energy.month_uncertainty_pct
    if year_pct is None:
        return ""
    month = "" if month_pct is None else f", a single month within {month_pct:.0f} %"
    return f"within {year_pct:.0f} % at nine places in ten{month}"
