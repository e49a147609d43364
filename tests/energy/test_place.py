"""The place in words, and latitude and longitude the wrong way round."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_roofs import job_of, level

from rooflayout.energy import city_sunshine
from rooflayout.energy.city_sunshine import nearest_city
from rooflayout.energy.climate import coldest_design_c, hottest_design_c
from rooflayout.energy.energy import energy_notes, energy_of
from rooflayout.energy.place import (
    ASK,
    degrees_words,
    land_the_other_way,
    on_land,
    place_doubt,
    place_of,
    place_words,
)
from rooflayout.energy.sun_grid import grid_sun
from rooflayout.job import Job, Site

DELTA, BERGEN = (40.72, 0.72), (60.4, 5.3)


def job(latitude_deg: float | None, longitude_deg: float | None, **site: float) -> Job:
    return replace(job_of(level(2000, 1000)), site=Site(latitude_deg, longitude_deg, **site))


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ((52.1, 5.3), "52.1 N 5.3 E"),
        ((-33.95, -70.6), "34.0 S 70.6 W"),
        ((0.0, 359.0), "0.0 N 1.0 W"),
        ((40.0, None), "40.0 N"),
    ],
)
def test_degrees_in_words(place: tuple[float, float | None], words: str) -> None:
    assert degrees_words(*place) == words


def test_the_nearest_city_by_hand() -> None:
    """Two degrees of latitude north of Lisbon: 222.4 km; far out at sea there is a nearest one too."""
    assert nearest_city(38.72 + 2.0, -9.14)[1] < 222.4 + 0.1
    assert nearest_city(38.72, -9.14) == ("Lisbon", pytest.approx(0.0, abs=0.01))
    assert place_words(38.72, -9.14).endswith(", in Lisbon")
    assert nearest_city(-40.0, -100.0)[1] > 2000.0
    assert place_of(job(None, None)) == ""
    assert place_of(job(52.1, None)) == "52.1 N"


def test_a_place_in_the_ocean_that_is_land_the_other_way_round() -> None:
    """Bergen is 60.4 N 5.3 E, and 5.3 N 60.4 E the Arabian Sea; on land or sea both ways nothing is asked."""
    assert on_land(*BERGEN)
    assert not on_land(5.3, 60.4)
    hint = land_the_other_way(5.3, 60.4)
    assert hint.startswith(ASK)
    assert "60.4 N 5.3 E, " in hint
    for place in (BERGEN, DELTA, (0.72, 40.72), (-40.0, -30.0), (80.0, 120.0)):
        assert land_the_other_way(*place) == ""
    assert place_doubt(job(5.3, 60.4)).startswith("5.3 N 60.4 E, ")
    assert place_doubt(job(*BERGEN)) == place_doubt(job(None, None)) == ""


def test_temperatures_that_fit_the_other_way_round_only() -> None:
    """The Ebro delta's winter of -5 °C does not go with the Kenyan border, where both ways are land."""
    doubt = place_doubt(job(0.72, 40.72, coldest_c=-5.0, hottest_c=35.0))
    assert doubt.startswith("[site] coldest = -5 does not go with 0.7 N 40.7 E, ")
    assert "would with 40.7 N 0.7 E, " in doubt
    assert doubt.endswith(ASK)
    assert place_doubt(job(*DELTA, coldest_c=-5.0, hottest_c=35.0)) == ""
    assert place_doubt(job(0.72, 40.72, coldest_c=-5.0, hottest_c=42.0)) == doubt  # as the example trailer
    assert place_doubt(job(0.72, 40.72)) == ""  # nothing to go by
    assert place_doubt(job(0.72, 40.72, coldest_c=-40.0)) == ""  # fits neither way
    assert place_doubt(job(0.72, 40.72, coldest_c=18.0)) == ""


@pytest.mark.parametrize("place", [(39.7, -105.0), (-33.9, 151.2), (45.0, 90.0), (60.0, -179.9)])
def test_where_the_other_way_round_is_beyond_a_pole_nothing_is_asked(place: tuple[float, float]) -> None:
    given = job(*place, coldest_c=-40.0, hottest_c=60.0)
    assert place_doubt(given) == ""
    energy = energy_of(given, (), None)
    assert all(note.code != "place" for note in energy_notes(given, energy))


def test_estimate_and_notes_say_it() -> None:
    wrong = job(0.72, 40.72, coldest_c=-5.0)
    energy = energy_of(wrong, (), None)
    assert energy is not None
    assert energy.place == place_words(0.72, 40.72)
    first = energy_notes(wrong, energy)[0]
    assert (first.severity, first.code) == ("caution", "place")
    right = replace(wrong, site=Site(*DELTA, coldest_c=-5.0))
    assert all(note.code != "place" for note in energy_notes(right, energy_of(right, (), None)))
    for place, asked in (((22.0, -30.0), True), ((-40.0, -30.0), False)):  # the Atlantic
        (none,) = energy_notes(job(*place), None)
        assert none.code == "no-harvest"
        assert (ASK in none.text) == asked
        assert "Give [climate] sun" in none.text


def swapped() -> list[tuple[float, float]]:
    """The cities of the table whose longitude could be a latitude: (longitude, latitude) of each."""
    table = city_sunshine._cities()
    pairs = zip(table.latitude_deg, table.longitude_deg, strict=True)
    return [(float(b), float(a)) for a, b in pairs if abs(b) < 90.0]


def test_how_many_swapped_cities_are_noticed() -> None:
    """73 of 195 by the land alone, 159 with the temperatures of the right place as they are estimated (154
    with errors of the estimate's own size); the right place never."""
    places = swapped()
    assert len(places) == 195
    assert sum(bool(place_doubt(job(*wrong))) for wrong in places) == 73
    noticed = 0
    for b, a in places:
        air = {"coldest_c": coldest_design_c(a, b), "hottest_c": hottest_design_c(a, b)}
        noticed += bool(place_doubt(job(b, a, **air)))
        assert not place_doubt(job(a, b, **air))
    assert noticed == 159


def test_how_many_places_at_sea_are_asked_about_without_cause() -> None:
    """Within reach of the figures but off the land: some 14 of 100."""
    rng, asked = np.random.default_rng(3), []
    while len(asked) < 150:
        place = float(np.degrees(np.arcsin(rng.uniform(-0.94, 0.94)))), float(rng.uniform(-180.0, 180.0))
        if not on_land(*place) and grid_sun(*place) is not None:
            asked.append(bool(land_the_other_way(*place)))
    assert 0.05 < np.mean(asked) < 0.25
