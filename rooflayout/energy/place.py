"""A job's place in words, and whether its latitude and longitude may be the wrong way round.

What the doubt can see (tests/energy/test_place.py measures it): of 195 cities whose swapped place is on the
globe, 73 then lie off the land and are noticed; with the coldest and hottest air given, 154 are. It cannot
see the other 41, round the Mediterranean and in warm Africa above all: there both ways are on land and as
warm, so the place stands in words beside its sun, for the reader to see. No city is doubted where it is. A
place at sea within reach of the figures is asked about in one case of seven without cause, since the other
way round happens to be on land: whoever sails there may pass over it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rooflayout.energy.city_sunshine import nearest_city
from rooflayout.energy.climate import (
    COLDEST_ONE_IN_TWENTY_K,
    HOTTEST_RMSE_K,
    coldest_design_c,
    hottest_design_c,
)
from rooflayout.energy.sun_grid import grid_sun
from rooflayout.job import Job, Site

ASK = "Are latitude and longitude the wrong way round?"
# A given temperature this far from the estimate does not go with a place.
COLDEST_OFF_K, HOTTEST_OFF_K = 2 * COLDEST_ONE_IN_TWENTY_K, 4 * HOTTEST_RMSE_K


def degrees_words(latitude_deg: float, longitude_deg: float | None) -> str:
    """Such as 40.7 N 0.7 E; the latitude alone where that is all there is."""
    north = f"{abs(latitude_deg):.1f} {'S' if latitude_deg < 0 else 'N'}"
    if longitude_deg is None:
        return north
    east = (longitude_deg + 180.0) % 360.0 - 180.0
    return f"{north} {abs(east):.1f} {'W' if east < 0 else 'E'}"


def place_words(latitude_deg: float, longitude_deg: float | None) -> str:
    """The place, and the nearest of the packaged cities, so that a wrong place is seen at once."""
    words = degrees_words(latitude_deg, longitude_deg)
    if longitude_deg is None:
        return words
    city, km = nearest_city(latitude_deg, longitude_deg)
    return f"{words}, {'in' if km < 1.0 else f'{km:.0f} km from'} {city}"


def place_of(job: Job) -> str:
    """A job's place in words; empty without a latitude."""
    site = job.site
    if site is None or site.latitude_deg is None:
        return ""
    return place_words(site.latitude_deg, site.longitude_deg)


def on_land(latitude_deg: float, longitude_deg: float) -> bool:
    """Whether a place lies within the grid, which covers the land and what is near to it; no at the poles."""
    if not -90.0 < latitude_deg < 90.0:
        return False
    found = grid_sun(latitude_deg, longitude_deg)
    return found is not None and found.away_km is None


def land_the_other_way(latitude_deg: float, longitude_deg: float) -> str:
    """For a place off the land that would be on it the other way round: a question; else nothing."""
    if on_land(latitude_deg, longitude_deg) or not on_land(longitude_deg, latitude_deg):
        return ""
    return f"{ASK} The other way round it would be {place_words(longitude_deg, latitude_deg)}, on land."


def place_doubt(job: Job) -> str:
    """Why a job's latitude and longitude may be the wrong way round, in words; empty if nothing says so.

    Off the land, and on it the other way round; or the job's own temperatures fit the other way round only.
    """
    site = job.site
    if site is None or site.latitude_deg is None or site.longitude_deg is None:
        return ""
    place = site.latitude_deg, site.longitude_deg
    hint = land_the_other_way(*place)
    if hint:
        return f"{place_words(*place)}, lies off the land. {hint}"
    other = place[1], place[0]
    if not on_land(*other):  # nor is there any where the other way round is beyond a pole
        return ""
    worst, worst_other = (max((off for _, off in _apart(site, at)), default=0.0) for at in (place, other))
    if worst <= 1.0 or worst_other > min(1.0, worst / 2):
        return ""
    given = [words for words, off in _apart(site, place) if off > 1.0]
    goes = "does not go" if len(given) == 1 else "do not go"
    return (
        f"[site] {' and '.join(given)} {goes} with {place_words(*place)}, but would with "
        f"{place_words(*other)}. {ASK}"
    )


def _apart(site: Site, place: tuple[float, float]) -> Iterator[tuple[str, float]]:
    """Each temperature that the job gives, in words, and how far off the place's estimate, of the most."""
    if site.coldest_c is not None:
        off_k = abs(site.coldest_c - coldest_design_c(*place))
        yield f"coldest = {site.coldest_c:g}", off_k / COLDEST_OFF_K
    if site.hottest_c is not None:
        off_k = abs(site.hottest_c - hottest_design_c(*place))
        yield f"hottest = {site.hottest_c:g}", off_k / HOTTEST_OFF_K
