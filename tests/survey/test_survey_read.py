"""A sound job is read as it is written, with the defaults of the job file."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.job import Battery, Controllers, Facet, Obstacle, Site, Spacing
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job

ONE_FACET = """\
[spacing]
[[facet]]
outline = [[0, 0], [4600, 0], [4600, 2180], [0, 2180]]
[panels]
catalogue = "catalogue/panels.csv"
"""


def _codes(path: Path) -> list[str]:
    return [note.code for note in read_job(path)[1]]


def _write(good: Path, text: str) -> Path:
    good.write_text(text, encoding="utf-8")
    return good


def test_whole_job(good: Path) -> None:
    job, notes = read_job(good)
    assert notes == ()
    assert (job.title, job.file_name) == ("Delta ringing trailer", "trailer.toml")
    assert job.site == Site(40.72, 0.72, None, -5.0, 42.0)
    assert job.spacing == Spacing(20.0, 40.0)
    assert job.facets == (
        Facet("main", ((0.0, 0.0), (4600.0, 0.0), (4600.0, 2180.0), (0.0, 2180.0))),
        Facet("front slope", ((0.0, 0.0), (900.0, 0.0), (900.0, 2040.0), (0.0, 2040.0)), 28.0, "+x"),
    )
    hatch = ((600.0, 880.0), (1000.0, 880.0), (1000.0, 1280.0), (600.0, 1280.0))
    assert job.obstacles == (
        Obstacle("bed hatch", "main", "hatch", hatch, None, None, 40.0, 90.0, "-x", 120.0),
        Obstacle("vent", "main", "vent", None, (2500.0, 1000.0), 300.0, 50.0),
    )
    assert [model.model for model in job.panels.models] == ["Heron 110", "Heron 210"]
    assert (job.panels.most_models, job.panels.most_mass_kg, job.panels.budget) == (2, 120.0, 2500.0)
    assert [(k.model.model, k.facet, k.x_mm, k.y_mm, k.turned) for k in job.kept] == [
        ("Heron 110", "main", 40.0, 40.0, False)
    ]
    assert job.battery == Battery(12.0, 14.4, 400.0)
    assert job.controllers is not None
    assert [model.model for model in job.controllers.fitted] == ["Weir 100-30", "Weir 100-30"]
    assert [model.model for model in job.controllers.catalogue] == ["Weir 100-30", "Weir 150-60"]
    assert not job.controllers.choose
    assert job.wants_wiring


def test_catalogue_cells(good: Path) -> None:
    job, _ = read_job(good)
    first, second = job.panels.models
    assert (first.length_mm, first.width_mm, first.thickness_mm, first.mass_kg) == (1120, 530, 30, 7.2)
    assert (first.power_w, first.voc_v, first.vmp_v, first.isc_a, first.imp_a) == (
        115,
        24.1,
        20.2,
        6.05,
        5.69,
    )
    assert (first.voc_pct_per_k, first.isc_pct_per_k, first.power_pct_per_k) == (-0.27, 0.05, -0.34)
    assert (first.max_series_fuse_a, first.max_system_v, first.price) == (15, 600, 95)
    assert (first.stock, first.turnable) == (None, True)
    assert (second.stock, second.turnable) == (4, False)
    assert job.controllers is not None
    small, large = job.controllers.catalogue
    assert (small.trackers, small.max_pv_v, small.max_pv_isc_a, small.max_charge_a) == (1, 100, 35, 30)
    assert (small.start_above_battery_v, small.efficiency_pct, small.price) == (5, 98, 140)
    assert (small.length_mm, small.width_mm, small.height_mm, small.mass_kg) == (180, 130, 70, 1.3)
    assert large.battery_v == (12, 24, 48)


def test_defaults_of_a_short_job(good: Path) -> None:
    text = ONE_FACET + '[[obstacle]]\nname = "aerial"\nat = [100, 100]\nsize = [60, 60]\n'
    text += '[[kept_panel]]\nmodel = "Heron 110"\nat = [1000, 100]\n'
    job, notes = read_job(_write(good, text))
    assert notes == ()
    assert job.title == "trailer"
    assert job.facets[0].name == "main"
    assert (job.facets[0].slope_deg, job.facets[0].downhill, job.facets[0].front) == (0.0, None, "+x")
    assert (job.obstacles[0].facet, job.obstacles[0].kind, job.obstacles[0].clearance_mm) == (
        "main",
        "other",
        0,
    )
    assert (job.kept[0].facet, job.kept[0].turned) == ("main", False)
    assert (job.site, job.battery, job.controllers) == (None, None, None)
    assert [model.model for model in job.panels.models] == ["Heron 110", "Heron 210"]
    assert not job.wants_wiring


@pytest.mark.parametrize(
    ("front", "rear", "left", "right"),
    # Seen from above, left is a quarter turn counter-clockwise from the front (ISO 8855: x to the
    # front, y to the left; from memory).
    [("+x", "-x", "+y", "-y"), ("+y", "-y", "-x", "+x"), ("-x", "+x", "-y", "+y"), ("-y", "+y", "+x", "-x")],
)
def test_sides_of_the_vehicle_follow_the_front(
    good: Path, front: str, rear: str, left: str, right: str
) -> None:
    for side, expected in (("front", front), ("rear", rear), ("left", left), ("right", right), ("-y", "-y")):
        facet = f'[[facet]]\nfront = "{front}"\nslope = 5\ndownhill = "{side}"\n'
        text = ONE_FACET.replace("[[facet]]\n", facet)
        text += '[[obstacle]]\nname = "hatch"\nat = [900, 900]\nsize = [400, 400]\n'
        text += f'opens = "{side}"\nreach = 90\n'
        job, _ = read_job(_write(good, text))
        assert job.facets[0].downhill == expected
        assert job.obstacles[0].opens == expected


@pytest.mark.parametrize(("written", "read"), [("0", 0.0), ("137.5", 137.5), ("360", 0.0)])
def test_bearings(good: Path, written: str, read: float) -> None:
    text = ONE_FACET.replace("[[facet]]\n", f"[[facet]]\nslope = 5\ndownhill = {written}\n")
    job, _ = read_job(_write(good, text + f"[site]\nheading = {written}\n"))
    assert job.facets[0].downhill == read
    assert job.site is not None
    assert job.site.heading_deg == read


def test_choose_with_a_clipping_limit(good: Path) -> None:
    text = good.read_text(encoding="utf-8")
    text = text.replace('fitted = ["Weir 100-30", "Weir 100-30"]', "choose = true\nmost_clipped_pct = 3")
    job, _ = read_job(_write(good, text))
    assert isinstance(job.controllers, Controllers)
    assert (job.controllers.choose, job.controllers.fitted, job.controllers.most_clipped_pct) == (
        True,
        (),
        3.0,
    )


def test_models_in_use_come_in_the_order_of_use_and_once(good: Path) -> None:
    job, _ = read_job(_write(good, ONE_FACET + 'use = ["Heron 210", "Heron 110", "Heron 210"]\n'))
    assert [model.model for model in job.panels.models] == ["Heron 210", "Heron 110"]


def test_kept_panel_may_be_of_a_model_that_is_not_in_use(good: Path) -> None:
    text = (
        ONE_FACET
        + 'use = ["Heron 210"]\n[[kept_panel]]\nmodel = "Heron 110"\nat = [900, 900]\nturned = true\n'
    )
    job, _ = read_job(_write(good, text))
    assert [model.model for model in job.panels.models] == ["Heron 210"]
    assert (job.kept[0].model.model, job.kept[0].turned) == ("Heron 110", True)


def test_price_of_what_is_there_already_may_be_blank(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    catalogue.write_text(catalogue.read_text().replace(",95,", ",,"))
    text = (
        ONE_FACET
        + 'budget = 900\nuse = ["Heron 210"]\n[[kept_panel]]\nmodel = "Heron 110"\nat = [900, 900]\n'
    )
    assert read_job(_write(good, text))[0].kept[0].model.price is None


def test_cells_for_wiring_are_needed_only_of_models_in_use(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    catalogue.write_text(catalogue.read_text() + "Plover 60,700,500,,,60,,,,,,,,,,,,\n")
    assert len(read_job(good)[0].panels.models) == 2
    good.write_text(
        good.read_text().replace('use = ["Heron 110", "Heron 210"]\n', "").replace("budget = 2500\n", "")
    )
    with pytest.raises(ProblemsFound) as caught:
        read_job(good)
    cells = [problem.name.split(", ")[1] for problem in caught.value.problems]
    assert cells == ["voc_v", "vmp_v", "isc_a", "imp_a", "mass_kg"]
    assert {problem.line for problem in caught.value.problems} == {4}


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_other_delimiters(good: Path, delimiter: str) -> None:
    whole, _ = read_job(good)
    for name in ("panels.csv", "controllers.csv"):
        catalogue = good.parent / "catalogue" / name
        catalogue.write_text(catalogue.read_text().replace(",", delimiter))
    assert read_job(good)[0] == whole


def test_byte_order_marks_and_windows_line_ends_do_no_harm(good: Path) -> None:
    whole, _ = read_job(good)
    for path in (good, *(good.parent / "catalogue").iterdir()):
        path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert read_job(good)[0] == whole


def test_catalogue_columns_in_any_order_with_unknown_ones_and_quoted_cells(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    text = 'Power_W,shelf, length_mm ,width_mm,model\n115,"A, left",1120,530,"Heron ""110"""\n\n,,,,\n'
    catalogue.write_text(text)
    job, _ = read_job(_write(good, ONE_FACET))
    assert [(m.model, m.power_w, m.length_mm) for m in job.panels.models] == [('Heron "110"', 115, 1120)]


def test_typographic_minus_in_a_cell(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    catalogue.write_text(catalogue.read_text().replace("-0.27", "−0.27"), encoding="utf-8")
    assert read_job(good)[0].panels.models[0].voc_pct_per_k == -0.27


def test_many_problems_at_once_in_three_files_in_the_order_of_lines(good: Path) -> None:
    text = good.read_text()
    for old, new in (
        ("coldest = -5", "coldest = -500"),
        ("from_edge = 40", "from_edge = true"),
        ("clearance = 50", "clearence = 50"),
        ('fitted = ["Weir 100-30", "Weir 100-30"]', 'fitted = [\n  "Weir 100-30",\n  "Wier 150-60",\n]'),
    ):
        assert old in text
        text = text.replace(old, new)
    _write(good, text)
    panels = good.parent / "catalogue" / "panels.csv"
    panels.write_text(
        panels.read_text().replace("24.1", "24,1 ").replace("24,1 ", '"24,1"').replace(",160,", ",-160,")
    )
    controllers = good.parent / "catalogue" / "controllers.csv"
    controllers.write_text(controllers.read_text().replace("12 24 48", "all"))
    with pytest.raises(ProblemsFound) as caught:
        read_job(good)
    lines = text.splitlines()
    assert [(Path(p.file).name, p.line) for p in caught.value.problems] == [
        ("trailer.toml", lines.index("coldest = -500") + 1),
        ("trailer.toml", lines.index("from_edge = true") + 1),
        ("trailer.toml", lines.index("clearence = 50") + 1),
        ("trailer.toml", lines.index('  "Wier 150-60",') + 1),
        ("panels.csv", 2),
        ("panels.csv", 3),
        ("controllers.csv", 3),
    ]
    assert str(caught.value).count("\n") == 6
    assert 'found "24,1"; expected volts above 0. Write decimals with a point: 24.1.' in str(caught.value)


def test_message_has_its_agreed_form(good: Path) -> None:
    _write(good, good.read_text().replace("clearance = 40", "clearance = -40"))
    with pytest.raises(ProblemsFound) as caught:
        read_job(good)
    assert str(caught.value) == (
        f'{good}:36: obstacle "bed hatch", clearance: found -40; expected a length of 0 mm or more. '
        "Without the minus sign: 40, or 0 for none."
    )


def test_names_and_places_may_repeat_on_another_facet(good: Path) -> None:
    text = good.read_text(encoding="utf-8")
    text += '\n[[obstacle]]\nname = "vent"\nfacet = "front slope"\ncentre = [500, 1500]\ndiameter = 100\n'
    # Not turned it would be too long for the front slope, so it stands upright at the same corner.
    text += '\n[[kept_panel]]\nmodel = "Heron 110"\nfacet = "front slope"\nat = [40, 40]\nturned = true\n'
    job, notes = read_job(_write(good, text))
    assert notes == ()
    assert [obstacle.name for obstacle in job.obstacles] == ["bed hatch", "vent", "vent"]
    assert [kept.facet for kept in job.kept] == ["main", "front slope"]


@pytest.mark.parametrize("size", ["[0.03, 2.5]", "[0.5, 400]", "[400, 0.5]", "[4, 4]"])
def test_obstacles_that_are_too_small_to_be_meant(good: Path, size: str) -> None:
    _write(good, good.read_text().replace("size = [400, 400]", f"size = {size}"))
    with pytest.raises(ProblemsFound) as caught:
        read_job(good)
    (problem,) = caught.value.problems
    assert (problem.line, problem.hint) == (35, "Metres typed for millimetres?")


@pytest.mark.parametrize("size", ["[3, 1200]", "[30, 30]"])
def test_thin_obstacles_that_are_meant(good: Path, size: str) -> None:
    _write(good, good.read_text().replace("size = [400, 400]", f"size = {size}"))
    assert len(read_job(good)[0].obstacles) == 2


def test_lines_of_a_catalogue_with_cells_of_several_lines_and_blank_lines(good: Path) -> None:
    catalogue = good.parent / "catalogue" / "panels.csv"
    text = (
        'model,length_mm,width_mm,power_w,remark\nA,1000,500,100,"two\nlines"\n\nB,1000,500,100,\nB,1,1,-1,\n'
    )
    catalogue.write_text(text)
    with pytest.raises(ProblemsFound) as caught:
        read_job(_write(good, ONE_FACET))
    (problem,) = caught.value.problems
    assert (problem.line, problem.expected) == (6, "it once; line 5 has it already")
