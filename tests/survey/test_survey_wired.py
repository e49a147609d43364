"""The tables of wiring in depth: read as written, with their defaults, and what is odd is noted."""

from __future__ import annotations

from pathlib import Path

import pytest

from rooflayout.job import Battery, Bench, Cable, ControllerModel, MountingSpace, WiringRules
from rooflayout.survey.problems import ProblemsFound
from rooflayout.survey.read import read_job


@pytest.fixture
def wired(good: Path) -> Path:
    return good.with_name("wired.toml")


def _without(path: Path, *headers: str) -> Path:
    """Takes whole tables out of the file."""
    blocks = path.read_text(encoding="utf-8").split("\n\n")
    kept = [block for block in blocks if block.split("\n")[0] not in headers]
    assert len(kept) < len(blocks)
    path.write_text("\n\n".join(kept), encoding="utf-8")
    return path


def _edit(path: Path, old: str, new: str) -> Path:
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    return path


def _codes(path: Path) -> list[str]:
    return [note.code for note in read_job(path)[1]]


def test_all_tables_are_read_as_written(wired: Path) -> None:
    job, notes = read_job(wired)
    assert notes == ()
    assert job.battery == Battery(24.0, 28.8, 200.0, 90.0)
    assert job.wiring_rules == WiringRules(60.0, 1.5)
    assert job.cable == Cable(
        2500.0, "front slope", (-120.0, 1020.0), 1800.0, 900.0, 45.0, 105.0, 4, 2.0, None, 250.0
    )
    assert isinstance(job.cable.bundled, int)
    assert job.mounting_space == MountingSpace(400.0, 300.0, 120.0, 50.0)


def test_a_least_size_on_the_roof(wired: Path) -> None:
    job, _ = read_job(_edit(wired, "most_drop_pct = 2", "most_drop_pct = 2\nleast_roof_mm2 = 4"))
    assert job.cable.least_roof_mm2 == 4.0
    assert read_job(_edit(wired, "\nleast_roof_mm2 = 4", ""))[0].cable.least_roof_mm2 is None


def test_portable_panels_and_what_they_plug_into(wired: Path) -> None:
    job, _ = read_job(wired)
    assert job.controllers is not None
    tender = ControllerModel(
        "Tender 25", 60.0, 30.0, 25.0, (24.0,), start_above_battery_v=1.0, efficiency_pct=96.0
    )
    weir = job.controllers.catalogue[0]
    assert weir.model == "Weir 100-30"
    assert [(p.name, p.model.model, p.count, p.controller, p.own_controller) for p in job.portable] == [
        ("folding pair", "Heron 110", 2, tender, False),
        ("Heron 110", "Heron 110", 1, weir, True),
        ("Heron 210", "Heron 210", 1, tender, False),
    ]


def test_portable_panel_is_not_fitted_on_the_roof_because_of_it(wired: Path) -> None:
    job, _ = read_job(wired)
    assert [model.model for model in job.panels.models] == ["Heron 210"]
    assert job.controllers is not None
    assert [model.model for model in job.controllers.catalogue] == ["Weir 100-30", "Weir 150-60"]


def test_defaults_where_the_tables_are_absent(good: Path) -> None:
    job, _ = read_job(good)
    assert (job.wiring_rules, job.cable, job.mounting_space) == (WiringRules(), Cable(), None)
    assert job.portable == ()
    assert job.battery is not None
    assert job.battery.most_charge_a is None


def test_defaults_within_empty_tables(good: Path) -> None:
    text = good.read_text(encoding="utf-8")
    text += "\n[wiring]\n[cable]\n[mounting_space]\nwidth = 400\nheight = 300\ndepth = 120\n"
    text += "[vehicle_charger]\nmax_pv_v = 50\nmax_pv_isc_a = 20\nmax_charge_a = 15\n"
    text += '[[portable_panel]]\nmodel = "Heron 110"\ninto = "vehicle charger"\n'
    good.write_text(text, encoding="utf-8")
    job, notes = read_job(good)
    assert notes == ()
    assert (job.wiring_rules, job.cable) == (WiringRules(None, 2.0), Cable())
    assert (job.cable.insulation_c, job.cable.bundled, job.cable.most_drop_pct) == (90.0, 2, 3.0)
    assert job.mounting_space == MountingSpace(400.0, 300.0, 120.0, 0.0)
    (portable,) = job.portable
    assert (portable.name, portable.count, portable.own_controller) == ("Heron 110", 1, False)
    assert portable.controller == ControllerModel("vehicle charger", 50.0, 20.0, 15.0, (12.0,))


def test_gland_on_the_only_facet_needs_no_facet_name(wired: Path) -> None:
    _without(wired, "[[facet]]")
    text = '\n[[facet]]\nname = "lid"\noutline = [[0, 0], [4600, 0], [4600, 2180], [0, 2180]]\n'
    wired.write_text(wired.read_text(encoding="utf-8") + text, encoding="utf-8")
    _edit(wired, 'gland_facet = "front slope"\n', "")
    assert read_job(wired)[0].cable.gland_facet == "lid"


@pytest.mark.parametrize("gland", ["[-500, 1020]", "[1400, 0]", "[1200, 2440]", "[0, 0]", "[450, 1000]"])
def test_gland_on_or_near_the_facet(wired: Path, gland: str) -> None:
    # [1200, 2440] lies 300 mm and 400 mm past a corner: 500 mm away by Pythagoras.
    _edit(wired, "gland = [-120, 1020]", f"gland = {gland}")
    assert read_job(wired)[1] == ()


@pytest.mark.parametrize("gland", ["[-501, 1020]", "[1401, 0]", "[1201, 2440]"])
def test_gland_a_millimetre_too_far(wired: Path, gland: str) -> None:
    _edit(wired, "gland = [-120, 1020]", f"gland = {gland}")
    with pytest.raises(ProblemsFound, match="cable, gland: found"):
        read_job(wired)


@pytest.mark.parametrize("insulation", [60, 70, 75, 80, 85, 90, 105, 110, 120, 125])
def test_insulation_classes(wired: Path, insulation: int) -> None:
    _edit(wired, "insulation = 105", f"insulation = {insulation}")
    assert read_job(wired)[0].cable.insulation_c == insulation


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("gland = [-120, 1020]", "gland = [0.45, 1.02]", "length-in-metres"),
        ("most_drop_pct = 2", "most_drop_pct = 0.02", "per-cent-as-share"),
        ("most_mismatch_pct = 1.5", "most_mismatch_pct = 0.015", "per-cent-as-share"),
        ("clearance = 50", "clearance = 0.05", "length-in-metres"),
        ("most_charge = 90", "most_charge = 0.5", "most-charge-implausible"),
    ],
)
def test_likely_slips_of_units_are_noted(wired: Path, old: str, new: str, code: str) -> None:
    assert _codes(_edit(wired, old, new)) == [code]


@pytest.mark.parametrize(("old", "new"), [("most_drop_pct = 2", "most_drop_pct = 20"), ("= 1.5", "= 0")])
def test_limits_themselves_are_allowed_without_a_note(wired: Path, old: str, new: str) -> None:
    assert _codes(_edit(wired, old, new)) == []


def test_electrical_cells_of_a_portable_panel_are_needed_without_controllers_too(wired: Path) -> None:
    _without(wired, "[controllers]")
    _edit(wired, '\n\n[[portable_panel]]\nmodel = "Heron 110"\ninto = "Weir 100-30"', "")
    assert "wiring-not-asked" in _codes(wired)
    catalogue = wired.parent / "catalogue" / "panels.csv"
    catalogue.write_text(catalogue.read_text().replace(",24.1,20.2,", ",,20.2,").replace(",95,", ",,"))
    with pytest.raises(ProblemsFound) as caught:
        read_job(wired)
    (problem,) = caught.value.problems
    assert (problem.line, problem.name) == (2, 'panel "Heron 110", voc_v')
    assert problem.expected == "a value (needed for portable panels)"


def test_mass_and_price_of_a_portable_panel_may_be_blank(wired: Path) -> None:
    _edit(wired, 'use = ["Heron 210"]', 'use = ["Heron 210"]\nmost_mass = 90\nbudget = 900')
    catalogue = wired.parent / "catalogue" / "panels.csv"
    catalogue.write_text(catalogue.read_text().replace(",30,7.2,", ",30,,").replace(",95,", ",,"))
    assert read_job(wired)[0].portable[0].model.mass_kg is None


def test_cables_without_battery_and_controllers_are_noted(good: Path) -> None:
    _without(good, "[battery]", "[controllers]")
    good.write_text(good.read_text(encoding="utf-8") + "\n[cable]\n", encoding="utf-8")
    (note,) = read_job(good)[1]
    assert note.code == "wiring-not-asked"
    assert "[cable] but neither [battery] nor [controllers]" in note.text


@pytest.mark.parametrize("value", ["nan", "inf", "-inf"])
def test_what_is_no_finite_number_gets_no_hint_about_units(wired: Path, value: str) -> None:
    _edit(wired, "roof_run = 2500", f"roof_run = {value}")
    with pytest.raises(ProblemsFound) as caught:
        read_job(wired)
    (problem,) = caught.value.problems
    assert (problem.name, problem.found, problem.hint) == ("cable, roof_run", value, "")


def test_without_controllers_on_board_only_the_portable_panels_are_wired(wired: Path) -> None:
    """Without [controllers] the vehicle charger's input is there; its catalogue alone adds own ones."""
    _edit(wired, "choose = true\n", "")
    job, notes = read_job(wired)
    assert job.controllers is None
    assert not job.wants_wiring
    assert [p.controller.model for p in job.portable] == ["Tender 25", "Weir 100-30", "Tender 25"]
    (note,) = notes
    assert (note.severity, note.code) == ("caution", "wiring-not-asked")
    assert note.text.startswith("Only the portable panels are wired")
    _edit(wired, '\n\n[[portable_panel]]\nmodel = "Heron 110"\ninto = "Weir 100-30"', "")
    _without(wired, "[controllers]")
    job, notes = read_job(wired)
    assert [p.controller.model for p in job.portable] == ["Tender 25", "Tender 25"]
    assert [n.code for n in notes] == ["wiring-not-asked"]


@pytest.mark.parametrize("line", ["choose = false", "fited = ['Weir 100-30']"])
def test_a_slip_beside_the_catalogue_is_told_with_portable_panels_too(wired: Path, line: str) -> None:
    _edit(wired, "choose = true", line)
    with pytest.raises(ProblemsFound, match="fit"):
        read_job(wired)


def test_a_share_that_nothing_clips_is_noted(wired: Path) -> None:
    _edit(wired, "choose = true", "most_clipped_pct = 5")
    assert [n.code for n in read_job(wired)[1]] == ["wiring-not-asked"] * 2


@pytest.mark.parametrize(
    ("text", "bench"),
    [
        ("irradiance = 650\ncell = -3.5", Bench(650.0, -3.5)),
        ("irradiance = 1400", Bench(1400.0, None)),
        ("cell = 100", Bench(None, 100.0)),
        ("", Bench()),
    ],
)
def test_bench(wired: Path, text: str, bench: Bench) -> None:
    wired.write_text(f"{wired.read_text(encoding='utf-8')}\n[bench]\n{text}\n", encoding="utf-8")
    assert read_job(wired)[0].bench == bench


def test_bench_alone_asks_for_no_wiring(good: Path) -> None:
    _without(good, "[battery]", "[controllers]")
    good.write_text(f"{good.read_text(encoding='utf-8')}\n[bench]\ncell = 40\n", encoding="utf-8")
    (note,) = read_job(good)[1]
    assert note.code == "wiring-not-asked"
    assert "[bench]" in note.text


def test_on_board_is_about_the_fitted_ones(wired: Path) -> None:
    """Read with them; without them it does nothing, and that is told."""
    _edit(wired, "choose = true", 'fitted = ["Weir 100-30"]\non_board = false')
    controllers = read_job(wired)[0].controllers
    assert controllers is not None
    assert not controllers.on_board
    _edit(wired, 'fitted = ["Weir 100-30"]', "choose = true")
    assert "on-board-without-fitted" in [n.code for n in read_job(wired)[1]]
