"""What of the sky's light falls on a facet, hour by hour, for every way the vehicle may stand.

The beam by the cosine of its angle to the facet's normal; the sky even, by how much of it the facet sees;
the ground by its albedo (Liu and Jordan 1963: Duffie and Beckman, section 2.15). Light from close round the
sun has been counted to the beam where hourly data exist (sky.of_weather: Hay and Davies). No shade yet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rooflayout.energy.shade import ShadeTable
from rooflayout.energy.sky import SkyHours
from rooflayout.facing import downhill_from_front_deg
from rooflayout.job import Facet, Job

Values = NDArray[np.float64]

EVERY_WAY = 12  # headings evenly round


@dataclass(frozen=True, slots=True, eq=False)
class FacetSun:
    """Light on a facet, W/m², arrays [headings, N]; diffuse is from sky and ground."""

    beam_w_m2: Values
    diffuse_w_m2: Values
    cosine: Values  # of the beam's angle to the facet's normal, 0 from behind or below the horizon
    bearing_from_front_deg: Values  # of the sun, clockwise from the vehicle's front, 0 to 360


def headings_deg(job: Job) -> tuple[float, ...]:
    """Bearings that the front points to: the job's, or EVERY_WAY of them where it parks every way.

    A facet with a bearing of its own stands on something that does not move: then one, 0 where none is
    given.
    """
    given = None if job.site is None else job.site.heading_deg
    if given is not None:
        return (given,)
    if any(f.slope_deg and isinstance(f.downhill, (int, float)) for f in job.facets):
        return (0.0,)
    return tuple(i * 360.0 / EVERY_WAY for i in range(EVERY_WAY))


def on_facet(job: Job, facet: Facet, sky: SkyHours) -> FacetSun:
    """Light on one facet in every hour for every heading. A slope without a direction counts as level."""
    headings = np.array(headings_deg(job), dtype=np.float64)
    bearing = (sky.azimuth_deg[None, :] - headings[:, None]) % 360.0
    down_deg = downhill_from_front_deg(facet, float(headings[0]))
    slope_deg = 0.0 if down_deg is None else facet.slope_deg
    cosine = incidence_cosine(sky.altitude_deg[None, :], bearing - (down_deg or 0.0), slope_deg)
    tilt = np.cos(np.radians(slope_deg))
    diffuse = sky.dhi_w_m2 * (1.0 + tilt) / 2.0 + sky.albedo * sky.ghi_w_m2 * (1.0 - tilt) / 2.0
    return FacetSun(
        beam_w_m2=sky.dni_w_m2 * cosine,
        diffuse_w_m2=np.broadcast_to(diffuse, cosine.shape),
        cosine=cosine,
        bearing_from_front_deg=bearing,
    )


def incidence_cosine(altitude_deg: Values, from_downhill_deg: Values, slope_deg: float) -> Values:
    """Cosine of the angle between the sun and a plane's normal; 0 from behind or below the horizon.

    from_downhill_deg: of the sun, from the bearing that the plane slopes down to. Duffie and Beckman,
    equation 1.6.3.
    """
    altitude, beside, slope = (np.radians(v) for v in (altitude_deg, from_downhill_deg, slope_deg))
    cosine = np.sin(altitude) * np.cos(slope) + np.cos(altitude) * np.sin(slope) * np.cos(beside)
    return np.asarray(np.where(altitude > 0.0, np.maximum(cosine, 0.0), 0.0))


def direction_wh(job: Job, facet: Facet, sky: SkyHours, table: ShadeTable) -> tuple[Values, float]:
    """Light on a facet over the year, Wh/m², mean of the headings: the beam from each direction of the
    shade table, and all of it together."""
    sun = on_facet(job, facet, sky)
    weights = np.broadcast_to(sky.weight_days / len(sun.beam_w_m2), sun.beam_w_m2.shape)
    beam: Values = np.bincount(
        directions(sun, sky, table).ravel(),
        weights=(sun.beam_w_m2 * weights).ravel(),
        minlength=len(table.directions),
    ).astype(np.float64)
    return beam, float(beam.sum() + (sun.diffuse_w_m2 * weights).sum())


def directions(sun: FacetSun, sky: SkyHours, table: ShadeTable) -> NDArray[np.intp]:
    """[headings, N] direction of the shade table in which the sun stands; below the horizon any."""
    altitude = np.broadcast_to(np.maximum(sky.altitude_deg, 0.0), sun.bearing_from_front_deg.shape)
    return table.direction_of(altitude, sun.bearing_from_front_deg)
