"""The two temperatures that a string is designed for, and where each came from."""

from __future__ import annotations

import math

from rooflayout.energy.climate import (
    COLDEST_ONE_IN_TWENTY_K,
    HOTTEST_RMSE_K,
    coldest_design_c,
    hottest_design_c,
)
from rooflayout.job import Site
from rooflayout.plan import Temperatures
from rooflayout.wiring.limits import flush_cell_c

ASSUMED_COLDEST_C = -20.0  # common practice, no source: a hard winter of temperate Europe
ASSUMED_HOTTEST_C = 45.0  # common practice, no source: a summer of southern Europe
GIVEN = "given in the job"
ASSUMED = "assumed; not given in the job"


def design_temperatures(site: Site | None) -> Temperatures:
    """The design temperatures of a site in °C: as given, else estimated from its place, else assumed.

    An estimate is rounded to the next whole degree outwards, so that it can be checked by hand.
    The coldest cells are as cold as the air: dawn, before the sun warms the panel. The hottest ones
    are those of a panel flush on the roof at noon (limits.flush_cell_c).
    Raises ValueError when the latitude is beyond a pole.
    """
    coldest_c, coldest_source = _coldest(site)
    hottest_c, hottest_source = _hottest(site)
    return Temperatures(
        coldest_cell_c=coldest_c,
        coldest_source=coldest_source,
        hottest_air_c=hottest_c,
        hottest_cell_c=flush_cell_c(hottest_c),
        hottest_source=hottest_source,
    )


def _coldest(site: Site | None) -> tuple[float, str]:
    if site is not None and site.coldest_c is not None:
        return site.coldest_c, GIVEN
    place = _place(site)
    if place is None:
        return ASSUMED_COLDEST_C, ASSUMED
    doubt = f"one place in twenty is {COLDEST_ONE_IN_TWENTY_K:g} K colder"
    return float(math.floor(coldest_design_c(*place))), _estimate(place, doubt)


def _hottest(site: Site | None) -> tuple[float, str]:
    if site is not None and site.hottest_c is not None:
        return site.hottest_c, GIVEN
    place = _place(site)
    if place is None:
        return ASSUMED_HOTTEST_C, ASSUMED
    return float(math.ceil(hottest_design_c(*place))), _estimate(place, f"typically {HOTTEST_RMSE_K:g} K off")


def _place(site: Site | None) -> tuple[float, float] | None:
    """(latitude, longitude) in degrees when both are given."""
    if site is None or site.latitude_deg is None or site.longitude_deg is None:
        return None
    return site.latitude_deg, site.longitude_deg


def _estimate(place: tuple[float, float], doubt: str) -> str:
    latitude_deg, longitude_deg = place
    return (
        f"estimated from the monthly mean temperatures (ERA5) at latitude {latitude_deg:g}, "
        f"longitude {longitude_deg:g}; {doubt}: check"
    )
