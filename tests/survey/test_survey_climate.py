"""The [climate] table into a Climate, and what a weather file does to the site."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_survey_weather_file import epw

from rooflayout.job import Job
from rooflayout.needs import OF_THE_PLACE
from rooflayout.plan import Note
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job
from rooflayout.survey.weather_place import apart_km

SUN = (2.1, 2.9, 4.3, 5.4, 6.4, 7.1, 7.2, 6.1, 4.8, 3.4, 2.3, 1.9)
AIR = (-9.0, 10.0, 12.5, 14.5, 18.0, 22.0, 25.0, 25.0, 22.0, 18.0, 13.0, 10.0)
SITE = '[site]\nlatitude = 40.72\nlongitude = 0.72\nheading = "any"\ncoldest = -5\nhottest = 42\n'


def read(good: Path, *lines: str, site: str | None = None) -> tuple[Job, list[Note]]:
    """The good job with a [climate] of these lines; its [site] as it is, or another."""
    text = good.read_text(encoding="utf-8")
    if site is not None:
        assert SITE in text
        text = text.replace(SITE, site)
    good.write_text("\n".join([text, "[climate]", *lines, ""]), encoding="utf-8")
    job, notes = read_job(good)
    return job, [note for note in notes if "climate" in note.code or "weather" in note.code]


def test_without_a_climate_the_packaged_figures_are_meant(good: Path) -> None:
    assert read_job(good)[0].climate == OF_THE_PLACE


def test_own_months_and_albedo(good: Path) -> None:
    job, notes = read(good, f"sun = {list(SUN)}", f"air = {list(AIR)}", "albedo = 0.6")
    assert job.climate.sun_kwh_m2_day == SUN
    assert job.climate.air_c == AIR
    assert job.climate.albedo == 0.6
    assert job.climate.weather == ()
    assert notes == []


def test_a_polar_year_with_dark_months(good: Path) -> None:
    sun = [0, 0.4, 1.4, 3, 4.2, 4.7, 4.3, 3.1, 1.7, 0.6, 0, 0]
    assert read(good, f"sun = {sun}")[0].climate.sun_kwh_m2_day == tuple(sun)


@pytest.mark.parametrize("site", ["", "[site]\ncoldest = -5\n"], ids=["no site", "no latitude"])
def test_own_sun_without_a_place_asks_for_it(good: Path, site: str) -> None:
    job, notes = read(good, f"sun = {list(SUN)}", f"air = {list(AIR)}", site=site)
    assert job.climate.sun_kwh_m2_day == SUN
    assert [(note.severity, note.code) for note in notes] == [("caution", "climate-without-place")]
    assert "give [site] latitude and longitude" in notes[0].text


def test_a_weather_file_counts_from_the_jobs_folder_and_gives_the_place(good: Path) -> None:
    epw(good.parent / "catalogue" / "reed.epw")
    job, notes = read(good, 'weather_file = "catalogue/reed.epw"', site="[site]\ncoldest = -5\n")
    assert len(job.climate.weather) == 8760
    assert job.climate.weather_name == "reed.epw"
    assert job.site is not None
    assert (job.site.latitude_deg, job.site.longitude_deg, job.site.coldest_c) == (-33.9, 151.2, -5)
    assert [(note.severity, note.code) for note in notes] == [("info", "place-of-weather-file")]


def test_a_weather_file_gives_the_place_without_any_site(good: Path) -> None:
    epw(good.parent / "reed.epw")
    job, _ = read(good, 'weather_file = "reed.epw"', site="")
    assert job.site is not None
    assert (job.site.latitude_deg, job.site.longitude_deg) == (-33.9, 151.2)


def test_a_weather_file_from_some_way_off_is_noted_and_the_site_stays(good: Path) -> None:
    """178 km: 1.6 degrees of latitude, 111.2 km each."""
    epw(good.parent / "reed.epw")
    site = "[site]\nlatitude = -35.5\nlongitude = 151.2\n"
    job, notes = read(good, 'weather_file = "reed.epw"', f"sun = {list(SUN)}", site=site)
    assert job.site is not None
    assert job.site.latitude_deg == -35.5
    assert [note.code for note in notes] == ["weather-far-away", "climate-not-used"]
    assert "178 km from the [site]" in notes[0].text
    assert "sun is not used" in notes[1].text


def test_a_weather_file_from_near_by_is_not_noted(good: Path) -> None:
    epw(good.parent / "reed.epw")
    near = "[site]\nlatitude = -34.6\nlongitude = 150.8\n"  # 86 km
    assert read(good, 'weather_file = "reed.epw"', site=near)[1] == []


@pytest.mark.parametrize(
    ("latitude", "hint"), [(40.72, "Take the file of a nearer place"), (-35.8, "Take the file")], ids=str
)
def test_a_weather_file_from_far_away_is_refused(good: Path, latitude: float, hint: str) -> None:
    """1.9 degrees of latitude are 211 km."""
    epw(good.parent / "reed.epw")
    with pytest.raises(ProblemsFound) as caught:
        read(good, 'weather_file = "reed.epw"', site=f"[site]\nlatitude = {latitude}\nlongitude = 151.2\n")
    (problem,) = caught.value.problems
    assert (problem.file, problem.name) == (str(good), "climate, weather_file")
    assert good.read_text(encoding="utf-8").splitlines()[(problem.line or 0) - 1].startswith("weather_file")
    assert f"latitude {latitude:g}, longitude 151.2 as the [site]" in problem.found
    assert problem.found.endswith("km from latitude -33.9, longitude 151.2 of the weather file reed.epw")
    assert problem.hint.startswith(hint)


def test_how_far_two_places_lie_apart() -> None:
    """A quarter of the earth's circumference is 10 008 km with a mean radius of 6371 km."""
    assert apart_km((0.0, 0.0), (0.0, 90.0)) == pytest.approx(10_007.5, abs=0.1)
    assert apart_km((90.0, 12.0), (0.0, -70.0)) == pytest.approx(10_007.5, abs=0.1)
    assert apart_km((0.0, 179.5), (0.0, -179.5)) == pytest.approx(111.19, abs=0.01)
