"""What a job says of sun, loads and vehicle is read as it is written; what is odd is noted."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.needs import (
    EVERY_MONTH,
    USUAL_INVERTER,
    USUAL_MOUNTS,
    Driving,
    Inverter,
    Load,
    Mounts,
    Vehicle,
)
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job

FRIDGE = '[[load]]\nname = "fridge"\nwatt_hours = 520\n'
HOB = '[[load]]\nname = "hob"\nwatts = 1800\nhours = 0.5\ninverter = true\n'


@pytest.fixture
def whole(good: Path) -> Path:
    return good.with_name("whole.toml")


def _edit(path: Path, old: str, new: str) -> Path:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


def _add(path: Path, text: str) -> Path:
    """The text at the end of the file; it begins with a table of its own."""
    path.write_text(path.read_text(encoding="utf-8") + "\n" + text, encoding="utf-8")
    return path


def _notes(path: Path, code: str) -> list[tuple[str, str]]:
    return [(note.severity, note.text) for note in read_job(path)[1] if note.code == code]


def test_every_table_is_read(whole: Path) -> None:
    job, notes = read_job(whole)
    assert notes == ()
    assert job.loads == (
        Load("fridge", 520.0),
        Load("hob", 900.0, 1800.0, True, (4, 5, 9, 10)),
        Load("satellite internet", 720.0, 60.0),
    )
    assert job.inverter == Inverter(91.0, 14.0, 6.0)
    assert job.driving == Driving(0.4, 30.0, (3, 4, 9))
    assert job.mounts == Mounts(1.2)
    assert job.vehicle == Vehicle(
        kind="trailer",
        axle_x_mm=2100.0,
        coupling_x_mm=6400.0,
        middle_y_mm=1090.0,
        mass_kg=1240.0,
        most_mass_kg=1500.0,
        coupling_kg=70.0,
        most_coupling_kg=100.0,
        axle_kg=1170.0,
        most_axle_kg=1500.0,
        most_roof_kg=120.0,
        most_roof_kg_m2=25.0,
        most_lopsided_kg_m=30.0,
        controllers_at_mm=(3900.0, 300.0),
    )
    assert job.battery is not None
    assert (job.battery.chemistry, job.battery.usable_pct) == ("lithium", 85.0)
    assert (job.panels.aim, job.panels.balance) == ("harvest", True)
    assert [facet.place_mm for facet in job.facets] == [(0.0, 0.0, 2650.0), (4600.0, 70.0, 2650.0)]


def test_defaults_where_nothing_is_said(good: Path) -> None:
    job, notes = read_job(good)
    assert notes == ()
    assert (job.loads, job.inverter, job.driving) == ((), USUAL_INVERTER, None)
    assert (job.mounts, job.vehicle) == (USUAL_MOUNTS, None)
    assert job.battery is not None
    assert (job.battery.chemistry, job.battery.usable_pct) == (None, None)
    assert (job.panels.aim, job.panels.balance) == ("watts", False)
    assert {facet.place_mm for facet in job.facets} == {None}
    assert {model.bypass_sections for model in job.panels.models} == {3}


def test_motor_vehicle_and_boat(good: Path) -> None:
    text = good.read_text(encoding="utf-8")
    motor = 'kind = "motor"\naxle_x = 700\nfront_axle_x = 4200\nfront_axle = 1450\nmost_front_axle = 1850\n'
    good.write_text(f"{text}\n[vehicle]\n{motor}", encoding="utf-8")
    assert read_job(good)[0].vehicle == Vehicle(
        "motor", axle_x_mm=700.0, front_axle_x_mm=4200.0, front_axle_kg=1450.0, most_front_axle_kg=1850.0
    )
    boat = 'kind = "boat"\ndisplacement = 9000\nmetacentric_height = 420\n'
    good.write_text(f"{text}\n[vehicle]\n{boat}", encoding="utf-8")
    expected = Vehicle("boat", displacement_kg=9000.0, metacentric_height_mm=420.0)
    assert read_job(good)[0].vehicle == expected


def test_a_vehicle_of_masses_alone(good: Path) -> None:
    job, notes = read_job(_add(good, '[vehicle]\nkind = "trailer"\nmass = 1240\nmost_mass = 1500\n'))
    assert notes == ()
    assert job.vehicle == Vehicle("trailer", mass_kg=1240.0, most_mass_kg=1500.0)


@pytest.mark.parametrize(
    ("front", "axle", "coupling"),
    # Places run along the axis that the front lies to, in that axis' own sense (see needs.py).
    [("+x", 2100, 6400), ("-x", 6400, 2100), ("+y", -300, 6400), ("-y", 2100, -900)],
)
def test_the_coupling_lies_ahead_whichever_way_the_front_is(
    good: Path, front: str, axle: int, coupling: int
) -> None:
    _edit(good, 'name = "main"\n', f'name = "main"\nfront = "{front}"\n')
    vehicle = '[vehicle]\nkind = "trailer"\naxle_x = {}\ncoupling_x = {}\n'
    text = good.read_text(encoding="utf-8")
    read = read_job(_add(good, vehicle.format(axle, coupling)))[0].vehicle
    assert read == Vehicle("trailer", axle_x_mm=axle, coupling_x_mm=coupling)
    good.write_text(text, encoding="utf-8")
    with pytest.raises(ProblemsFound) as caught:
        read_job(_add(good, vehicle.format(coupling, axle)))
    assert f"The front lies to {front} of the first facet." in str(caught.value)


@pytest.mark.parametrize(("apart", "fault"), [(500, False), (499.9, True)])
def test_coupling_and_axle_are_half_a_metre_apart(good: Path, apart: float, fault: bool) -> None:
    _add(good, f'[vehicle]\nkind = "trailer"\naxle_x = 2100\ncoupling_x = {2100 + apart}\n')
    if not fault:
        assert read_job(good)[0].vehicle is not None
        return
    with pytest.raises(ProblemsFound) as caught:
        read_job(good)
    assert len(caught.value.problems) == 1


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("[1, 12]", (1, 12)),
        ('["jan", "DEC"]', (1, 12)),
        ('["September", "sept", "sep."]', None),
        ('["sept.", "Mar"]', (3, 9)),
        ('[11, "june"]', (6, 11)),
    ],
)
def test_months_are_numbers_or_names(good: Path, written: str, read: tuple[int, ...] | None) -> None:
    _add(good, FRIDGE + f"months = {written}\n")
    if read is not None:
        assert read_job(good)[0].loads[0].months == read
        return
    with pytest.raises(ProblemsFound) as caught:
        read_job(good)
    assert [problem.found for problem in caught.value.problems] == [
        '"sept" a second time',
        '"sep." a second time',
    ]


def test_every_month_has_its_three_letters(good: Path) -> None:
    names = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
    listed = ", ".join(f'"{name}"' for name in reversed(names))
    job, _ = read_job(_add(good, FRIDGE + f"months = [{listed}]\n"))
    assert job.loads[0].months == EVERY_MONTH


def test_when_a_load_runs(good: Path) -> None:
    lamps = '[[load]]\nname = "lamps"\nwatts = 20\nhours = 20\nwhen = "night"\n'
    _add(good, f'{lamps}\n[[load]]\nname = "pump"\nwatt_hours = 90\nwhen = "day"\n')
    job, _ = read_job(good)
    assert job.loads == (Load("lamps", 400.0, 20.0, when="night"), Load("pump", 90.0, when="day"))
    ((severity, text),) = _notes(good, "load-longer-than-its-time")
    assert (severity, text[:45]) == ("caution", 'load "lamps" (trailer.toml:74): 20 hours a da')


def test_a_load_that_never_runs_keeps_its_watts(good: Path) -> None:
    # Its power alone says how long the sun would carry it.
    _add(good, '[[load]]\nname = "air-conditioner"\nwatts = 700\nhours = 0\n')
    assert read_job(good)[0].loads == (Load("air-conditioner", 0.0, 700.0),)


def test_watt_hours_at_the_watts_for_24_hours(good: Path) -> None:
    _add(good, '[[load]]\nname = "aerial"\nwatts = 6.5\nwatt_hours = 156\n')
    assert read_job(good)[0].loads == (Load("aerial", 156.0, 6.5),)


def test_bypass_sections_of_the_catalogue(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    header, first, second, *rest = catalogue.read_text(encoding="utf-8").splitlines()
    lines = [f"{header},bypass_sections", f"{first},2", f"{second},", *(f"{row}," for row in rest)]
    catalogue.write_text("\n".join(lines) + "\n", encoding="utf-8")
    job, notes = read_job(good)
    assert notes == ()
    assert [model.bypass_sections for model in job.panels.models] == [2, 3]


def test_balance_needs_the_panels_masses_and_other_jobs_do_not(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    _edit(catalogue, "30,7.2", "30,")
    _edit(good, "most_mass = 120\n", "")
    assert read_job(good)[0].panels.models[0].mass_kg is None
    with pytest.raises(ProblemsFound, match="needed for balance"):
        read_job(_edit(good, "budget = 2500", "budget = 2500\nbalance = true"))


@pytest.mark.parametrize(
    ("old", "new", "severity", "code", "fragment"),
    [
        ("watts = 1800", "watts = 1.8", "warning", "load-in-kilowatts", 'load "hob" (whole.toml:60): 1.8 W'),
        ("watt_hours = 520", "watt_hours = 0.52", "warning", "load-in-kilowatts", "0.52 Wh a day"),
        ("[inverter]\nefficiency = 91\nidle = 14\nhours = 6\n", "", "caution", "inverter-assumed", "90 %"),
        ("inverter = true", "inverter = false", "caution", "inverter-unused", "no load has inverter = true"),
        ("current = 30", "current = 0.3", "warning", "driving-current-implausible", "0.3 A"),
        ("current = 30", "current = 101", "warning", "driving-above-most-charge", "101 A"),
        ("capacity = 400\n", "", "caution", "loads-without-battery", "[battery] capacity"),
        ("capacity = 400\n", "", "caution", "usable-without-capacity", "without capacity"),
        ('"lithium"', '"agm"', "warning", "usable-implausible", "85 % from a lead battery (agm)"),
        ("place = [4600, 70, 2650]", "place = [4.6, 0.07, 2.65]", "warning", "length-in-metres", "place"),
        ('aim = "harvest"', "most_mass = 121", "warning", "roof-limits-disagree", "most_roof says 120 kg"),
        ("mass = 1240", "mass = 1501", "warning", "vehicle-limit-passed", "1500 kg of most_mass"),
        ("coupling = 70", "coupling = 101", "warning", "coupling-limit-passed", "100 kg of most_coupling"),
        ("most_axle = 1500", "most_axle = 1169", "warning", "axle-limit-passed", "1169 kg of most_axle"),
        ("axle = 1170", "axle = 1107", "warning", "masses-disagree", "come to 1177 kg, its mass is 1240 kg"),
        (
            "axle_x = 2100\ncoupling_x = 6400\n",
            "",
            "caution",
            "vehicle-places-unknown",
            "coupling_x and axle_x",
        ),
    ],
)
def test_note_on_needs(whole: Path, old: str, new: str, severity: str, code: str, fragment: str) -> None:
    found = _notes(_edit(whole, old, new), code)
    assert [found_severity for found_severity, _ in found] == [severity]
    assert fragment in found[0][1]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("watts = 1800", "watts = 3"),
        ("watt_hours = 520", "watt_hours = 5"),
        ("current = 30", "current = 100"),
        ("usable = 85", "usable = 100"),
        ('aim = "harvest"', "most_mass = 120"),
        ('"lithium"\nusable = 85', '"gel"\nusable = 80'),
        ("axle = 1170", "axle = 1108"),  # 1178 kg, 5 % from 1240
        ("most_coupling = 100", "most_coupling = 70"),
    ],
)
def test_no_note_at_the_limit_of_needs(whole: Path, old: str, new: str) -> None:
    assert read_job(_edit(whole, old, new))[1] == ()


def test_loads_without_a_place(whole: Path) -> None:
    _edit(whole, "latitude = 40.72\nlongitude = 0.72\n", "")
    ((severity, text),) = _notes(_edit(whole, 'aim = "harvest"\n', ""), "loads-without-place")
    assert severity == "caution"
    assert "[site]" in text


@pytest.mark.parametrize(
    ("site", "climate", "fault"),
    [
        ("", "", "without a place"),
        ("", "sun = [1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1]", "without a place"),
        ("", 'weather_file = "not-there.epw"', "not-there.epw"),  # which would say where it stands
        ("latitud = 40.72\nlongitude = 0.72\n", "", "latitud"),
    ],
)
def test_the_harvest_is_aimed_at_where_the_place_is_known(
    whole: Path, site: str, climate: str, fault: str
) -> None:
    _edit(whole, "latitude = 40.72\nlongitude = 0.72\n", site)
    with pytest.raises(ProblemsFound) as caught:
        read_job(_add(whole, f"[climate]\n{climate}\n") if climate else whole)
    (problem,) = caught.value.problems
    assert fault in problem.found


def test_loads_and_driving_without_a_battery(whole: Path) -> None:
    text = whole.read_text(encoding="utf-8")
    start, end = text.index("[battery]"), text.index("[[load]]")
    whole.write_text(text[:start] + text[end:], encoding="utf-8")
    job, notes = read_job(whole)
    assert len(job.loads) == 3
    assert {note.code for note in notes} == {"loads-without-battery", "driving-without-battery"}


def test_an_inverter_without_any_load(good: Path) -> None:
    ((severity, text),) = _notes(_add(good, "[inverter]\nidle = 8\n"), "inverter-unused")
    assert (severity, text) == ("caution", "[inverter] does nothing: the job has no [[load]].")


def test_a_boat_displaces_its_mass(good: Path) -> None:
    boat = '[vehicle]\nkind = "boat"\nmass = 9000\ndisplacement = {}\nmetacentric_height = 420\n'
    text = good.read_text(encoding="utf-8")
    assert _notes(_add(good, boat.format(9450)), "masses-disagree") == []
    good.write_text(text, encoding="utf-8")
    ((severity, said),) = _notes(_add(good, boat.format(9451)), "masses-disagree")
    assert severity == "warning"
    assert "displacement is 9451 kg" in said


def test_a_boat_that_displaces_more_than_she_may_weigh(good: Path) -> None:
    boat = '[vehicle]\nkind = "boat"\ndisplacement = {}\nmetacentric_height = 420\nmost_mass = 9000\n'
    text = good.read_text(encoding="utf-8")
    assert _notes(_add(good, boat.format(9000)), "vehicle-limit-passed") == []
    good.write_text(text, encoding="utf-8")
    ((_, said),) = _notes(_add(good, boat.format(9400)), "vehicle-limit-passed")
    assert said.startswith(
        "[vehicle] displacement is 9400 kg before the work, beyond the 9000 kg of most_mass"
    )


def test_a_load_through_an_inverter_that_is_not_described(good: Path) -> None:
    job, notes = read_job(_add(good, HOB))
    assert job.inverter == USUAL_INVERTER
    assert [note.code for note in notes] == ["inverter-assumed"]


def test_a_word_of_a_list_may_stand_in_capitals(whole: Path) -> None:
    """Such as a battery's chemistry, which is kept as the list has it."""
    text = whole.read_text(encoding="utf-8")
    before = next(line for line in text.splitlines() if line.startswith("chemistry"))
    whole.write_text(text.replace(before, 'chemistry = "AGM"'), encoding="utf-8")
    battery = read_job(whole)[0].battery
    assert battery is not None
    assert battery.chemistry == "agm"
