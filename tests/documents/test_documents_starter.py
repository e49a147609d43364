"""The starter job: complete, commented, planned from as it stands, never written over anything."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path

import pytest

from rooflayout.documents.starter import CONTROLLERS_CSV, PANELS_CSV, starter_text, write_starter
from rooflayout.job import Bench, Cable, MountingSpace, WiringRules
from rooflayout.needs import Driving, Inverter, Load, Mounts
from rooflayout.survey.read import read_job
from rooflayout.wiring.portable import portable_strings
from rooflayout.wiring.temperatures import design_temperatures

# The contract's columns, and what was added.
PANEL_COLUMNS = (
    "model,length_mm,width_mm,thickness_mm,mass_kg,power_w,voc_v,vmp_v,isc_a,imp_a,voc_pct_per_k,"
    "isc_pct_per_k,power_pct_per_k,max_series_fuse_a,max_system_v,price,stock,turnable,bypass_sections"
)
CONTROLLER_COLUMNS = (
    "model,trackers,max_pv_v,max_pv_isc_a,max_charge_a,battery_v,start_above_battery_v,efficiency_pct,"
    "length_mm,width_mm,height_mm,mass_kg,price"
)


def test_starter_is_read_without_a_problem_or_a_warning(tmp_path: Path) -> None:
    job, notes = read_job(write_starter(tmp_path / "new folder" / "caravan.toml")[0])
    assert notes == ()
    assert job.wants_wiring
    assert len(job.panels.models) == 6
    assert len(job.obstacles) == 2
    assert job.obstacles[0].swing_mm() == (1220, 760, 1370, 1160)


def test_starter_writes_the_job_and_both_catalogues(tmp_path: Path) -> None:
    written = write_starter(tmp_path / "caravan.toml")
    assert [str(p.relative_to(tmp_path)) for p in written] == [
        "caravan.toml", "catalogue/panels.csv", "catalogue/controllers.csv",
    ]  # fmt: skip
    assert all(p.is_file() for p in written)


def test_starter_never_replaces_a_job(tmp_path: Path) -> None:
    path = tmp_path / "caravan.toml"
    path.write_text("mine")
    with pytest.raises(FileExistsError, match=r"caravan\.toml is there already"):
        write_starter(path)
    assert path.read_text() == "mine"
    assert not (tmp_path / "catalogue").exists()


def test_starter_leaves_a_catalogue_that_is_there(tmp_path: Path) -> None:
    (tmp_path / "catalogue").mkdir()
    (tmp_path / "catalogue" / "panels.csv").write_text("mine")
    written = write_starter(tmp_path / "caravan.toml")
    assert (tmp_path / "catalogue" / "panels.csv").read_text() == "mine"
    assert [p.name for p in written] == ["caravan.toml", "controllers.csv"]


def test_starter_in_an_impossible_place_is_a_plain_error(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OSError, match="cannot make the folder") as caught:
        write_starter(tmp_path / "file" / "caravan.toml")
    assert "\n" not in str(caught.value)


def test_catalogues_have_the_columns_of_the_contract() -> None:
    assert PANELS_CSV.splitlines()[0] == PANEL_COLUMNS
    assert CONTROLLERS_CSV.splitlines()[0] == CONTROLLER_COLUMNS


def test_invented_panels_are_plausible() -> None:
    for row in csv.DictReader(PANELS_CSV.splitlines()):
        watts = float(row["power_w"])
        assert float(row["vmp_v"]) * float(row["imp_a"]) == pytest.approx(watts, rel=0.005), row["model"]
        # common practice, no source: 190 to 235 W per square metre of a present-day panel
        assert 190 <= watts / (float(row["length_mm"]) * float(row["width_mm"]) / 1e6) <= 235
        assert float(row["voc_v"]) > float(row["vmp_v"])
        assert float(row["isc_a"]) > float(row["imp_a"])


def test_starter_explains_itself() -> None:
    text = starter_text()
    tomllib.loads(text)
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    assert 30 <= len(lines) <= 55
    assert sum("#" in line for line in lines) >= 20
    # What is commented out must work when it is taken in, a table at a time.
    for key in (
        *("use =", "budget =", "fitted =", "[[kept_panel]]", "most_charge =", "[wiring]"),
        *("[bench]", "[mounting_space]", "[vehicle_charger]", "[[portable_panel]]"),
        *("place =", "aim =", "balance =", "usable =", "[[load]]", "[inverter]", "[driving]", "[mounts]"),
        "[vehicle]",
    ):
        assert f"# {key}" in text


def _taken_in(text: str, line: str) -> str:
    assert text.count(f"\n# {line}") == 1
    return text.replace(f"\n# {line}", f"\n{line}")


def test_what_is_commented_out_works_too(tmp_path: Path) -> None:
    path = write_starter(tmp_path / "caravan.toml")[0]
    text = path.read_text()
    for line in ("use =", "budget =", "most_charge =", "roof_run =", "gland_facet =", "gland =", "ambient ="):
        text = _taken_in(text, line)
    for line in ("insulation =", "bundled =", "most_drop_pct =", "place =", "aim =", "balance =", "usable ="):
        text = _taken_in(text, line)
    for table in (
        "[[kept_panel]]",
        "[wiring]",
        "[bench]",
        "[mounting_space]",
        "[vehicle_charger]",
        "[[portable_panel]]",
        "[climate]",
        "[[load]]",
        "[inverter]",
        "[driving]",
        "[mounts]",
        "[vehicle]",
    ):
        (block,) = [b for b in text.split("\n\n") if b.startswith(f"# {table}")]
        text = text.replace(block, "\n".join(line.removeprefix("# ") for line in block.split("\n")))
    path.write_text(text)
    job, notes = read_job(path)
    assert notes == ()
    assert [m.model for m in job.panels.models] == ["Slate 110", "Shale 165"]
    assert (job.panels.most_models, job.panels.budget) == (2, 900)
    assert [k.model.model for k in job.kept] == ["Slate 110"]
    assert job.battery is not None
    assert job.battery.most_charge_a == 100
    assert job.wiring_rules == WiringRules(60, 2)
    assert job.cable == Cable(2500, "roof", (4900, 1060), 1800, 900, 45, 90, 2, 3)
    assert job.bench == Bench(800, 45)
    assert job.mounting_space == MountingSpace(700, 400, 150, 50)
    assert (job.panels.aim, job.panels.balance, job.facets[0].place_mm) == ("harvest", True, (0, 0, 2600))
    assert (job.battery.chemistry, job.battery.usable_pct) == ("lithium", 80)
    assert job.loads == (
        Load("fridge", 450),
        Load("lamps", 125, 25, when="night"),
        Load("hob", 640, 1600, True, (5, 6, 7, 8)),
    )
    assert (job.inverter, job.driving) == (Inverter(90, 12, 6), Driving(0.4, 25, (6, 7, 8)))
    assert job.mounts == Mounts(1.5)
    assert job.climate.sun_kwh_m2_day is not None
    assert job.climate.air_c is not None
    assert job.vehicle is not None
    assert (job.vehicle.kind, job.vehicle.axle_x_mm, job.vehicle.coupling_x_mm) == ("trailer", 2300, 6900)
    (portable,) = job.portable
    assert (portable.name, portable.model.model, portable.count) == ("folding pair", "Mica 90 flexible", 2)
    assert (portable.controller.model, portable.own_controller) == ("vehicle charger", False)
    (joined,) = portable_strings(job, design_temperatures(job.site))  # the charger can take it
    assert joined.in_series * joined.in_parallel == 2


def test_starter_gives_the_cable_lengths_that_need_no_drawing(tmp_path: Path) -> None:
    job, _ = read_job(write_starter(tmp_path / "caravan.toml")[0])
    assert job.cable == Cable(gland_to_controller_mm=1800, controller_to_battery_mm=900)
    assert (job.wiring_rules, job.mounting_space, job.portable) == (WiringRules(), None, ())
