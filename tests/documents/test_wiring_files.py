"""The wiring on disk: cables.csv, readings.csv, plan.json's wiring, and old sheets taken away."""

from __future__ import annotations

import csv
import io
import json
import os
from pathlib import Path

import pytest

from rooflayout.documents.plan_json import plan_to_dict
from rooflayout.documents.schedule import cables_csv, readings_csv, strings_csv
from rooflayout.documents.wiring_json import wiring_to_dict
from rooflayout.documents.wiring_set import wiring_files
from rooflayout.documents.write import plan_to_json, write_documents
from rooflayout.survey.plan_file import read_plan

from .opened_sheets import wiring_set_files
from .samples import SAMPLES
from .wiring_samples import WIRED


def test_cables_csv() -> None:
    _, plan = WIRED["long_names"]()
    assert cables_csv(plan).splitlines() == [
        "run,kind,from,to,current_a,working_a,length_mm,estimated,size_mm2,size_awg,carries_a,drop_v,drop_pct,"
        "carries_awg_a,drop_awg_v,drop_awg_pct,fuse_a,isolator,why",
        "R1,string,S1,C1 tracker 1,11.25,9.1,4235,no,6.0,10,46.3,0.41,1.7,52.0,0.45,1.9,,yes,"
        "current at 50 °C: 13.8 A of 46.3 A",
        "R2,string,S2,C1 tracker 2,11.25,9.1,4235,no,,,,,,,,,,yes,"
        '"voltage drop: 95 mm² still loses 3.4 %, 3 % allowed; 1.2 m shorter would do"',
        "R3,battery,C1,battery,60.0,9.1,1500,yes,16.0,4,46.3,0.41,1.7,52.0,0.45,1.9,80.0,yes,voltage drop",
    ]


def test_readings_csv() -> None:
    _, plan = WIRED["trailer"]()
    lines = readings_csv(plan).splitlines()
    assert lines[0] == ("string,irradiance_w_m2,cell_c,voc_v,voc_low_v,voc_high_v,isc_a,isc_low_a,isc_high_a")
    assert lines[1] == "S1,800.0,45.0,56.43,53.61,59.25,8.8,7.92,9.68"
    assert lines[5] == "Awning set,800.0,45.0,42.9,40.8,45.0,2.72,2.55,2.89"
    assert len(lines) == 6


def test_strings_csv_ends_in_limit_headroom_and_what_reaches_the_controller() -> None:
    _, plan = WIRED["trailer"]()
    first = next(csv.DictReader(io.StringIO(strings_csv(plan))))
    assert list(first)[-3:] == ["limit_v", "headroom_v", "vmp_hot_at_controller_v"]
    assert (first["limit_v"], first["headroom_v"]) == ("150.0", "84.38")
    assert (first["vmp_hot_v"], first["vmp_hot_at_controller_v"]) == ("38.0", "37.6")


def test_plan_json_carries_the_whole_wiring() -> None:
    job, plan = WIRED["trailer"]()
    data = json.loads(plan_to_json(job, plan))["wiring"]
    assert list(data) == [
        "strings", "controllers", "unwired", "temperatures",
        "because", "runs", "readings", "mismatch", "mounted", "portable",
        "portable_readings",
    ]  # fmt: skip
    assert (data["strings"][0]["limit_v"], data["strings"][0]["headroom_v"]) == (150.0, 84.38)
    assert data["strings"][0]["vmp_hot_at_controller_v"] == 37.6
    assert data["because"][0] == {
        "controller": "C1",
        "text": "two in series: at 12 V a single panel would drop out above 68 °C",
    }
    assert data["runs"][2] == {
        "run": "R3", "kind": "string", "from": "S3", "to": "C2 tracker 1", "current_a": 11.62,
        "working_a": 9.1, "length_mm": 4235, "estimated": True,
        "size_mm2": 6.0, "size_awg": "10", "carries_a": 46.3,
        "drop_v": 0.41, "drop_pct": 1.7, "carries_awg_a": 52.0, "drop_awg_v": 0.45, "drop_awg_pct": 1.9,
        "fuse_a": None, "isolator": True,
        "why": "current at 50 °C: 13.8 A of 46.3 A",
    }  # fmt: skip
    assert data["readings"][3] == {
        "string": "S4", "irradiance_w_m2": 800.0, "cell_c": 45.0, "voc_v": 45.0, "voc_low_v": 42.75,
        "voc_high_v": 47.24, "isc_a": 4.72, "isc_low_a": 4.25, "isc_high_a": 5.19,
    }  # fmt: skip
    assert data["mismatch"] == [{"controller": "C1", "tracker": 1, "strings": ["S1", "S2"], "loss_pct": 1.4}]
    assert data["mounted"][1] == {
        "controller": "C2", "x_mm": 280, "y_mm": 60, "along_x_mm": 180, "along_y_mm": 250,
    }  # fmt: skip
    assert data["portable"] == [
        {
            "name": "Awning set", "model": "Wren 60", "into": "Dunlin 150/60 twin", "own_controller": True,
            "in_series": 2, "in_parallel": 1, "voc_cold_v": 49.9, "vmp_hot_v": 28.9, "isc_a": 3.4,
            "power_w": 120, "charge_a": 8.1, "clipped_w": 0,
        }
    ]  # fmt: skip
    assert data["portable_readings"] == [
        {
            "string": "Awning set", "irradiance_w_m2": 800.0, "cell_c": 45.0, "voc_v": 42.9,
            "voc_low_v": 40.8, "voc_high_v": 45.0, "isc_a": 2.72, "isc_low_a": 2.55, "isc_high_a": 2.89,
        }
    ]  # fmt: skip


def test_no_mounting_space_is_told_from_no_boxes() -> None:
    job, plan = SAMPLES["trailer"]()
    wiring = plan_to_dict(job, plan)["wiring"]
    assert wiring["mounted"] is None
    assert [wiring[k] for k in ("because", "runs", "readings", "mismatch", "portable")] == [[]] * 5


@pytest.mark.usefixtures("drawn_once")
def test_all_sheets_are_written_and_old_ones_taken_away(tmp_path: Path) -> None:
    job, plan = WIRED["one_string"]()
    written = {p.name for p in write_documents(job, plan, tmp_path)}
    assert {"wiring.pdf", "cables.csv", "readings.csv"} <= written
    (tmp_path / "wiring-notes.pdf").write_bytes(b"not ours")
    bare, bare_plan = SAMPLES["unwired"]()
    left = {p.name for p in write_documents(bare, bare_plan, tmp_path)}
    assert set(os.listdir(tmp_path)) == {*left, "wiring-notes.pdf"}
    assert not left & {"wiring.pdf", "cables.csv", "readings.csv"}


def test_the_set_is_the_same_for_the_same_plan() -> None:
    first = wiring_set_files("one_string")
    assert first == wiring_files(*WIRED["one_string"]())
    assert list(first) == ["wiring.pdf"]


def test_the_set_carries_no_date() -> None:
    pdf = wiring_set_files("one_string")["wiring.pdf"]
    assert pdf.startswith(b"%PDF-")
    assert b"CreationDate" not in pdf


@pytest.mark.parametrize("name", sorted(WIRED))
def test_plan_json_is_read_back_as_it_was(name: str, tmp_path: Path) -> None:
    """Every key of the wiring: written again, what was read is the same text."""
    job, plan = WIRED[name]()
    path = tmp_path / "plan.json"
    path.write_text(plan_to_json(job, plan), encoding="utf-8")
    read = read_plan(path, job)
    assert read.wiring is not None
    assert wiring_to_dict(read.wiring) == json.loads(path.read_text(encoding="utf-8"))["wiring"]
