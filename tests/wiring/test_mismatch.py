"""Unlike strings on one tracker: what they lose, under which sun, and what the installer is told."""

from __future__ import annotations

import math
import time
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from wired_roofs import DUCK, FRONT, GOOSE, HERON, MAIN, PANELS, SWAN, a_job

from rooflayout.job import Facet, Job, PanelModel, Site, WiringRules
from rooflayout.plan import PanelString, Temperatures, Wiring
from rooflayout.wiring.curves import five_parameters
from rooflayout.wiring.limits import flush_cell_c
from rooflayout.wiring.mismatch import (
    StringPart,
    conditions,
    direct_w_m2,
    facet_sun_w_m2,
    lit_cell_c,
    loss_pct,
    mismatch_notes,
    wiring_mismatch,
    worst_loss,
)

SUMMER = Temperatures(-5.0, "test", 42.0, flush_cell_c(42.0), "test")
NOSE = replace(FRONT, downhill="+x")  # slopes by 20° to the front
TAIL = replace(FRONT, name="rear slope", downhill="-x")


def a_string(name: str, tracker: int, model: str, series: int, facet: str = "main") -> PanelString:
    panels = tuple(f"{name}P{i}" for i in range(series))
    return PanelString(name, "C1", tracker, facet, model, panels, 50.0, 30.0, 10.0, 200.0 * series)


def a_wiring(*strings: PanelString) -> Wiring:
    return Wiring(strings, (), (), SUMMER)


def sloped_job(most_mismatch_pct: float = 2.0) -> Job:
    return a_job(facets=(MAIN, NOSE, TAIL), wiring_rules=WiringRules(most_mismatch_pct=most_mismatch_pct))


@given(st.sampled_from(PANELS), st.integers(1, 4), st.integers(1, 4), st.floats(20, 1100), st.floats(-30, 90))
@settings(max_examples=50, deadline=None)
def test_alike_strings_lose_nothing(model, series, parallel, sun, cell_c) -> None:  # type: ignore[no-untyped-def]
    parts = [StringPart(model, series, parallel, sun, cell_c), StringPart(model, series, 1, sun, cell_c)]
    assert loss_pct(parts) == pytest.approx(0.0, abs=1e-9)


@given(
    st.lists(
        st.builds(
            StringPart,
            st.sampled_from(PANELS),
            st.integers(1, 4),
            st.integers(1, 3),
            st.floats(0, 1100),
            st.floats(-30, 90),
        ),
        min_size=1,
        max_size=4,
    )
)
@settings(max_examples=100, deadline=None)
def test_loss_is_a_percentage_whatever_the_order(parts: list[StringPart]) -> None:
    loss = loss_pct(parts)
    assert 0.0 <= loss <= 100.0
    assert loss_pct(parts[::-1]) == pytest.approx(loss, abs=1e-9)


def test_in_the_dark_nothing_is_lost() -> None:
    assert loss_pct([StringPart(DUCK, 1, 1, 0.0), StringPart(SWAN, 1, 1, 0.0)]) == 0.0


def test_twice_the_voltage_loses_more_than_a_tenth_more() -> None:
    """Common practice, no source: strings of unlike voltage lose much, those of unlike current nothing."""
    a_tenth = replace(DUCK, model="a tenth more", voc_v=1.1 * 23.0, vmp_v=1.1 * 0.84 * 23.0)
    more_current = replace(DUCK, model="more current", isc_a=11.0, imp_a=0.947 * 11.0)
    one = StringPart(DUCK, 1)
    assert loss_pct([one, StringPart(more_current, 1)]) < 0.1
    assert 1.0 < loss_pct([one, StringPart(a_tenth, 1)]) < 4.0
    assert 25.0 < loss_pct([one, StringPart(DUCK, 2)]) < 40.0


def test_direct_light_at_sea_level() -> None:
    """Air mass 1.5 gives 1353 x 0.7 ** 1.3164 = 846 W/m² by hand; overhead 947."""
    assert direct_w_m2(math.degrees(math.asin(1 / 1.5))) == pytest.approx(846.0, abs=1.0)
    assert direct_w_m2(90.0) == pytest.approx(947.1, abs=0.1)


def test_direct_light_is_near_a_model_of_pvlib() -> None:
    """pvlib's simplified Solis clear sky: within 10 % from 15 to 60°."""
    solis = pytest.importorskip("pvlib").clearsky.simplified_solis
    for altitude_deg in (15.0, 30.0, 60.0):
        assert direct_w_m2(altitude_deg) == pytest.approx(solis(altitude_deg)["dni"], rel=0.1)


@pytest.mark.parametrize("altitude_deg", [15.0, 30.0, 60.0])
@pytest.mark.parametrize("sun_deg", [0.0, 45.0, 90.0, 180.0, 270.0])
@pytest.mark.parametrize(
    ("downhill", "front", "bearing_deg"),
    [
        ("+x", "+x", 0.0),
        ("+y", "+x", 270.0),  # y points to the left
        ("-x", "+x", 180.0),
        ("-y", "+x", 90.0),
        ("+x", "-x", 180.0),
        ("+x", "+y", 90.0),  # the front lies to the left of x, so x is to its right
        (200.0, "+x", 200.0),
    ],
)
def test_sun_on_a_slope(altitude_deg, sun_deg, downhill, front, bearing_deg) -> None:  # type: ignore[no-untyped-def]
    """Direct light by pvlib's angle of incidence, the sky by pvlib's isotropic one."""
    pvlib = pytest.importorskip("pvlib")
    facet = Facet("slope", MAIN.outline_mm, slope_deg=25.0, downhill=downhill, front=front)
    zenith_deg, direct = 90.0 - altitude_deg, direct_w_m2(altitude_deg)
    cosine = pvlib.irradiance.aoi_projection(25.0, bearing_deg, zenith_deg, sun_deg)
    expected = direct * max(0.0, float(cosine)) + float(pvlib.irradiance.isotropic(25.0, 0.1 * direct))
    assert facet_sun_w_m2(facet, altitude_deg, sun_deg) == pytest.approx(expected, rel=1e-9)


def test_a_bearing_is_turned_by_the_heading() -> None:
    by_bearing = replace(NOSE, downhill=90.0)
    assert facet_sun_w_m2(by_bearing, 30.0, 45.0, heading_deg=90.0) == pytest.approx(
        facet_sun_w_m2(NOSE, 30.0, 45.0)
    )


def test_a_slope_without_direction_counts_as_level() -> None:
    assert facet_sun_w_m2(FRONT, 30.0, 45.0) == facet_sun_w_m2(MAIN, 30.0, 45.0)


def test_cells_in_full_sun_are_as_the_limits_have_them() -> None:
    assert lit_cell_c(42.0, 1000.0) == pytest.approx(flush_cell_c(42.0))
    assert lit_cell_c(42.0, 0.0) == 42.0


def test_facets_that_face_alike_get_the_same_sun() -> None:
    for condition in conditions((MAIN, replace(MAIN, name="rear")), SUMMER):
        assert len(set(condition.irradiance_w_m2)) == len(set(condition.cell_c)) == 1


def test_facets_that_do_not_get_the_sun_all_round() -> None:
    found = conditions((NOSE, TAIL), SUMMER)
    assert len(found) == 2 + (3 + 2) * 8  # at three altitudes when it is hottest, at two when coldest
    assert any(a > 1.5 * b for a, b in (c.irradiance_w_m2 for c in found))
    assert any(b > 1.5 * a for a, b in (c.irradiance_w_m2 for c in found))


def test_worst_loss_is_the_worst_of_the_conditions() -> None:
    parts = (StringPart(DUCK, 1), StringPart(GOOSE, 1))
    each = [
        loss_pct([replace(p, irradiance_w_m2=g, cell_c=t) for p, g, t in zip(parts, gs, ts, strict=True)])
        for gs, ts in ((c.irradiance_w_m2, c.cell_c) for c in conditions((MAIN, NOSE), SUMMER))
    ]
    loss, when = worst_loss(parts, (MAIN, NOSE), SUMMER)
    assert loss == max(each) > min(each)
    assert when == conditions((MAIN, NOSE), SUMMER)[each.index(max(each))].words


def test_steeper_slopes_lose_more() -> None:
    parts = (StringPart(SWAN, 2), StringPart(SWAN, 2))
    losses = [
        worst_loss(parts, (replace(NOSE, slope_deg=s), replace(TAIL, slope_deg=s)), SUMMER)[0]
        for s in (0.0, 10.0, 20.0, 30.0)
    ]
    assert losses[0] == 0.0
    assert losses == sorted(losses)
    assert 0.2 < losses[2] < 2.0


def test_facets_that_do_not_face_alike_are_looked_at_in_the_cold_too() -> None:
    """Two Geese in series beside a Heron: within 2 % on all hot days, beyond it on a cold one."""
    parts = (StringPart(GOOSE, 2), StringPart(HERON, 1))
    loss, when = worst_loss(parts, (MAIN, NOSE), SUMMER)
    all_summer = replace(SUMMER, coldest_cell_c=SUMMER.hottest_air_c)
    assert worst_loss(parts, (MAIN, NOSE), all_summer)[0] < 2.0 < loss
    assert when.startswith("coldest day")


@pytest.mark.parametrize(
    ("a", "series_a", "b", "series_b"),
    [(DUCK, 2, DUCK, 3), (GOOSE, 1, SWAN, 1), (GOOSE, 2, HERON, 1), (HERON, 2, SWAN, 3)],
)
@pytest.mark.parametrize("parallel_a", [1, 3])
def test_unlike_length_and_model_by_brute_force(
    a: PanelModel, series_a: int, b: PanelModel, series_b: int, parallel_a: int
) -> None:
    """The whole way of wiring_mismatch, every condition, against pvlib's i_from_v at 20 001 voltages."""
    pvlib = pytest.importorskip("pvlib")
    volts = np.linspace(0.0, 200.0, 20_001)

    def amps(model: PanelModel, series: int, sun: float, cell_c: float) -> NDArray[np.float64]:
        found: NDArray[np.float64] = pvlib.pvsystem.i_from_v(
            volts / series, *five_parameters(model, sun, cell_c)
        )
        return found

    expected = 0.0
    for condition in conditions((MAIN, NOSE), SUMMER):
        (sun_a, sun_b), (cell_a, cell_b) = condition.irradiance_w_m2, condition.cell_c
        with np.errstate(over="ignore", invalid="ignore"):
            amps_a = parallel_a * amps(a, series_a, sun_a, cell_a)
            amps_b = amps(b, series_b, sun_b, cell_b)
            alone_w = np.nanmax(volts * amps_a) + np.nanmax(volts * amps_b)
            expected = max(expected, 100.0 * (1.0 - np.nanmax(volts * (amps_a + amps_b)) / alone_w))
    wiring = a_wiring(
        *(a_string(f"S{k}", 1, a.model, series_a) for k in range(parallel_a)),
        a_string("S9", 1, b.model, series_b, NOSE.name),
    )
    (found,) = wiring_mismatch(sloped_job(), wiring)
    assert found.loss_pct == pytest.approx(expected, abs=0.05)


def pair_loss_pct(
    job: Job,
    facet_a: str,
    model_a: PanelModel,
    series_a: int,
    parallel_a: int,
    facet_b: str,
    model_b: PanelModel,
    series_b: int,
    parallel_b: int,
    temperatures: Temperatures,
) -> float:
    """worst_loss of two sorts of strings in parallel."""
    parts = (StringPart(model_a, series_a, parallel_a), StringPart(model_b, series_b, parallel_b))
    heading_deg = None if job.site is None else job.site.heading_deg
    return worst_loss(parts, (job.facet(facet_a), job.facet(facet_b)), temperatures, heading_deg)[0]


def test_pair_loss_is_symmetric_and_knows_its_facets() -> None:
    job = sloped_job()
    one = pair_loss_pct(job, "main", DUCK, 2, 1, FRONT.name, HERON, 1, 2, SUMMER)
    other = pair_loss_pct(job, FRONT.name, HERON, 1, 2, "main", DUCK, 2, 1, SUMMER)
    assert one == pytest.approx(other, abs=1e-9)
    assert one > pair_loss_pct(job, "main", DUCK, 2, 1, "main", HERON, 1, 2, SUMMER)
    with pytest.raises(KeyError):
        pair_loss_pct(job, "nowhere", DUCK, 1, 1, "main", DUCK, 1, 1, SUMMER)


def test_hundreds_of_pairs_are_quick() -> None:
    """A few ms each, on two facets that face differently; the bound is five times what was measured."""
    job = sloped_job()
    pair_loss_pct(job, "main", DUCK, 1, 1, FRONT.name, SWAN, 1, 1, SUMMER)
    start_s = time.process_time()
    pairs = [(a, b, sa, sb) for a in PANELS for b in PANELS for sa in (1, 2, 3) for sb in (1, 2)]
    for a, b, series_a, series_b in pairs:
        pair_loss_pct(job, "main", a, series_a, 1, FRONT.name, b, series_b, 2, SUMMER)
    assert (time.process_time() - start_s) / len(pairs) < 0.01


def test_only_trackers_with_unlike_strings_have_a_mismatch() -> None:
    wiring = a_wiring(
        a_string("S1", 1, "Duck 100", 2),
        a_string("S2", 1, "Duck 100", 2),
        a_string("S3", 2, "Duck 100", 2),
        a_string("S4", 2, "Heron 150", 1),
        a_string("S5", 2, "Heron 150", 1),
        a_string("S6", 3, "Duck 100", 2),
        a_string("S7", 3, "Duck 100", 3),
        a_string("S8", 4, "Duck 100", 2),
        a_string("S9", 4, "Duck 100", 2, FRONT.name),
    )
    job = sloped_job()
    found = wiring_mismatch(job, wiring)
    assert [(m.tracker, m.strings) for m in found] == [
        (2, ("S3", "S4", "S5")),
        (3, ("S6", "S7")),
        (4, ("S8", "S9")),
    ]
    assert found[0].loss_pct == pytest.approx(
        pair_loss_pct(job, "main", DUCK, 2, 1, "main", HERON, 1, 2, SUMMER)
    )
    assert found[1].loss_pct > 5.0
    assert 0.0 < found[2].loss_pct < 1.0


def test_notes_say_whether_the_job_allows_it() -> None:
    wiring = a_wiring(a_string("S1", 1, "Duck 100", 1), a_string("S2", 1, "Goose 200", 1))
    loss = wiring_mismatch(sloped_job(), wiring)[0].loss_pct
    (allowed,) = mismatch_notes(sloped_job(loss), wiring)  # an equality passes
    (beyond,) = mismatch_notes(sloped_job(0.99 * loss), wiring)
    assert (allowed.severity, beyond.severity) == ("caution", "warning")
    assert f"{loss:.1f} %" in allowed.text
    assert "within" in allowed.text
    assert "more than" in beyond.text
    for words in ("C1 tracker 1", "S1: 1 x Duck 100 on main", "S2: 1 x Goose 200 on main"):
        assert words in allowed.text


def test_alike_strings_get_no_note() -> None:
    wiring = a_wiring(a_string("S1", 1, "Duck 100", 2), a_string("S2", 1, "Duck 100", 2))
    assert mismatch_notes(sloped_job(), wiring) == ()


def test_the_heading_counts_for_a_roof_that_mixes_bearings_and_sides() -> None:
    """Both slope to the east when the front points there: the same sun, so nothing is lost."""
    by_bearing = replace(TAIL, downhill=90.0)
    job = replace(sloped_job(), facets=(MAIN, NOSE, by_bearing), site=Site(heading_deg=90.0))
    loss = pair_loss_pct(job, NOSE.name, SWAN, 1, 1, by_bearing.name, SWAN, 1, 1, SUMMER)
    assert loss == pytest.approx(0.0, abs=1e-9)
    turned = replace(job, site=Site(heading_deg=270.0))
    assert pair_loss_pct(turned, NOSE.name, SWAN, 1, 1, by_bearing.name, SWAN, 1, 1, SUMMER) > 0.1


def test_two_sorts_that_lose_nothing_are_told_without_a_caution() -> None:
    """Alike strings on two level facets: the same sun on both."""
    job = replace(sloped_job(), facets=(MAIN, replace(MAIN, name="rear")))
    wiring = a_wiring(a_string("S1", 1, "Duck 100", 2), a_string("S2", 1, "Duck 100", 2, "rear"))
    (note,) = mismatch_notes(job, wiring)
    assert note.severity == "info"
    assert "0.0 %" in note.text
