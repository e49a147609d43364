"""Each note with the figure that calls it, and a figure a hair away that does not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from vehicle_jobs import BLANK, MAIN, TRAILER, panel, run, trailer, wiring, with_kept

from rooflayout.job import Facet, Job
from rooflayout.needs import Mounts, Vehicle
from rooflayout.plan import SEVERITIES, Note
from rooflayout.remarks import in_order
from rooflayout.vehicle import notes
from rooflayout.vehicle.balance import balance_of
from rooflayout.vehicle.doubts import doubts
from rooflayout.vehicle.notes import balance_notes
from rooflayout.yields import AddedMass, Balance, Bearing

EMPTY = Balance((), 0.0, None, None, None)
SLOPE = Facet("hood", ((0.0, 0.0), (1000.0, 0.0), (1000.0, 2000.0), (0.0, 2000.0)), 60.0, "+x")


def graded(found: tuple[Note, ...]) -> list[tuple[str, str]]:
    return [(n.severity, n.code) for n in found]


def test_what_is_there_already_is_told_with_the_way_out() -> None:
    """Two fitted controllers and a kept panel; with neither nothing is told."""
    job = trailer()
    assert job.controllers is not None
    fitted = job.controllers.fitted
    there = replace(job, controllers=replace(job.controllers, fitted=fitted * 2, on_board=True))
    there = with_kept(there, panel("K1", 2000.0, 0.0, kept=True))
    (note,) = [n for n in doubts(there, EMPTY) if n.code == "mass-there-already"]
    assert note.severity == "info"
    assert "[vehicle] gives: the kept panel Teal 120 and the fitted controllers 2 x Reed 20." in note.text
    assert "[controllers] on_board = false" in note.text
    (alone,) = [n for n in doubts(with_kept(job, panel("K1", 0.0, 0.0)), EMPTY) if "already" in n.code]
    assert "on_board" not in alone.text
    assert not [n for n in doubts(job, EMPTY) if n.code == "mass-there-already"]


def texts(found: tuple[Note, ...]) -> str:
    return " ".join(n.text for n in found)


@pytest.mark.parametrize(
    ("before_kg", "severity"),
    [(79.9, None), (80.0, "caution"), (90.0, "caution"), (90.1, "warning")],
)
def test_a_load_over_its_limit_or_close_under_it(before_kg: float, severity: str | None) -> None:
    """10 kg more under a limit of 100 kg: from 90 kg on it is told, from 100 kg on it is too much."""
    found = notes.beyond_limit(Bearing("coupling", 10.0, before_kg, 100.0))
    assert graded(found) == ([] if severity is None else [(severity, "coupling-load")])


def test_a_load_over_its_limit_tells_figure_and_limit() -> None:
    (note,) = notes.beyond_limit(Bearing("vehicle", 61.25, 1950.0, 2000.0))
    assert note.text == (
        "The vehicle would weigh 2011.2 kg (1950.0 kg before, +61.2 kg by the work), 11.2 kg over its limit "
        "of 2000 kg."
    )
    (note,) = notes.beyond_limit(Bearing("roof", 148.2, 8.5, 150.0))
    assert note.text.endswith(
        "6.7 kg over its limit of 150 kg: set [panels] most_mass at least 6.7 kg below what "
        "these panels weigh without mounts."
    )
    (note,) = notes.beyond_limit(Bearing("front axle", -5.0, 1000.0, 1000.0))
    assert note.code == "front-axle-load"
    assert note.text.endswith(
        "carry 995.0 kg (1000.0 kg before, -5.0 kg by the work), 100 % of its limit of 1000 kg."
    )


@pytest.mark.parametrize(
    ("change_kg", "expected"),
    [
        (-1.0, []),
        (20.0, [("caution", "front-axle-load-not-known")]),
        (30.5, [("warning", "front-axle-load")]),
    ],
)
def test_a_limit_whose_load_is_not_given(change_kg: float, expected: list[tuple[str, str]]) -> None:
    found = notes.beyond_limit(Bearing("front axle", change_kg, None, 30.0))
    assert graded(found) == expected
    assert ("[vehicle] front_axle." in texts(found)) == (change_kg == 20.0)


def test_without_a_limit_there_is_nothing_to_tell() -> None:
    assert notes.beyond_limit(Bearing("axle", 20.0, 900.0, None)) == ()


@pytest.mark.parametrize(
    ("before_kg", "expected"),
    [(16.0, []), (15.0, [("warning", "coupling-lifted")]), (None, [("caution", "coupling-lighter")])],
)
def test_a_coupling_that_is_lifted_or_lightened(
    before_kg: float | None, expected: list[tuple[str, str]]
) -> None:
    """16 kg less of it: the check ball-rear of the references."""
    balance = replace(EMPTY, bearings=(Bearing("coupling", -16.0, before_kg),))
    assert graded(notes.relieved(balance)) == expected


@pytest.mark.parametrize(
    ("coupling_kg", "expected"),
    [
        (38.0, "the trailer may sway"),
        (40.0, None),
        (100.0, None),
        (102.0, "the coupling stays within its plate"),
    ],
)
def test_the_couplings_share_of_the_trailer(coupling_kg: float, expected: str | None) -> None:
    """980 + 20 kg of trailer: common practice is 40 to 100 kg."""
    vehicle = replace(TRAILER, mass_kg=980.0)
    balance = replace(EMPTY, added_kg=20.0, bearings=(Bearing("coupling", 0.0, coupling_kg),))
    found = notes.coupling_share(trailer(vehicle), balance)
    assert graded(found) == ([] if expected is None else [("caution", "coupling-share")])
    assert (expected or "") in texts(found)


def test_a_tenth_of_the_trailer_is_what_guides_say() -> None:
    """250 kg of 2500 kg (check ball-10pct: three towing guides, so common practice, no source)."""
    vehicle = replace(TRAILER, mass_kg=2500.0)
    balance = replace(EMPTY, bearings=(Bearing("coupling", 0.0, 250.0),))
    assert notes.coupling_share(trailer(vehicle), balance) == ()


def test_the_roof_under_panels() -> None:
    vehicle = replace(TRAILER, most_roof_kg_m2=12.0)
    balance = replace(EMPTY, roof_kg_m2=(("P1", 12.1), ("P2", 10.7), ("P3", 10.8), ("P4", 12.0)))
    found = notes.under_panels(trailer(vehicle), balance)
    assert graded(found) == [("warning", "roof-load-m2"), ("caution", "roof-load-m2")]
    assert found[0].text.startswith("P1 12.1 kg/m² with mounts")
    assert found[1].text.startswith("P3 10.8, P4 12.0 kg/m²")
    assert notes.under_panels(trailer(), balance) == ()
    many = replace(EMPTY, roof_kg_m2=tuple((f"P{i}", 13.0 + i) for i in range(1, 6)))
    assert texts(notes.under_panels(trailer(vehicle), many)).startswith("5 panels, the worst P5 18.0 kg/m²")


@pytest.mark.parametrize(
    ("kg_m", "severity", "side"),
    [(8.9, None, ""), (-9.0, "caution", "right"), (10.0, "caution", "left"), (-10.1, "warning", "right")],
)
def test_left_against_right(kg_m: float, severity: str | None, side: str) -> None:
    vehicle = replace(TRAILER, most_lopsided_kg_m=10.0)
    found = notes.lopsided(trailer(vehicle), replace(EMPTY, lopsided_kg_m=kg_m))
    assert graded(found) == ([] if severity is None else [(severity, "lopsided")])
    assert f"on the {side}" in texts(found) or severity is None


@pytest.mark.parametrize(
    ("deg", "severity", "words"),
    [(0.01, "info", "upright"), (-1.2, "info", "1.2° to the right"), (2.0, "caution", "2.0° to the left")],
)
def test_heel_of_a_boat(deg: float, severity: str, words: str) -> None:
    found = notes.heel(replace(EMPTY, heel_deg=deg))
    assert graded(found) == [(severity, "heel")]
    assert words in found[0].text
    assert notes.heel(EMPTY) == ()
    assert notes.heel(replace(EMPTY, heel_deg=10.0))[0].severity == "warning"


def said(job: Job, *panels: tuple[str, str], blank: bool = False) -> dict[str, Note]:
    """Notes of one panel a facet, wired to one controller."""
    model = BLANK if blank else job.panels.models[0]
    laid = tuple(panel(name, 0.0, 0.0, model, facet) for name, facet in panels)
    cable = run("R1", "string", "S1", "C1 tracker 1", 5000.0, 4.0)
    balance = balance_of(job, laid, wiring(tuple(p.panel for p in laid), cable))
    assert balance is not None
    return {n.code: n for n in balance_notes(job, balance)}


def test_nothing_to_tell_about_a_trailer_within_its_limits() -> None:
    vehicle = replace(TRAILER, mass_kg=1500.0, most_mass_kg=1800.0, coupling_kg=80.0, most_coupling_kg=100.0)
    assert said(trailer(vehicle), ("P1", "main")) == {}


def test_a_blank_mass_is_named() -> None:
    note = said(trailer(), ("P1", "main"), blank=True)["mass-not-known"]
    assert note.severity == "caution"
    assert "Blank 90" in note.text


def test_what_has_no_place_tells_the_key_that_would_give_it() -> None:
    deck = Facet("deck", MAIN.outline_mm)
    note = said(trailer(TRAILER, MAIN, deck), ("P1", "main"), ("P2", "deck"))["mass-not-placed"]
    assert note.text.startswith("It is not known where 1 x Teal 120 on deck and cables from the panels ")
    assert note.text.endswith("Give place of facet deck.")
    homeless = said(trailer(replace(TRAILER, controllers_at_mm=None)), ("P1", "main"))["mass-not-placed"]
    assert homeless.text.startswith("It is not known where cables from the panels and C1 Reed 20 will ")
    assert homeless.text.endswith("Give [vehicle] controllers_at.")
    unsaid = said(trailer(TRAILER, MAIN, replace(SLOPE, downhill=None)), ("P1", "hood"))["mass-not-placed"]
    assert unsaid.text.endswith("Give downhill of facet hood.")


def test_without_wiring_nobody_asks_where_controllers_hang() -> None:
    deck = Facet("deck", MAIN.outline_mm)
    job = replace(trailer(replace(TRAILER, controllers_at_mm=None), MAIN, deck), controllers=None)
    balance = balance_of(job, (panel("P1", 0.0, 0.0, facet="deck"),), None)
    assert balance is not None
    assert [n.text.split("Give ")[1] for n in doubts(job, balance)] == ["place of facet deck."]


def test_deduced_places_are_told() -> None:
    note = said(trailer(TRAILER, MAIN, SLOPE), ("P1", "hood"))["facet-place-deduced"]
    assert note.severity == "info"
    assert "hood to join on to the front of main, centred" in note.text
    placed = replace(SLOPE, place_mm=(4000.0, 0.0, 0.0))
    assert "facet-place-deduced" not in said(trailer(TRAILER, MAIN, placed), ("P1", "hood"))


@pytest.mark.parametrize(
    ("vehicle", "words"),
    [
        (
            replace(TRAILER, coupling_x_mm=None, most_coupling_kg=100.0),
            "coupling. It takes [vehicle] axle_x and coup",
        ),
        (Vehicle("motor", axle_x_mm=0.0, axle_kg=900.0), "axle. It takes [vehicle] axle_x and front_axle_x"),
        (Vehicle("boat", displacement_kg=9000.0), "heel. It takes [vehicle] metacentric_height."),
    ],
)
def test_a_figure_that_lacks_something_is_told(vehicle: Vehicle, words: str) -> None:
    assert words in said(trailer(vehicle), ("P1", "main"))["balance-not-worked-out"].text


def test_a_vehicle_with_only_masses_is_fine() -> None:
    vehicle = Vehicle("trailer", mass_kg=1500.0, most_mass_kg=1800.0, controllers_at_mm=(0.0, 0.0))
    assert said(trailer(vehicle), ("P1", "main")) == {}


def test_without_a_vehicle_only_what_it_would_not_change_is_told() -> None:
    item = AddedMass("1 x Teal 120", 6.0)
    assert doubts(trailer(None, MAIN, SLOPE), replace(EMPTY, items=(item,))) == ()
    unknown = doubts(trailer(None), replace(EMPTY, unknown=("Blank 90",)))
    assert graded(unknown) == [("info", "mass-not-known")]


def test_the_gravest_note_comes_first() -> None:
    vehicle = replace(TRAILER, mass_kg=1795.0, most_mass_kg=1800.0, most_roof_kg=8.0)
    job = trailer(vehicle, MAIN, SLOPE, mounts=Mounts(1.0))
    found = [n.severity for n in said(job, ("P1", "main"), ("P2", "hood")).values()]
    assert found == sorted(found, key=SEVERITIES.index)
    assert found[0] == "warning"
    assert found[-1] == "info"


def test_a_cable_without_a_size_is_not_sought_in_a_catalogue() -> None:
    (only,) = doubts(trailer(None), replace(EMPTY, unknown=("cable R4",)))
    assert only.text == (
        "No mass is known for cable R4: all masses and loads are without. No standard size serves cable R4, "
        "so there is no copper to weigh."
    )
    (both,) = doubts(trailer(None), replace(EMPTY, unknown=("Blank 90", "cable R4")))
    assert "Fill mass_kg of Blank 90 in the catalogue. No standard size serves cable R4" in both.text


def test_limits_that_are_passed_are_known_as_such() -> None:
    passed = [
        *notes.beyond_limit(Bearing("front axle", 10.0, 95.0, 100.0)),
        *notes.beyond_limit(Bearing("coupling", 110.0, None, 100.0)),
        *notes.relieved(replace(EMPTY, bearings=(Bearing("coupling", -10.0, 5.0),))),
    ]
    assert len(passed) == 3
    assert all(notes.tells_limit_passed(n) for n in passed)
    near = notes.beyond_limit(Bearing("front axle", 1.0, 95.0, 100.0))
    assert not any(notes.tells_limit_passed(n) for n in near)


@pytest.mark.parametrize(
    ("heel_deg", "passed", "rough"), [(5.0, False, False), (-5.01, True, False), (23.0, True, True)]
)
def test_a_heel_beyond_what_is_usual_is_a_limit(heel_deg: float, passed: bool, rough: bool) -> None:
    (note,) = notes.heel(replace(EMPTY, heel_deg=heel_deg))
    assert notes.tells_limit_passed(note) == passed
    assert ("over the 5° that are usual at most" in note.text) == passed
    assert ("the figure itself is rough" in note.text) == rough


def test_a_limit_passed_before_the_work_is_told_once() -> None:
    before = [Note("warning", code, "") for code in ("coupling-limit-passed", "front-axle-limit-passed", "x")]
    assert all(notes.tells_limit_passed(n) for n in before[:2])
    one = replace(EMPTY, bearings=(Bearing("coupling", 5.0, 105.0, 100.0), Bearing("front axle", 5.0)))
    assert [n.code for n in notes.told_once(before, one)] == ["front-axle-limit-passed", "x"]
    both = replace(EMPTY, bearings=(*one.bearings[:1], Bearing("front axle", 5.0, 500.0, 400.0)))
    assert [n.code for n in notes.told_once(before, both)] == ["x"]
    assert notes.told_once(before, EMPTY) == tuple(before)


def test_limits_that_are_passed_come_before_other_warnings() -> None:
    limit = Note("warning", "axle-load", "")
    others = (
        Note("info", "a", ""),
        Note("warning", "b", ""),
        Note("error", "c", ""),
        Note("caution", "d", ""),
    )
    assert [n.code for n in in_order((*others, limit))] == ["c", "axle-load", "b", "d", "a"]
