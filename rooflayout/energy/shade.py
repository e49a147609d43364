"""What shadows of the roof's own things take from panels: a table over sun directions, and sums of it.

A panel's loss follows its bypass sections, by the block model of Martinez-Moreno, Muñoz and Lorenzo,
"Experimental model to estimate shading losses on PV arrays", Solar Energy Materials and Solar Cells 94
(2010). Only beam light is lost: what the sky gives is not lessened.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rooflayout.energy.directions import Directions
from rooflayout.energy.heights import least_thickness_mm
from rooflayout.energy.planes import Place
from rooflayout.energy.scene import solids_seen_from
from rooflayout.energy.shadows import Raster, Solid, cast, covered, outline_of, raster_of
from rooflayout.job import Facet, Job
from rooflayout.vehicle.placing import facet_places
from rooflayout.yields import ShadeMap

Floats = NDArray[np.float64]
Along = Literal["x", "y"]
CELL_MM = 12.5
MOST_CELLS = 100_000  # on all facets together; larger roofs get larger cells
MAP_CELLS = 4_000  # of a facet's map
HAIR = 0.01  # a bypass section counts as shaded when more of it is
AT_ONCE = 20_000  # rectangles whose losses by direction stand in memory together


@dataclass(frozen=True, slots=True, eq=False)
class FacetShade:
    """shaded [directions, rows, columns]; open [rows, columns]: within the outline, under no obstacle."""

    raster: Raster
    shaded: NDArray[np.bool_]
    open: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class ShadeTable:
    """Which cells of each facet lie in shadow, for every direction of the grid."""

    directions: Directions
    facets: dict[str, FacetShade]

    def direction_of(self, altitude_deg: ArrayLike, bearing_from_front_deg: ArrayLike) -> NDArray[np.intp]:
        """The number of the direction nearest to each sun, any shape; see Directions.of."""
        return self.directions.of(altitude_deg, bearing_from_front_deg)

    def any_shade(self, facet_name: str) -> bool:
        """Whether any cell of the facet on which a panel may lie is ever shaded. Raises KeyError."""
        return bool(self.facets[facet_name].shaded.any())

    def beam_loss(
        self, facet_name: str, rects_mm: ArrayLike, sections: int, along: Along
    ) -> NDArray[np.float32]:
        """[n, directions]: share of the beam power that panels at rects_mm [n, 4] (x0, y0, x1, y1) lose.

        sections: strips side by side, each with its bypass diode; along: which way they run. Edges are
        rounded to cells. Raises KeyError for an unknown facet, ValueError for less than one section.
        """
        if sections < 1:
            raise ValueError(f"a panel has at least one bypass section, not {sections}")
        shade = self.facets[facet_name]
        lines, back = np.unique(
            _cell_lines(shade.raster, np.asarray(rects_mm, dtype=float).reshape(-1, 4), sections, along),
            axis=0,
            return_inverse=True,
        )
        cells = shade.shaded if along == "x" else shade.shaded.transpose(0, 2, 1)
        return np.ascontiguousarray(_block_losses(cells, lines).T[back.reshape(-1)])

    def year_loss(
        self,
        facet_name: str,
        rects_mm: ArrayLike,
        sections: int,
        along: Along,
        beam_wh_m2: ArrayLike,
        total_wh_m2: ArrayLike,
    ) -> Floats:
        """[n]: yearly_loss of beam_loss, few rectangles at a time, so that memory stays small."""
        rects = np.asarray(rects_mm, dtype=float).reshape(-1, 4)
        if not self.any_shade(facet_name):
            return np.zeros(len(rects))
        parts = [
            yearly_loss(
                self.beam_loss(facet_name, rects[i : i + AT_ONCE], sections, along), beam_wh_m2, total_wh_m2
            )
            for i in range(0, len(rects), AT_ONCE)
        ]
        return np.concatenate(parts) if parts else np.zeros(0)


def shade_table(job: Job, places: Mapping[str, Place | None] | None = None) -> ShadeTable:
    """The shadows on all facets of a job.

    places: of each facet, None where it is not known; left out, those of vehicle/placing.py. Shadows
    are those on the panels' faces, which lie the least panel thickness of the job above the roof.
    """
    directions = Directions()
    where = facet_places(job) if places is None else places
    step_mm = cell_mm(job.facets)
    return ShadeTable(
        directions, {f.name: _facet_shade(job, f, where, directions, step_mm) for f in job.facets}
    )


def cell_mm(facets: tuple[Facet, ...]) -> float:
    """Side of a cell: CELL_MM, or more where the boxes round all facets would hold over MOST_CELLS."""
    area_mm2 = sum(float(np.prod(np.ptp(np.array(f.outline_mm), axis=0))) for f in facets)
    return max(CELL_MM, sqrt(area_mm2 / MOST_CELLS))


def block_loss(shaded_share: ArrayLike, shaded_sections: ArrayLike, sections: int) -> Floats:
    """Share of the beam power lost, 0 to 1: 1 - (1 - F) (1 - Nsb / (Ntb + 1)), Martinez and others 2010."""
    share, count = np.asarray(shaded_share, dtype=float), np.asarray(shaded_sections, dtype=float)
    return np.asarray(1.0 - (1.0 - share) * (1.0 - count / (sections + 1.0)))


def yearly_loss(loss: ArrayLike, beam_wh_m2: ArrayLike, total_wh_m2: ArrayLike) -> Floats:
    """[n]: share of the year's light (beam and sky) lost, of loss [n, directions].

    beam_wh_m2 [directions] on the bare facet; total_wh_m2 its beam and sky together, one number or by
    direction. Without any light nothing is lost.
    """
    total = float(np.sum(total_wh_m2))
    shares = np.asarray(loss)
    if total <= 0.0:
        return np.zeros(shares.shape[0])
    beam = np.asarray(beam_wh_m2, dtype=shares.dtype)
    return np.asarray(shares @ beam / total, dtype=float)


def shade_map(job: Job, table: ShadeTable, facet: Facet, beam_wh_m2: ArrayLike) -> ShadeMap:
    """The facet's yearly loss of beam in % of a bare roof's, cell by cell; rows from low y up.

    Several cells of the table may make one of the map. None: outside the outline or under an obstacle.
    """
    shade = table.facets[facet.name]
    beam = np.asarray(beam_wh_m2, dtype=float)
    total = float(beam.sum())
    lost = np.zeros(shade.open.shape)
    for direction in np.flatnonzero(beam):
        lost += beam[direction] / total * shade.shaded[direction]
    cells = shade.raster.rows * shade.raster.columns
    merge = max(1, int(np.ceil(sqrt(cells / MAP_CELLS))))
    weight = _merged(shade.open.astype(float), merge)
    lost = _merged(np.where(shade.open, lost, 0.0), merge)
    rows = tuple(
        tuple(
            round(100.0 * float(v / w), 1) if w > 0.0 else None for v, w in zip(values, weights, strict=True)
        )
        for values, weights in zip(lost, weight, strict=True)
    )
    return ShadeMap(facet.name, shade.raster.x_mm, shade.raster.y_mm, merge * shade.raster.step_mm, rows)


def _facet_shade(
    job: Job, facet: Facet, places: Mapping[str, Place | None], directions: Directions, step_mm: float
) -> FacetShade:
    raster = raster_of(facet, step_mm)
    plane, solids = solids_seen_from(job, facet, places)
    faces_mm = np.array([0.0, 0.0, least_thickness_mm(job)])
    solids = tuple(Solid(s.corners_mm - faces_mm, s.edges) for s in solids)
    open_cells = covered(raster, facet.outline_mm)
    for obstacle in job.obstacles_on(facet.name):
        open_cells &= ~covered(raster, outline_of(obstacle))
    shaded = cast(raster, solids, directions.to_sun @ plane.axes.T)
    shaded &= open_cells
    return FacetShade(raster, shaded, open_cells)


def _cell_lines(raster: Raster, rects_mm: Floats, sections: int, along: Along) -> NDArray[np.int32]:
    """[n, 2 + sections + 1]: first and last column, then the rows between which the sections lie.

    Of sections that run along y the columns and rows change places.
    """
    x = (rects_mm[:, [0, 2]] - raster.x_mm) / raster.step_mm
    y = (rects_mm[:, [1, 3]] - raster.y_mm) / raster.step_mm
    ends, sides, most = (x, y, (raster.columns, raster.rows))
    if along == "y":
        ends, sides, most = (y, x, (raster.rows, raster.columns))
    part = np.linspace(0.0, 1.0, sections + 1)
    between = sides[:, :1] + (sides[:, 1:] - sides[:, :1]) * part
    lines = [np.clip(np.rint(ends), 0, most[0]), np.clip(np.rint(between), 0, most[1])]
    return np.concatenate(lines, axis=1).astype(np.int32)


def _block_losses(cells: NDArray[np.bool_], lines: NDArray[np.int32]) -> NDArray[np.float32]:
    """[directions, n]: loss at each row of lines (see _cell_lines); cells [directions, rows, columns]."""
    cells, lines = _box_round(cells, lines)
    rows, columns = cells.shape[1:]
    starts = (lines[:, 2:] * np.int32(columns + 1)).T
    ends, begins = np.ascontiguousarray(starts + lines[:, 1]), np.ascontiguousarray(starts + lines[:, 0])
    size = (np.diff(lines[:, 2:], axis=1) * (lines[:, 1:2] - lines[:, :1])).T  # cells of each section
    whole = np.maximum(size.sum(axis=0), 1)
    sums = np.zeros((rows + 1, columns + 1), dtype=np.int32)
    found = np.zeros((len(cells), len(lines)), dtype=np.float32)
    for direction in np.flatnonzero(cells.any(axis=(1, 2))):
        np.cumsum(np.cumsum(cells[direction], axis=0, dtype=np.int32), axis=1, out=sums[1:, 1:])
        flat = sums.ravel()
        below = flat[ends] - flat[begins]  # [sections + 1, n]: shaded cells below each line
        shaded = np.diff(below, axis=0)
        share = (below[-1] - below[0]) / whole
        found[direction] = block_loss(share, (shaded > HAIR * size).sum(axis=0), len(size))
    return found


def _box_round(
    cells: NDArray[np.bool_], lines: NDArray[np.int32]
) -> tuple[NDArray[np.bool_], NDArray[np.int32]]:
    """Only the cells that some panel covers, and the lines between these."""
    if not len(lines):
        return cells, lines
    left, right = int(lines[:, :2].min()), int(lines[:, :2].max())
    low, high = int(lines[:, 2:].min()), int(lines[:, 2:].max())
    own = lines - np.array([left, left, *[low] * (lines.shape[1] - 2)], dtype=np.int32)
    return cells[:, low:high, left:right], own


def _merged(values: Floats, merge: int) -> Floats:
    """Sums of blocks of merge by merge cells; what is missing at the far ends counts as 0."""
    rows, columns = values.shape
    grown = np.pad(values, ((0, -rows % merge), (0, -columns % merge)))
    return np.asarray(grown.reshape(grown.shape[0] // merge, merge, -1, merge).sum(axis=(1, 3)))
