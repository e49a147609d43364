"""What shade takes: by hand, by brute force and by symmetry."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from small_roofs import PANEL, box, job_of, level

from rooflayout.energy.directions import Directions, to_sun
from rooflayout.energy.heights import assumed_heights, height_mm, least_thickness_mm
from rooflayout.energy.scene import solids_seen_from
from rooflayout.energy.shade import (
    CELL_MM,
    HAIR,
    MOST_CELLS,
    FacetShade,
    ShadeTable,
    block_loss,
    cell_mm,
    shade_map,
    shade_table,
    yearly_loss,
)
from rooflayout.energy.shadows import Raster, cast, raster_of
from rooflayout.job import Obstacle

HATCH = box("hatch", 2000, 1000, 400, 400, 200.0)


def brute_loss(
    cells: np.ndarray, step_mm: float, rect: tuple[float, ...], sections: int, along: str
) -> float:
    """The block model cell by cell; rect on cell edges."""
    x0, y0, x1, y1 = (round(v / step_mm) for v in rect)
    panel = cells[y0:y1, x0:x1]
    panel = panel if along == "x" else panel.T
    strips = np.array_split(panel, sections)
    hit = sum(strip.mean() > HAIR for strip in strips)
    return 1 - (1 - panel.mean()) * (1 - hit / (sections + 1))


@pytest.mark.parametrize("along", ["x", "y"])
@pytest.mark.parametrize("sections", [1, 2, 3, 6])
def test_losses_of_many_rectangles_against_counting_cells(sections: int, along: str) -> None:
    job = job_of(level(3000, 2000), obstacles=(HATCH, box("b", 500, 300, 200, 300, 350.0)))
    table = shade_table(job)
    rng = np.random.default_rng(sections)
    low = rng.integers(0, (200, 120), (40, 2)) * CELL_MM
    sides = np.array([36, 36]) * CELL_MM  # a number of cells that all sections divide
    rects = np.concatenate([low, low + sides], axis=1)
    found = table.beam_loss("main", rects, sections, along)
    assert found.shape == (40, len(table.directions))
    shaded = table.facets["main"].shaded
    for i, rect in enumerate(rects):
        for direction in rng.integers(0, len(table.directions), 40):
            expected = brute_loss(shaded[direction], CELL_MM, tuple(rect), sections, along)
            assert found[i, direction] == pytest.approx(expected, abs=1e-6)
    alone = [table.beam_loss("main", rect, sections, along)[0] for rect in rects[:5]]
    assert np.array_equal(alone, found[:5])  # reckoned from the cells round it only
    assert found.min() == 0.0
    assert 0.5 < found.max() <= 1.0


def test_sections_along_the_shadows_edge_lose_less_than_across_it() -> None:
    """A long low wall shades a strip of the panel: one section that lies along it, or all that cross it."""
    job = job_of(level(3000, 2000), obstacles=(box("wall", 500, 500, 2000, 50, 300.0),))
    table = shade_table(job)
    at = table.direction_of(60.0, 90.0)  # sun at the right: the shadow lies at y from 550 on, some 170 deep
    rect = [[600.0, 600.0, 1600.0, 1200.0]]
    along, across = (float(table.beam_loss("main", rect, 3, a)[0, at]) for a in ("x", "y"))
    share = float(table.facets["main"].shaded[at, 48:96, 48:128].mean())
    assert 0.1 < share < 1 / 3
    assert along == pytest.approx(1 - (1 - share) * (1 - 1 / 4))
    assert across == pytest.approx(1 - (1 - share) * (1 - 3 / 4))


def test_block_loss_by_hand() -> None:
    assert block_loss(0.0, 0, 3) == 0.0
    assert block_loss(1.0, 3, 3) == 1.0
    assert block_loss(0.5, 2, 3) == pytest.approx(0.75)


@pytest.mark.parametrize(("cells", "sections_hit"), [(10, 0), (11, 1)])
def test_a_hair_of_shade_counts_no_section(cells: int, sections_hit: int) -> None:
    """Sections of 1000 cells each: of ten no section counts as shaded, of eleven one does."""
    grid = Directions((45.0,), (0.0, 90.0), 1)
    shaded = np.zeros((1, 30, 100), dtype=bool)
    shaded[0, 0, :cells] = True
    shade = FacetShade(Raster(0.0, 0.0, 10.0, 30, 100), shaded, np.ones((30, 100), dtype=bool))
    loss = ShadeTable(grid, {"main": shade}).beam_loss("main", [[0, 0, 1000, 300]], 3, "x")
    assert loss[0, 0] == pytest.approx(1 - (1 - cells / 3000) * (1 - sections_hit / 4))


def test_less_than_one_section_is_refused() -> None:
    table = shade_table(job_of(level(3000, 2000), obstacles=(HATCH,)))
    with pytest.raises(ValueError, match="at least one bypass section"):
        table.beam_loss("main", [[0, 0, 100, 100]], 0, "x")


def test_nothing_high_casts_nothing() -> None:
    """No heights, no shadow: kind other without a height, and a thing of height 0."""
    job = job_of(level(3000, 2000), obstacles=(replace(HATCH, height_mm=None), box("b", 0, 0, 50, 50, 0.0)))
    table = shade_table(job)
    assert not table.any_shade("main")
    assert not table.beam_loss("main", [[0, 0, 1000, 500]], 3, "x").any()
    assert not table.year_loss(
        "main", [[0, 0, 1000, 500]], 3, "x", np.ones(len(table.directions)), 500.0
    ).any()


def test_what_is_no_higher_than_the_panels_casts_nothing_on_them() -> None:
    rail = box("rail", 100, 900, 2800, 40, None, kind="rail")
    thin, thick = replace(PANEL, thickness_mm=3.0), replace(PANEL, thickness_mm=35.0)
    assert shade_table(job_of(level(3000, 2000), obstacles=(rail,), panel=thin)).any_shade("main")
    assert not shade_table(job_of(level(3000, 2000), obstacles=(rail,), panel=thick)).any_shade("main")
    unknown = replace(PANEL, thickness_mm=None)
    assert least_thickness_mm(job_of(level(3000, 2000), panel=unknown)) == 0.0


def test_a_panel_beside_a_low_thing_is_not_said_to_be_shaded_by_its_own_cell() -> None:
    """The thing's edge lies amid a cell; with the sun overhead the panel that adjoins it loses nothing."""
    hatch = box("hatch", 1010, 500, 405, 400, 90.0)
    table = shade_table(job_of(level(3000, 2000), obstacles=(hatch,)))
    side = [[1415.0, 500.0, 2415.0, 1000.0], [10.0, 500.0, 1010.0, 1000.0]]
    at = table.direction_of(84.0, [0.0, 180.0])
    loss = table.beam_loss("main", side, 3, "y")[:, at]
    assert loss[0, 0] == loss[1, 1] == 0.0


def test_a_symmetric_roof_has_a_symmetric_map() -> None:
    """Mirrored about the middle line from front to rear, with as much sun from the left as from the right."""
    facet = level(4000, 2000)
    things = (box("a", 1000, 800, 400, 400, 250.0), box("l", 2500, 200, 200, 200, 300.0))
    job = job_of(facet, obstacles=(*things, box("r", 2500, 1600, 200, 200, 300.0)))
    table = shade_table(job)
    beam = np.sin(np.radians(table.directions.altitude_deg))
    rows = shade_map(job, table, facet, beam).rows
    assert len(rows) > 10
    for low, high in zip(rows, reversed(rows), strict=True):
        for a, b in zip(low, high, strict=True):
            assert (a is None) == (b is None)
            assert a is None or a == pytest.approx(b, abs=0.2)
    worst = max(v for row in rows for v in row if v is not None)
    assert 10.0 < worst < 60.0


def test_the_map_counts_shares_of_the_beam() -> None:
    """Light from one direction only: shaded cells lose all of it, the others nothing."""
    facet = level(750, 500)  # 2400 cells: the map shows every one
    hatch = box("hatch", 250, 200, 100, 100, 100.0)
    job = job_of(facet, obstacles=(hatch,))
    table = shade_table(job)
    at = int(table.direction_of(40.5, 180.0))
    beam = np.zeros(len(table.directions))
    beam[at] = 700.0
    found = shade_map(job, table, facet, beam)
    assert (found.facet, found.x_mm, found.y_mm, found.step_mm) == ("main", 0.0, 0.0, CELL_MM)
    assert (len(found.rows), len(found.rows[0])) == (40, 60)
    for r, row in enumerate(found.rows):
        for c, value in enumerate(row):
            under = 20 <= c < 28 and 16 <= r < 24
            assert value == (None if under else 100.0 * table.facets["main"].shaded[at, r, c])
    assert found.rows[20][29] == 100.0  # in front of it, the sun behind
    assert found.rows[20][10] == 0.0


def test_outside_the_outline_the_map_is_empty() -> None:
    facet = replace(level(2000, 1000), outline_mm=((0.0, 0.0), (2000.0, 0.0), (0.0, 1000.0)))
    job = job_of(facet)
    table = shade_table(job)
    rows = shade_map(job, table, facet, np.ones(len(table.directions))).rows
    assert rows[-1][-1] is None
    assert rows[0][0] == 0.0


def test_the_years_loss_is_weighted_by_the_beam() -> None:
    """Half the beam lost in one direction that brings 200 of 1000 Wh/m²: a tenth."""
    loss = np.array([[0.5, 0.0, 0.0], [0.0, 1.0, 0.0]])
    assert yearly_loss(loss, [200.0, 500.0, 100.0], 1000.0) == pytest.approx([0.1, 0.5])
    assert yearly_loss(loss, [200.0, 500.0, 100.0], [300.0, 600.0, 100.0]) == pytest.approx([0.1, 0.5])
    assert not yearly_loss(loss, [0.0, 0.0, 0.0], 0.0).any()


def test_the_years_loss_in_parts_is_that_of_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    table = shade_table(job_of(level(3000, 2000), obstacles=(HATCH,)))
    rng = np.random.default_rng(0)
    low = rng.uniform(0, (2000, 1500), (50, 2))
    rects = np.concatenate([low, low + np.array([1000.0, 500.0])], axis=1)
    beam = rng.uniform(0, 5, len(table.directions))
    whole = yearly_loss(table.beam_loss("main", rects, 3, "x"), beam, 2000.0)
    monkeypatch.setattr("rooflayout.energy.shade.AT_ONCE", 7)
    assert table.year_loss("main", rects, 3, "x", beam, 2000.0) == pytest.approx(whole, rel=1e-5)
    assert table.year_loss("main", rects[:0], 3, "x", beam, 2000.0).shape == (0,)


def test_farther_away_less_is_lost() -> None:
    table = shade_table(job_of(level(6000, 2000), obstacles=(box("b", 100, 500, 400, 1000, 300.0),)))
    rects = [[x, 500.0, x + 1000.0, 1000.0] for x in (500.0, 800.0, 1200.0, 2000.0, 3500.0)]
    losses = table.year_loss("main", rects, 3, "x", np.sin(np.radians(table.directions.altitude_deg)), 200.0)
    assert all(a > b for a, b in pairwise(losses))


def test_large_roofs_get_larger_cells() -> None:
    assert cell_mm((level(4000, 2000),)) == CELL_MM
    large = (level(20000, 5000), level(20000, 5000, "b"))
    step = cell_mm(large)
    assert step > CELL_MM
    assert 2 * 20000 * 5000 / step**2 == pytest.approx(MOST_CELLS)


def test_heights_that_the_job_does_not_give_are_assumed_and_said() -> None:
    known = box("box", 0, 0, 50, 50, 120.0)
    vent = box("vent", 0, 0, 300, 300, None, kind="vent")
    flat = Obstacle("flat aerial", "main", "aerial", centre_mm=(500.0, 500.0), diameter_mm=200.0)
    stick = Obstacle("whip", "main", "aerial", centre_mm=(500.0, 500.0), diameter_mm=40.0)
    lid = box("lid", 0, 0, 400, 400, None, kind="hatch", opens="+x", reach_mm=400.0)
    job = job_of(level(3000, 2000), obstacles=(known, vent, flat, stick, lid))
    assert [(o.name, h) for o, h in assumed_heights(job)] == [
        ("vent", 60.0),
        ("flat aerial", 60.0),
        ("whip", 400.0),
        ("lid", 90.0),  # closed while the sun is harvested
    ]
    assert height_mm(known) == 120.0


def test_facets_that_join_on_get_each_others_shadows() -> None:
    """The slope in front of the level roof: its place is known without being given."""
    main, slope = level(3000, 2000), level(900, 2000, "slope", slope_deg=20.0, downhill="+x")
    job = job_of(main, slope, obstacles=(box("b", 2800, 900, 200, 200, 400.0),))
    assert shade_table(job).any_shade("slope")
    assert not shade_table(job, {"main": (0.0, 0.0, 0.0), "slope": None}).any_shade("slope")


def test_the_table_against_every_sun_of_a_year() -> None:
    """A year's loss by the grid of directions, and by the sun's own path; 40° north, all headings.

    Sun by pvlib's solar position, beam by 0.7 ** (air mass ** 0.678) (Meinel and Meinel 1976, from memory).
    Within one percentage point for each panel and half a point in the mean.
    """
    facet = level(3000, 2000)
    job = job_of(
        facet, obstacles=(box("a", 1300, 700, 600, 500, 230.0), box("b", 300, 1700, 300, 200, 120.0))
    )
    low = np.array([[x, y] for x in (40.0, 1950.0) for y in (60.0, 650.0, 1300.0)])
    rects = np.concatenate([low, low + np.array([1000.0, 350.0])], axis=1)
    altitude, azimuth = sun_path(40.0)
    beam = np.sin(np.radians(altitude)) * 0.7 ** (np.sin(np.radians(altitude)) ** -0.678)
    headings = np.arange(12) * 30.0
    bearing = ((azimuth[:, None] - headings) % 360.0).ravel()
    altitude, beam = np.repeat(altitude, 12), np.repeat(beam, 12)

    raster = raster_of(facet, 10.0)
    plane, solids = solids_seen_from(job, facet, {"main": (0.0, 0.0, 0.0)})
    expected = np.zeros(len(rects))
    for i in range(0, len(beam), 300):
        cells = cast(raster, solids, to_sun(altitude[i : i + 300], bearing[i : i + 300]) @ plane.axes.T)
        for shaded, light in zip(cells, beam[i : i + 300], strict=True):
            expected += light * np.array([brute_loss(shaded, 10.0, tuple(rect), 3, "x") for rect in rects])
    expected /= beam.sum()

    table = shade_table(job)
    by_direction = np.bincount(table.direction_of(altitude, bearing), beam, minlength=len(table.directions))
    found = table.year_loss("main", rects, 3, "x", by_direction, beam.sum())
    assert 0.005 < expected.min() < 0.05 < 0.2 < expected.max()
    assert found == pytest.approx(expected, abs=0.01)
    assert found.mean() == pytest.approx(expected.mean(), abs=0.005)


def sun_path(latitude_deg: float) -> tuple[np.ndarray, np.ndarray]:
    """Altitude and azimuth of every hour of every thirtieth day in which the sun is up."""
    import pandas as pd
    import pvlib

    hours = pd.date_range("2025-01-06", periods=12 * 24, freq="h", tz="UTC")
    hours = hours + pd.to_timedelta(np.arange(len(hours)) // 24 * 29, unit="D")
    found = pvlib.solarposition.get_solarposition(hours, latitude_deg, 0.0)
    up = found["elevation"].to_numpy() > 1.0
    return found["elevation"].to_numpy()[up], found["azimuth"].to_numpy()[up]
