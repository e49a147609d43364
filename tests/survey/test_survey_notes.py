"""What is odd but possible is noted, and the job is read all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.survey.read import read_job


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) >= 1
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("old", "new", "severity", "code", "fragment"),
    [
        ("charge = 14.4\n", "", "caution", "charge-voltage-assumed", "14.4 V"),
        ("charge = 14.4", "charge = 11.9", "warning", "charge-voltage-implausible", "11.9 V"),
        ("charge = 14.4", "charge = 17", "warning", "charge-voltage-implausible", "17 V"),
        ("[spacing]\nbetween_panels = 20\nfrom_edge = 40\n", "", "caution", "no-spacing", "may touch"),
        ("from_edge = 40", "from_edge = 0.04", "warning", "length-in-metres", "from_edge: 0.04 mm"),
        ("clearance = 40", "clearance = 0.04", "warning", "length-in-metres", "clearance: 0.04 mm"),
        ('downhill = "front"\n', "", "caution", "downhill-unknown", 'facet "front slope" slopes by 28°'),
        ("at = [600, 880]", "at = [4300, 880]", "warning", "obstacle-past-outline", 'obstacle "bed hatch"'),
        ("diameter = 300", "diameter = 8", "warning", "obstacle-very-small", "is only 8 x 8"),
        ("at = [40, 40]", "at = [39, 40]", "caution", "kept-panel-near-edge", "40 mm to the edge"),
        # The hatch at y 880 has a clearance of 40, so a panel of 530 mm may begin at 310 at most.
        ("at = [40, 40]", "at = [40, 311]", "caution", "kept-panel-near-obstacle", 'obstacle "bed hatch"'),
        # The vent's circle has a radius of 150 and a clearance of 50: y 800 is its lowest point.
        ("at = [40, 40]", "at = [2000, 271]", "caution", "kept-panel-near-obstacle", 'obstacle "vent"'),
        # The lid's strip runs from x 480 to 600; the hatch's own clearance from x 560.
        (
            "at = [40, 40]\nturned = false",
            "at = [0, 900]\nturned = true",
            "caution",
            "kept-panel-near-obstacle",
            "",
        ),
    ],
)
def test_note_on_the_job(good: Path, old: str, new: str, severity: str, code: str, fragment: str) -> None:
    _edit(good, old, new)
    found = [note for note in read_job(good)[1] if note.code == code]
    assert [note.severity for note in found] == [severity]
    assert fragment in found[0].text


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("at = [40, 40]", "at = [40, 310]"),  # just at the hatch's clearance
        ("at = [40, 40]", "at = [2000, 270]"),  # just at the vent's clearance
        ("charge = 14.4", "charge = 16.8"),
        ("charge = 14.4", "charge = 12"),
    ],
)
def test_no_note_at_the_limit(good: Path, old: str, new: str) -> None:
    _edit(good, old, new)
    assert read_job(good)[1] == ()


def test_kept_panels_close_to_each_other(good: Path) -> None:
    kept = '\n[[kept_panel]]\nmodel = "Heron 110"\nfacet = "main"\nat = [{}, 40]\n'
    text = good.read_text(encoding="utf-8")
    good.write_text(text + kept.format(40 + 1120 + 20), encoding="utf-8")
    assert read_job(good)[1] == ()
    good.write_text(text + kept.format(40 + 1120 + 19), encoding="utf-8")
    (note,) = read_job(good)[1]
    assert note.code == "kept-panels-close"
    assert note.text == "kept panel 2 lies 19 mm from kept panel 1; the spacing asks for 20 mm."


@pytest.mark.parametrize("lacking", ["battery", "controllers"])
def test_battery_without_controllers_and_the_reverse(good: Path, lacking: str) -> None:
    text = good.read_text(encoding="utf-8")
    start = text.index(f"[{lacking}]")
    end = text.index("[controllers]") if lacking == "battery" else len(text)
    good.write_text(text[:start] + text[end:], encoding="utf-8")
    job, (note,) = read_job(good)
    assert note.code == "wiring-not-asked"
    assert f"no [{lacking}]" in note.text
    assert not job.wants_wiring


@pytest.mark.parametrize(
    ("old", "new", "code", "fragment"),
    [
        ("115,24.1", "120,24.1", "watts-disagree", "vmp_v times imp_a is 114.9 W, power_w says 120 W"),
        ("1120,530", "2720,530", "panel-size-unusual", "a length of 2720 mm"),
        ("1120,530", "1120,190", "panel-size-unusual", "a width of 190 mm"),
        ("1120,530", "620,530", "watts-per-area-implausible", "350 W/m²"),
        ("1120,530", "2400,530", "watts-per-area-implausible", "90 W/m²"),
        ("30,7.2", "30,72", "mass-implausible", "121 kg/m²"),
        ("30,7.2", "30,0.72", "mass-implausible", "1.21 kg/m²"),
        ("turnable", "turnabel", "column-ignored", 'did you mean "turnable"'),
    ],
)
def test_note_on_the_panel_catalogue(good: Path, old: str, new: str, code: str, fragment: str) -> None:
    _edit(good.parent / "catalogue" / "panels.csv", old, new)
    found = [note for note in read_job(good)[1] if note.code == code]
    assert len(found) == 1
    assert fragment in found[0].text
    assert found[0].severity == "warning"


def test_watts_within_3_per_cent_are_not_noted(good: Path) -> None:
    _edit(good.parent / "catalogue" / "panels.csv", "115,24.1", "118,24.1")
    assert read_job(good)[1] == ()


def test_models_not_in_use_are_not_noted(good: Path) -> None:
    _edit(good.parent / "catalogue" / "panels.csv", "210,25.0", "300,25.0")
    assert {note.code for note in read_job(good)[1]} == {"watts-disagree", "watts-per-area-implausible"}
    _edit(good, 'use = ["Heron 110", "Heron 210"]', 'use = ["Heron 110"]')
    assert read_job(good)[1] == ()


def test_choosing_without_any_price(good: Path) -> None:
    _edit(good, 'fitted = ["Weir 100-30", "Weir 100-30"]', "choose = true")
    catalogue = good.parent / "catalogue" / "controllers.csv"
    _edit(catalogue, ",140", ",")
    _edit(catalogue, ",390", ",")
    (note,) = read_job(good)[1]
    assert note.code == "controllers-without-price"


def test_a_bearing_on_a_roof_that_parks_every_way_is_noted(good: Path) -> None:
    _edit(good, 'downhill = "front"', "downhill = 200")
    found = [note.text for note in read_job(good)[1] if note.code == "heading-and-bearing"]
    assert len(found) == 1
    assert found[0].startswith('[site] heading is "any", but downhill of front slope is a bearing')
    assert "its front to the north" in found[0]


@pytest.mark.parametrize(
    ("heading", "downhill"),
    [('heading = "any"', '"front"'), ("heading = 25", "200"), ("", "200")],  # the last: a building
)
def test_a_bearing_where_it_can_be_is_not_noted(good: Path, heading: str, downhill: str) -> None:
    _edit(good, 'heading = "any"', heading)
    _edit(good, 'downhill = "front"', f"downhill = {downhill}")
    assert not [note for note in read_job(good)[1] if note.code == "heading-and-bearing"]
