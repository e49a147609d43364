"""The whole estimate: parts that must agree with each other, and when there is none."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from rooflayout.energy.battery import simulate
from rooflayout.energy.energy import energy_notes, energy_of, night_shares, why_none
from rooflayout.energy.facet_light import facet_light
from rooflayout.energy.harvest import harvest
from rooflayout.energy.roof_sun import roof_sun
from rooflayout.job import (
    Battery,
    ControllerModel,
    Controllers,
    Facet,
    Job,
    Obstacle,
    PanelModel,
    PanelRules,
    PortablePanels,
    Site,
)
from rooflayout.needs import Climate, Driving, Load, WeatherHour
from rooflayout.plan import ControllerLoad, PanelString, PlacedPanel, PortableString, Temperatures, Wiring

ROOF = Facet("roof", ((0.0, 0.0), (4600.0, 0.0), (4600.0, 2200.0), (0.0, 2200.0)))
SLOPE = Facet("front slope", ((0.0, 0.0), (900.0, 0.0), (900.0, 2040.0), (0.0, 2040.0)), 28.0, downhill="+x")
PANEL = PanelModel(
    "Fern 100", 1000, 600, 100.0, voc_v=22.0, vmp_v=18.0, isc_a=5.9, imp_a=5.56, power_pct_per_k=-0.35
)
MOSS = ControllerModel("Moss 20", 100, 60, 20.0, (12.0,), efficiency_pct=97.0)
UNIT = Obstacle(
    "unit", "roof", "air-conditioner", centre_mm=(2300.0, 1100.0), diameter_mm=600.0, height_mm=230.0
)
SUN = (2.1, 3.0, 4.3, 5.4, 6.3, 7.0, 7.1, 6.1, 4.8, 3.4, 2.3, 1.8)
OWN = Climate(sun_kwh_m2_day=SUN, air_c=(9, 10, 12, 14, 18, 22, 25, 25, 22, 18, 13, 10))
PANELS = tuple(
    PlacedPanel(f"P{i + 1}", "roof", PANEL.model, 1000.0 * i, y, 1000.0, 600.0, False, 100.0)
    for i, y in ((0, 0.0), (1, 0.0), (2, 0.0), (3, 0.0))
)
JOB = Job(
    "",
    (ROOF, SLOPE),
    PanelRules((PANEL,)),
    obstacles=(UNIT,),
    site=Site(40.72, 0.72),
    battery=Battery(12.0, 14.4, 200.0, chemistry="lithium"),
    controllers=Controllers((MOSS,), (MOSS,)),
    climate=OWN,
    loads=(Load("fridge", 480.0, 45.0), Load("kettle", 150.0, 900.0, inverter=True)),
)
STRING = PanelString("S1", "C1", 1, "roof", PANEL.model, ("P1", "P2", "P3", "P4"), 96.0, 56.0, 5.9, 400.0)
WIRING = Wiring(
    (STRING,),
    (ControllerLoad("C1", "Moss 20", 400.0, 5.9, 20.0, 103.0, 25.8),),
    (),
    Temperatures(-5.0, "given", 42.0, 91.0, "given"),
)


def test_the_parts_of_an_estimate_agree() -> None:
    found = energy_of(JOB, PANELS, WIRING)
    assert found is not None
    assert [m.sun_kwh_m2_day for m in found.months] == pytest.approx(SUN)
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    year = sum(m.harvest_wh_day * d for m, d in zip(found.months, days, strict=True))
    assert year == pytest.approx(found.wh_year)
    assert found.wh_year == pytest.approx(found.controllers[0].passes_wh_year)
    assert [f.facet for f in found.facets] == ["roof", "front slope"]
    assert found.facets[0].wh_per_w_year > found.facets[1].wh_per_w_year  # every way: level is best here
    assert next(m.facet for m in found.maps) == "roof"
    assert len(found.soc_band_pct) == 365
    assert found.usable_wh == pytest.approx(200.0 * 12.0 * 0.9)
    assert found.watts_per_ah == pytest.approx(2.0)
    assert [h.load for h in found.load_hours] == ["fridge", "kettle"]
    assert found.load_hours[0].hours_day[5] > found.load_hours[0].hours_day[11] > 2.0
    assert sum(found.load_hours[1].hours_day) == 0.0  # 900 W from 400 W of panels
    assert all(m.sentence for m in found.months)


def test_the_light_of_a_facet_is_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(
        "rooflayout.energy.roof_sun.facet_light",
        lambda job, facet, *rest: asked.append(facet.name) or facet_light(job, facet, *rest),
    )
    monkeypatch.setattr("rooflayout.energy.harvest.facet_light", lambda *_: pytest.fail("worked out again"))
    sun = roof_sun(JOB)
    sun.light(0)  # as the packing does
    assert energy_of(JOB, PANELS, WIRING, sun) == energy_of(JOB, PANELS, WIRING, sun)
    assert asked == ["roof", "front slope"]


def test_winter_has_less_and_the_battery_fares_worse() -> None:
    heavy = replace(JOB, loads=(Load("fridge", 900.0, 45.0),))
    found = energy_of(heavy, PANELS, WIRING)
    assert found is not None
    july, december = found.months[6], found.months[11]
    assert december.harvest_wh_day < 900.0 < july.harvest_wh_day
    assert (december.empty_pct or 0.0) > 20.0 > 1.0 > (july.empty_pct or 0.0)
    codes = [n.code for n in energy_notes(heavy, found, WIRING) if n.severity == "caution"]
    assert "runs-empty" in codes


def test_less_sun_is_the_same_year_with_each_day_less() -> None:
    """Where no controller clips: every day's Wh less by what a month is uncertain by, driving as it was."""
    heavy = replace(JOB, loads=(Load("fridge", 900.0, 45.0),), driving=Driving(0.2, 20.0))
    wide = replace(MOSS, max_charge_a=60.0)
    heavy = replace(heavy, controllers=Controllers((wide,), (wide,)))
    found = energy_of(heavy, PANELS, WIRING)
    assert found is not None
    sun = roof_sun(heavy)
    days = harvest(heavy, PANELS, WIRING, sun.sky, sun.table).roof_days
    assert found.month_uncertainty_pct is not None
    assert found.month_uncertainty_pct > 1.7 * found.uncertainty_pct
    off = found.month_uncertainty_pct / 100.0
    for part, told in ((1.0 - off, "empty_less_sun_pct"), (1.0 + off, "empty_more_sun_pct")):
        scaled = [[(wh * part, weight) for wh, weight in month] for month in days]
        right = simulate(heavy, scaled, night_share=night_shares(heavy))
        assert right is not None
        assert [getattr(m, told) for m in found.months] == pytest.approx(right.empty_pct, abs=1.0)
    for m in found.months:
        assert m.empty_more_sun_pct <= m.empty_pct <= m.empty_less_sun_pct  # type: ignore[operator]
    worse = [m for m in found.months if m.empty_less_sun_pct > 1.5 * m.empty_pct + 1.0]  # type: ignore[operator]
    assert worse
    told = f"if the month has {found.month_uncertainty_pct:.0f} % less sun)"
    assert all(told in m.sentence for m in worse)


def test_a_charge_limit_passes_no_more_with_more_sun() -> None:
    sun = roof_sun(JOB)
    narrow = replace(MOSS, max_charge_a=6.0)  # 79 W of 400 W of panels
    job = replace(JOB, controllers=Controllers((narrow,), (narrow,)))
    found = harvest(job, PANELS, WIRING, sun.sky, sun.table)
    more, own, less = (
        sum(wh * n for month in found.days(sun.sky, part) for wh, n in month) for part in (1.2, 1.0, 0.8)
    )
    assert own == pytest.approx(found.wh_year)
    assert less < own < more
    assert more / own - 1.0 < 0.08  # of 20 % more
    (told,) = found.controllers
    assert told.passes_least_wh_year is not None
    assert told.passes_least_wh_year < told.passes_wh_year < told.could_wh_year


def test_driving_and_portable_panels_help() -> None:
    plain = energy_of(JOB, PANELS, WIRING)
    own = PortablePanels("suitcase", PANEL, 1, MOSS, own_controller=True)
    plugged = PortableString("suitcase", PANEL.model, MOSS.model, True, 1, 1, 24, 14, 6, 100.0, 7, 0)
    job = replace(JOB, portable=(own,), driving=Driving(1.0, 20.0))
    more = energy_of(job, PANELS, replace(WIRING, portable=(plugged,)))
    assert plain is not None
    assert more is not None
    assert more.wh_year == pytest.approx(plain.wh_year)
    assert more.months[0].driving_wh_day == pytest.approx(264.0)  # 20 A x 13.2 V
    share = more.months[5].portable_wh_day / plain.months[5].harvest_wh_day
    assert 0.2 < share < 0.35  # a quarter of the watts, without shade and clipping


def test_a_layout_alone_has_a_harvest_and_no_battery() -> None:
    job = replace(JOB, battery=None, controllers=None, loads=())
    found = energy_of(job, PANELS, None)
    assert found is not None
    assert found.controllers == ()
    assert found.usable_wh is None
    assert found.refill_hours is None
    assert {m.empty_pct for m in found.months} == {None}
    assert found.wh_year > energy_of(JOB, PANELS, WIRING).wh_year  # type: ignore[union-attr]


def test_without_a_latitude_there_is_no_estimate_and_the_note_asks_for_it() -> None:
    job = replace(JOB, site=None)
    assert energy_of(job, PANELS, WIRING) is None
    assert [n.severity for n in energy_notes(job, None)] == ["caution"]
    assert "latitude" in energy_notes(job, None)[0].text
    assert energy_of(replace(JOB, site=None, climate=Climate()), PANELS, WIRING) is None


def test_the_open_sea_asks_for_the_users_values() -> None:
    job = replace(JOB, site=Site(-40.0, -120.0), climate=Climate())
    assert energy_of(job, PANELS, WIRING) is None
    assert "[climate] sun" in energy_notes(job, None)[0].text
    assert why_none(JOB) is None


def test_packaged_figures_serve_where_nothing_is_given() -> None:
    found = energy_of(replace(JOB, climate=Climate()), PANELS, WIRING)
    assert found is not None
    assert found.uncertainty_pct >= 10.0
    assert 900.0 < found.facets[0].wh_per_w_year < 1700.0  # the Ebro delta


def test_a_weather_files_hours_are_used() -> None:
    """Invented hours: the sun always at 500 W/m² from 10 to 14 h, no light else."""
    hours = tuple(
        WeatherHour(day, hour + 0.5, 500.0 * lit, 400.0 * lit, 200.0 * lit, 20.0)
        for day in range(1, 366)
        for hour in range(24)
        for lit in (1.0 if 10 <= hour < 14 else 0.0,)
    )
    job = replace(JOB, climate=Climate(weather=hours, weather_name="invented.epw"))
    found = energy_of(job, PANELS, WIRING)
    assert found is not None
    assert [m.sun_kwh_m2_day for m in found.months] == pytest.approx([2.0] * 12)
    assert found.facets[0].wh_per_w_year == pytest.approx(365 * 4 * 0.5 * 0.9, rel=0.1)
    assert energy_of(replace(job, site=Site(40.72)), PANELS, WIRING) is None


@pytest.mark.parametrize(("latitude", "longitude"), [(69.6, 18.9), (-35.3, 149.1), (0.3, 32.6)])
def test_the_far_north_the_south_and_the_equator(latitude: float, longitude: float) -> None:
    found = energy_of(replace(JOB, site=Site(latitude, longitude), climate=Climate()), PANELS, WIRING)
    assert found is not None
    harvest = [m.harvest_wh_day for m in found.months]
    if latitude > 60.0:
        assert harvest[11] < 20.0 < 1000.0 < harvest[5]
    elif latitude < -30.0:
        assert harvest[5] < 0.6 * harvest[0]
    else:
        assert min(harvest) > 0.7 * max(harvest)


def test_a_roof_without_panels_gives_nothing() -> None:
    found = energy_of(JOB, (), replace(WIRING, strings=(), controllers=()))
    assert found is not None
    assert found.wh_year == 0.0
    assert (found.months[0].empty_pct or 0.0) > 99.0


def test_nights_are_long_in_winter() -> None:
    shares = night_shares(JOB)
    assert shares[11] > 0.58 > 0.5 > 0.42 > shares[5]


def test_a_trailer_takes_less_than_five_seconds() -> None:
    start = time.process_time()
    energy_of(JOB, PANELS, WIRING)
    assert time.process_time() - start < 5.0
